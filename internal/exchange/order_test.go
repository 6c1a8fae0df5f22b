package exchange_test

import (
	"errors"
	"strings"
	"testing"

	"axlestand/internal/exchange"
	"axlestand/internal/garage"
)

func orderParts() []garage.Part {
	return []garage.Part{
		{ID: 1, Name: "Rear trailing arm", Number: "TR-4410-L", Side: "left", Unit: "piece", OtherNumbers: "TR-4408-L > TR-4410-L"},
		{ID: 2, Name: "Rear trailing arm", Number: "TR-4410-R", Side: "right", Unit: "piece"},
		{ID: 3, Name: "Gearbox oil", Unit: "ml"},
		{ID: 4, Name: "Rear disc, 288 mm", Number: "RD-288", Unit: "piece"},
	}
}

func readOrder(t *testing.T, text string) []exchange.OrderLine {
	t.Helper()
	lines, err := exchange.ReadOrder([]byte(text), "EUR")
	if err != nil {
		t.Fatalf("%q: %v", text, err)
	}
	return exchange.OrderParts(lines, orderParts())
}

func TestReadOrder_text(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]struct {
		part     garage.PartID
		quantity int
		price    int64
		name     string
	}{
		"2 x TR-4410-L Rear trailing arm 45.50":        {1, 2, 4550, ""},
		"2x tr 4410 l  45,50 EUR":                      {1, 2, 4550, ""},
		"2 x TR 4410 L Rear trailing arm 45.50":        {1, 2, 4550, ""},
		"TR4408L":                                      {1, 1, 0, ""},
		"3 pcs Rear disc, 288 mm - 41.50":              {4, 3, 4150, ""},
		"1 Rear disc, 288 mm":                          {4, 1, 0, ""},
		"4 × Rear disc, 288 mm at 1'041.50 EUR":        {4, 4, 104_150, ""},
		"5000 Gearbox oil 17.50":                       {3, 5000, 1750, ""},
		"2 x RD-288 90 EUR each":                       {4, 2, 9000, ""},
		"Washer 14 mm":                                 {0, 1, 0, "Washer 14 mm"},
		"10 Washer 14 mm 0.60":                         {0, 10, 60, "Washer 14 mm"},
		"2 x Rear trailing arm, left · TR-4410-L 9.00": {1, 2, 900, ""},
	} {
		l := readOrder(t, text)[0]
		if l.Wrong != "" || l.Part.ID != want.part || l.Quantity != want.quantity || l.Price != want.price || want.name != "" && l.Name != want.name {
			t.Errorf("%q: %+v", text, l)
		}
	}
	if l := readOrder(t, "2 x Rear trailing arm 45.50")[0]; !strings.Contains(l.Wrong, "several parts fit") {
		t.Errorf("left or right: %+v", l)
	}
	if l := readOrder(t, "0 x TR-4410-L 45.50")[0]; !strings.Contains(l.Wrong, "quantity") {
		t.Errorf("none of it: %+v", l)
	}
	all := readOrder(t, "\n\n2 x TR-4410-L 45.50\r\n\r\nRD-288 41.50\n")
	if len(all) != 2 || all[0].Line != 3 || all[1].Line != 5 || all[1].Part.ID != 4 {
		t.Errorf("%+v", all)
	}
}

func TestReadOrder_file(t *testing.T) {
	t.Parallel()
	all := readOrder(t, "Part number;Description;Qty;Price;Core deposit\nTR-4410-L;Arm;2;45,50;12,00\nXX-1;Bracket;;3,20;\n;Gearbox oil;2500;17,50;\n'=SUM(A1);Odd;1;1,00;\nTR-4410-R;Arm;two;45,50;\nRD-288;Disc;1;dear;\n;;;;\n")
	want := []struct {
		part           garage.PartID
		quantity       int
		price, deposit int64
		wrong          string
	}{
		{1, 2, 4550, 1200, ""}, {0, 1, 320, 0, ""}, {3, 2500, 1750, 0, ""}, {0, 1, 100, 0, ""}, {0, 1, 0, 0, "quantity"}, {0, 1, 0, 0, "price"},
	}
	if len(all) != len(want) {
		t.Fatalf("%+v", all)
	}
	for i, w := range want {
		l := all[i]
		if l.Line != i+2 || (l.Wrong == "") != (w.wrong == "") || !strings.Contains(l.Wrong, w.wrong) || w.wrong == "" && (l.Part.ID != w.part || l.Quantity != w.quantity || l.Price != w.price || l.Deposit != w.deposit) {
			t.Errorf("line %d: %+v, want %+v", i+2, l, w)
		}
	}
	if l := all[3]; l.Part.Number != "=SUM(A1)" {
		t.Errorf("what a spreadsheet would run comes back as it was: %+v", l)
	}
	totals := readOrder(t, "name,qty,total\nBush,4,10.00\nBush,3,10.00\n")
	if totals[0].Price != 250 || !strings.Contains(totals[1].Wrong, "no whole price") {
		t.Errorf("totals: %+v", totals)
	}
	if broken := readOrder(t, "name,qty\n\"Bush,4\n"); len(broken) != 1 || broken[0].Wrong == "" {
		t.Errorf("an open quotation mark: %+v", broken)
	}
}

func TestReadOrder_refuses(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]error{"": exchange.ErrNoLines, " \n ": exchange.ErrNoLines, "a\x00b": exchange.ErrNotText, "\xff\xfe": exchange.ErrNotText, "name,qty\n": exchange.ErrNoLines} {
		if _, err := exchange.ReadOrder([]byte(text), "EUR"); !errors.Is(err, want) {
			t.Errorf("%q: %v", text, err)
		}
	}
	if _, err := exchange.ReadOrder([]byte(strings.Repeat("2 x Bush 1.00\n", 1001)), "EUR"); err == nil {
		t.Error("1,001 lines pass")
	}
}
