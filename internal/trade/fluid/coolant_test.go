package fluid

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

// Computed by the formula; ASHRAE's data as fitted in CoolProp, fluid AEG, and Melinder 2010, fluid MEG2 (published coefficients). To
// half of the last digit printed.
func TestFreezeEthylene(t *testing.T) {
	t.Parallel()
	for percent, want := range map[float64]float64{
		10: -3.6, 15: -6.2, 20: -9.0, 25: -12.1, 30: -15.7, 33: -18.1, 35: -19.9, 40: -24.8, 45: -30.5, 50: -37.1, 55: -44.4, 60: -52.0,
	} {
		if got, err := FreezeEthyleneVolume(Percent(percent)); err != nil || !near(float64(got), want, .05) {
			t.Errorf("%g vol-%%: %.2f, %v, want %.1f", percent, got, err, want)
		}
	}
	for percent, want := range map[float64]float64{10: -3.4, 20: -7.9, 30: -14.6, 40: -23.9, 50: -36.0, 56: -44.8} {
		if got, err := FreezeEthyleneMass(Percent(percent)); err != nil || !near(float64(got), want, .05) {
			t.Errorf("%g mass-%%: %.2f, %v, want %.1f", percent, got, err, want)
		}
	}
}

// Half and half is often said to freeze at −40 or −46 °C; the base alone does at −37.1 by volume and −36.0 by mass (CoolProp's fits,
// published). Pure ethylene glycol freezes near −13 °C (Lange's Handbook, from memory), so above 60 % nothing is computed.
func TestFreezeEthylene_promises_neither_40_nor_anything_above_60_percent(t *testing.T) {
	t.Parallel()
	volume, _ := FreezeEthyleneVolume(.5)
	mass, _ := FreezeEthyleneMass(.5)
	if volume < -37.2 || mass < -36.1 {
		t.Errorf("50 %%: %.1f and %.1f", volume, mass)
	}
	for _, x := range []Share{.601, .65, .7, 1, .099, 0, -.1, Share(math.NaN())} {
		if got, err := FreezeEthyleneVolume(x); field(err) != "share" {
			t.Errorf("%v: %v, %v", x, got, err)
		}
	}
	for _, x := range []Share{.561, 1, -.01} {
		if got, err := FreezeEthyleneMass(x); field(err) != "share" {
			t.Errorf("%v by mass: %v, %v", x, got, err)
		}
	}
}

// Published: Lange's Handbook of Chemistry, 15th edition, table 5.13.
func TestFreezePropylene(t *testing.T) {
	t.Parallel()
	for percent, want := range map[float64]float64{10: -2.2, 20: -6.7, 25: -8.9, 30: -12.8, 35: -16.1, 40: -20.6, 45: -26.7, 50: -33.3} {
		if got, err := FreezePropyleneVolume(Percent(percent)); err != nil || !near(float64(got), want, 1e-9) {
			t.Errorf("%g %%: %v, %v, want %v", percent, got, err, want)
		}
	}
	if got, err := FreezePropyleneVolume(.15); err != nil || !near(float64(got), -4.45, 1e-9) {
		t.Errorf("half-way between 10 and 20 %%: %v, %v", got, err)
	}
	for _, x := range []Share{.09, .51} {
		if _, err := FreezePropyleneVolume(x); field(err) != "share" {
			t.Errorf("%v: %v", x, err)
		}
	}
}

// More glycol freezes later, all over the range where a freezing point is given.
func TestFreeze_falls_with_the_share(t *testing.T) {
	t.Parallel()
	for name, freeze := range map[string]func(Share) (Celsius, error){"volume": FreezeEthyleneVolume, "mass": FreezeEthyleneMass, "propylene": FreezePropyleneVolume} {
		before := Celsius(100)
		for permille := range 601 {
			got, err := freeze(Share(permille) / 1000)
			if err != nil {
				continue
			}
			if got >= before {
				t.Fatalf("%s at %d permille: %v after %v", name, permille, got, before)
			}
			before = got
		}
	}
}

func TestShareAgainst(t *testing.T) {
	t.Parallel()
	for _, at := range []Celsius{-5, -20, -37.1, -51} {
		x, err := ShareAgainst(at)
		got, _ := FreezeEthyleneVolume(x)
		if err != nil || !near(float64(got), float64(at), 1e-6) {
			t.Errorf("%v: %v freezes at %v, %v", at, x, got, err)
		}
	}
	if x, err := ShareAgainst(-1); err != nil || x != EthyleneVolumeFrom {
		t.Errorf("-1: %v, %v", x, err)
	}
	for _, bad := range []Celsius{-53, 1, Celsius(math.NaN())} {
		if _, err := ShareAgainst(bad); field(err) != "temperature" {
			t.Errorf("%v: %v", bad, err)
		}
	}
}

// Computed, V·(wanted − now)/(fill − now).
func TestCorrect(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ v, now, wanted, fill, want float64 }{
		{6, 30, 50, 100, 1.714},
		{8, 40, 50, 100, 1.333},
		{7.5, 33, 45, 96, 1.429},
		{6, 50, 50, 100, 0},
		{6, 60, 45, 0, 1.5},
		{6, 30, 50, 50, 6},
	} {
		got, err := Correct(Litres(c.v), Litres(c.v), Percent(c.now), Percent(c.wanted), Percent(c.fill))
		if err != nil || !near(float64(got), c.want, .0005) {
			t.Errorf("%+v: %v, %v", c, got, err)
		}
	}
	for _, c := range []struct {
		v, drainable      Litres
		now, wanted, fill Share
		want              string
	}{
		{0, 5, .3, .5, 1, "volume"},
		{-6, 5, .3, .5, 1, "volume"},
		{6, 0, .3, .5, 1, "drainable"},
		{6, 7, .3, .5, 1, "drainable"},
		{6, 5, .3, .5, .3, "fill"},
		{6, 5, .3, .5, 1.2, "fill"},
		{6, 5, .3, .2, 1, "wanted"},
		{6, 5, .3, .5, .4, "wanted"},
		{6, 5, -.3, .5, 1, "now"},
		{6, 5, .3, Share(math.NaN()), 1, "wanted"},
	} {
		if got, err := Correct(c.v, c.drainable, c.now, c.wanted, c.fill); field(err) != c.want {
			t.Errorf("%+v: %v, %v", c, got, err)
		}
	}
}

// What cannot be drained at once is done in rounds, which together reach the share wanted. Computed.
func TestCorrect_in_rounds(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(2, 3))
	several := 0
	for range 2000 {
		v := 4 + 8*r.Float64()
		drainable := v * (.2 + .7*r.Float64())
		now, fill := r.Float64(), r.Float64()
		wanted := now + (fill-now)*.98*r.Float64()
		x, err := Correct(Litres(v), Litres(drainable), Share(now), Share(wanted), Share(fill))
		rounds := []Litres{x}
		if e, ok := errors.AsType[*RoundsError](err); ok {
			if len(e.Rounds) < 2 || !strings.Contains(e.Error(), "several rounds") || e.Drain <= e.Drainable {
				t.Fatalf("%v of %v: %+v", drainable, v, e)
			}
			rounds = e.Rounds
			several++
		}
		share := now
		for _, d := range rounds {
			if float64(d) > drainable+1e-9 || d < 0 {
				t.Fatalf("a round drains %v of %v", d, drainable)
			}
			share += (fill - share) * float64(d) / v
		}
		if !near(share, wanted, 1e-9) {
			t.Fatalf("V %v d %v: %v -> %v with %v gives %v", v, drainable, now, wanted, fill, share)
		}
	}
	if several < 100 {
		t.Errorf("only %d of 2000 took several rounds", several)
	}
}

func TestCorrect_says_when_it_never_gets_there(t *testing.T) {
	t.Parallel()
	_, err := Correct(6, 3, .3, .5, .5)
	if e, ok := errors.AsType[*RoundsError](err); !ok || len(e.Rounds) != 0 || !strings.Contains(e.Error(), "never") {
		t.Errorf("got %v", err)
	}
}

// Common practice, no source.
func TestMixCoolant(t *testing.T) {
	t.Parallel()
	a := Coolant{OAT, "Spec 12"}
	for _, b := range []Coolant{{OAT, " spec  12"}, a} {
		if err := MixCoolant(a, b); err != nil {
			t.Errorf("%v: %v", b, err)
		}
	}
	for _, b := range []Coolant{{}, {OAT, ""}, {UnknownInhibitor, "Spec 12"}, {IAT, "Spec 12"}, {SiOAT, "Spec 12"}, {HOAT, "Spec 12"}, {OAT, "Spec 13"}} {
		for _, err := range []error{MixCoolant(a, b), MixCoolant(b, a)} {
			if e, ok := errors.AsType[*Refusal](err); !ok || !strings.Contains(e.Reason, "flush") && !strings.Contains(e.Reason, "Flush") {
				t.Errorf("%v: %v", b, err)
			}
		}
	}
}
