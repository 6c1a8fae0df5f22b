package schedule

import (
	"slices"
	"testing"
)

// A subject that is put onto the place and leaves it again with nothing done is left where it was; who made room for it makes room
// for the next one.
func TestWithoutIdleMoves(t *testing.T) {
	t.Parallel()
	move := func(c, of int) stroke { return stroke{kind: toMove, subject: c, of: of} }
	work := func(c int) stroke { return stroke{kind: toBlock, subject: c} }
	for name, x := range map[string]struct{ row, want []stroke }{
		"worked on":           {[]stroke{move(0, None), work(0)}, []stroke{move(0, None), work(0)}},
		"nothing after it":    {[]stroke{work(1), move(0, None)}, []stroke{work(1)}},
		"moved once more":     {[]stroke{move(0, 2), move(0, None), work(0)}, []stroke{move(0, 2), work(0)}},
		"makes room again":    {[]stroke{move(0, 2), work(1), move(3, 0), work(3)}, []stroke{work(1), move(3, 2), work(3)}},
		"opened, then worked": {[]stroke{move(0, None), {kind: toOpen, subject: 0}, work(0)}, []stroke{move(0, None), {kind: toOpen, subject: 0}, work(0)}},
		"moved for work later": {
			[]stroke{move(0, 2), move(0, None), work(0), move(3, 0), work(3)}, []stroke{move(0, 2), work(0), move(3, 0), work(3)},
		},
		"others work in between": {[]stroke{move(0, None), work(1), work(0)}, []stroke{move(0, None), work(1), work(0)}},
	} {
		if got := withoutIdleMoves(x.row); !slices.Equal(got, x.want) {
			t.Errorf("%s: %v, want %v", name, got, x.want)
		}
	}
}
