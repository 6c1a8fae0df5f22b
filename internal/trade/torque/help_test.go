package torque

import (
	"errors"
	"math"
	"strings"
	"testing"

	"axlestand/internal/trade/input"
)

// near fails the test when got is more than half a unit of the last printed digit of want away.
func near(t *testing.T, what string, got, want, lastDigit float64) {
	t.Helper()
	if !(math.Abs(got-want) <= lastDigit/2*(1+1e-9)) {
		t.Errorf("%s = %.10g, want %v", what, got, want)
	}
}

// within fails the test when got is more than a share away from want.
func within(t *testing.T, what string, got, want, share float64) {
	t.Helper()
	if !(math.Abs(got/want-1) <= share) {
		t.Errorf("%s = %.10g, want %v within %.2g", what, got, want, share)
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

func thread(t *testing.T, typed string) Thread {
	t.Helper()
	th, err := ParseThread(typed)
	if err != nil {
		t.Fatalf("%s: %v", typed, err)
	}
	return th
}

func class(t *testing.T, typed string) Class {
	t.Helper()
	c, err := ParseClass(typed)
	if err != nil {
		t.Fatalf("%s: %v", typed, err)
	}
	return c
}

func stages(t *testing.T, printed string) Stages {
	t.Helper()
	s, err := ParseStages(printed)
	if err != nil {
		t.Fatalf("%s: %v", printed, err)
	}
	return s
}
