package garage

import (
	"cmp"
	"slices"
	"time"

	"axlestand/internal/trade/interval"
)

// LotID names a lot.
type LotID int64

// StockConditions lists what is known of pieces in a bin; nothing is said of those that lie there as they were bought.
var StockConditions = []string{"", "new", "good", "worn", "bad"}

// Bad is the condition of pieces that no job gets.
const Bad = "bad"

// Lot is what sets some pieces of a part apart from others of it: their condition, the car that they were held against, where
// they come from. It is never changed: pieces of which something else is found out are moved into another one.
type Lot struct {
	ID           LotID
	PartID       PartID
	Condition    string
	Grade        string // empty: that of the part
	CheckedOn    *Date  // against the car CheckedCarID
	CheckedCarID *CarID
	OpenedOn     *Date
	KeepsMonths  *int // from then on
	DonorPartID  *DonorPartID
	Note         string
}

// Plain says that there is nothing to tell its pieces by.
func (l Lot) Plain() bool {
	return l.Condition == "" && l.Grade == "" && l.CheckedOn == nil && l.OpenedOn == nil && l.KeepsMonths == nil &&
		l.DonorPartID == nil && l.Note == ""
}

// Validate says which fields do not hold.
func (l Lot) Validate() error {
	var e FieldErrors
	oneOf(&e, "condition", l.Condition, StockConditions)
	oneOf(&e, "grade", l.Grade, Grades)
	if (l.CheckedOn == nil) != (l.CheckedCarID == nil) {
		e.Add("checked_car", "Give both: the car and the day.")
	}
	if l.KeepsMonths != nil && (*l.KeepsMonths < 1 || *l.KeepsMonths > 600) {
		e.Add("keeps", "From 1 to 600 months.")
	}
	if l.KeepsMonths != nil && l.OpenedOn == nil {
		e.Add("opened", "Since when is it open?")
	}
	e.line("note", l.Note)
	return e.Err()
}

// GoodUntil is the last day on which what was opened is good; false when nobody said how long it keeps.
func (l Lot) GoodUntil() (Date, bool) {
	if l.OpenedOn == nil || l.KeepsMonths == nil {
		return Date{}, false
	}
	return Date(interval.Date(*l.OpenedOn).AddMonths(*l.KeepsMonths)).AddDays(-1), true
}

// Lot is what is known of pieces that come off the donor.
func (d DonorPart) Lot() Lot {
	l := Lot{PartID: d.PartID, Grade: "used", Condition: d.Condition, DonorPartID: &d.ID}
	if l.Condition == "unknown" {
		l.Condition = ""
	}
	return l
}

// Accepts says whether a need takes pieces of a grade: any, or one that is known and no less than the least.
func (n Need) Accepts(grade string) bool {
	return n.LeastGrade == "" || grade != "" && slices.Index(Grades, grade) <= slices.Index(Grades, n.LeastGrade)
}

// Meets says whether pieces of a grade and condition can go into a need.
func (n Need) Meets(grade, condition string) bool { return condition != Bad && n.Accepts(grade) }

// LotRow is a lot with the names of what it refers to.
type LotRow struct {
	Lot
	CheckedCar string
	Origin     string // the donor that it came off
}

// Promised is pieces of a part that the plan, or the owner, gives to a job.
type Promised struct {
	PartID   PartID
	JobID    JobID
	JobTitle string
	Quantity int
	Kept     bool // the owner keeps them for it
}

// Kept is a need for which the owner keeps pieces that are on hand.
type Kept struct {
	Need
	JobID    JobID
	JobTitle string
}

// KeepFor takes the pieces of one part that are kept for needs out of what is on hand: those of the strictest need first, and
// for each the least that will do. short are the needs that not all their pieces are there for.
func KeepFor(stock []Stock, kept []Kept) (left []Stock, short []Kept) {
	left = slices.Clone(stock)
	kept = slices.Clone(kept)
	slices.SortStableFunc(kept, func(a, b Kept) int {
		return cmp.Or(cmp.Compare(strictness(a.LeastGrade), strictness(b.LeastGrade)), a.pinned().Compare(b.pinned()), cmp.Compare(a.ID, b.ID))
	})
	for _, k := range kept {
		if TakeFor(left, k.Need, k.Quantity) < k.Quantity {
			short = append(short, k)
		}
	}
	return left, short
}

func (k Kept) pinned() time.Time {
	if k.PinnedAt == nil {
		return time.Time{}
	}
	return *k.PinnedAt
}

// strictness is 0 for the need that takes the least grades.
func strictness(least string) int {
	if least == "" {
		return len(Grades)
	}
	return slices.Index(Grades, least)
}

// TakeFor takes up to a number of pieces for a need out of what is on hand, of the least grade that will do, the fullest bin
// first. What is taken is less in stock itself; how much that was is the answer.
func TakeFor(stock []Stock, need Need, quantity int) (taken int) {
	for _, i := range orderFor(stock, need) {
		n := min(stock[i].Quantity, quantity-taken)
		stock[i].Quantity -= n
		taken += n
	}
	return taken
}

// orderFor is the order in which the rows of stock that meet a need are emptied for it.
func orderFor(stock []Stock, need Need) []int {
	var order []int
	for i, s := range stock {
		if s.PartID == need.PartID && s.Quantity > 0 && need.Meets(s.Grade, s.Condition) {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(strictness(stock[b].Grade), strictness(stock[a].Grade)), cmp.Compare(stock[b].Quantity, stock[a].Quantity),
			cmp.Compare(stock[a].BinID, stock[b].BinID))
	})
	return order
}

// JobKit is the box in which a job's parts are gathered.
type JobKit struct {
	JobID JobID
	BinID BinID
}
