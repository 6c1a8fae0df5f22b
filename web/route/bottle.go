package route

// Bottles lists the opened bottles, and takes a new one by POST.
func Bottles() string { return "/bottles" }

// BottleNew is the form for a opened bottle.
func BottleNew() string { return Bottles() + "/new" }

// Bottle takes a changed opened bottle by POST.
func Bottle[T ~int64](id T) string { return Bottles() + "/" + number(id) }

// BottleEdit is the form of a opened bottle.
func BottleEdit[T ~int64](id T) string { return Bottle(id) + "/edit" }

// BottleDelete deletes a opened bottle by POST.
func BottleDelete[T ~int64](id T) string { return Bottle(id) + "/delete" }

// BottleRestore brings a deleted opened bottle back by POST.
func BottleRestore[T ~int64](id T) string { return Bottle(id) + "/restore" }
