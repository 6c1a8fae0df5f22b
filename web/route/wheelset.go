package route

// Wheels shows what a car requires of its wheels and the sets there are, and takes a new set by POST.
func Wheels[T ~int64](car T) string { return Car(car) + "/wheels" }

// WheelSetNew is the form for a wheel set of a car.
func WheelSetNew[T ~int64](car T) string { return Wheels(car) + "/new" }

// WheelSet takes a changed wheel set by POST.
func WheelSet[T ~int64](id T) string { return "/wheels/" + number(id) }

// WheelSetEdit is the form of a wheel set.
func WheelSetEdit[T ~int64](id T) string { return WheelSet(id) + "/edit" }

// WheelSetDelete deletes a wheel set by POST.
func WheelSetDelete[T ~int64](id T) string { return WheelSet(id) + "/delete" }

// WheelSetRestore brings a deleted wheel set back by POST.
func WheelSetRestore[T ~int64](id T) string { return WheelSet(id) + "/restore" }

// RequiredWheels takes by POST what a car requires of its wheels.
func RequiredWheels[T ~int64](car T) string { return Car(car) + "/required-wheels" }

// RequiredWheelNew is the form for a requirement of a car.
func RequiredWheelNew[T ~int64](car T) string { return RequiredWheels(car) + "/new" }

// RequiredWheel takes a changed requirement by POST.
func RequiredWheel[T ~int64](id T) string { return "/required-wheels/" + number(id) }

// RequiredWheelEdit is the form of a requirement.
func RequiredWheelEdit[T ~int64](id T) string { return RequiredWheel(id) + "/edit" }

// RequiredWheelDelete deletes a requirement by POST.
func RequiredWheelDelete[T ~int64](id T) string { return RequiredWheel(id) + "/delete" }

// RequiredWheelRestore brings a deleted requirement back by POST.
func RequiredWheelRestore[T ~int64](id T) string { return RequiredWheel(id) + "/restore" }
