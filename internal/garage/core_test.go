package garage_test

import (
	"slices"
	"testing"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/internal/trade/deposit"
)

// Computed: the basis and n days after it, that day included; business days without holidays.
func TestCore_LastDay(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		from  garage.Date
		n     int
		count deposit.Count
		want  string
	}{
		{garage.NewDate(2026, 3, 6), 30, deposit.CalendarDays, "2026-04-05"},
		{garage.NewDate(2026, 3, 2), 30, deposit.CalendarDays, "2026-04-01"},
		{garage.NewDate(2026, 3, 2), 30, deposit.BusinessDays, "2026-04-13"},
		{garage.NewDate(2026, 1, 31), 1, deposit.WholeMonths, "2026-02-28"},
	} {
		core := garagetest.Core(func(v *garage.Core) { v.BasisOn, v.WindowN, v.WindowCount = &c.from, c.n, c.count })
		if got, ok := core.LastDay(nil); !ok || got.String() != c.want {
			t.Errorf("%v + %d %s: %v, want %s", c.from, c.n, c.count, got, c.want)
		}
	}
	if _, ok := garagetest.Core(func(v *garage.Core) { v.BasisOn = nil }).LastDay(nil); ok {
		t.Error("a last day without the day that it counts from")
	}
	// Computed: Easter 2026 is 5 April, so the Friday and the Monday beside it put 13 April off by two business days.
	easter := []garage.Date{garage.NewDate(2026, 4, 3), garage.NewDate(2026, 4, 6)}
	core := garagetest.Core(func(v *garage.Core) {
		v.BasisOn, v.WindowN, v.WindowCount = new(garage.NewDate(2026, 3, 2)), 30, deposit.BusinessDays
	})
	if got, ok := core.LastDay(easter); !ok || got.String() != "2026-04-15" {
		t.Errorf("over Easter: %v, want 2026-04-15", got)
	}
	core.RefundN, core.RefundCount = new(10), deposit.BusinessDays
	if got, ok := core.RefundDue(garage.NewDate(2026, 3, 30), easter); !ok || got.String() != "2026-04-15" {
		t.Errorf("refund over Easter: %v, want 2026-04-15", got)
	}
}

func TestCore_Validate(t *testing.T) {
	t.Parallel()
	if err := garagetest.Core().Validate(); err != nil {
		t.Error(err)
	}
	for field, change := range map[string]func(*garage.Core){
		"supplier": func(v *garage.Core) { v.Supplier = " " },
		"deposit":  func(v *garage.Core) { v.Deposit = 0 },
		"tax":      func(v *garage.Core) { v.Tax = -1 },
		"window":   func(v *garage.Core) { v.WindowN = -1 },
		"refund":   func(v *garage.Core) { v.RefundN = new(4000) },
		"basis":    func(v *garage.Core) { v.Basis = "fitting" },
	} {
		if err := garagetest.Core(change).Validate(); !slices.Contains(wrongFields(err), field) {
			t.Errorf("%s: %v", field, err)
		}
	}
}
