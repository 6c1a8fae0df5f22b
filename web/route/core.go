package route

// Cores lists the core deposits.
func Cores() string { return "/cores" }

// CoresOf takes a new core deposit of a part by POST.
func CoresOf[T ~int64](part T) string { return in("/parts", part) + "/cores" }

// CoreNew is the form for a new core deposit of a part.
func CoreNew[T ~int64](part T) string { return CoresOf(part) + "/new" }

// Core shows a core deposit, and takes a changed one by POST.
func Core[T ~int64](id T) string { return in("/cores", id) }

// CoreEdit is the form of a core deposit.
func CoreEdit[T ~int64](id T) string { return Core(id) + "/edit" }

// CoreEvents takes by POST what happened to the unit.
func CoreEvents[T ~int64](id T) string { return Core(id) + "/events" }

// CoreUnit says by POST which unit goes back: one on a donor (field donor_part), or without it the car's own.
func CoreUnit[T ~int64](id T) string { return Core(id) + "/unit" }

// CoreBack takes back by POST what happened last.
func CoreBack[T ~int64](id T) string { return Core(id) + "/back" }

// CoreDelete deletes a core deposit by POST.
func CoreDelete[T ~int64](id T) string { return Core(id) + "/delete" }

// CoreRestore brings a deleted core deposit back by POST.
func CoreRestore[T ~int64](id T) string { return Core(id) + "/restore" }
