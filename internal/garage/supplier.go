package garage

import (
	"slices"
	"time"

	"axlestand/internal/trade/deposit"
	"axlestand/internal/trade/interval"
)

// SupplierID names a supplier.
type SupplierID int64

// Supplier sells parts. The three lead times are days from an order until it is here, as the owner expects it; nil where
// nobody said.
type Supplier struct {
	ID         SupplierID
	Version    int64
	Name       string
	LeadLow    *int
	LeadLikely *int
	LeadHigh   *int
	Currency   string
	Shipping   *int64 // what it usually costs
	ReturnDays *int   // how long something can go back, counted from its arrival
	CoreN      *int   // how long the old unit of a core deposit can go back
	CoreCount  deposit.Count
	CoreBasis  deposit.Basis
	Notes      string
	DeletedAt  *time.Time
}

// Validate says which fields do not hold.
func (s Supplier) Validate() error {
	var e FieldErrors
	e.name("name", s.Name)
	e.lead(Part{LeadLow: s.LeadLow, LeadLikely: s.LeadLikely, LeadHigh: s.LeadHigh})
	if !currencyCode.MatchString(s.Currency) {
		e.Add("currency", "Three capital letters, like EUR.")
	}
	if s.Shipping != nil && *s.Shipping < 0 {
		e.Add("shipping", "Not below zero.")
	}
	e.returnDays(s.ReturnDays)
	oneOf(&e, "core_count", s.CoreCount, CoreCounts)
	oneOf(&e, "core_basis", s.CoreBasis, CoreBases)
	if s.CoreN != nil && slices.Contains(CoreCounts, s.CoreCount) {
		_, err := s.CoreWindow().From(interval.NewDate(2000, time.January, 3), nil)
		e.trade("core", err)
	}
	e.text("notes", s.Notes)
	return e.Err()
}

func (e *FieldErrors) returnDays(days *int) {
	if days != nil && (*days < 0 || *days > 3653) {
		e.Add("return_days", "From 0 to 3,653 days.")
	}
}

// CoreWindow is how long the old unit of a core deposit can go back: 30 days where nobody said, the shorter of what is usual
// (common practice, no source).
func (s Supplier) CoreWindow() deposit.Window {
	if s.CoreN == nil {
		return deposit.Window{N: 30, Count: deposit.CalendarDays}
	}
	return deposit.Window{N: *s.CoreN, Count: s.CoreCount}
}

// SupplierRow is a supplier as the list shows it.
type SupplierRow struct {
	Supplier
	Parts    int // that name it as theirs
	Expected int // arrivals still to come
}
