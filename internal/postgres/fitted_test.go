package postgres_test

import (
	"testing"
	"time"

	"axlestand/internal/garage"
)

// TestStore_Fitted_byTheWork: a stage that is done has fitted what it used, and its undo forgets it.
func TestStore_Fitted_byTheWork(t *testing.T) {
	t.Parallel()
	y := newJobYard(t)
	y.put(y.binA, 3)
	for _, reading := range []struct {
		on    garage.Date
		shown int
	}{{garage.NewDate(2027, 3, 5), 100_000}, {garage.NewDate(2027, 3, 25), 102_000}} {
		if _, err := y.store.AddReading(y.ctx, y.car, garage.ReadingEntry{ReadOn: reading.on, Shown: reading.shown, Unit: "km"}, garage.NewDate(2027, 6, 1)); err != nil {
			t.Fatal(err)
		}
	}
	job := y.job("Calipers")
	stage := y.first(job).ID
	y.need(stage, 2)
	finish := func(now time.Time) {
		if short, err := y.store.FinishStage(y.ctx, stage, false, nil, now); err != nil || len(short) > 0 {
			t.Fatal(short, err)
		}
	}
	rows := func() []garage.FittedRow {
		rows, err := y.store.FittedAlike(y.ctx, y.part)
		if err != nil {
			t.Fatal(err)
		}
		return rows
	}
	finish(jobsNow)
	if err := y.store.UnfinishStage(y.ctx, stage); err != nil {
		t.Fatal(err)
	}
	if got := rows(); len(got) != 0 {
		t.Errorf("undone, and still fitted: %+v", got)
	}
	finish(jobsNow)
	got := rows()
	if len(got) != 1 || got[0].Quantity != 2 || got[0].FittedOn != garage.NewDate(2027, 3, 5) || got[0].FittedM == nil || *got[0].FittedM != 100_000_000 {
		t.Fatalf("fitted: %+v", got)
	}
	f := got[0].Fitted
	f.EndedOn, f.EndedAs = new(garage.NewDate(2027, 3, 15)), garage.EndedFailed
	if err := y.store.UpdateFitted(y.ctx, f); err != nil {
		t.Fatal(err)
	}
	// Half of the way between the readings: 1,000 km.
	if got := rows()[0]; !got.Gave() {
		t.Errorf("failed: %+v", got)
	} else if ran, known := got.Ran(); !known || ran != 1_000_000 {
		t.Errorf("ran %d m, %v", ran, known)
	}
	f.Version++
	f.EndedOn = new(garage.NewDate(2027, 3, 1))
	if err := y.store.UpdateFitted(y.ctx, f); refusedAt(err) != "ended_on" {
		t.Errorf("ended before it was fitted: %v", err)
	}
}

// TestStore_FittedAlike: one of another number and grade that does the same is shown too.
func TestStore_FittedAlike(t *testing.T) {
	t.Parallel()
	y := newJobYard(t)
	cheap := createPart(t, y.store, func(p *garage.Part) {
		p.Name, p.Side, p.Number, p.OtherNumbers, p.Grade = "caliper", "", "X-1", "", "aftermarket"
	})
	other := createPart(t, y.store, func(p *garage.Part) { p.Name, p.Side, p.Number, p.OtherNumbers = "Hose", "", "H-1", "" })
	for _, id := range []garage.PartID{cheap, other} {
		if _, err := y.store.CreateFitted(y.ctx, garage.Fitted{
			PartID: id, CarID: y.car, Quantity: 1, Grade: "aftermarket", FittedOn: garage.NewDate(2026, 1, 10),
			EndedOn: new(garage.NewDate(2026, 9, 12)), EndedAs: garage.EndedFailed,
		}); err != nil {
			t.Fatal(err)
		}
	}
	rows, err := y.store.FittedAlike(y.ctx, y.part)
	if err != nil || len(rows) != 1 || rows[0].PartID != cheap {
		t.Fatalf("%+v, %v", rows, err)
	}
	lasted := garage.LastedBy(rows, garage.NewDate(2027, 3, 5))
	if len(lasted) != 1 || lasted[0].Gave != 1 || lasted[0].Months != 8 || lasted[0].Known {
		t.Errorf("lasted: %+v", lasted)
	}
	if err := y.store.DeleteFitted(y.ctx, rows[0].ID); err != nil {
		t.Fatal(err)
	}
	if rows, err := y.store.FittedAlike(y.ctx, y.part); err != nil || len(rows) != 0 {
		t.Errorf("deleted, and still there: %v, %v", rows, err)
	}
	if err := y.store.RestoreFitted(y.ctx, rows[0].ID); err != nil {
		t.Error(err)
	}
}
