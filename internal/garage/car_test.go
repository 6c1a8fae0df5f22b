package garage_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"axlestand/internal/garage"
)

func TestNormalVIN(t *testing.T) {
	t.Parallel()
	for typed, want := range map[string]string{
		"":                            "",
		"0DEM44A16HA000017":           "0DEM44A16HA000017",
		" 0dem-44a1 6ha\u00a0000017 ": "0DEM44A16HA000017",
		"0DEM\u201144A16HA000017":     "0DEM44A16HA000017",
	} {
		if got := garage.NormalVIN(typed); got != want {
			t.Errorf("%q: got %q, want %q", typed, got, want)
		}
	}
}

// No I, O, Q among 17 characters: ISO 3779, from memory.
func TestVINRemark(t *testing.T) {
	t.Parallel()
	for vin, want := range map[string]string{
		"":                   "",
		"0DEM44A16HA000017":  "",
		"0DEM44A16HA00017":   "Not a 17-character VIN: it has 16.",
		"0DEM44A16HA0000177": "Not a 17-character VIN: it has 18.",
		"ODEM44A16HA000017":  "no letter I, O or Q",
		"0DEM44A16HA00.017":  "only letters and figures",
	} {
		if got := garage.VINRemark(vin); !strings.Contains(got, want) || (got == "") != (want == "") {
			t.Errorf("%q: got %q, want %q", vin, got, want)
		}
	}
}

func TestVINSuggestion(t *testing.T) {
	t.Parallel()
	for vin, want := range map[string]string{
		"0DEM44A16HA000017": "",
		"ODEM44A16HAQ0OO17": "0DEM44A16HA000017",
		"0DEM44AI6HA0000I7": "0DEM44A16HA000017",
		"OLD-IO":            "",
	} {
		got, ok := garage.VINSuggestion(vin)
		if ok != (want != "") || ok && got != want {
			t.Errorf("%q: got %q, %v; want %q", vin, got, ok, want)
		}
	}
}

func TestCheckMove(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name        string
		from, to    garage.Stands
		was, is     bool
		other, want string
	}{
		{"onto a free lift", garage.Inside, garage.OnLift, false, false, "", ""},
		{"onto a lift that is taken", garage.Inside, garage.OnLift, false, false, "Kite coupé", "No lift is free: Kite coupé."},
		{"stays on the lift, all taken", garage.OnLift, garage.OnLift, false, false, "Kite coupé", ""},
		{"immobile off the lift", garage.OnLift, garage.Inside, true, true, "", "rolled off the lift"},
		{"immobile onto the lift", garage.Inside, garage.OnLift, true, true, "", "rolled onto the lift"},
		{"immobile, pushed out", garage.Inside, garage.Outside, true, true, "Kite coupé", ""},
		{"immobile, it was mended and rolled off", garage.OnLift, garage.Inside, true, false, "", ""},
		{"made immobile once on the lift", garage.Inside, garage.OnLift, false, true, "", ""},
		{"immobile, brought on a trailer", garage.NotHere, garage.Outside, true, true, "Kite coupé", ""},
	}
	for _, tt := range tests {
		var others []string
		if tt.other != "" {
			others = []string{tt.other}
		}
		err := garage.CheckMove(garage.Car{Stands: tt.from, Immobile: tt.was}, garage.Car{Stands: tt.to, Immobile: tt.is}, 1, others)
		if (err == nil) != (tt.want == "") || err != nil && !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: got %v, want %q", tt.name, err, tt.want)
		}
	}
}

func TestCheckMove_without_a_lift(t *testing.T) {
	t.Parallel()
	err := garage.CheckMove(garage.Car{Stands: garage.Inside}, garage.Car{Stands: garage.OnLift}, 0, nil)
	if err == nil || !strings.Contains(err.Error(), "has no lift") {
		t.Errorf("got %v, want that there is no lift", err)
	}
}

func TestAccessLoop(t *testing.T) {
	t.Parallel()
	under := garage.Access{ID: 1, Name: "undertray"}
	frame := garage.Access{ID: 2, Name: "subframe", Inside: []garage.AccessID{1}}
	box := garage.Access{ID: 3, Name: "gearbox", Inside: []garage.AccessID{1, 2}}
	all := []garage.Access{under, frame, box}
	tests := []struct {
		name    string
		changed garage.Access
		want    string
	}{
		{"none", box, ""},
		{"a new one", garage.Access{Name: "bell", Inside: []garage.AccessID{3, 2}}, ""},
		{"of two", garage.Access{ID: 1, Name: "undertray", Inside: []garage.AccessID{2}}, "undertray subframe undertray"},
		{"of three", garage.Access{ID: 1, Name: "tray", Inside: []garage.AccessID{3}}, "tray gearbox tray"},
		{"of itself", garage.Access{ID: 2, Name: "subframe", Inside: []garage.AccessID{2}}, "subframe subframe"},
		{"inside what is gone", garage.Access{ID: 1, Name: "undertray", Inside: []garage.AccessID{9}}, ""},
	}
	for _, tt := range tests {
		if got := strings.Join(garage.AccessLoop(all, tt.changed), " "); got != tt.want {
			t.Errorf("%s: got %q, want %q", tt.name, got, tt.want)
		}
	}
}

func TestAccessLoop_of_a_thousand_is_found_at_once(t *testing.T) {
	t.Parallel()
	var all []garage.Access
	for i := 1; i <= 1000; i++ {
		a := garage.Access{ID: garage.AccessID(i), Name: "a"}
		for outer := max(1, i-40); outer < i; outer++ {
			a.Inside = append(a.Inside, garage.AccessID(outer))
		}
		all = append(all, a)
	}
	start := time.Now()
	loop := garage.AccessLoop(all, garage.Access{ID: 1, Name: "a", Inside: []garage.AccessID{1000}})
	if len(loop) < 2 || time.Since(start) > time.Second {
		t.Errorf("got a loop of %d in %v", len(loop), time.Since(start))
	}
}

func TestAccessTooDeep(t *testing.T) {
	t.Parallel()
	var chain []garage.Access
	for i := 1; i <= 99; i++ {
		a := garage.Access{ID: garage.AccessID(i)}
		if i > 1 {
			a.Inside = []garage.AccessID{garage.AccessID(i - 1)}
		}
		chain = append(chain, a)
	}
	hundredth := garage.Access{ID: 100, Inside: []garage.AccessID{99, 1}}
	if garage.AccessTooDeep(chain, hundredth) {
		t.Error("100 inside each other are refused")
	}
	if !garage.AccessTooDeep(append(chain, hundredth), garage.Access{Inside: []garage.AccessID{100}}) {
		t.Error("101 inside each other are let through")
	}
}

func TestOpenWith(t *testing.T) {
	t.Parallel()
	closed := []garage.Access{
		{ID: 1, Name: "undertray"},
		{ID: 2, Name: "subframe", Inside: []garage.AccessID{1}},
		{ID: 3, Name: "gearbox", Inside: []garage.AccessID{1, 2}},
		{ID: 4, Name: "bonnet"},
	}
	opened := slices.Clone(closed)
	for i := range opened {
		opened[i].IsOpen = true
	}
	tests := []struct {
		name string
		all  []garage.Access
		id   garage.AccessID
		open bool
		want []garage.AccessID
	}{
		{"opening the innermost opens the way to it", closed, 3, true, []garage.AccessID{1, 2, 3}},
		{"opening the outermost opens it alone", closed, 1, true, []garage.AccessID{1}},
		{"closing the outermost closes what is inside", opened, 1, false, []garage.AccessID{1, 2, 3}},
		{"closing the innermost closes it alone", opened, 3, false, []garage.AccessID{3}},
		{"what is open stays open", opened, 3, true, nil},
		{"what is closed stays closed", closed, 1, false, nil},
	}
	for _, tt := range tests {
		got := garage.OpenWith(tt.all, tt.id, tt.open)
		slices.Sort(got)
		if !slices.Equal(got, tt.want) {
			t.Errorf("%s: got %v, want %v", tt.name, got, tt.want)
		}
	}
}

func TestCar_Validate(t *testing.T) {
	t.Parallel()
	good := garage.Car{Name: "Tern estate", Role: garage.Daily, Stands: garage.Inside}
	tests := []struct {
		name   string
		change func(*garage.Car)
		want   []string
	}{
		{"as it is", func(*garage.Car) {}, nil},
		{"without a name", func(c *garage.Car) { c.Name = " " }, []string{"name"}},
		{"with a name of 201 characters", func(c *garage.Car) { c.Name = strings.Repeat("ä", 201) }, []string{"name"}},
		{"with a name of 200 characters", func(c *garage.Car) { c.Name = strings.Repeat("ä", 200) }, nil},
		{"of an unknown role", func(c *garage.Car) { c.Role = "hearse" }, []string{"role"}},
		{"built before cars", func(c *garage.Car) { c.Year = new(1884) }, []string{"year"}},
		{"with a short VIN", func(c *garage.Car) { c.VIN = "0123" }, nil},
		{"not here, no date", func(c *garage.Car) { c.Stands = garage.NotHere }, []string{"arrives"}},
		{"not here, one date", func(c *garage.Car) { c.Stands = garage.NotHere; c.ArrivesLikely = new(day("2027-03-01")) }, []string{"arrives"}},
		{"not here, dates backwards", func(c *garage.Car) {
			c.Stands = garage.NotHere
			c.ArrivesLow, c.ArrivesLikely, c.ArrivesHigh = new(day("2027-03-02")), new(day("2027-03-01")), new(day("2027-03-03"))
		}, []string{"arrives"}},
	}
	for _, tt := range tests {
		c := good
		tt.change(&c)
		if got := wrongFields(c.Validate()); !slices.Equal(got, tt.want) {
			t.Errorf("%s: got %v, want %v", tt.name, got, tt.want)
		}
	}
}
