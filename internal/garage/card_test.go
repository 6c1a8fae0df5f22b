package garage_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"axlestand/internal/garage"
)

// cardOf is a card of one stage with so many steps.
func cardOf(n int, pauses ...int) garage.Card {
	c := garage.Card{Sheet: garage.JobSheet{Stages: []garage.Stage{{ID: 1, Kind: garage.Bench}}}}
	for i := range n {
		c.Steps = append(c.Steps, garage.Step{ID: garage.StepID(i + 1), StageID: 1, Kind: garage.DoStep, Text: "A"})
	}
	for _, p := range pauses {
		c.Steps[p-1].PauseAfter = "nothing loose"
	}
	return c
}

func TestCard_Chunks(t *testing.T) {
	t.Parallel()
	for want, c := range map[string]garage.Card{
		"":                 cardOf(0),
		"9":                cardOf(9),
		"5 5":              cardOf(10),
		"3| 6":             cardOf(9, 3),
		"9 8 8":            cardOf(25),
		"6 6| 3":           cardOf(15, 12),
		"1| 1| 1|":         cardOf(3, 1, 2, 3),
		"8 8 8| 9 8 8 8 8": cardOf(65, 24),
	} {
		var got []string
		for _, chunk := range c.Chunks(c.Rows()) {
			mark := ""
			if chunk.Pause != "" {
				mark = "|"
			}
			got = append(got, fmt.Sprint(len(chunk.Rows), mark))
		}
		if text := strings.Join(got, " "); text != want {
			t.Errorf("got %s, want %s", text, want)
		}
	}
}

func TestMeasuredMinutes(t *testing.T) {
	t.Parallel()
	start := time.Date(2027, 3, 6, 9, 0, 0, 0, time.UTC)
	at := func(minute int) time.Time { return start.Add(time.Duration(minute) * time.Minute) }
	card := func(minutes ...int) garage.Card {
		c := cardOf(len(minutes))
		for i, m := range minutes {
			c.Marks = append(c.Marks, garage.StepMark{ID: garage.MarkID(i + 1), StepID: garage.StepID(i + 1), Kind: garage.DoneMark, At: at(m)})
		}
		return c
	}
	left, waits := card(10, 20, 90, 100), card(10, 20, 40, 50)
	left.Leavings = []garage.Leaving{{At: at(30), ReturnedAt: new(at(80))}}
	waits.Steps[2].Kind = garage.WaitStep
	waits.Marks = append(waits.Marks, garage.StepMark{ID: 9, StepID: 3, Kind: garage.StartedMark, At: at(25)})
	for name, c := range map[string]struct {
		card garage.Card
		want int
	}{
		"evenly":          {card(10, 20, 30), 30},
		"overnight":       {card(10, 20, 900, 910), 30},
		"left and back":   {left, 50},  // 10, 10, –, 10, 10 and the first
		"a timer":         {waits, 33}, // 10, 5, –, 10 and the first
		"one mark":        {card(10), 0},
		"out of order":    {card(30, 10, 20), 30},
		"all at one time": {card(10, 10), 1},
	} {
		got, ok := c.card.MeasuredMinutes(1)
		if got != c.want || ok != (c.want > 0) {
			t.Errorf("%s: got %d %t, want %d", name, got, ok, c.want)
		}
	}
}

func TestNewStepRow(t *testing.T) {
	t.Parallel()
	day := time.Date(2027, 3, 6, 9, 0, 0, 0, time.UTC)
	mark := func(id garage.MarkID, kind garage.MarkKind, minute int) garage.StepMark {
		return garage.StepMark{ID: id, StepID: 1, Kind: kind, At: day.Add(time.Duration(minute) * time.Minute)}
	}
	undo := func(id, of garage.MarkID) garage.StepMark {
		m := mark(id, garage.UndoneMark, 60)
		m.Reverses = &of
		return m
	}
	for name, c := range map[string]struct {
		marks []garage.StepMark
		want  garage.StepState
	}{
		"nothing":                     {nil, garage.StepOpen},
		"done":                        {[]garage.StepMark{mark(1, garage.DoneMark, 0)}, garage.StepDone},
		"undone":                      {[]garage.StepMark{mark(1, garage.DoneMark, 0), undo(2, 1)}, garage.StepOpen},
		"done twice, undone once":     {[]garage.StepMark{mark(1, garage.DoneMark, 0), mark(2, garage.DoneMark, 1), undo(3, 1)}, garage.StepDone},
		"no wrench, then done":        {[]garage.StepMark{mark(1, garage.NoWrenchMark, 0), mark(2, garage.DoneMark, 1)}, garage.StepDone},
		"came late, happened earlier": {[]garage.StepMark{mark(1, garage.DoneMark, 5), mark(2, garage.NoWrenchMark, 1)}, garage.StepDone},
		"timer runs":                  {[]garage.StepMark{mark(1, garage.StartedMark, 0)}, garage.StepRunning},
		"timer started late":          {[]garage.StepMark{mark(1, garage.DoneMark, 0), mark(2, garage.StartedMark, 1)}, garage.StepDone},
		"looked at twice":             {[]garage.StepMark{mark(1, garage.DoneMark, 0), mark(2, garage.SecondMark, 1)}, garage.StepDone},
	} {
		row := garage.NewStepRow(1, garage.Step{ID: 1, Kind: garage.DoStep, Critical: true}, garage.StandingMarks(c.marks)[1])
		if row.State != c.want {
			t.Errorf("%s: got %s, want %s", name, row.State, c.want)
		}
		if looked := row.Second != nil; looked != (name == "looked at twice") {
			t.Errorf("%s: a second look: %t", name, looked)
		}
	}
}

func TestMirror_words(t *testing.T) {
	t.Parallel()
	steps := []garage.Step{{Kind: garage.DoStep, Side: "left", Text: "LEFT arm: Left bolt to the right of the left bush, brightleft"}}
	got, _ := garage.Mirror(steps, nil, nil)
	if want := "RIGHT arm: Right bolt to the left of the right bush, brightleft"; got[0].Text != want || got[0].Side != "right" {
		t.Errorf("got %q, want %q", got[0].Text, want)
	}
}

func TestTwin(t *testing.T) {
	t.Parallel()
	parts := []garage.Part{
		{ID: 1, Name: "Trailing arm, left", Side: "left"},
		{ID: 2, Name: "trailing  arm, right", Side: "right"},
		{ID: 3, Name: "Bracket", Side: "left"},
		{ID: 4, Name: "Lamp", Side: "left"},
		{ID: 5, Name: "Lamp", Side: "right"},
		{ID: 6, Name: "Lamp", Side: "right"},
	}
	for i, want := range map[int]garage.PartID{0: 2, 1: 1, 2: 0, 3: 0} {
		if twin, _ := garage.Twin(parts[i], parts); twin.ID != want {
			t.Errorf("%s: got %d, want %d", parts[i].Name, twin.ID, want)
		}
	}
}
