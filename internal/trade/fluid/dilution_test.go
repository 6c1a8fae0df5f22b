package fluid

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Computed, (1 − d/V)^n.
func TestOldShare(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		v, d   Litres
		shares []float64
		rounds int
	}{
		{7, 4, []float64{.4286, .1837, .0787, .0337}, 4},
		{10, 4, []float64{.60, .36, .216, .1296, .0778, .0467}, 6},
		{8, 4, []float64{.5, .25, .125}, 5},
		{8, 8, []float64{0, 0}, 1},
	} {
		for i, want := range c.shares {
			if got, err := OldShare(Capacity{Dry: c.v}, c.d, i+1); err != nil || !near(float64(got), want, .00005) {
				t.Errorf("%v of %v, %d times: %v, %v, want %v", c.d, c.v, i+1, got, err, want)
			}
		}
		if got, err := Rounds(Capacity{Dry: c.v}, c.d, .05); err != nil || got != c.rounds {
			t.Errorf("%v of %v to 5 %%: %d, %v, want %d", c.d, c.v, got, err, c.rounds)
		}
	}
	if got, _ := OldShare(Capacity{Dry: 8}, 4, 3); got != .125 {
		t.Errorf("after 3 of half: %v, want 87.5 %% new", got)
	}
}

// Rounds before they are rounded up, computed: 3.536, 5.864, 4.322.
func TestRounds_before_rounding(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ v, d, want float64 }{{7, 4, 3.536}, {10, 4, 5.864}, {8, 4, 4.322}} {
		exact := math.Log(.05) / math.Log(1-c.d/c.v)
		got, _ := Rounds(Capacity{Dry: Litres(c.v)}, Litres(c.d), .05)
		if !near(exact, c.want, .0005) || got != int(math.Ceil(c.want)) {
			t.Errorf("%v: %v, %d", c, exact, got)
		}
	}
}

// Coolant of 30 % in 6 L, 3 L changed for premix of 50 %: 40, 45, 47.5 %. Computed.
func TestShareAfter(t *testing.T) {
	t.Parallel()
	for n, want := range []float64{30, 40, 45, 47.5} {
		if got, err := ShareAfter(Capacity{Dry: 6}, 3, n, .30, .50); err != nil || !near(got.Percent(), want, 1e-9) {
			t.Errorf("%d times: %v, %v, want %v", n, got, err, want)
		}
	}
}

func TestDilution_refuses(t *testing.T) {
	t.Parallel()
	whole := Capacity{Dry: 7}
	for _, c := range []struct {
		name, want string
		err        error
	}{
		{"nothing drained", "drained", second(OldShare(whole, 0, 1))},
		{"less than nothing", "drained", second(OldShare(whole, -1, 1))},
		{"more than it holds", "drained", second(OldShare(whole, 7.1, 1))},
		{"only the service fill known", "dry", second(OldShare(Capacity{Service: 4}, 4, 1))},
		{"rounds below zero", "rounds", second(OldShare(whole, 4, -1))},
		{"none of the old", "share", second(Rounds(whole, 4, 0))},
		{"all of the old", "share", second(Rounds(whole, 4, 1))},
		{"no share", "share", second(Rounds(whole, 4, Share(math.NaN())))},
		{"whole unknown", "dry", second(Rounds(Capacity{}, 4, .1))},
		{"share now", "now", second(ShareAfter(whole, 4, 1, 1.5, .5))},
		{"share of the fill", "fill", second(ShareAfter(whole, 4, 1, .5, -1))},
		{"no dose", "dose", second(Additive(whole, 0, 0))},
		{"a dose too large", "dose", second(Additive(whole, 8, 0))},
		{"no room", "room", second(Additive(whole, 1, -1))},
		{"all room", "room", second(Additive(whole, 1, 7))},
		{"whole unknown for an additive", "dry", second(Additive(Capacity{Service: 4}, 1, 0))},
	} {
		if field(c.err) != c.want {
			t.Errorf("%s: %v, want %q", c.name, c.err, c.want)
		}
	}
}

// Every further change leaves less of the old, a larger change leaves less than a smaller one, the rounds given are the least that reach
// the share, and the concentration never passes that of the fill.
func TestDilution_is_monotone(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(7, 4))
	for range 10_000 {
		c := Capacity{Dry: Litres(1 + 14*r.Float64())}
		d := c.Dry * Litres(.05+.9*r.Float64())
		n := r.IntN(12)
		now, fill := Share(r.Float64()), Share(r.Float64())
		a, _ := OldShare(c, d, n)
		b, _ := OldShare(c, d, n+1)
		larger, _ := OldShare(c, d*1.01, n+1)
		if b >= a || larger >= b || b < 0 || a > 1 {
			t.Fatalf("%v of %v: %v after %d, %v after one more, %v of more", d, c.Dry, a, n, b, larger)
		}
		want := Share(.01 + .98*r.Float64())
		k, err := Rounds(c, d, want)
		at, _ := OldShare(c, d, k)
		before, _ := OldShare(c, d, k-1)
		if err != nil || at > want+1e-9 || before <= want-1e-9 {
			t.Fatalf("%v of %v to %v: %d rounds leave %v, one less %v", d, c.Dry, want, k, at, before)
		}
		// what n+1 changes leave is reached by n+1, not by one more for the machine's rounding
		if again, err := Rounds(c, d, b); err != nil || again != n+1 {
			t.Fatalf("%v of %v to %v: %d rounds, want %d, %v", d, c.Dry, b, again, n+1, err)
		}
		x, _ := ShareAfter(c, d, n, now, fill)
		y, _ := ShareAfter(c, d, n+1, now, fill)
		if math.Abs(float64(y-fill)) > math.Abs(float64(x-fill)) || (x-fill)*(y-fill) < 0 {
			t.Fatalf("from %v towards %v: %v, then %v", now, fill, x, y)
		}
	}
}

// Computed: the level stays, and what is drawn off is of the mixture before.
func TestAdditive(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ dry, dose, room, draw, leaves float64 }{
		{8, .5, 0, .5, 7.5 / 8},
		{8, .5, .2, .3, 7.5 / 7.8},
		{8, .5, .8, 0, 1},
		{8, 8, 0, 8, 0},
	} {
		got, err := Additive(Capacity{Dry: Litres(c.dry)}, Litres(c.dose), Litres(c.room))
		if err != nil || !near(float64(got.DrawOff), c.draw, 1e-12) || !near(float64(got.Leaves), c.leaves, 1e-12) {
			t.Errorf("%+v: %+v, %v", c, got, err)
		}
	}
}
