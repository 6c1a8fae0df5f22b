package garage_test

import (
	"slices"
	"testing"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
)

func TestPart_Label(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name, side, number string
		want               string
	}{
		{"Clutch", "", "", "Clutch"},
		{"Arm", "left", "", "Arm, left"},
		{"Arm", "left", "12", "Arm, left · 12"},
		{"Arm, Left", "left", "12", "Arm, Left · 12"},
		{"Left arm", "left", "", "Left arm"},
		{"Cleft bolt", "left", "", "Cleft bolt, left"},
		{"Arm, left", "right", "", "Arm, left, right"},
	}
	for _, tt := range tests {
		if got := (garage.Part{Name: tt.name, Side: tt.side, Number: tt.number}).Label(); got != tt.want {
			t.Errorf("%+v: got %q", tt, got)
		}
	}
}

func TestPart_Validate(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name   string
		change func(*garage.Part)
		want   []string
	}{
		{"as it is", func(*garage.Part) {}, nil},
		{"without a name", func(p *garage.Part) { p.Name = "\t" }, []string{"name"}},
		{"of an upper side", func(p *garage.Part) { p.Side = "up" }, []string{"side"}},
		{"of an unknown grade", func(p *garage.Part) { p.Grade = "best" }, []string{"grade"}},
		{"by the dozen", func(p *garage.Part) { p.Unit = "dozen" }, []string{"unit"}},
		{"that pays", func(p *garage.Part) { p.Price = -1 }, []string{"price"}},
		{"not to be ordered", func(p *garage.Part) { p.LeadLow, p.LeadLikely, p.LeadHigh = nil, nil, nil }, nil},
		{"with one of three days", func(p *garage.Part) { p.LeadLow, p.LeadHigh = nil, nil }, []string{"lead"}},
		{"that comes before it is ordered", func(p *garage.Part) { p.LeadLow = new(-1) }, []string{"lead"}},
		{"with days backwards", func(p *garage.Part) { p.LeadLow = new(6) }, []string{"lead"}},
		{"after ten years and a day", func(p *garage.Part) { p.LeadHigh = new(3651) }, []string{"lead"}},
	}
	for _, tt := range tests {
		p := garagetest.Part(tt.change)
		if got := wrongFields(p.Validate()); !slices.Equal(got, tt.want) {
			t.Errorf("%s: got %v, want %v", tt.name, got, tt.want)
		}
	}
}

func TestNormalNumber(t *testing.T) {
	t.Parallel()
	for number, want := range map[string]string{
		"": "", "QL 33-1042 B": "ql331042b", "77.041/2": "770412", "33\u00a010\u201142": "331042", "Ö-1": "ö1",
	} {
		if got := garage.NormalNumber(number); got != want {
			t.Errorf("%q: got %q, want %q", number, got, want)
		}
	}
}
