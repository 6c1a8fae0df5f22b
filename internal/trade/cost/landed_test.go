package cost

import (
	"math/rand/v2"
	"slices"
	"testing"

	"axlestand/internal/trade/interval"
)

func lines(minor ...int64) []Line {
	var l []Line
	for _, m := range minor {
		l = append(l, Line{Goods: eur(m)})
	}
	return l
}

func totals(l Landed) (goods, overhead, total []int64) {
	for _, line := range l.Lines {
		goods, overhead, total = append(goods, line.Goods.Minor), append(overhead, line.Overhead.Minor), append(total, line.Total.Minor)
	}
	return goods, overhead, total
}

// Computed: goods 120.00, 45.50 and 30.00, shipping 18.00, duty 4.5 %, value added tax 21 %.
func TestLand(t *testing.T) {
	t.Parallel()
	got, err := Land(Order{Currency: "EUR", Lines: lines(12_000, 4550, 3000), Shipping: eur(1800), Duty: 45_000, VAT: 210_000})
	if err != nil {
		t.Fatal(err)
	}
	for name, pair := range map[string][2]Money{
		"goods": {got.Goods, eur(19_550)}, "customs value": {got.CustomsValue, eur(21_350)}, "duty": {got.Duty, eur(961)}, "VAT": {got.VAT, eur(4685)},
		"total": {got.Total, eur(26_996)}, "overhead": {got.Overhead, eur(7446)}, "shipping": {got.Shipping, eur(1800)}, "handling": {got.Handling, eur(0)},
	} {
		if pair[0] != pair[1] {
			t.Errorf("%s: %v, want %v", name, pair[0], pair[1])
		}
	}
	_, overhead, total := totals(got)
	if !slices.Equal(overhead, []int64{4570, 1733, 1143}) || !slices.Equal(total, []int64{16_570, 6283, 4143}) {
		t.Errorf("overhead %v, lines %v", overhead, total)
	}
}

func TestLand_by_weight_with_handling(t *testing.T) {
	t.Parallel()
	o := Order{Currency: "EUR", Lines: []Line{{eur(100), 3000}, {Money{}, 1000}}, Shipping: eur(1000), Handling: eur(200), By: ByWeight}
	got, err := Land(o)
	_, overhead, total := totals(got)
	if err != nil || got.Total != eur(1300) || got.Handling != eur(200) || !slices.Equal(overhead, []int64{900, 300}) || !slices.Equal(total, []int64{1000, 300}) {
		t.Errorf("%+v, %v", got, err)
	}
}

// What was paid in the end counts: a discount lowers the lines.
func TestLandPaid(t *testing.T) {
	t.Parallel()
	for paid, want := range map[int64][]int64{1100: {367, 733}, 900: {300, 600}, 1000: {333, 667}, 0: {0, 0}} {
		got, err := LandPaid(Order{Currency: "EUR", Lines: lines(333, 667)}, eur(paid))
		_, _, total := totals(got)
		if sum := total[0] + total[1]; err != nil || sum != paid || got.Overhead != eur(paid-1000) {
			t.Errorf("paid %d: %v, %v", paid, total, err)
		}
		if diff := total[0] - want[0]; diff > 1 || diff < -1 {
			t.Errorf("paid %d: %v, want about %v", paid, total, want)
		}
	}
	if field(second(LandPaid(Order{Currency: "EUR", Lines: lines(1)}, eur(-1)))) != "paid" || field(second(LandPaid(Order{}, eur(1)))) != "currency" {
		t.Error("less than nothing paid, or no currency, passes")
	}
}

func TestLand_refuses(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		want string
		o    Order
	}{
		{"currency", Order{Lines: lines(1)}},
		{"currency", Order{Currency: "EUR", Lines: []Line{{Goods: Money{1, "CHF"}}}}},
		{"lines.1", Order{Currency: "EUR", Lines: lines(1, -1)}},
		{"lines.0", Order{Currency: "EUR", Lines: []Line{{eur(1), -1}}}},
		{"lines", Order{Currency: "EUR"}},
		{"lines", Order{Currency: "EUR", Lines: lines(0), Shipping: eur(5)}},
		{"lines", Order{Currency: "EUR", Lines: lines(5), By: ByWeight}},
		{"shipping", Order{Currency: "EUR", Lines: lines(1), Shipping: eur(-1)}},
		{"handling", Order{Currency: "EUR", Lines: lines(1), Handling: eur(-1)}},
		{"duty", Order{Currency: "EUR", Lines: lines(1), Duty: -1}},
		{"vat", Order{Currency: "EUR", Lines: lines(1), VAT: maxRate + 1}},
		{"by", Order{Currency: "EUR", Lines: lines(1), By: "colour"}},
		{"amount", Order{Currency: "EUR", Lines: lines(maxMinor, 1)}},
		{"lines.0", Order{Currency: "EUR", Lines: lines(maxMinor + 1)}},
	} {
		if _, err := Land(c.o); field(err) != c.want {
			t.Errorf("%+v: %v, want %s", c.o, err, c.want)
		}
	}
}

// The lines add up to the total, and the total to its parts, whatever the order.
func TestLand_adds_up(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(26, 996))
	for range 10_000 {
		o := Order{
			Currency: "EUR", Shipping: eur(r.Int64N(10_000)), Handling: eur(r.Int64N(2000)),
			Duty: Millionths(r.Int64N(300_000)), VAT: Millionths(r.Int64N(270_000)),
		}
		for range 1 + r.IntN(15) {
			o.Lines = append(o.Lines, Line{eur(1 + r.Int64N(100_000)), 1 + r.Int64N(50_000)})
		}
		if r.IntN(2) == 0 {
			o.By = ByWeight
		}
		l, err := Land(o)
		sum := int64(0)
		for i, line := range l.Lines {
			sum += line.Total.Minor
			if line.Goods != o.Lines[i].Goods || line.Goods.Minor+line.Overhead.Minor != line.Total.Minor {
				t.Fatalf("%+v: line %+v", o, line)
			}
		}
		parts := l.Goods.Minor + l.Shipping.Minor + l.Duty.Minor + l.VAT.Minor + l.Handling.Minor
		if err != nil || sum != l.Total.Minor || parts != sum || l.Overhead.Minor != sum-l.Goods.Minor {
			t.Fatalf("%+v: lines %d, total %d, parts %d, %v", o, sum, l.Total.Minor, parts, err)
		}
	}
}

// Withdrawal 14 days: Directive 2011/83/EU, article 9; two years, used ones at least one by national law, reversed burden of proof one year:
// Directive (EU) 2019/771, articles 10 and 11. All from memory.
func TestReturnRights(t *testing.T) {
	t.Parallel()
	bought, received := interval.NewDate(2024, 2, 26), interval.NewDate(2024, 2, 29)
	for _, c := range []struct {
		name                           string
		p                              Purchase
		withdrawal, conformity, burden string
	}{
		{"new, by internet", Purchase{Trader: true, Distance: true, Bought: bought, Received: received}, "2024-03-14", "2026-02-28", "2025-02-28"},
		{"new, over the counter", Purchase{Trader: true, Bought: bought, Received: received}, "", "2026-02-28", "2025-02-28"},
		{"used", Purchase{Trader: true, Used: true, Bought: bought, Received: received}, "", "2025-02-28", "2025-02-28"},
		{"used, national law gives more", Purchase{Trader: true, Used: true, UsedMonths: 18, Bought: bought, Received: received}, "", "2025-08-29", "2025-02-28"},
		{"private", Purchase{Distance: true, Bought: bought, Received: received}, "", "", ""},
	} {
		got, err := ReturnRights(c.p)
		if err != nil || got.Withdrawal.String() != c.withdrawal || got.Conformity.String() != c.conformity || got.ReversedBurden.String() != c.burden || got.Sentence == "" {
			t.Errorf("%s: %+v, %v", c.name, got, err)
		}
	}
	for want, p := range map[string]Purchase{
		"received":    {Trader: true, Bought: received, Received: bought},
		"used_months": {Trader: true, Used: true, UsedMonths: 11, Bought: bought, Received: received},
	} {
		if _, err := ReturnRights(p); field(err) != want {
			t.Errorf("%s: %v", want, err)
		}
	}
	if _, err := ReturnRights(Purchase{Trader: true}); field(err) != "received" {
		t.Errorf("no day of receipt: %v", err)
	}
}

// A warranty runs from the purchase or from the fitting, which is kept with it: common practice, no source.
func TestWarranty(t *testing.T) {
	t.Parallel()
	bought := interval.NewDate(2026, 1, 31)
	fitted := interval.Reading{On: interval.NewDate(2026, 8, 31), Metres: 120_000_000}
	both := Warranty{Months: 6, Metres: 20_000_000, Basis: FromFitting}
	end, err := both.End(bought, fitted)
	if err != nil || end.On != interval.NewDate(2027, 2, 28) || end.Metres != 140_000_000 || end.Sentence != "" {
		t.Errorf("%+v, %v", end, err)
	}
	for _, c := range []struct {
		today  interval.Date
		metres int64
		over   bool
	}{{end.On, end.Metres, false}, {end.On.AddDays(1), 0, true}, {bought, end.Metres + 1, true}} {
		if end.Over(c.today, c.metres) != c.over {
			t.Errorf("%s at %d: over %v", c.today, c.metres, !c.over)
		}
	}
	months := Warranty{Months: 1, Basis: FromPurchase, Professional: true}
	if end, err := months.End(bought, interval.Reading{}); err != nil || end.On != interval.NewDate(2026, 2, 28) || end.Metres != 0 || end.Sentence == "" || end.Over(bought, 1<<40) {
		t.Errorf("%+v, %v", end, err)
	}
	for _, c := range []struct {
		want string
		w    Warranty
	}{
		{"warranty", Warranty{Basis: FromPurchase}},
		{"warranty", Warranty{Months: -1, Metres: 1, Basis: FromPurchase}},
		{"basis", Warranty{Months: 1}},
		{"fitted", Warranty{Months: 1, Basis: FromFitting}},
		{"fitted", Warranty{Metres: 1, Basis: FromPurchase}},
	} {
		if _, err := c.w.End(bought, interval.Reading{}); field(err) != c.want {
			t.Errorf("%+v: %v", c.w, err)
		}
	}
	if _, err := months.End(interval.Date{}, fitted); field(err) != "bought" {
		t.Errorf("no day of purchase: %v", err)
	}
}

// Computed: 900 + 120 + 180 + 50 = 1250; used 640, sold 780, scrap 210; a part estimated at 85.
func TestDonor(t *testing.T) {
	t.Parallel()
	d := Donor{
		Currency: "EUR", Price: eur(90_000), Transport: eur(12_000), StoragePerDay: eur(200), StorageDays: 90, Disposal: eur(5000),
		Used: eur(64_000), Sold: eur(78_000), Scrap: eur(21_000),
	}
	r, err := d.Reckon()
	if err != nil || r.Cost != eur(125_000) || r.NetOutlay != eur(26_000) || r.Benefit != eur(38_000) || r.Realisable != eur(163_000) {
		t.Errorf("%+v, %v", r, err)
	}
	if f, err := r.Factor(); err != nil || f < 766_850 || f > 766_949 {
		t.Errorf("factor %d, %v, want 0.7669", f, err)
	}
	if b, err := r.Basis(eur(8500)); err != nil || b != eur(6518) {
		t.Errorf("basis %v, %v", b, err)
	}
	d.Deposits, d.Paperwork = eur(30_000), eur(1000)
	if r, err := d.Reckon(); err != nil || r.NetOutlay != eur(-3000) || r.Benefit != eur(67_000) || r.Realisable != eur(193_000) {
		t.Errorf("with deposits it has paid for itself: %+v, %v", r, err)
	}
	for want, d := range map[string]Donor{
		"currency":     {},
		"price":        {Currency: "EUR", Price: eur(-1)},
		"storage_days": {Currency: "EUR", StorageDays: -1},
		"amount":       {Currency: "EUR", StorageDays: 1000, StoragePerDay: eur(maxMinor)},
	} {
		if _, err := d.Reckon(); field(err) != want {
			t.Errorf("%s: %v", want, err)
		}
	}
	nothing := DonorResult{Cost: eur(5)}
	if field(second(nothing.Factor())) != "realisable" || field(second(nothing.Basis(eur(1)))) != "realisable" || field(second(r.Basis(eur(-1)))) != "estimate" {
		t.Error("a basis without an estimate passes")
	}
}

// The bases of all parts, shared out, are what the donor cost.
func TestDonor_bases_add_up_to_its_cost(t *testing.T) {
	t.Parallel()
	r, _ := Donor{Currency: "EUR", Price: eur(125_000), Used: eur(64_000), Sold: eur(78_000), Scrap: eur(21_000)}.Reckon()
	estimates := []int64{8500, 55_500, 78_000, 21_000}
	bases, err := Allocate(r.Cost.Minor, estimates)
	sum := int64(0)
	for i, b := range bases {
		alone, _ := r.Basis(eur(estimates[i]))
		if d := alone.Minor - b; d < -1 || d > 1 {
			t.Errorf("estimate %d: %d shared, %d alone", estimates[i], b, alone.Minor)
		}
		sum += b
	}
	if err != nil || sum != r.Cost.Minor {
		t.Errorf("%v adds up to %d, %v", bases, sum, err)
	}
}

func TestScrap_and_space(t *testing.T) {
	t.Parallel()
	if got, err := Scrap(1_050_000, eur(20)); err != nil || got != eur(21_000) {
		t.Errorf("1050 kg at 0.20: %v, %v", got, err)
	}
	if field(second(Scrap(-1, eur(1)))) != "grams" || field(second(Scrap(1, eur(-1)))) != "price" || field(second(Scrap(maxMinor, eur(maxMinor)))) != "amount" {
		t.Error("less than nothing, or too much, passes")
	}
	arrived := interval.NewDate(2026, 3, 1)
	if n, err := SpaceDays(arrived, interval.NewDate(2026, 3, 31)); err != nil || n != 31 {
		t.Errorf("the whole of March: %d, %v", n, err)
	}
	if field(second(SpaceDays(arrived, arrived.AddDays(-1)))) != "today" || field(second(SpaceDays(interval.Date{}, arrived))) != "today" {
		t.Error("a shell that has not arrived passes")
	}
}

// What is spent, committed and planned stays apart; sales are taken off.
func TestSum(t *testing.T) {
	t.Parallel()
	got, err := Sum("EUR", []Entry{
		{Bought, Spent, eur(100_000)},
		{Parts, Spent, eur(5000)},
		{Parts, Spent, eur(2500)},
		{Consumables, Spent, eur(300)},
		{Vendor, Committed, eur(4000)},
		{Parts, Planned, eur(900)},
		{Sale, Spent, eur(1800)},
		{Sale, Planned, eur(1000)},
	})
	if err != nil || got.Spent != eur(106_000) || got.Committed != eur(4000) || got.Planned != eur(-100) || got.ByKind[Parts] != eur(7500) || got.ByKind[Sale] != eur(1800) || len(got.ByKind) != 4 {
		t.Errorf("%+v, %v", got, err)
	}
	for want, e := range map[string]Entry{"kind": {"x", Spent, eur(1)}, "standing": {Parts, "x", eur(1)}, "amount": {Parts, Spent, eur(-1)}, "currency": {Parts, Spent, Money{1, "CHF"}}} {
		if _, err := Sum("EUR", []Entry{e}); field(err) != want {
			t.Errorf("%s: %v", want, err)
		}
	}
	if _, err := Sum("EUR", []Entry{{Parts, Spent, eur(maxMinor)}, {Parts, Spent, eur(1)}}); field(err) != "amount" {
		t.Errorf("too much: %v", err)
	}
}
