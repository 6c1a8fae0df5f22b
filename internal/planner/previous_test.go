package planner

import (
	"strings"
	"testing"
)

// What stood in a plan before is read, may name what is no more, and what has
// another day now is counted.
func TestPrevious(t *testing.T) {
	t.Parallel()
	const file = `{"now":"2027-03-05T18:00","zone":"Europe/Vienna",
		"sessions":[{"from":"2027-03-06T09:00","to":"2027-03-06T12:00"},{"from":"2027-03-07T09:00","to":"2027-03-07T12:00"}],
		"cars":[{"id":"estate"}],
		"jobs":[{"id":"pads","car":"estate","stages":[{"id":"fit","kind":"bench","minutes":[60,60,60]}]}],
		"previous":[{"job":"pads","stage":"fit","from":"2027-03-07T09:00"},{"job":"gone","stage":"fit","from":"2027-03-06T09:00"}]}`
	p, err := ReadProblem(strings.NewReader(file))
	if err != nil {
		t.Fatal(err)
	}
	a, err := Plan(p)
	if err != nil {
		t.Fatal(err)
	}
	if a.Totals.Moved != 1 {
		t.Errorf("moved %d stages, want the one that is a day earlier now", a.Totals.Moved)
	}
	_, err = ReadProblem(strings.NewReader(strings.Replace(file, `"stage":"fit","from":"2027-03-07T09:00"`, `"stage":"fit"`, 1)))
	if err == nil || err.Error() != "previous[0].from: missing" {
		t.Errorf("without a time: %v", err)
	}
}
