package route

import "strconv"

// in is the address of a record under the list of its kind.
func in[T ~int64](list string, id T) string { return list + "/" + strconv.FormatInt(int64(id), 10) }

// CarNew is the form for a new car.
func CarNew() string { return "/cars/new" }

// Car shows a car, and saves it by POST.
func Car[T ~int64](id T) string { return in("/cars", id) }

// CarEdit is the form of a car.
func CarEdit[T ~int64](id T) string { return Car(id) + "/edit" }

// CarDelete deletes a car by POST; CarRestore brings it back.
func CarDelete[T ~int64](id T) string { return Car(id) + "/delete" }

// CarRestore brings a deleted car back by POST.
func CarRestore[T ~int64](id T) string { return Car(id) + "/restore" }

// CarMove moves a car to another place by POST (field stands).
func CarMove[T ~int64](id T) string { return Car(id) + "/move" }

// CarVIN takes the suggested reading of a car's VIN by POST (field version).
func CarVIN[T ~int64](id T) string { return Car(id) + "/vin" }

// Odometer lists a car's odometer readings, and adds one by POST.
func Odometer[T ~int64](car T) string { return Car(car) + "/odometer" }

// ReadingReverse undoes an odometer reading of a car by POST.
func ReadingReverse[T, R ~int64](car T, reading R) string {
	return in(Odometer(car), reading) + "/reverse"
}

// RoadNeeds adds a road need to a car by POST.
func RoadNeeds[T ~int64](car T) string { return Car(car) + "/road-needs" }

// RoadNeedNew is the form for a new road need of a car.
func RoadNeedNew[T ~int64](car T) string { return RoadNeeds(car) + "/new" }

// RoadNeed saves a road need by POST.
func RoadNeed[T ~int64](id T) string { return in("/road-needs", id) }

// RoadNeedEdit is the form of a road need.
func RoadNeedEdit[T ~int64](id T) string { return RoadNeed(id) + "/edit" }

// RoadNeedDelete deletes a road need by POST.
func RoadNeedDelete[T ~int64](id T) string { return RoadNeed(id) + "/delete" }

// RoadNeedRestore brings a deleted road need back by POST.
func RoadNeedRestore[T ~int64](id T) string { return RoadNeed(id) + "/restore" }

// Accesses adds an access to a car by POST.
func Accesses[T ~int64](car T) string { return Car(car) + "/access" }

// AccessNew is the form for a new access of a car.
func AccessNew[T ~int64](car T) string { return Accesses(car) + "/new" }

// Access saves an access by POST.
func Access[T ~int64](id T) string { return in("/access", id) }

// AccessEdit is the form of an access.
func AccessEdit[T ~int64](id T) string { return Access(id) + "/edit" }

// AccessOpen says by POST that an access is open now (field open: yes) or closed.
func AccessOpen[T ~int64](id T) string { return Access(id) + "/open" }

// AccessDelete deletes an access by POST.
func AccessDelete[T ~int64](id T) string { return Access(id) + "/delete" }

// AccessRestore brings a deleted access back by POST.
func AccessRestore[T ~int64](id T) string { return Access(id) + "/restore" }

// ClosingWorks adds closing work to a car by POST.
func ClosingWorks[T ~int64](car T) string { return Car(car) + "/closing" }

// ClosingNew is the form for new closing work of a car.
func ClosingNew[T ~int64](car T) string { return ClosingWorks(car) + "/new" }

// Closing saves closing work by POST.
func Closing[T ~int64](id T) string { return in("/closing", id) }

// ClosingEdit is the form of closing work.
func ClosingEdit[T ~int64](id T) string { return Closing(id) + "/edit" }

// ClosingDelete deletes closing work by POST.
func ClosingDelete[T ~int64](id T) string { return Closing(id) + "/delete" }

// ClosingRestore brings deleted closing work back by POST.
func ClosingRestore[T ~int64](id T) string { return Closing(id) + "/restore" }
