package page

import (
	"net/url"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
)

func TestPartForm_and_back(t *testing.T) {
	t.Parallel()
	for _, part := range []garage.Part{
		garagetest.Part(func(p *garage.Part) { p.ID, p.Version = 7, 3 }),
		garagetest.Part(func(p *garage.Part) { p.Currency, p.Price = "JPY", 12500 }),
		garagetest.Part(func(p *garage.Part) { p.Price, p.LeadLow, p.LeadLikely, p.LeadHigh = 0, nil, nil, nil }),
	} {
		form := NewPartForm(part)
		if got := form.Part(); len(form.Errors) > 0 || cmp.Diff(part, got) != "" {
			t.Errorf("%v; (-want +got):\n%s", form.Errors, cmp.Diff(part, got))
		}
	}
}

func TestStockText(t *testing.T) {
	t.Parallel()
	tests := []struct {
		n    int
		unit string
		want string
	}{
		{0, "piece", "0"},
		{3, "piece", "3"},
		{-3, "piece", "\u22123"},
		{1, "set", "1\u00a0set"},
		{2, "set", "2\u00a0sets"},
		{500, "ml", "500\u00a0ml"},
	}
	for _, tt := range tests {
		if got := stockText(tt.n, tt.unit); got != tt.want {
			t.Errorf("%d %s: got %q, want %q", tt.n, tt.unit, got, tt.want)
		}
	}
}

func TestPriceText(t *testing.T) {
	t.Parallel()
	for unit, want := range map[string]string{
		"piece": "12.50 EUR each", "set": "12.50 EUR a set", "ml": "12.50 EUR a litre", "g": "12.50 EUR a kilogram", "cm": "12.50 EUR for 10 m",
	} {
		got := strings.ReplaceAll(priceText(garage.Part{Price: 1250, Currency: "EUR", Unit: unit}), "\u00a0", " ")
		if got != want {
			t.Errorf("%s: got %q, want %q", unit, got, want)
		}
	}
	if got := priceText(garage.Part{Currency: "EUR", Unit: "piece"}); got != "" {
		t.Errorf("no price is shown as %q", got)
	}
}

func TestReadPartFilter(t *testing.T) {
	t.Parallel()
	tests := []struct {
		query  string
		want   string
		offset int
	}{
		{"", "", 0},
		{"q=+arm+", "arm", 0},
		{"page=3", "", 200},
		{"page=0", "", 0},
		{"page=-9223372036854775808", "", 0},
		{"page=9223372036854775807", "", 99_999_900},
		{"q=" + strings.Repeat("x", 300), strings.Repeat("x", 200), 0},
	}
	for _, tt := range tests {
		values, err := url.ParseQuery(tt.query)
		if err != nil {
			t.Fatal(err)
		}
		if got := ReadPartFilter(values); got.Query != tt.want || got.Offset != tt.offset || got.Limit != 100 {
			t.Errorf("%s: got %+v", tt.query, got)
		}
	}
}

func TestStockForm(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name string
		form StockForm
		want string // wrong fields
		n    int    // quantity of the movement
	}{
		{"put in", StockForm{Action: StockPut, Quantity: "2", Kind: "bought"}, "", 2},
		{"put in as used up", StockForm{Action: StockPut, Quantity: "2", Kind: "used"}, "kind", 2},
		{"take", StockForm{Action: StockTake, Quantity: "2", Kind: "used", Bin: "4"}, "", -2},
		{"take less than nothing", StockForm{Action: StockTake, Quantity: "-2", Kind: "used", Bin: "4"}, "quantity", 2},
		{"take as bought", StockForm{Action: StockTake, Quantity: "2", Kind: "bought", Bin: "4"}, "kind", -2},
		{"take for a job that is none", StockForm{Action: StockTake, Quantity: "2", Kind: "used", Bin: "4", Job: "x"}, "job", -2},
		{"move out of nowhere", StockForm{Action: StockMove, Quantity: "2"}, "from", 2},
		{"count", StockForm{Action: StockCount, Quantity: "0"}, "", 0},
		{"count in words", StockForm{Action: StockCount, Quantity: "none"}, "quantity", 0},
	}
	for _, tt := range tests {
		m := tt.form.Movement()
		if got := wrong(tt.form.Errors); got != tt.want || m.Quantity != tt.n {
			t.Errorf("%s: wrong at %q, quantity %d; want %q, %d", tt.name, got, m.Quantity, tt.want, tt.n)
		}
	}
}

func TestHarvestForm(t *testing.T) {
	t.Parallel()
	form := HarvestForm{Title: "Strip it", Parts: []string{"4", "2", "4"}, Low: "45", Likely: "1:30", High: "2 h"}
	plan := form.Plan("EUR")
	if len(form.Errors) > 0 || len(plan.Parts) != 2 || plan.Low != 45 || plan.Likely != 90 || plan.High != 120 {
		t.Errorf("%v, %+v", form.Errors, plan)
	}
	form = HarvestForm{Parts: []string{"x"}, Low: "2 h", Likely: "1 h", High: "3 h"}
	form.Plan("EUR")
	if got := wrong(form.Errors); got != "minutes parts title" {
		t.Errorf("wrong at %q", got)
	}
}
