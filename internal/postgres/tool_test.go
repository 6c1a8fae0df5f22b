package postgres_test

import (
	"errors"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/internal/pgtest"
	"axlestand/internal/postgres"
)

func TestStore_Tool(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	s := postgres.New(pgtest.Tx(t))
	want := garagetest.Tool(func(v *garage.Tool) {
		v.Name, v.HereFrom, v.HereTo = "Puller", new(garage.NewDate(2027, time.February, 28)), new(garage.NewDate(2027, time.March, 1))
	})
	id, err := s.CreateTool(ctx, want)
	if err != nil {
		t.Fatal(err)
	}
	want.ID = id
	got, err := s.Tool(ctx, id)
	if diff := cmp.Diff(want, got); diff != "" || err != nil {
		t.Errorf("%v %s", err, diff)
	}
	want.HereFrom, want.HereTo, want.Capacity = nil, nil, 2
	if err := s.UpdateTool(ctx, want); err != nil {
		t.Fatal(err)
	}
	if err := s.UpdateTool(ctx, want); !errors.Is(err, garage.ErrConflict) {
		t.Errorf("an old version: %v", err)
	}
	for _, err := range []error{second(s.CreateTool(ctx, garage.Tool{Capacity: 1})), s.UpdateTool(ctx, garage.Tool{ID: id, Capacity: 1})} {
		if !isInvalid(err, "name") {
			t.Errorf("without a name: %v", err)
		}
	}
	if _, err := s.CreateTool(ctx, garagetest.Tool(func(v *garage.Tool) { v.Name = "anvil" })); err != nil {
		t.Fatal(err)
	}
	if all, err := s.Tools(ctx); err != nil || len(all) != 2 || all[0].Name != "anvil" {
		t.Errorf("%+v, %v; want by name", all, err)
	}
	if err := s.DeleteTool(ctx, id); err != nil {
		t.Fatal(err)
	}
	want.Version = 2
	for _, err := range []error{s.DeleteTool(ctx, id), second(s.Tool(ctx, id)), s.RestoreTool(ctx, id+10)} {
		if !errors.Is(err, garage.ErrNotFound) {
			t.Errorf("deleted: %v", err)
		}
	}
	if err := s.UpdateTool(ctx, want); err == nil {
		t.Error("a deleted tool was saved")
	}
	if err := s.RestoreTool(ctx, id); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Tool(ctx, id); err != nil {
		t.Errorf("brought back: %v", err)
	}
}

func TestStore_DeleteTool_needed(t *testing.T) {
	t.Parallel()
	y := newJobYard(t)
	job := y.id(`insert into jobs (car_id, title, kind) values ($1, 'Front bushes', 'repair') returning id`, y.car)
	stage := y.id(`insert into stages (job_id, position, name, kind, low, likely, high) values ($1, 1, 'Press', 'bench', 30, 60, 90) returning id`, job)
	y.id(`insert into stage_tools (stage_id, tool_id) values ($1, $2) returning stage_id`, stage, y.press)
	err := y.store.DeleteTool(y.ctx, y.press)
	if invalid, ok := errors.AsType[*garage.InvalidError](err); !ok || invalid.Fields[""] != "It cannot go while open jobs need it: Front bushes." {
		t.Errorf("got %v", err)
	}
	y.id(`update stages set done_at = now() where id = $1 returning id`, stage)
	if err := y.store.DeleteTool(y.ctx, y.press); err != nil {
		t.Errorf("the stage is done, yet: %v", err)
	}
}
