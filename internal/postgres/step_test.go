package postgres_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/postgres"
	"axlestand/internal/trade/caution"
)

// cardYard is a garage with a job on whose card steps can be written.
type cardYard struct {
	*jobYard
	job   garage.JobID
	stage garage.Stage
}

func newCardYard(t *testing.T) *cardYard {
	t.Helper()
	y := newJobYard(t)
	c := &cardYard{jobYard: y, job: y.job("Rear arms")}
	c.stage = y.first(c.job)
	return c
}

// write adds steps at the end of the card.
func (c *cardYard) write(steps ...garage.Step) []garage.StepID {
	c.Helper()
	ids, err := c.store.AddSteps(c.ctx, c.stage.ID, 0, steps)
	if err != nil {
		c.Fatal(err)
	}
	return ids
}

func do(text string) garage.Step { return garage.Step{Kind: garage.DoStep, Text: text} }

// mark notes that something happened at a step and answers with the finding.
func (c *cardYard) mark(step garage.StepID, kind garage.MarkKind, value string) postgres.Marked {
	c.Helper()
	made, err := c.store.MarkStep(c.ctx, garage.StepMark{StepID: step, Kind: kind, Value: value}, jobsNow)
	if err != nil {
		c.Fatal(err)
	}
	return made
}

func (c *cardYard) card() garage.Card {
	c.Helper()
	card, err := c.store.Card(c.ctx, c.job)
	if err != nil {
		c.Fatal(err)
	}
	return card
}

// texts are the steps of the card, each with its mark of change.
func (c *cardYard) texts() string {
	var texts []string
	for _, s := range c.card().Steps {
		texts = append(texts, strings.TrimSuffix(s.Text+" "+s.Changed, " "))
	}
	return strings.Join(texts, ", ")
}

func (c *cardYard) states() (states []garage.StepState) {
	for _, r := range c.card().Rows() {
		states = append(states, r.State)
	}
	return states
}

func (c *cardYard) is(want string) {
	c.Helper()
	if got := c.texts(); got != want {
		c.Errorf("got %s, want %s", got, want)
	}
}

func (c *cardYard) must(err error) {
	c.Helper()
	if err != nil {
		c.Fatal(err)
	}
}

func TestStore_steps(t *testing.T) {
	t.Parallel()
	c := newCardYard(t)
	ids := c.write(do("A"), do("B"), do("C"))
	first, err := c.store.AddSteps(c.ctx, c.stage.ID, -1, []garage.Step{do("first")})
	c.must(err)
	_, err = c.store.AddSteps(c.ctx, c.stage.ID, ids[0], []garage.Step{do("A2")})
	c.must(err)
	c.is("first, A, A2, B, C")
	c.must(c.store.MoveStep(c.ctx, ids[2], 2))
	c.must(c.store.MoveStep(c.ctx, first[0], 99))
	c.is("C, A, A2, B, first")

	step, err := c.store.Step(c.ctx, ids[1])
	c.must(err)
	step.Kind, step.Figure, step.Text, step.Cautions = garage.TorqueStep, "45 Nm", "Tighten B", []caution.Topic{caution.Chassis}
	c.must(c.store.UpdateStep(c.ctx, step))
	if err := c.store.UpdateStep(c.ctx, step); !errors.Is(err, garage.ErrConflict) {
		t.Errorf("an old version was saved: %v", err)
	}
	if got, _ := c.store.Step(c.ctx, ids[1]); got.Figure != "45 Nm" || !slices.Equal(got.Cautions, step.Cautions) {
		t.Errorf("got %+v", got)
	}
	c.must(c.store.DeleteStep(c.ctx, ids[0]))
	if _, err := c.store.Step(c.ctx, ids[0]); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("deleted and still there: %v", err)
	}
	c.must(c.store.RestoreStep(c.ctx, ids[0]))
	if err := c.store.RestoreStep(c.ctx, ids[0]); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("brought back twice: %v", err)
	}
	c.is("C, A, A2, Tighten B, first")

	_, err = c.store.AddSteps(c.ctx, c.stage.ID, 0, []garage.Step{{Kind: garage.TorqueStep, Text: "Tighten", Figure: "much"}})
	if fields(err) != "figure" {
		t.Errorf("got %v", err)
	}
	wait := c.jobYard.stage(c.job, func(s *garage.Stage) { s.Kind, s.Lift = garage.Wait, false })
	if _, err := c.store.AddSteps(c.ctx, wait, 0, []garage.Step{do("A")}); fields(err) != "stage" {
		t.Errorf("a stage that waits got a step: %v", err)
	}
	if _, err := c.store.AddSteps(c.ctx, c.stage.ID, 0, make([]garage.Step, 501)); fields(err) != "lines" {
		t.Errorf("got %v", err)
	}
	c.must(c.store.CloseJob(c.ctx, c.job, c.version(), "sold", jobsNow))
	if err := c.store.DeleteStep(c.ctx, ids[0]); fields(err) == "" {
		t.Errorf("a closed job's card was changed: %v", err)
	}
}

func (c *cardYard) version() int64 {
	job, err := c.store.Job(c.ctx, c.job)
	c.must(err)
	return job.Version
}

// fields are the names of the fields that an error is about; the form as a whole is "form".
func fields(err error) string {
	invalid, ok := errors.AsType[*garage.InvalidError](err)
	if !ok {
		return ""
	}
	var names []string
	for name := range invalid.Fields {
		if name == "" {
			name = "form"
		}
		names = append(names, name)
	}
	slices.Sort(names)
	return strings.Join(names, " ")
}

func TestStore_a_card_in_use_gets_a_new_revision(t *testing.T) {
	t.Parallel()
	c := newCardYard(t)
	ids := c.write(do("A"), do("B"), do("C"), do("D"))
	c.is("A, B, C, D")
	if card := c.card(); card.Revision != 1 || card.InUseAt != nil {
		t.Errorf("got %+v", card.JobCard)
	}
	c.mark(ids[0], garage.DoneMark, "")
	step, err := c.store.Step(c.ctx, ids[1])
	c.must(err)
	step.Text = "B, in full"
	c.must(c.store.UpdateStep(c.ctx, step))
	c.must(c.store.MoveStep(c.ctx, ids[3], 3))
	c.must(c.store.DeleteStep(c.ctx, ids[2]))
	_, err = c.store.AddSteps(c.ctx, c.stage.ID, 0, []garage.Step{do("E")})
	c.must(err)
	c.is("A, B, in full changed, D moved, E new")
	card := c.card()
	if card.Revision != 2 || card.InUseAt == nil || len(card.Gone) != 1 || card.Gone[0].Changed != garage.StepGone {
		t.Errorf("revision %d, in use %v, gone %v", card.Revision, card.InUseAt, card.Gone)
	}
	c.mark(ids[1], garage.DoneMark, "")
	c.must(c.store.MoveStep(c.ctx, ids[1], 1))
	if card := c.card(); card.Revision != 3 || len(card.Gone) != 0 {
		t.Errorf("ticked again and changed: revision %d, gone %v", card.Revision, card.Gone)
	}
}

func TestStore_MarkStep(t *testing.T) {
	t.Parallel()
	c := newCardYard(t)
	low := 1.2
	ids := c.write(
		do("Undo the nuts"),
		garage.Step{Kind: garage.TorqueStep, Text: "Tighten the bolt", Figure: "70 Nm", Critical: true},
		garage.Step{Kind: garage.MeasureStep, Text: "Measure the pads", LimitLow: &low, LimitUnit: "mm"},
		garage.Step{Kind: garage.WaitStep, Text: "Battery off", Cautions: []caution.Topic{caution.Airbags}},
	)
	if got := c.states(); got[3] != garage.StepLocked {
		t.Errorf("without the maker's wait: %v", got)
	}
	_, err := c.store.MarkStep(c.ctx, garage.StepMark{StepID: ids[3], Kind: garage.DoneMark}, jobsNow)
	if fields(err) != "figure" {
		t.Errorf("ticked without the maker's wait: %v", err)
	}
	c.must(c.store.WriteFigure(c.ctx, ids[3], "7 min", "Kite manual", "4-2"))
	c.mark(ids[3], garage.StartedMark, jobsNow.Add(7*time.Minute).Format(time.RFC3339))
	done := c.mark(ids[0], garage.DoneMark, "")
	c.mark(ids[1], garage.NoWrenchMark, "")
	if got := c.mark(ids[2], garage.DoneMark, "0,9"); !strings.Contains(got.Finding, "under the limit") {
		t.Errorf("got %+v", got)
	}
	want := []garage.StepState{garage.StepDone, garage.StepNoWrench, garage.StepDone, garage.StepRunning}
	if got := c.states(); !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
	follow, err := c.store.FollowUps(c.ctx, postgres.FollowUpFilter{JobID: c.job})
	c.must(err)
	if len(follow) != 2 || !strings.HasPrefix(follow[0].What, "Not tightened with a wrench: Tighten the bolt, 70 Nm") ||
		!strings.Contains(follow[1].What, "0,9 mm is under the limit") || follow[0].CarName != "Tern estate" {
		t.Errorf("got %+v", follow)
	}
	for name, m := range map[string]garage.StepMark{
		"a timer where none is":     {StepID: ids[0], Kind: garage.StartedMark, Value: jobsNow.Format(time.RFC3339)},
		"no wrench where none is":   {StepID: ids[0], Kind: garage.NoWrenchMark},
		"no number":                 {StepID: ids[2], Kind: garage.DoneMark, Value: "thin"},
		"a second look too early":   {StepID: ids[1], Kind: garage.SecondMark},
		"nothing that is known":     {StepID: ids[0], Kind: "well"},
		"undone without what it is": {StepID: ids[0], Kind: garage.UndoneMark},
	} {
		if _, err := c.store.MarkStep(c.ctx, m, jobsNow); fields(err) == "" {
			t.Errorf("%s: %v", name, err)
		}
	}

	c.must(c.store.UndoMark(c.ctx, done.ID, garage.StepMark{}, jobsNow))
	c.must(c.store.UndoMark(c.ctx, done.ID, garage.StepMark{}, jobsNow))
	if got := c.states(); got[0] != garage.StepOpen {
		t.Errorf("undone, and %s", got[0])
	}
	c.mark(ids[1], garage.DoneMark, "70 Nm")
	c.mark(ids[1], garage.SecondMark, "")
	if rows := c.card().Rows(); rows[1].Second == nil || len(garage.WantSecondLook(rows)) != 0 {
		t.Errorf("looked at a second time: %+v", rows[1])
	}
	if _, err := c.store.MarkStep(c.ctx, garage.StepMark{StepID: 1 << 40, Kind: garage.DoneMark}, jobsNow); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("got %v", err)
	}
	c.must(c.store.CloseJob(c.ctx, c.job, c.version(), "enough", jobsNow))
	if _, err := c.store.MarkStep(c.ctx, garage.StepMark{StepID: ids[0], Kind: garage.DoneMark}, jobsNow); fields(err) != "form" {
		t.Errorf("ticked on a closed job: %v", err)
	}
}

func TestStore_MarkStep_once_by_its_key(t *testing.T) {
	t.Parallel()
	c := newCardYard(t)
	id := c.write(do("A"))[0]
	key, late := "k1", jobsNow.Add(time.Hour)
	mark := garage.StepMark{StepID: id, Kind: garage.DoneMark, Key: &key, At: late}
	one, err := c.store.MarkStep(c.ctx, mark, jobsNow)
	c.must(err)
	two, err := c.store.MarkStep(c.ctx, mark, jobsNow)
	c.must(err)
	marks := c.card().Marks
	if one != two || len(marks) != 1 || !marks[0].At.Equal(jobsNow) {
		t.Errorf("got %v and %v, %d marks at %v", one, two, len(marks), marks[0].At)
	}
	// another phone ticked it too, without knowing: undoing one leaves the other
	other := c.mark(id, garage.DoneMark, "")
	c.must(c.store.UndoMarkByKey(c.ctx, id, key, garage.StepMark{}, jobsNow))
	if got := c.states(); got[0] != garage.StepDone {
		t.Errorf("got %v", got)
	}
	c.must(c.store.UndoMark(c.ctx, other.ID, garage.StepMark{}, jobsNow))
	if got := c.states(); got[0] != garage.StepOpen {
		t.Errorf("got %v", got)
	}
	if err := c.store.UndoMarkByKey(c.ctx, id, "never", garage.StepMark{}, jobsNow); fields(err) != "of" {
		t.Errorf("got %v", err)
	}
	if _, err := c.db.Exec(c.ctx, `update step_marks set value = 'x'`); err == nil {
		t.Error("a mark was changed")
	}
}

func TestStore_fasteners_used_once_become_needs(t *testing.T) {
	t.Parallel()
	c := newCardYard(t)
	fit := c.jobYard.stage(c.job, func(s *garage.Stage) { s.Name = "Fit" })
	off := func(n int) garage.Step {
		return garage.Step{Kind: garage.RemoveStep, Text: "Pins out", PartID: &c.part, Quantity: n}
	}
	needs := func() string {
		var all []string
		for _, n := range c.card().Sheet.Needs {
			all = append(all, fmt.Sprintf("%d at %t", n.Quantity, n.StageID == fit))
		}
		return strings.Join(all, ", ")
	}
	ids := c.write(off(2))
	if got := needs(); got != "2 at true" {
		t.Errorf("got %s", got)
	}
	c.write(off(1))
	if got := needs(); got != "2 at true, 1 at true" {
		t.Errorf("one more: %s", got)
	}
	c.mark(ids[0], garage.DoneMark, "")
	if got := needs(); got != "2 at true, 1 at true" {
		t.Errorf("taken off, bought twice: %s", got)
	}
	c.must(c.store.DeleteStep(c.ctx, ids[0]))
	if got := needs(); got != "1 at true" {
		t.Errorf("off the card: %s", got)
	}
	c.must(c.store.RestoreStep(c.ctx, ids[0]))
	if got := needs(); got != "1 at true, 2 at true" {
		t.Errorf("back on the card: %s", got)
	}
	// what the owner entered already is not asked for once more
	if _, err := c.store.CreateNeed(c.ctx, garage.Need{StageID: fit, PartID: c.part, Quantity: 4, Stops: true}, garage.PartPick{}); err != nil {
		t.Fatal(err)
	}
	c.write(off(1))
	if got := needs(); got != "1 at true, 2 at true, 4 at true" {
		t.Errorf("covered already: %s", got)
	}
}
