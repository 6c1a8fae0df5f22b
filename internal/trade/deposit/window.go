package deposit

import (
	"slices"

	"axlestand/internal/trade/input"
	"axlestand/internal/trade/interval"
)

// Count is what a window counts.
type Count string

// What is counted.
const (
	CalendarDays Count = "days"
	BusinessDays Count = "business days"
	WholeMonths  Count = "months"
)

// Window is a length of time as sellers print it.
type Window struct {
	N     int
	Count Count
}

// longest is ten years in each way of counting.
var longest = map[Count]int{CalendarDays: 3653, BusinessDays: 2610, WholeMonths: 120}

func (w Window) check(field string) error {
	most, known := longest[w.Count]
	switch {
	case !known:
		return input.Wrong(field, "Count days, business days or months.")
	case w.N < 0 || w.N > most:
		return input.Wrong(field, "Give a window of at most ten years.")
	}
	return nil
}

// From is the last day of the window that begins on a day: that day + n. Holidays are no business days, nor are Saturdays and Sundays. A window
// that is none is refused for "window", no day for "from".
func (w Window) From(day interval.Date, holidays []interval.Date) (interval.Date, error) {
	if err := w.check("window"); err != nil {
		return interval.Date{}, err
	}
	if day.IsZero() {
		return interval.Date{}, input.Wrong("from", "Give the day from which the window runs.")
	}
	switch w.Count {
	case WholeMonths:
		return day.AddMonths(w.N), nil
	case CalendarDays:
		return day.AddDays(w.N), nil
	}
	for left := w.N; left > 0; {
		day = day.AddDays(1)
		if !day.Weekend() && !slices.Contains(holidays, day) {
			left--
		}
	}
	return day, nil
}

// Basis is the day from which a seller counts.
type Basis string

// The bases.
const (
	FromPurchase Basis = "purchase"
	FromShipping Basis = "ship"
	FromDelivery Basis = "delivery"
	FromInvoice  Basis = "invoice"
)

// Dates are the days of an order, as far as they have come.
type Dates struct {
	Purchased, Shipped, Delivered, Invoiced interval.Date
}

// of is the day of a basis with the name of its field.
func (d Dates) of(b Basis) (day interval.Date, field string) {
	switch b {
	case FromPurchase:
		return d.Purchased, "purchased"
	case FromShipping:
		return d.Shipped, "shipped"
	case FromDelivery:
		return d.Delivered, "delivered"
	case FromInvoice:
		return d.Invoiced, "invoiced"
	}
	return interval.Date{}, "basis"
}

// LastDay is the last day on which the old unit can be posted. Without the day that the seller counts from it is refused for that day: "purchased",
// "shipped", "delivered" or "invoiced"; a basis that there is not for "basis", a window that is none for "window".
func (t Terms) LastDay(dates Dates, holidays []interval.Date) (interval.Date, error) {
	day, field := dates.of(t.Basis)
	switch {
	case field == "basis":
		return interval.Date{}, input.Wrong(field, "A seller counts from the purchase, the shipping, the delivery or the invoice.")
	case day.IsZero():
		return interval.Date{}, input.Wrong(field, "The seller counts from that day: note it as soon as it is known.")
	}
	return t.Window.From(day, holidays)
}

// Level is how near the last day is.
type Level string

// The levels.
const (
	InTime    Level = ""
	TenDays   Level = "10 days or less"
	ThreeDays Level = "3 days or less"
	Today     Level = "today is the last day"
	TooLate   Level = "the window has closed"
)

// Alarm is what to be told about a unit that has not been posted.
type Alarm struct {
	DaysLeft int // until the last day; less than zero when it is over
	Level    Level
	// FreedTooLate says that the job that frees the old unit is planned to end after the last day.
	FreedTooLate bool
}

// AlarmOf says how near a unit's last day is, and whether the job that frees it ends too late. A zero freed is not planned yet.
func AlarmOf(last, today, freed interval.Date) Alarm {
	a := Alarm{DaysLeft: today.Days(last), FreedTooLate: !freed.IsZero() && last.Before(freed)}
	switch {
	case a.DaysLeft < 0:
		a.Level = TooLate
	case a.DaysLeft == 0:
		a.Level = Today
	case a.DaysLeft <= 3:
		a.Level = ThreeDays
	case a.DaysLeft <= 10:
		a.Level = TenDays
	}
	return a
}
