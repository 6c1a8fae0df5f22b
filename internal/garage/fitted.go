package garage

import (
	"cmp"
	"slices"
	"time"

	"axlestand/internal/trade/interval"
)

// FittedID names pieces that were fitted.
type FittedID int64

// The ways in which fitted pieces end.
const (
	EndedFailed   = "failed"
	EndedWorn     = "worn"
	EndedReplaced = "replaced" // before it failed, with others or by the plan
	EndedOff      = "taken off"
)

// FittedEnds lists them.
var FittedEnds = []string{EndedFailed, EndedWorn, EndedReplaced, EndedOff}

// Fitted are pieces of a part fitted to a car, and what became of them.
type Fitted struct {
	ID        FittedID
	Version   int64
	PartID    PartID
	CarID     CarID
	StageID   *StageID // that fitted them; nil: noted by hand
	Quantity  int
	Side      string
	Grade     string
	Supplier  string
	FittedOn  Date
	EndedOn   *Date
	EndedAs   string // empty while they are on the car
	Note      string
	DeletedAt *time.Time
}

// Validate says which fields do not hold.
func (f Fitted) Validate() error {
	var e FieldErrors
	if f.CarID == 0 {
		e.Add("car", "Choose the car.")
	}
	e.quantity("quantity", f.Quantity)
	oneOf(&e, "side", f.Side, NeedSides)
	oneOf(&e, "grade", f.Grade, Grades)
	if f.FittedOn.IsZero() {
		e.Add("fitted_on", "Note the day.")
	}
	if f.EndedAs != "" {
		oneOf(&e, "ended_as", f.EndedAs, FittedEnds)
	}
	switch {
	case (f.EndedOn == nil) != (f.EndedAs == ""):
		e.Add("ended_as", "Give both: what became of it, and the day.")
	case f.EndedOn != nil && f.EndedOn.Before(f.FittedOn):
		e.Add("ended_on", "Not before it was fitted.")
	}
	if len([]rune(f.Supplier)) > maxName {
		e.Add("supplier", "Keep it to 200 characters.")
	}
	e.text("note", f.Note)
	return e.Err()
}

// FittedRow are fitted pieces as a list shows them, with how far the car had run at both ends, as far as readings tell.
type FittedRow struct {
	Fitted
	PartName string
	CarName  string
	FittedM  *int64
	EndedM   *int64
}

// Ran is how far the car ran with the pieces on it; false where readings do not tell.
func (r FittedRow) Ran() (metres int64, known bool) {
	if r.FittedM == nil || r.EndedM == nil {
		return 0, false
	}
	return *r.EndedM - *r.FittedM, true
}

// Months is how many whole months the pieces were on the car.
func (r FittedRow) Months(today Date) int {
	until := today
	if r.EndedOn != nil {
		until = *r.EndedOn
	}
	return interval.Date(r.FittedOn).Months(interval.Date(until))
}

// Gave says that the pieces gave out by themselves.
func (r FittedRow) Gave() bool { return r.EndedAs == EndedFailed || r.EndedAs == EndedWorn }

// MetresOn is how far the car had run on a day: on the straight line between the readings before and after it, after the last one
// as that one says; false before the first.
func (o Odometer) MetresOn(day Date) (metres int64, known bool) {
	standing := o.Standing()
	i, found := slices.BinarySearchFunc(standing, day, func(s Standing, d Date) int { return s.ReadOn.Compare(d) })
	for found && i+1 < len(standing) && standing[i+1].ReadOn == day {
		i++ // the last of that day
	}
	switch {
	case found:
		return standing[i].Metres, true
	case i == 0:
		return 0, false
	case i == len(standing):
		return standing[i-1].Metres, true
	}
	before, after := standing[i-1], standing[i]
	whole := daysBetween(before.ReadOn, after.ReadOn)
	return before.Metres + (after.Metres-before.Metres)*int64(daysBetween(before.ReadOn, day))/int64(max(whole, 1)), true
}

// Lasted is how long pieces of one grade and supplier lasted that gave out.
type Lasted struct {
	Grade    string
	Supplier string
	Gave     int   // how many times
	On       int   // times that they are still on a car
	Months   int   // the middle of those that gave out
	Each     []int // months, the shortest first
	Metres   int64
	Known    bool // Metres is
}

// LastedBy sums up by grade and supplier how long pieces lasted, the longest first.
func LastedBy(rows []FittedRow, today Date) []Lasted {
	type key struct{ grade, supplier string }
	groups := map[key][]FittedRow{}
	var order []key
	for _, r := range rows {
		k := key{r.Grade, r.Supplier}
		if groups[k] == nil {
			order = append(order, k)
		}
		groups[k] = append(groups[k], r)
	}
	var all []Lasted
	for _, k := range order {
		l := Lasted{Grade: k.grade, Supplier: k.supplier}
		var months []int
		var metres []int64
		for _, r := range groups[k] {
			if r.EndedOn == nil {
				l.On++
			}
			if r.Gave() {
				l.Gave++
				months = append(months, r.Months(today))
				if m, known := r.Ran(); known {
					metres = append(metres, m)
				}
			}
		}
		l.Months, _ = middle(months)
		l.Each = months
		l.Metres, l.Known = middle(metres)
		all = append(all, l)
	}
	slices.SortStableFunc(all, func(a, b Lasted) int {
		return cmp.Or(cmp.Compare(min(b.Gave, 1), min(a.Gave, 1)), cmp.Compare(b.Months, a.Months))
	})
	return all
}

// middle is the one in the middle of a list, of two the smaller; false of an empty one.
func middle[T cmp.Ordered](list []T) (T, bool) {
	var none T
	if len(list) == 0 {
		return none, false
	}
	slices.Sort(list)
	return list[(len(list)-1)/2], true
}
