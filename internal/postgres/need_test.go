package postgres_test

import (
	"errors"
	"testing"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
)

func TestStore_needs(t *testing.T) {
	t.Parallel()

	t.Run("enter, save, delete and bring back", func(t *testing.T) {
		t.Parallel()
		y := newJobYard(t)
		id := y.need(y.first(y.job("Brakes")).ID, 2)
		need, err := y.store.Need(y.ctx, id)
		if err != nil || need.PartID != y.part || need.Quantity != 2 || !need.Stops {
			t.Fatalf("%+v %v", need, err)
		}
		need.Quantity, need.Stops, need.Note = 4, false, "long ones"
		same := garage.PartPick{Text: "caliper"}
		if err := y.store.UpdateNeed(y.ctx, need, same); err != nil {
			t.Fatal(err)
		}
		if err := y.store.UpdateNeed(y.ctx, need, same); !errors.Is(err, garage.ErrConflict) {
			t.Errorf("an old version: %v", err)
		}
		if got, _ := y.store.Need(y.ctx, id); got.Quantity != 4 || got.Stops || got.Note != "long ones" || got.Version != 2 {
			t.Errorf("%+v", got)
		}
		if err := y.store.DeleteNeed(y.ctx, id); err != nil {
			t.Fatal(err)
		}
		if _, err := y.store.Need(y.ctx, id); !errors.Is(err, garage.ErrNotFound) {
			t.Errorf("still there: %v", err)
		}
		if err := y.store.RestoreNeed(y.ctx, id); err != nil {
			t.Fatal(err)
		}
		if err := y.store.RestoreNeed(y.ctx, id); !errors.Is(err, garage.ErrNotFound) {
			t.Errorf("brought back twice: %v", err)
		}
	})

	t.Run("with a part that is new to the garage", func(t *testing.T) {
		t.Parallel()
		y := newJobYard(t)
		stage := y.first(y.job("Brakes")).ID
		need := garagetest.Need(func(n *garage.Need) { n.StageID = stage })
		hose := garage.PartPick{Text: "Hose", New: true}
		id, err := y.store.CreateNeed(y.ctx, need, hose)
		if err != nil {
			t.Fatal(err)
		}
		got, _ := y.store.Need(y.ctx, id)
		if n := y.id(`select count(*) from parts where id = $1 and name = 'Hose'`, got.PartID); n != 1 {
			t.Error("the part is not in the garage")
		}
		need.Quantity = 0
		_, err = y.store.CreateNeed(y.ctx, need, garage.PartPick{Text: "Clip", New: true})
		t.Log(wrong(t, err, "quantity"))
		if n := y.id(`select count(*) from parts where name = 'Clip'`); n != 0 {
			t.Error("a refused need left its part behind")
		}
		_, err = y.store.CreateNeed(y.ctx, need, garage.PartPick{Text: "Clip"})
		t.Log(wrong(t, err, "quantity"), wrong(t, err, "new_part"))
	})

	t.Run("refused", func(t *testing.T) {
		t.Parallel()
		y := newJobYard(t)
		stage := y.first(y.job("Brakes")).ID
		id := y.need(stage, 1)
		y.exec(`update parts set deleted_at = now() where id = $1`, y.part)
		_, err := y.store.CreateNeed(y.ctx, garagetest.Need(func(n *garage.Need) { n.StageID = stage }), garage.PartPick{Text: "Caliper"})
		t.Log(wrong(t, err, "new_part"))
		if _, err := y.store.FinishStage(y.ctx, stage, true, nil, jobsNow); err != nil {
			t.Fatal(err)
		}
		t.Log(wrong(t, y.store.DeleteNeed(y.ctx, id), ""))
		_, err = y.store.CreateNeed(y.ctx, garagetest.Need(func(n *garage.Need) { n.StageID = 4711 }), garage.PartPick{})
		for _, err := range []error{err, y.store.DeleteNeed(y.ctx, 4711), y.store.UpdateNeed(y.ctx, garagetest.Need(), garage.PartPick{})} {
			if !errors.Is(err, garage.ErrNotFound) {
				t.Error(err)
			}
		}
	})
}
