package postgres_test

import (
	"errors"
	"strings"
	"testing"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/postgres"
)

func (c *cardYard) round(r garage.Round) garage.RoundID {
	c.Helper()
	r.JobID = c.job
	id, err := c.store.AddRound(c.ctx, r)
	if err != nil {
		c.Fatal(err)
	}
	return id
}

func TestStore_rounds(t *testing.T) {
	t.Parallel()
	c := newCardYard(t)
	c.must(c.store.SetRepeat(c.ctx, c.job, "the coolant runs clear"))
	week, far := garage.NewDate(2027, 3, 13), int64(200_000)
	first := c.round(garage.Round{At: jobsNow, Observation: "rusty", Reading: "8 l out", NextOn: &week})
	if _, err := c.store.AddRound(c.ctx, garage.Round{JobID: c.job, At: jobsNow, Observation: "brown", NextDistanceM: &far}); fields(err) != "next_distance" {
		t.Errorf("no reading to count from: %v", err)
	}
	last := c.round(garage.Round{At: jobsNow.Add(time.Hour), Observation: "clear", Ended: "clear enough"})
	card := c.card()
	if card.RepeatUntil != "the coolant runs clear" || len(card.Rounds) != 2 || card.Rounds[1].Number != 2 || len(card.Follow) != 1 ||
		!strings.HasPrefix(card.Follow[0].What, "Round 2: ") || card.Follow[0].DoneAt == nil || !card.RoundsEnded() {
		t.Errorf("got %+v, follow-ups %+v", card.Rounds, card.Follow)
	}
	if _, err := c.store.AddRound(c.ctx, garage.Round{JobID: c.job, At: jobsNow, Observation: "again"}); fields(err) != "form" {
		t.Errorf("ended, and went on: %v", err)
	}
	if _, err := c.store.AddRound(c.ctx, garage.Round{JobID: c.job, At: jobsNow}); fields(err) != "observation" {
		t.Errorf("got %v", err)
	}
	if err := c.store.UndoRound(c.ctx, first, jobsNow); fields(err) != "form" {
		t.Errorf("the first went from under the second: %v", err)
	}
	for range 2 { // undone twice is undone once
		c.must(c.store.UndoRound(c.ctx, last, jobsNow))
	}
	card = c.card()
	if len(card.Rounds) != 1 || card.RoundsEnded() || !card.RoundsOpen() || len(card.Follow) != 1 || card.Follow[0].DoneAt != nil {
		t.Errorf("the last undone: %+v, follow-ups %+v", card.Rounds, card.Follow)
	}
	c.must(c.store.UndoRound(c.ctx, first, jobsNow))
	if card = c.card(); len(card.Rounds)+len(card.Follow) != 0 {
		t.Errorf("all undone: %+v, follow-ups %+v", card.Rounds, card.Follow)
	}
	if id := c.round(garage.Round{At: jobsNow, Observation: "rusty still"}); c.card().Rounds[0].ID != id || c.card().Rounds[0].Number != 1 {
		t.Errorf("counted on from what was undone: %+v", c.card().Rounds)
	}
	if err := c.store.UndoRound(c.ctx, 4711, jobsNow); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("got %v", err)
	}
}

// TestStore_rounds_byDistance: the next round waits at a distance, and is due once the car has run it.
func TestStore_rounds_byDistance(t *testing.T) {
	t.Parallel()
	c := newCardYard(t)
	today := garage.NewDate(2027, 3, 5)
	read := func(shown int) {
		t.Helper()
		_, err := c.store.AddReading(c.ctx, c.car, garage.ReadingEntry{ReadOn: today, Shown: shown, Unit: "km"}, today)
		c.must(err)
	}
	read(99_800)
	far := int64(200_000)
	c.round(garage.Round{At: jobsNow, Observation: "rusty", NextDistanceM: &far})
	due := func() bool {
		t.Helper()
		rows, err := c.store.FollowUps(c.ctx, postgres.FollowUpFilter{JobID: c.job})
		if err != nil || len(rows) != 1 || !rows[0].Round || rows[0].DueM == nil || *rows[0].DueM != 100_000_000 {
			t.Fatalf("%v %+v", err, rows)
		}
		return rows[0].Due(today)
	}
	if due() {
		t.Error("due before it was driven")
	}
	read(100_050)
	if !due() {
		t.Error("driven, and not due")
	}
}

func TestStore_RoundPhotos(t *testing.T) {
	t.Parallel()
	c := newCardYard(t)
	id := c.round(garage.Round{At: jobsNow, Observation: "rusty"})
	p := picture(c.car, 7)
	p.Of = garage.PhotoSubject{Kind: garage.PhotoOfRound, ID: int64(id)}
	c.must(c.store.AddPhoto(c.ctx, p))
	photos, err := c.store.RoundPhotos(c.ctx, c.job)
	if err != nil || len(photos[id]) != 1 || photos[id][0].Note != p.Note {
		t.Fatalf("%v %+v", err, photos)
	}
	if of, err := c.store.PhotoUseOf(c.ctx, photos[id][0].ID); err != nil || of != p.Of {
		t.Errorf("%v %+v", err, of)
	}
	if of, err := c.store.PhotoSubjectName(c.ctx, p.Of); err != nil || of.Name != "Round 1" || of.On != int64(c.job) {
		t.Errorf("%v %+v", err, of)
	}
}
