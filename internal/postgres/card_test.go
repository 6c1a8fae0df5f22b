package postgres_test

import (
	"errors"
	"strings"
	"testing"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/postgres"
	"axlestand/internal/trade/caution"
)

func TestStore_Card(t *testing.T) {
	t.Parallel()
	c := newCardYard(t)
	c.write(do("A"), do("B"))
	now := c.card()
	if len(now.Steps) != 2 || now.Sheet.Job.ID != c.job {
		t.Errorf("got %+v", now)
	}
	c.mark(now.Steps[0].ID, garage.DoneMark, "")
	if done, all := garage.Progress(c.card().Rows()); done != 1 || all != 2 {
		t.Errorf("%d of %d", done, all)
	}
	if _, err := c.store.Card(c.ctx, 1<<40); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("got %v", err)
	}
}

func TestStore_leave_and_return(t *testing.T) {
	t.Parallel()
	c := newCardYard(t)
	c.must(c.store.Leave(c.ctx, garage.Leaving{JobID: c.job, At: jobsNow, Loose: "left arm hangs on one bolt"}))
	loose, err := c.store.LooseLeft(c.ctx)
	c.must(err)
	if len(loose) != 1 || loose[0].Loose != "left arm hangs on one bolt" || loose[0].CarName != "Tern estate" || c.card().Left() == nil {
		t.Errorf("got %+v", loose)
	}
	c.must(c.store.Return(c.ctx, c.job, jobsNow.Add(time.Hour), nil))
	if loose, _ := c.store.LooseLeft(c.ctx); len(loose) != 0 || c.card().Left() != nil {
		t.Errorf("back, and still %+v", loose)
	}
	c.must(c.store.Leave(c.ctx, garage.Leaving{JobID: c.job, At: jobsNow}))
	if loose, _ := c.store.LooseLeft(c.ctx); len(loose) != 0 {
		t.Errorf("nothing was loose: %+v", loose)
	}
	if err := c.store.Leave(c.ctx, garage.Leaving{JobID: c.job, At: jobsNow, Loose: strings.Repeat("x", 1001)}); fields(err) != "loose" {
		t.Errorf("got %v", err)
	}
	if err := c.store.Return(c.ctx, 1<<40, jobsNow, nil); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("got %v", err)
	}
}

func TestStore_copies_of_a_card(t *testing.T) {
	t.Parallel()
	c := newCardYard(t)
	c.write(
		garage.Step{Kind: garage.TorqueStep, Text: "Tighten", Figure: "45 Nm", Source: "Tern manual"},
		garage.Step{Kind: garage.WaitStep, Text: "Battery off", Figure: "7 min", Source: "Tern manual", Cautions: []caution.Topic{caution.Airbags}},
	)
	again := c.jobYard.job("Rear arms again")
	if sources, err := c.store.CardSources(c.ctx, again); err != nil || len(sources) != 1 || sources[0].ID != c.job {
		t.Errorf("copied from %+v, %v", sources, err)
	}
	if n, err := c.store.CopyCard(c.ctx, c.job, again); n != 2 || err != nil {
		t.Errorf("got %d %v", n, err)
	}
	c.must(c.store.KeepPattern(c.ctx, c.job, "Arms"))
	c.must(c.store.KeepPattern(c.ctx, c.job, "arms"))
	patterns, err := c.store.CardPatterns(c.ctx)
	c.must(err)
	if len(patterns) != 1 || len(patterns[0].Steps) != 2 {
		t.Fatalf("got %+v", patterns)
	}
	used := c.jobYard.job("Front arms")
	_, err = c.store.UsePattern(c.ctx, patterns[0].ID, used)
	c.must(err)
	card, err := c.store.Card(c.ctx, used)
	c.must(err)
	if s := card.Steps; len(s) != 2 || s[0].Figure != "45 Nm" || s[0].Source != "" || s[1].Figure != "" || s[1].Locked() == "" {
		t.Errorf("a pattern knows no car's own figures: %+v", s)
	}
	if err := c.store.KeepPattern(c.ctx, c.jobYard.job("Bare"), ""); fields(err) != "name" {
		t.Errorf("got %v", err)
	}
	c.must(c.store.DeleteCardPattern(c.ctx, patterns[0].ID))
	if _, err := c.store.UsePattern(c.ctx, patterns[0].ID, used); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("got %v", err)
	}
	c.must(c.store.RestoreCardPattern(c.ctx, patterns[0].ID))
	if _, err := c.store.CopyCard(c.ctx, c.jobYard.job("Empty"), used); fields(err) != "from" {
		t.Errorf("got %v", err)
	}
}

func TestStore_MirrorSteps(t *testing.T) {
	t.Parallel()
	c := newCardYard(t)
	left := garage.PartID(c.id(`insert into parts (name, side) values ('Trailing arm left', 'left') returning id`))
	right := garage.PartID(c.id(`insert into parts (name, side) values ('Trailing arm right', 'right') returning id`))
	lone := garage.PartID(c.id(`insert into parts (name, side) values ('Bracket', 'left') returning id`))
	ids := c.write(
		garage.Step{Kind: garage.DoStep, Text: "Left arm off", Side: "left", PartID: &left, Quantity: 1},
		garage.Step{Kind: garage.DoStep, Text: "Bracket off", Side: "left", PartID: &lone, Quantity: 1},
		do("Clean up"),
	)
	c.mark(ids[0], garage.DoneMark, "")
	n, without, err := c.store.MirrorSteps(c.ctx, c.stage.ID, "left")
	c.must(err)
	if n != 2 || len(without) != 1 || without[0].ID != lone {
		t.Errorf("got %d, without twin %v", n, without)
	}
	rows := c.card().Rows()
	if rows[2].Text != "Right arm off" || rows[2].Side != "right" || *rows[2].PartID != right || rows[2].State != garage.StepOpen || rows[4].Text != "Clean up" {
		t.Errorf("got %s", c.texts())
	}
	// a twin that the owner named goes before one of the same name
	odd := garage.PartID(c.id(`insert into parts (name, side) values ('Arm, driver''s', 'right') returning id`))
	c.exec(`insert into part_twins (left_id, right_id) values ($1, $2)`, left, odd)
	if _, _, err := c.store.MirrorSteps(c.ctx, c.stage.ID, "left"); err != nil {
		t.Fatal(err)
	}
	if rows := c.card().Rows(); *rows[2].PartID != odd {
		t.Errorf("got part %d, want %d", *rows[2].PartID, odd)
	}
	if _, _, err := c.store.MirrorSteps(c.ctx, c.jobYard.stage(c.job), "left"); fields(err) != "side" {
		t.Errorf("got %v", err)
	}
}

func TestStore_follow_ups(t *testing.T) {
	t.Parallel()
	c := newCardYard(t)
	on, m := garage.NewDate(2027, 3, 20), int64(100_050_000)
	id, err := c.store.CreateFollowUp(c.ctx, garage.FollowUp{CarID: c.car, What: "Re-torque the wheels", DueOn: &on, DueM: &m})
	c.must(err)
	rows := func() []garage.FollowUpRow {
		rows, err := c.store.FollowUps(c.ctx, postgres.FollowUpFilter{CarID: c.car})
		c.must(err)
		return rows
	}
	today := garage.NewDate(2027, 3, 6)
	if got := rows(); len(got) != 1 || got[0].Metres != nil || got[0].Due(today) || !got[0].Due(on) {
		t.Errorf("got %+v", got)
	}
	_, err = c.store.AddReading(c.ctx, c.car, garage.ReadingEntry{ReadOn: today, Shown: 100_060, Unit: "km"}, today)
	c.must(err)
	if got := rows(); got[0].Metres == nil || *got[0].Metres != 100_060_000 || !got[0].Due(today) {
		t.Errorf("driven past it: %+v", got[0])
	}
	v, err := c.store.FollowUp(c.ctx, id)
	c.must(err)
	v.What = "Re-torque all wheels"
	c.must(c.store.UpdateFollowUp(c.ctx, v))
	if err := c.store.UpdateFollowUp(c.ctx, v); !errors.Is(err, garage.ErrConflict) {
		t.Errorf("got %v", err)
	}
	c.must(c.store.FinishFollowUp(c.ctx, id, &jobsNow, "all tight"))
	if got := rows(); len(got) != 0 {
		t.Errorf("done, and still %+v", got)
	}
	c.must(c.store.FinishFollowUp(c.ctx, id, nil, ""))
	c.must(c.store.DeleteFollowUp(c.ctx, id))
	if err := c.store.FinishFollowUp(c.ctx, id, &jobsNow, ""); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("got %v", err)
	}
	c.must(c.store.RestoreFollowUp(c.ctx, id))
	if _, err := c.store.CreateFollowUp(c.ctx, garage.FollowUp{CarID: c.car}); fields(err) != "what" {
		t.Errorf("got %v", err)
	}
}

func TestStore_close_out_and_look_back(t *testing.T) {
	t.Parallel()
	c := newCardYard(t)
	on := garage.NewDate(2027, 4, 1)
	out := garage.CloseOut{JobID: c.job, Tools: true, RoadTest: "pulls straight", At: jobsNow}
	follow := []garage.FollowUp{{What: "Look for leaks", DueOn: &on}}
	c.must(c.store.SaveCloseOut(c.ctx, out, follow, &garage.LookBack{DueOn: &on}))
	if err := c.store.SaveCloseOut(c.ctx, out, nil, nil); !errors.Is(err, garage.ErrConflict) {
		t.Errorf("saved over by who had not seen it: %v", err)
	}
	card := c.card()
	if card.CloseOut == nil || !card.CloseOut.Tools || len(card.Follow) != 1 || card.LookBack == nil {
		t.Fatalf("got %+v", card)
	}
	out.Version, out.Panels = card.CloseOut.Version, true
	c.must(c.store.SaveCloseOut(c.ctx, out, nil, nil))
	if due, _ := c.store.DueLookBacks(c.ctx, on.AddDays(-1)); len(due) != 0 {
		t.Errorf("too early: %+v", due)
	}
	if due, _ := c.store.DueLookBacks(c.ctx, on); len(due) != 1 || due[0].JobTitle != "Rear arms" {
		t.Errorf("got %+v", due)
	}
	if err := c.store.AnswerLookBack(c.ctx, c.job, "very", "", jobsNow); fields(err) != "worth" {
		t.Errorf("got %v", err)
	}
	c.must(c.store.AnswerLookBack(c.ctx, c.job, "partly", "quieter, still vague", jobsNow))
	like, err := c.store.LikeLookBacks(c.ctx, c.jobYard.job("Front arms"))
	c.must(err)
	if len(like) != 1 || like[0].Changed != "quieter, still vague" {
		t.Errorf("a job like it: %+v", like)
	}
	if like, _ := c.store.LikeLookBacks(c.ctx, c.jobYard.job("Headlamp")); len(like) != 0 {
		t.Errorf("a job unlike it: %+v", like)
	}
}

func TestStore_ChooseWrench(t *testing.T) {
	t.Parallel()
	c := newCardYard(t)
	id := c.write(garage.Step{Kind: garage.TorqueStep, Text: "Tighten", Figure: "45 Nm"})[0]
	wrench := garage.WrenchID(c.jobYard.id(`insert into wrenches (name, unit, low, high) values ('Half inch', 'Nm', 40, 200) returning id`))
	c.must(c.store.ChooseWrench(c.ctx, id, &wrench, "50 mm", "0"))
	if s, _ := c.store.Step(c.ctx, id); s.WrenchID == nil || s.Extension != "50 mm" || s.Revision != 1 {
		t.Errorf("got %+v", s)
	}
	if err := c.store.ChooseWrench(c.ctx, 1<<40, nil, "", ""); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("got %v", err)
	}
}
