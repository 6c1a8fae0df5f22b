package input

import (
	"errors"
	"math"
	"testing"
)

func TestWrong_names_field_and_sentence(t *testing.T) {
	t.Parallel()
	err := First(nil, Wrong("drain", "At most %g litres can be drained.", 3.5), Wrong("volume", "100 % of it"))
	e, ok := errors.AsType[*Error](err)
	if !ok || e.Field != "drain" || e.Sentence != "At most 3.5 litres can be drained." {
		t.Errorf("got %v", err)
	}
	if got := Wrong("share", "100 % is too much.").Error(); got != "share: 100 % is too much." {
		t.Errorf("a sentence without arguments is taken as it stands: %q", got)
	}
}

func TestRanges_refuse_what_is_no_number(t *testing.T) {
	t.Parallel()
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), -1} {
		if Within("x", v, 0, 1, "no") == nil || Positive("x", v, "no") == nil {
			t.Errorf("%v passes", v)
		}
	}
	if Within("x", 0.0, 0, 1, "no") != nil || Within("x", 1.0, 0, 1, "no") != nil {
		t.Error("the ends of the range belong to it")
	}
	if Positive("x", 0.0, "no") == nil || Positive("x", 0.1, "no") != nil {
		t.Error("zero is not positive")
	}
	if First(nil, nil) != nil {
		t.Error("nothing wrong is no error")
	}
}
