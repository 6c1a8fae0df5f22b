package route

// FluidSpecs lists the fluid specs of a car, and takes a new one by POST.
func FluidSpecs[T ~int64](car T) string { return Car(car) + "/fluids" }

// FluidSpecNew is the form for a fluid spec of a car.
func FluidSpecNew[T ~int64](car T) string { return FluidSpecs(car) + "/new" }

// FluidSpec takes a changed fluid spec by POST.
func FluidSpec[T ~int64](id T) string { return "/fluids/" + number(id) }

// FluidSpecEdit is the form of a fluid spec.
func FluidSpecEdit[T ~int64](id T) string { return FluidSpec(id) + "/edit" }

// FluidSpecDelete deletes a fluid spec by POST.
func FluidSpecDelete[T ~int64](id T) string { return FluidSpec(id) + "/delete" }

// FluidSpecRestore brings a deleted fluid spec back by POST.
func FluidSpecRestore[T ~int64](id T) string { return FluidSpec(id) + "/restore" }
