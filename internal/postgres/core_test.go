package postgres_test

import (
	"cmp"
	"errors"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"

	gocmp "github.com/google/go-cmp/cmp"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/internal/postgres"
	"axlestand/internal/trade/deposit"
)

func (y *jobYard) core(changes ...func(*garage.Core)) garage.CoreID {
	y.Helper()
	v := garagetest.Core(func(v *garage.Core) { v.PartID = y.part })
	for _, change := range changes {
		change(&v)
	}
	id, err := y.store.CreateCore(y.ctx, v)
	if err != nil {
		y.Fatal(err)
	}
	return id
}

func (y *jobYard) happens(id garage.CoreID, state deposit.State, amount, freight int64) {
	y.Helper()
	_, err := y.store.AddCoreEvent(y.ctx, garage.CoreEvent{
		CoreID: id, State: state, HappenedOn: garage.NewDate(2027, 3, 10), Amount: amount, Freight: freight,
	})
	if err != nil {
		y.Fatalf("%s: %v", state, err)
	}
}

func TestStore_Core(t *testing.T) {
	t.Parallel()
	y := newJobYard(t)
	ctx, s := y.ctx, y.store
	want := garagetest.Core(func(v *garage.Core) { v.PartID, v.JobID = y.part, new(y.job("Front brakes")) })
	id, err := s.CreateCore(ctx, want)
	if err != nil {
		t.Fatal(err)
	}
	want.ID, want.FreedBy = id, want.JobID
	got, err := s.Core(ctx, id)
	if diff := gocmp.Diff(want, got); diff != "" || err != nil {
		t.Errorf("%v %s", err, diff)
	}
	shot, err := s.Snapshot(ctx)
	if err != nil || len(shot.Cores) != 1 || shot.Cores[0].ID != id {
		t.Errorf("the plan knows of %+v, %v", shot.Cores, err)
	}
	want.Deposit, want.BasisOn = 5000, nil
	if err := s.UpdateCore(ctx, want); err != nil {
		t.Fatal(err)
	}
	if got, err := s.Core(ctx, id); err != nil || got.Paid != 5000 || got.Outstanding != 5000 || got.BasisOn != nil {
		t.Errorf("changed: %+v, %v", got, err)
	}
	lost := want
	lost.PartID = 999_999
	for name, err := range map[string]error{"stale": s.UpdateCore(ctx, want)} {
		if !errors.Is(err, garage.ErrConflict) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := s.CreateCore(ctx, lost); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("without a part: %v", err)
	}
	if _, err := s.CreateCore(ctx, garagetest.Core(func(v *garage.Core) { v.Supplier = "" })); !isInvalid(err, "supplier") {
		t.Errorf("refused: %v", err)
	}
	if err := s.DeleteCore(ctx, id); err != nil {
		t.Fatal(err)
	}
	for _, err := range []error{s.DeleteCore(ctx, id), second(s.Core(ctx, id)), second(s.CoreSheet(ctx, id)), s.RestoreCore(ctx, id+10)} {
		if !errors.Is(err, garage.ErrNotFound) {
			t.Errorf("deleted: %v", err)
		}
	}
	if err := s.RestoreCore(ctx, id); err != nil {
		t.Fatal(err)
	}
}

// Computed: of 2 × 45.00, one accepted in full and one at 60 %, 72.00 come back and 18.00 are lost; freight 11.90 leaves 60.10.
func TestStore_AddCoreEvent_partial_refund(t *testing.T) {
	t.Parallel()
	y := newJobYard(t)
	full, part := y.core(), y.core()
	y.happens(full, deposit.Sent, 0, 1190)
	y.happens(part, deposit.Sent, 0, 0)
	y.happens(full, deposit.Accepted, 4500, 0)
	y.happens(part, deposit.Accepted, 2700, 0)
	y.happens(full, deposit.Refunded, 4500, 0)
	y.happens(part, deposit.Refunded, 2700, 0)
	rows, err := y.store.Cores(y.ctx)
	if err != nil || len(rows) != 2 {
		t.Fatal(rows, err)
	}
	var refunded, forfeited, outstanding, freight int64
	for _, c := range rows {
		refunded, forfeited, outstanding = refunded+c.Refunded, forfeited+c.Forfeited, outstanding+c.Outstanding
		sheet, err := y.store.CoreSheet(y.ctx, c.ID)
		if err != nil {
			t.Fatal(err)
		}
		unit, err := sheet.Core.Replay(sheet.Events)
		if err != nil {
			t.Fatal(err)
		}
		freight += unit.Freight.Minor
	}
	if refunded != 7200 || forfeited != 1800 || outstanding != 0 || refunded-freight != 6010 {
		t.Errorf("refunded %d, lost %d, outstanding %d, net %d", refunded, forfeited, outstanding, refunded-freight)
	}
}

func TestStore_AddCoreEvent_refuses(t *testing.T) {
	t.Parallel()
	y := newJobYard(t)
	id := y.core()
	add := func(e garage.CoreEvent) error {
		e.CoreID = id
		return second(y.store.AddCoreEvent(y.ctx, e))
	}
	on := garage.NewDate(2027, 3, 10)
	if err := add(garage.CoreEvent{State: deposit.Refunded, HappenedOn: on, Amount: 4500}); !isInvalid(err, "state") {
		t.Errorf("refunded before it was sent: %v", err)
	}
	y.happens(id, deposit.Sent, 0, 0)
	if err := add(garage.CoreEvent{State: deposit.Accepted, HappenedOn: on, Amount: 4501}); !isInvalid(err, "amount") {
		t.Errorf("more than the deposit: %v", err)
	}
	if err := add(garage.CoreEvent{State: deposit.Received, HappenedOn: on.AddDays(-1)}); !isInvalid(err, "happened_on") {
		t.Errorf("received before it was sent: %v", err)
	}
	sheet, err := y.store.CoreSheet(y.ctx, id)
	if err != nil || len(sheet.Events) != 1 {
		t.Fatal(sheet, err)
	}
	if err := add(garage.CoreEvent{HappenedOn: on, Reverses: &sheet.Events[0].ID}); err != nil {
		t.Fatal(err)
	}
	if c, err := y.store.Core(y.ctx, id); err != nil || c.State != deposit.Owed {
		t.Errorf("taken back: %+v, %v", c, err)
	}
}

// The database itself refuses money that is neither refunded nor lost nor outstanding, and refunds that nobody noted.
func TestCores_databaseKeepsTheMoney(t *testing.T) {
	t.Parallel()
	y := newJobYard(t)
	id := y.core()
	for sql, constraint := range map[string]string{
		`update cores set refunded = 1 where id = $1`:                                                              "cores_money_conserved",
		`update cores set refunded = 4500, outstanding = 0, state = 'refunded' where id = $1`:                      "cores_refunds_noted",
		`insert into core_events (core_id, state, happened_on, amount) values ($1, 'refunded', '2027-03-10', 100)`: "cores_refunds_noted",
		`update cores set forfeited = 4500, outstanding = 0 where id = $1`:                                         "cores_ended",
	} {
		tx, err := y.db.Begin(y.ctx)
		if err != nil {
			t.Fatal(err)
		}
		_, err = tx.Exec(y.ctx, sql, id)
		if err == nil {
			_, err = tx.Exec(y.ctx, `set constraints all immediate`)
		}
		if err == nil || !strings.Contains(err.Error(), constraint) && !strings.Contains(err.Error(), "what the events say") {
			t.Errorf("%s: %v, want %s", sql, err, constraint)
		}
		if err := tx.Rollback(y.ctx); err != nil {
			t.Fatal(err)
		}
	}
}

// Whatever happens to units, in the database paid = refunded + forfeited + outstanding, with the refunds that the events say.
func TestStore_AddCoreEvent_random(t *testing.T) {
	t.Parallel()
	y := newJobYard(t)
	r := rand.New(rand.NewPCG(6, 81))
	histories, err := strconv.Atoi(cmp.Or(os.Getenv("AXLESTAND_HISTORIES"), "40"))
	if err != nil {
		t.Fatal(err)
	}
	for range histories {
		id := y.core(func(v *garage.Core) { v.Deposit = 1 + r.Int64N(20_000) })
		for range 8 {
			sheet, err := y.store.CoreSheet(y.ctx, id)
			if err != nil {
				t.Fatal(err)
			}
			randomEvent(t, y.store, r, sheet)
		}
	}
	var wrong int
	err = y.db.QueryRow(y.ctx, `select count(*) from cores c where paid <> refunded + forfeited + outstanding or refunded <> (
		select coalesce(sum(amount), 0) from core_events e where e.core_id = c.id and e.state = 'refunded'
		and not exists (select from core_events x where x.reverses = e.id))`).Scan(&wrong)
	if err != nil || wrong != 0 {
		t.Errorf("%d cores do not add up (%v)", wrong, err)
	}
	if _, err := y.db.Exec(y.ctx, `set constraints all immediate`); err != nil {
		t.Error(err)
	}
}

func randomEvent(t *testing.T, s *postgres.Store, r *rand.Rand, sheet garage.CoreSheet) {
	t.Helper()
	e := garage.CoreEvent{CoreID: sheet.Core.ID, HappenedOn: garage.NewDate(2027, 3, 10), Freight: r.Int64N(100)}
	last, any := garage.LatestCoreEvent(sheet.Events)
	next := sheet.Core.State.Next()
	switch {
	case any && (len(next) == 0 || r.IntN(4) == 0):
		e.Reverses, e.Freight = &last.ID, 0
	default:
		e.State = next[r.IntN(len(next))]
		if e.State == deposit.Accepted || e.State == deposit.Refunded {
			e.Amount = 1 + r.Int64N(sheet.Core.Outstanding)
		}
	}
	if _, err := s.AddCoreEvent(t.Context(), e); err != nil {
		t.Fatalf("%s after %s: %v", e.State, sheet.Core.State, err)
	}
}

func TestStore_SendFromDonor(t *testing.T) {
	t.Parallel()
	y := newJobYard(t)
	donor, err := y.store.CreateCar(y.ctx, garagetest.Car(func(c *garage.Car) { c.Name, c.Role, c.Plate, c.VIN = "Spare set", garage.Donor, "", "" }))
	if err != nil {
		t.Fatal(err)
	}
	unit := garage.DonorPartID(y.id(`insert into donor_parts (car_id, part_id, quantity) values ($1, $2, 1) returning id`, donor, y.part))
	job := y.job("Front brakes")
	harvest, err := y.store.CreateHarvest(y.ctx, garage.HarvestPlan{CarID: donor, Title: "Strip", Parts: []garage.DonorPartID{unit}, Currency: "EUR", Low: 30, Likely: 60, High: 90})
	if err != nil {
		t.Fatal(err)
	}
	id := y.core(func(v *garage.Core) { v.JobID = &job })
	second := y.core()
	freed := func() garage.JobID {
		v, err := y.store.Core(y.ctx, id)
		if err != nil || v.FreedBy == nil {
			t.Fatalf("freed by nobody: %+v, %v", v, err)
		}
		return *v.FreedBy
	}
	if freed() != job {
		t.Error("the job on the car frees its unit")
	}
	if err := y.store.SendFromDonor(y.ctx, id, &unit); err != nil {
		t.Fatal(err)
	}
	if freed() != harvest {
		t.Error("the harvest frees the donor's unit")
	}
	shot, err := y.store.Snapshot(y.ctx)
	if err != nil || len(shot.DonorParts) != 1 || shot.DonorParts[0].Free() != 0 {
		t.Errorf("jobs may still have it: %+v, %v", shot.DonorParts, err)
	}
	if err := y.store.SendFromDonor(y.ctx, second, &unit); !isInvalid(err, "donor_part") {
		t.Errorf("one unit for two deposits: %v", err)
	}
	other := garage.DonorPartID(y.id(`
		with other as (insert into parts (name) values ('Hub') returning id)
		insert into donor_parts (car_id, part_id, quantity) select $1, id, 1 from other returning id`, donor))
	if err := y.store.SendFromDonor(y.ctx, second, &other); !isInvalid(err, "donor_part") {
		t.Errorf("another part: %v", err)
	}
	if err := y.store.SendFromDonor(y.ctx, id, nil); err != nil || freed() != job {
		t.Errorf("the car's own again: %v", err)
	}
	y.happens(id, deposit.Removed, 0, 0)
	if err := y.store.SendFromDonor(y.ctx, id, &unit); !isInvalid(err, "") {
		t.Errorf("it is off already: %v", err)
	}
	if err := y.store.SendFromDonor(y.ctx, 1<<40, nil); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("no such core: %v", err)
	}
}
