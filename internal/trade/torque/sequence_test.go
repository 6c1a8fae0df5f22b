package torque

import (
	"fmt"
	"slices"
	"testing"
)

// Common practice, no source.
func TestStar_of_4_5_6(t *testing.T) {
	t.Parallel()
	for n, want := range map[int]string{4: "1-3-2-4", 5: "1-3-5-2-4", 6: "1-4-2-5-3-6", 8: "1-5-3-7-2-6-4-8"} {
		s, err := NewStar(n)
		if err != nil || s.OrderText() != want {
			t.Errorf("star of %d: %s, %v, want %s", n, s.OrderText(), err, want)
		}
	}
}

func permutation(t *testing.T, what string, order []int) {
	t.Helper()
	sorted := slices.Sorted(slices.Values(order))
	for i, n := range sorted {
		if n != i+1 {
			t.Fatalf("%s: %v is no permutation", what, order)
		}
	}
}

func TestStar_reaches_every_bolt_and_jumps(t *testing.T) {
	t.Parallel()
	for n := 3; n <= maxFasteners; n++ {
		s, err := NewStar(n)
		if err != nil || len(s.Order) != n {
			t.Fatalf("star of %d: %v, %v", n, s, err)
		}
		permutation(t, s.String(), s.Order)
		for i := range n - 1 {
			gap := (s.Order[i+1] - s.Order[i] + n) % n
			if n >= 5 && (gap == 1 || gap == n-1) {
				t.Errorf("%s: %d and %d are neighbours", s, s.Order[i], s.Order[i+1])
			}
		}
	}
}

func TestSpiral_goes_outwards(t *testing.T) {
	t.Parallel()
	s, err := NewSpiral(2, 5) // from the middle pair outwards, each time across
	if err != nil || s.OrderText() != "3-8-2-9-7-4-6-5-1-10" {
		t.Errorf("2 rows of 5: %s, %v", s.OrderText(), err)
	}
	for rows := 1; rows <= 4; rows++ {
		for perRow := 2; perRow <= 8; perRow++ {
			s, err := NewSpiral(rows, perRow)
			if err != nil {
				t.Fatal(err)
			}
			permutation(t, s.String(), s.Order)
			last := -1
			for _, n := range s.Order {
				dx, dy := 2*((n-1)%perRow)-(perRow-1), 2*((n-1)/perRow)-(rows-1)
				if out := dx*dx + dy*dy; out < last {
					t.Fatalf("%s goes back inwards at %d", s.OrderText(), n)
				} else {
					last = out
				}
			}
			back := s.Loosening()
			slices.Reverse(back)
			if !slices.Equal(back, s.Order) {
				t.Errorf("%s is loosened %v", s, s.Loosening())
			}
		}
	}
}

func TestParseSequence(t *testing.T) {
	t.Parallel()
	for typed, want := range map[string]string{
		"": "", "star 5": "star 5", "Star of 5": "star 5", "spiral 2x5": "spiral 2×5", "1-3-2-4": "numbered 1-3-2-4", "numbered 2 1 3": "numbered 2-1-3", "1, 2, 3": "numbered 1-2-3",
	} {
		if s, err := ParseSequence(typed); err != nil || s.String() != want {
			t.Errorf("%q is %q, %v, want %q", typed, s, err, want)
		}
	}
	for typed, says := range map[string]string{
		"across": "star 5", "star 2": "from 3", "star 61": "from 3", "spiral 0x5": "rows", "spiral 2x1": "rows", "spiral 9x9": "rows",
		"1-2-2": "comes once", "1-2-4": "comes once", "0-1-2": "comes once",
	} {
		_, err := ParseSequence(typed)
		refused(t, fmt.Sprintf("%q", typed), err, "sequence", says)
	}
}
