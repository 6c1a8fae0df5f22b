package route

// Wrenches lists the torque wrenches, and takes a new one by POST.
func Wrenches() string { return "/wrenches" }

// WrenchNew is the form for a torque wrench.
func WrenchNew() string { return Wrenches() + "/new" }

// Wrench takes a changed torque wrench by POST.
func Wrench[T ~int64](id T) string { return Wrenches() + "/" + number(id) }

// WrenchEdit is the form of a torque wrench.
func WrenchEdit[T ~int64](id T) string { return Wrench(id) + "/edit" }

// WrenchDelete deletes a torque wrench by POST.
func WrenchDelete[T ~int64](id T) string { return Wrench(id) + "/delete" }

// WrenchRestore brings a deleted torque wrench back by POST.
func WrenchRestore[T ~int64](id T) string { return Wrench(id) + "/restore" }
