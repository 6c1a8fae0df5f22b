package planner

import (
	"bytes"
	"encoding/json"
	"reflect"
	"testing"
)

// A problem that is built in Go and written down is a problem file again, also where a stage takes no time.
func TestProblem_isAFileAgain(t *testing.T) {
	t.Parallel()
	p := seededGarage(3, 6, 2, 8)
	p.Jobs[0].Stages = []Stage{{ID: "look", Kind: Bench}, {ID: "cure", Kind: Wait}, {ID: "paint", Kind: Outside}}
	file, err := json.Marshal(p)
	if err != nil {
		t.Fatal(err)
	}
	again, err := ReadProblem(bytes.NewReader(file))
	if err != nil {
		t.Fatal(err)
	}
	if want, got := planned(t, p), planned(t, again); !reflect.DeepEqual(want, got) {
		t.Errorf("read again it is planned otherwise:\n%+v\n%+v", want.Totals, got.Totals)
	}
}
