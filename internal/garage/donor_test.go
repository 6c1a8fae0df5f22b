package garage_test

import (
	"testing"
	"time"

	"axlestand/internal/garage"
)

// TestDonorSheet_Account is a computed check: 900 + 120 + 180 + 50 = 1250; parts used 640, sold 780, scrap 210; net outlay 260,
// benefit 380, factor 1250/1630 = 0.7669, and a part estimated at 85 has cost 65.18.
func TestDonorSheet_Account(t *testing.T) {
	t.Parallel()
	use := func(quantity, used int, worth *int64, price int64, condition string) garage.DonorUse {
		return garage.DonorUse{
			DonorPartRow: garage.DonorPartRow{DonorPart: garage.DonorPart{Quantity: quantity, Worth: worth, Condition: condition, TakenAt: new(time.Now())}, PartUnit: "piece"},
			Used:         used, PartPrice: price,
		}
	}
	sheet := garage.DonorSheet{
		Ledger: garage.DonorLedger{
			Currency: "EUR", Price: 90000, Transport: 12000, StoragePerDay: 200, Paperwork: 5000,
			HereSince: new(garage.NewDate(2027, 1, 1)), GoneOn: new(garage.NewDate(2027, 3, 31)), ScrapKg: 700, ScrapPrice: 30,
		},
		Sales: []garage.DonorSale{{Price: 50000, Fees: 2000}, {Price: 30000}},
		Parts: []garage.DonorUse{
			use(2, 2, new(int64(20000)), 35000, "good"), // at what it costs elsewhere, not new
			use(1, 1, new(int64(30000)), 24000, "good"), // an order is cheaper than what was noted
			use(1, 0, nil, 0, "unknown"),
		},
	}
	a, err := sheet.Account(garage.NewDate(2027, 6, 1))
	if err != nil {
		t.Fatal(err)
	}
	if a.StorageDays != 90 || a.Storage != 18000 || a.Used != 64000 || a.Sold != 78000 || a.Scrap != 21000 {
		t.Errorf("%+v", a)
	}
	if a.Cost.Minor != 125000 || a.NetOutlay.Minor != 26000 || a.Benefit.Minor != 38000 || a.Estimate.Realisable.Minor != 163000 {
		t.Errorf("cost %d, outlay %d, benefit %d, realisable %d", a.Cost.Minor, a.NetOutlay.Minor, a.Benefit.Minor, a.Estimate.Realisable.Minor)
	}
	if f, err := a.Estimate.Factor(); err != nil || f < 766_850 || f > 766_949 {
		t.Errorf("factor %d, %v", f, err)
	}
	if basis := a.Basis(8500); basis != 6518 {
		t.Errorf("a part estimated at 85.00 has cost %d", basis)
	}
	// Room is counted up to today while it is here, and a bad part is worth nothing.
	sheet.Ledger.GoneOn = nil
	sheet.Parts = append(sheet.Parts, use(1, 0, new(int64(99900)), 0, "bad"))
	if a, err := sheet.Account(garage.NewDate(2027, 1, 10)); err != nil || a.StorageDays != 10 || a.Estimate.Realisable.Minor != 163000 {
		t.Errorf("%+v, %v", a, err)
	}
}

func TestLeaveBy(t *testing.T) {
	t.Parallel()
	from := garage.NewDate(2027, 3, 1)
	want := func(days int, value int64) garage.DonorWant {
		return garage.DonorWant{On: from.AddDays(days), Value: value}
	}
	tests := []struct {
		name   string
		perDay int64
		wants  []garage.DonorWant
		days   int
		wanted bool
	}{
		{"nothing is wanted", 200, nil, 0, false},
		{"what is wanted is worth the wait", 200, []garage.DonorWant{want(10, 5000)}, 10, true},
		{"it is not: twenty days cost 40.00", 200, []garage.DonorWant{want(20, 3900)}, 0, false},
		{"the last one is not", 200, []garage.DonorWant{want(40, 1000), want(10, 5000)}, 10, true},
		{"a dear one at the end pays for the wait before", 200, []garage.DonorWant{want(10, 500), want(40, 20000)}, 40, true},
		{"room costs nothing", 0, []garage.DonorWant{want(10, 500), want(40, 0)}, 40, true},
		{"nobody knows what it is worth, and room costs nothing", 0, []garage.DonorWant{want(10, 0)}, 10, true},
		{"what should be off already", 200, []garage.DonorWant{want(-5, 500)}, 0, true},
	}
	for _, tt := range tests {
		day, wanted := garage.LeaveBy(from, tt.perDay, tt.wants)
		if day != from.AddDays(tt.days) || wanted != tt.wanted {
			t.Errorf("%s: got %v, %v", tt.name, day, wanted)
		}
	}
}
