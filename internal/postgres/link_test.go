package postgres_test

import (
	"errors"
	"slices"
	"testing"
	"time"

	"axlestand/internal/garage"
)

func (c *cardYard) link(hash byte, changes ...func(*garage.Link)) garage.LinkID {
	c.Helper()
	l := garage.Link{
		TokenHash: slices.Repeat([]byte{hash}, 32), Name: "Neighbour", Rights: garage.LookAndTick, Jobs: []garage.JobID{c.job},
		CreatedAt: jobsNow, ExpiresAt: jobsNow.AddDate(0, 0, 14),
	}
	for _, change := range changes {
		change(&l)
	}
	id, err := c.store.CreateLink(c.ctx, l)
	if err != nil {
		c.Fatal(err)
	}
	return id
}

func TestLink_opensAsLongAsItHolds(t *testing.T) {
	t.Parallel()
	c := newCardYard(t)
	id := c.link(1)
	token, browser := slices.Repeat([]byte{1}, 32), slices.Repeat([]byte{9}, 32)
	end := jobsNow.AddDate(0, 0, 14)
	is := func(what string, err error, found bool) {
		t.Helper()
		if found && err != nil || !found && !errors.Is(err, garage.ErrNotFound) {
			t.Errorf("%s: %v", what, err)
		}
	}
	opens := func(what string, at time.Time, found bool) {
		t.Helper()
		_, err := c.store.LinkOfToken(c.ctx, token, at)
		is(what+", token", err, found)
		_, err = c.store.LinkOfBrowser(c.ctx, id, browser, at)
		is(what+", browser", err, found)
	}
	is("started", c.store.StartLink(c.ctx, id, browser, "A phone", jobsNow), true)
	opens("at once", jobsNow, true)
	opens("in its last second", end.Add(-time.Second), true)
	opens("run out", end, false)
	is("started when run out", c.store.StartLink(c.ctx, id, slices.Repeat([]byte{8}, 32), "", end), false)

	other := c.link(2)
	_, err := c.store.LinkOfBrowser(c.ctx, other, browser, jobsNow)
	is("another link's browser", err, false)
	_, err = c.store.LinkOfToken(c.ctx, browser, jobsNow)
	is("a browser's token as a link", err, false)

	got, err := c.store.Link(c.ctx, id)
	if err != nil || got.Browsers != 1 || got.SeenAt == nil || !got.SeenAt.Equal(end.Add(-time.Second)) || !got.Opens(c.job) {
		t.Errorf("%+v %v", got, err)
	}
	c.must(c.store.RevokeLink(c.ctx, id, jobsNow.Add(time.Hour)))
	c.must(c.store.RevokeLink(c.ctx, id, jobsNow.Add(2*time.Hour)))
	opens("revoked", jobsNow, false)
	if got, _ := c.store.Link(c.ctx, id); got.RevokedAt == nil || !got.RevokedAt.Equal(jobsNow.Add(time.Hour)) {
		t.Error("revoked", got.RevokedAt)
	}
	c.must(c.store.RevokeLinks(c.ctx, jobsNow))
	if all, err := c.store.Links(c.ctx); err != nil || len(all) != 2 || all[0].Live(jobsNow) || all[1].Live(jobsNow) {
		t.Errorf("%+v %v", all, err)
	}
	is("no such link", c.store.RevokeLink(c.ctx, 999, jobsNow), false)
}

func TestCreateLink_needsItsJobs(t *testing.T) {
	t.Parallel()
	c := newCardYard(t)
	_, err := c.store.CreateLink(c.ctx, garage.Link{
		TokenHash: slices.Repeat([]byte{1}, 32), Name: "Neighbour", Rights: garage.Look, Jobs: []garage.JobID{c.job, 999},
		CreatedAt: jobsNow, ExpiresAt: jobsNow.Add(time.Hour),
	})
	if fields(err) != "jobs" {
		t.Error(err)
	}
	if all, _ := c.store.Links(c.ctx); len(all) != 0 {
		t.Error("a link without its jobs is there")
	}
}

func TestUndoLinkWork(t *testing.T) {
	t.Parallel()
	c := newCardYard(t)
	ids := c.write(do("Wheels off"), do("Calipers off"), do("Discs off"), do("Hubs clean"))
	id := c.link(1)
	help := func(step garage.StepID, kind garage.MarkKind) garage.MarkID {
		t.Helper()
		made, err := c.store.MarkStep(c.ctx, garage.StepMark{StepID: step, Kind: kind, ByLink: &id}, jobsNow)
		if err != nil {
			t.Fatal(err)
		}
		return made.ID
	}
	c.mark(ids[0], garage.DoneMark, "")
	help(ids[0], garage.SecondMark)
	help(ids[1], garage.DoneMark)
	c.must(c.store.UndoMark(c.ctx, help(ids[2], garage.DoneMark), garage.StepMark{ByLink: &id}, jobsNow))
	help(ids[3], garage.DoneMark)
	if marks, err := c.store.LinkMarks(c.ctx, id); err != nil || len(marks) != 5 {
		t.Fatalf("%d marks, %v", len(marks), err)
	}
	undone, err := c.store.UndoLinkWork(c.ctx, id, jobsNow.Add(time.Hour))
	if err != nil || undone != 3 {
		t.Fatal(undone, err)
	}
	want := []garage.StepState{garage.StepDone, garage.StepOpen, garage.StepOpen, garage.StepOpen}
	if got := c.states(); !slices.Equal(got, want) {
		t.Errorf("%v, want what the owner did and no more: %v", got, want)
	}
	if undone, err := c.store.UndoLinkWork(c.ctx, id, jobsNow.Add(2*time.Hour)); err != nil || undone != 0 {
		t.Error("a second time:", undone, err)
	}
}
