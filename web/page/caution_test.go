package page

import (
	"strings"
	"testing"
	"time"

	"axlestand/internal/garage"
)

func TestCaution(t *testing.T) {
	t.Parallel()
	done := time.Date(2027, time.March, 6, 12, 0, 0, 0, time.UTC)
	for name, c := range map[string]struct {
		stages []garage.Stage
		closed *time.Time
		says   string
	}{
		"on the lift":              {[]garage.Stage{{Lift: true}}, nil, "rest it on the locks"},
		"on the lift and immobile": {[]garage.Stage{{Lift: true, Immobile: "from"}}, nil, "shifts the balance"},
		"immobile on the floor":    {[]garage.Stage{{Immobile: "within"}}, nil, "never on a jack alone"},
		"at the bench":             {[]garage.Stage{{}}, nil, ""},
		"done already":             {[]garage.Stage{{Lift: true, DoneAt: &done}}, nil, ""},
		"closed":                   {[]garage.Stage{{Lift: true}}, &done, ""},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			got := caution(garage.JobSheet{Job: garage.Job{ClosedAt: c.closed}, Stages: c.stages})
			if !strings.Contains(got, c.says) || (got == "") != (c.says == "") {
				t.Errorf("says %q, want %q in it", got, c.says)
			}
			if got != "" && !strings.Contains(got, "maker's service information") {
				t.Errorf("does not defer to the maker: %q", got)
			}
		})
	}
}
