package wheel

import (
	"math"
	"math/rand/v2"
	"testing"

	"axlestand/internal/trade/unit"
)

func TestParseRim(t *testing.T) {
	t.Parallel()
	for typed, want := range map[string]string{
		"7.5J×17 ET38 5×112 66.6": "7.5J×17 ET38 5×112 66.6", "7,5 J x 17 et 38 5x112 CB 66,6": "7.5J×17 ET38 5×112 66.6", "8J ET25": "8J ET25",
		"6J x 15 ET-10": "6J×15 ET-10", "7J ET0": "7J ET0", "3J×10": "3J×10", "14J×24": "14J×24", "6.75×16.5": "6.75×16.5", "7J ET120": "7J ET120", "5J ET20 4×80 40": "5J ET20 4×80 40", "6.5JJ×14 4/114.3": "6.5JJ×14 4×114.3",
	} {
		if r, err := ParseRim(typed); err != nil || r.String() != want {
			t.Errorf("%q is %q, %v, want %q", typed, r, err, want)
		}
	}
	for typed, says := range map[string]string{"": "as stamped", "wide": "as stamped", "2J": "3 to 14", "7.3J": "3 to 14", "14.5J": "3 to 14", "7J×9": "as stamped", "7J×15.5": "10 to 24", "7J×30": "10 to 24", "7J ET130": "120", "7J ET38 5×60": "80 to 230", "7J ET38 5×112 20": "40 to 180"} {
		_, err := ParseRim(typed)
		refused(t, typed, err, "rim", says)
	}
}

func mounted(t *testing.T, typed string, spacer float64) Mounted {
	t.Helper()
	return Mounted{rim(t, typed), unit.Mm.Of(spacer)}
}

// Computed from inner = 25.4·J/2 + ET, outer = 25.4·J/2 − ET, track = 2·(ET_old − ET_new), a spacer taking its thickness off ET.
func TestSwap(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		old, new            string
		spacer              float64
		inner, outer, track float64
	}{
		{"7.5J ET38", "8J ET25", 0, -6.65, 19.35, 26},
		{"8J ET45", "9J ET35", 0, 2.7, 22.7, 20},
		{"6.5J ET45", "7J ET38", 0, -0.65, 13.35, 14},
		{"7J ET38", "7J ET38", 5, -5, 5, 10},
	} {
		m, err := Swap(mounted(t, c.old, 0), mounted(t, c.new, c.spacer))
		if err != nil {
			t.Fatal(err)
		}
		near(t, c.old+" inner", m.Inner.In(unit.Mm), c.inner, 1e-9)
		near(t, c.old+" outer", m.Outer.In(unit.Mm), c.outer, 1e-9)
		near(t, c.old+" track", m.Track.In(unit.Mm), c.track, 1e-9)
	}
	for typed, want := range map[string][2]float64{"7.5J ET38": {133.25, 57.25}, "8J ET25": {126.60, 76.60}, "8J ET45": {146.6, 56.6}, "9J ET35": {149.3, 79.3}} {
		m := mounted(t, typed, 0)
		near(t, typed+" inner", m.Inner().In(unit.Mm), want[0], 1e-9)
		near(t, typed+" outer", m.Outer().In(unit.Mm), want[1], 1e-9)
	}
}

// That the track changes by ET_new − ET_old, or by the change of one side alone, is in circulation and wrong.
func TestSwap_lower_offset_widens_both_sides(t *testing.T) {
	t.Parallel()
	m, err := Swap(mounted(t, "7J ET40", 0), mounted(t, "7J ET30", 0))
	if err != nil {
		t.Fatal(err)
	}
	if track := m.Track.In(unit.Mm); track == -20 || track == 10 || track == -10 || track != 20 {
		t.Errorf("from ET40 to ET30 the track changes by %v", m.Track)
	}
}

func TestSwap_is_antisymmetric(t *testing.T) {
	t.Parallel()
	random := rand.New(rand.NewPCG(3, 4))
	some := func() Mounted {
		return Mounted{Rim{Width: 4 + float64(random.IntN(14))/2, ET: float64(random.IntN(161)-80) / 2, HasET: true}, unit.Mm.Of(float64(random.IntN(40)) / 2)}
	}
	for range 10_000 {
		a, b := some(), some()
		there, err := Swap(a, b)
		if err != nil {
			t.Fatal(err)
		}
		back, err := Swap(b, a)
		if err != nil {
			t.Fatal(err)
		}
		for _, sum := range []float64{
			there.Inner.In(unit.Mm) + back.Inner.In(unit.Mm), there.Outer.In(unit.Mm) + back.Outer.In(unit.Mm), there.Track.In(unit.Mm) + back.Track.In(unit.Mm),
			// Both lips together move by the change of width, whatever the offsets.
			there.Inner.In(unit.Mm) + there.Outer.In(unit.Mm) - 25.4*(b.Rim.Width-a.Rim.Width),
		} {
			if math.Abs(sum) > 1e-9 {
				t.Fatalf("%v to %v and back does not come out even: %v, %v", a, b, there, back)
			}
		}
	}
}

func TestSwap_refuses(t *testing.T) {
	t.Parallel()
	good := mounted(t, "7J ET38", 0)
	_, err := Swap(good, mounted(t, "7J", 0))
	refused(t, "no offset", err, "rim", "not known")
	_, err = Swap(Mounted{}, good)
	refused(t, "no wheel", err, "rim", "3 to 14")
	_, err = Swap(good, mounted(t, "7J ET38", -5))
	refused(t, "a negative spacer", err, "spacer", "0 to 100")
}

// ET = backspace − W/2; that it is W/2 − backspace is in circulation and wrong.
func TestOffsetFromBackspace(t *testing.T) {
	t.Parallel()
	et, err := OffsetFromBackspace(unit.Mm.Of(140), unit.Mm.Of(200))
	if err != nil || et.In(unit.Mm) == -40 || et.In(unit.Mm) != 40 {
		t.Errorf("a backspace of 140 in 200 mm is ET %v, %v, want 40", et, err)
	}
	et, err = OffsetFromBackspace(unit.Inch.Of(3), unit.Inch.Of(8))
	if err != nil || math.Abs(et.In(unit.Mm)+25.4) > 1e-9 {
		t.Errorf("a backspace of 3 in 8 in is ET %v, %v, want -25.4", et, err)
	}
	_, err = OffsetFromBackspace(unit.Mm.Of(140), unit.Length{})
	refused(t, "no width", err, "width", "lip to lip")
	_, err = OffsetFromBackspace(unit.Mm.Of(240), unit.Mm.Of(200))
	refused(t, "too much", err, "backspace", "less than the width")
}

// Common practice, no source.
func TestFitRim(t *testing.T) {
	t.Parallel()
	hub := Hub{Bolts: 5, Circle: unit.Mm.Of(112), Bore: unit.Mm.Of(66.6), Seat: SeatBall}
	for _, c := range []struct {
		rim     string
		seat    Seat
		hub     Hub
		engaged float64
		want    string
	}{
		{"7J ET38 5×112 66.6", SeatBall, hub, 7, "clearance"},
		{"7J ET38 5×114.3 66.6", SeatBall, hub, 7, "bolts! clearance"},
		{"7J ET38 5×114.3 66.6", SeatBall, Hub{5, unit.Inch.Of(4.5), unit.Mm.Of(66.6), SeatBall}, 7, "clearance"},
		{"7J ET38 4×112 66.6", SeatBall, hub, 7, "bolts! clearance"},
		{"7J ET38 5×112 57.1", SeatBall, hub, 7, "bore! clearance"},
		{"7J ET38 5×112 72.6", SeatBall, hub, 7, "bore clearance"},
		{"7J ET38 5×112 66.6", SeatCone, hub, 7, "seat! clearance"},
		{"7J ET38 5×112 66.6", SeatBall, hub, 6.4, "engagement! clearance"},
		{"7J ET38 5×112 66.6", SeatBall, hub, 6.5, "clearance"},
		{"7J ET38 5×112 66.6", SeatBall, Hub{Bolts: 5, Bore: hub.Bore, Seat: SeatBall}, 7, "bolts clearance"},
		{"7J ET38", SeatUnknown, hub, 0, "bolts bore seat engagement clearance"},
		{"7J ET38 5×112 66.6", SeatBall, Hub{}, 7, "bolts bore seat clearance"},
	} {
		if got := codes(FitRim(rim(t, c.rim), c.seat, c.hub, c.engaged)); got != c.want {
			t.Errorf("%s: %s, want %s", c.rim, got, c.want)
		}
	}
}

// 1.6 mm: Directive 89/459/EEC, from memory.
func TestCheckTread(t *testing.T) {
	t.Parallel()
	for mm, want := range map[float64]string{1.6: "", 1.5: "tread!", 8: ""} {
		if found, err := CheckTread(unit.Mm.Of(mm)); err != nil || codes(found) != want {
			t.Errorf("%v mm: %v, %v", mm, found, err)
		}
	}
	_, err := CheckTread(unit.Length{})
	refused(t, "nothing", err, "tread", "measured")
	_, err = CheckTread(unit.Mm.Of(-1))
	refused(t, "less than nothing", err, "tread", "measured")
}
