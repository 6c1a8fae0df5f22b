package schedule

import (
	"math/rand/v2"
	"testing"
)

// The guess finds the same stretch as going through them all, however unevenly they lie.
func TestCalendar_At(t *testing.T) {
	t.Parallel()
	random := rand.New(rand.NewPCG(7, 7))
	for range 2000 {
		var c calendar
		at := random.IntN(50)
		for range random.IntN(40) {
			from := at + random.IntN(3)*random.IntN(1+random.IntN(4000))
			at = from + 1 + random.IntN(1+random.IntN(300))
			c = append(c, Span{from, at})
		}
		for range 60 {
			when := random.IntN(at + 20)
			want := 0
			for want < len(c) && c[want].To <= when {
				want++
			}
			if got := c.at(when); got != want {
				t.Fatalf("%v at %d: %d, want %d", c, when, got, want)
			}
		}
	}
}
