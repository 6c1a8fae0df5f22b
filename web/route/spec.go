package route

// Specs lists the torque specs of a car.
func Specs[T ~int64](car T) string { return Car(car) + "/specs" }

// TorqueSpecs takes a new torque spec of a car by POST.
func TorqueSpecs[T ~int64](car T) string { return Car(car) + "/torque" }

// TorqueSpecNew is the form for a torque spec of a car.
func TorqueSpecNew[T ~int64](car T) string { return TorqueSpecs(car) + "/new" }

// TorqueSpecNewAt is the form for a torque spec of a car that is wanted at a stage.
func TorqueSpecNewAt[T, S ~int64](car T, stage S) string {
	return TorqueSpecNew(car) + "?stage=" + number(stage)
}

// TorqueSpec shows a torque spec, and takes a changed one by POST.
func TorqueSpec[T ~int64](id T) string { return "/torque/" + number(id) }

// TorqueSpecEdit is the form of a torque spec.
func TorqueSpecEdit[T ~int64](id T) string { return TorqueSpec(id) + "/edit" }

// TorqueSpecDelete deletes a torque spec by POST.
func TorqueSpecDelete[T ~int64](id T) string { return TorqueSpec(id) + "/delete" }

// TorqueSpecRestore brings a deleted torque spec back by POST.
func TorqueSpecRestore[T ~int64](id T) string { return TorqueSpec(id) + "/restore" }
