package wheel

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"axlestand/internal/trade/input"
)

// near fails the test when got is more than half a unit of the last printed digit of want away.
func near(t *testing.T, what string, got, want, lastDigit float64) {
	t.Helper()
	if !(math.Abs(got-want) <= lastDigit/2*(1+1e-9)) {
		t.Errorf("%s = %.10g, want %v", what, got, want)
	}
}

// refused fails the test when err is not an [*input.Error] for the field with these words.
func refused(t *testing.T, what string, err error, field, says string) {
	t.Helper()
	e, ok := errors.AsType[*input.Error](err)
	if !ok || e.Field != field || !strings.Contains(e.Sentence, says) {
		t.Errorf("%s: got %v, want %s: …%s…", what, err, field, says)
	}
}

func size(t *testing.T, typed string) Size {
	t.Helper()
	z, err := ParseSize(typed)
	if err != nil {
		t.Fatalf("%s: %v", typed, err)
	}
	return z
}

func rim(t *testing.T, typed string) Rim {
	t.Helper()
	r, err := ParseRim(typed)
	if err != nil {
		t.Fatalf("%s: %v", typed, err)
	}
	return r
}

func day(y int, m time.Month, d int) time.Time { return time.Date(y, m, d, 0, 0, 0, 0, time.UTC) }

var today = day(2027, 3, 6)

// codes lists what was found, with ! for what does not fit.
func codes(found []Finding) string {
	var list []string
	for _, f := range found {
		if f.Bad {
			list = append(list, f.Code+"!")
		} else {
			list = append(list, f.Code)
		}
	}
	return strings.Join(list, " ")
}

// jumble strings pieces together at random: a deterministic share of what fuzzing does.
func jumble(random *rand.Rand, most int, pieces ...string) string {
	var b strings.Builder
	for range 1 + random.IntN(most) {
		b.WriteString(pieces[random.IntN(len(pieces))])
	}
	return b.String()
}
