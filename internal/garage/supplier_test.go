package garage_test

import (
	"errors"
	"strings"
	"testing"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/internal/trade/deposit"
)

func TestSupplier_Validate(t *testing.T) {
	t.Parallel()
	if err := garagetest.Supplier().Validate(); err != nil {
		t.Error(err)
	}
	for field, change := range map[string]func(*garage.Supplier){
		"name":        func(s *garage.Supplier) { s.Name = " " },
		"lead":        func(s *garage.Supplier) { s.LeadHigh = new(1) },
		"currency":    func(s *garage.Supplier) { s.Currency = "euro" },
		"shipping":    func(s *garage.Supplier) { s.Shipping = new(int64(-1)) },
		"return_days": func(s *garage.Supplier) { s.ReturnDays = new(-1) },
		"core":        func(s *garage.Supplier) { s.CoreN = new(9999) },
		"core_count":  func(s *garage.Supplier) { s.CoreCount = "moons" },
		"core_basis":  func(s *garage.Supplier) { s.CoreBasis = "whim" },
		"notes":       func(s *garage.Supplier) { s.Notes = strings.Repeat("x", 10_001) },
	} {
		invalid, ok := errors.AsType[*garage.InvalidError](garagetest.Supplier(change).Validate())
		if !ok || len(invalid.Fields) != 1 || invalid.Fields[field] == "" {
			t.Errorf("%s: %v", field, invalid)
		}
	}
}

// 30 days is the shorter of the windows usually met: common practice, no source.
func TestSupplier_CoreWindow(t *testing.T) {
	t.Parallel()
	silent := garagetest.Supplier(func(s *garage.Supplier) { s.CoreN = nil })
	if w := silent.CoreWindow(); w != (deposit.Window{N: 30, Count: deposit.CalendarDays}) {
		t.Errorf("nobody said: %v", w)
	}
	slow := garagetest.Supplier(func(s *garage.Supplier) { s.CoreN, s.CoreCount = new(6), deposit.WholeMonths })
	if w := slow.CoreWindow(); w != (deposit.Window{N: 6, Count: deposit.WholeMonths}) {
		t.Errorf("six months: %v", w)
	}
}
