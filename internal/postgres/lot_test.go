package postgres_test

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"sync"
	"sync/atomic"
	"testing"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/internal/pgtest"
	"axlestand/internal/postgres"
)

// lieIn is what of a part lies where, as words.
func lieIn(t *testing.T, s *postgres.Store, part garage.PartID) string {
	t.Helper()
	stock, err := s.StockOf(t.Context(), part)
	if err != nil {
		t.Fatal(err)
	}
	words := ""
	for _, b := range stock {
		words += fmt.Sprintf("%d %s %s%s;", b.Quantity, b.BinName, b.Condition, b.Lot.Note)
	}
	return words
}

func TestStore_SortStock(t *testing.T) {
	t.Parallel()
	s := postgres.New(pgtest.Tx(t))
	part := createPart(t, s)
	putStock(t, s, part, 5, "A1")
	car := createCar(t, s)
	bin := func() garage.BinID {
		stock, err := s.StockOf(t.Context(), part)
		if err != nil || len(stock) == 0 {
			t.Fatal(stock, err)
		}
		return stock[0].BinID
	}()
	worn := garage.Lot{Condition: "worn"}
	checked := garage.Lot{Condition: "good", CheckedOn: new(garage.NewDate(2027, 3, 5)), CheckedCarID: &car, Grade: "used"}
	sort := func(quantity int, of *garage.LotID, as garage.Lot) (garage.MovementID, error) {
		return s.SortStock(t.Context(), garage.Movement{PartID: part, BinID: bin, LotID: of, Quantity: quantity}, as)
	}
	if _, err := sort(6, nil, worn); refusedAt(err) != "quantity" {
		t.Errorf("more than there are: got %v", err)
	}
	split, err := sort(2, nil, worn)
	if err != nil {
		t.Fatal(err)
	}
	if got := lieIn(t, s, part); got != "3 A1 ;2 A1 worn;" {
		t.Errorf("split: %s", got)
	}
	if _, err := sort(1, nil, checked); err != nil {
		t.Fatal(err)
	}
	stock, err := s.StockOf(t.Context(), part)
	if err != nil {
		t.Fatal(err)
	}
	lots := map[string]*garage.LotID{}
	for _, b := range stock {
		lots[b.Condition] = b.LotID
		if b.Condition == "good" && (b.Lot.CheckedCar != garagetest.Car().Name || b.Grade != "used") {
			t.Errorf("what is known of it: %+v", b)
		}
		if b.Condition == "" && b.Grade != "maker" {
			t.Errorf("as bought it is %s", b.Grade)
		}
	}
	if _, err := sort(2, lots["worn"], worn); refusedAt(err) != "" || err == nil {
		t.Errorf("what they are already: got %v", err)
	}
	if _, err := sort(1, lots["worn"], garage.Lot{}); err != nil { // put together again
		t.Fatal(err)
	}
	if got := lieIn(t, s, part); got != "3 A1 ;1 A1 worn;1 A1 good;" {
		t.Errorf("merged: %s", got)
	}
	if _, err := sort(1, lots["worn"], garage.Lot{}); err != nil {
		t.Fatal(err)
	}
	if _, err := sort(1, lots["worn"], garage.Lot{}); refusedAt(err) != "quantity" {
		t.Errorf("when none is left: got %v", err)
	}
	if _, err := s.ReverseMovement(t.Context(), split); refusedAt(err) != "" || err == nil {
		t.Errorf("the split reversed when they are together again: got %v", err)
	}
	again, err := sort(4, nil, worn)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.ReverseMovement(t.Context(), again); err != nil {
		t.Fatal(err)
	}
	if got := lieIn(t, s, part); got != "4 A1 ;1 A1 good;" {
		t.Errorf("reversed: %s", got)
	}
	if _, err := sort(1, nil, garage.Lot{Condition: "shiny"}); refusedAt(err) != "condition" {
		t.Errorf("shiny: got %v", err)
	}
	if _, err := sort(1, nil, garage.Lot{CheckedCarID: &car}); refusedAt(err) != "checked_car" {
		t.Errorf("checked on no day: got %v", err)
	}
}

func TestStore_PinNeed(t *testing.T) {
	t.Parallel()
	y := newJobYard(t)
	bin := y.binA
	y.put(bin, 2)
	one, two := y.job("One"), y.job("Two")
	first, second := y.need(y.first(one).ID, 2), y.need(y.first(two).ID, 1)
	if err := y.store.PinNeed(y.ctx, first, jobsNow); err != nil {
		t.Fatal(err)
	}
	if err := y.store.PinNeed(y.ctx, second, jobsNow); err == nil || refusedAt(err) != "" {
		t.Errorf("kept twice: got %v", err)
	}
	take := func(job *garage.JobID, kind string, n int) error {
		_, err := y.store.TakeStock(y.ctx, garage.Movement{PartID: y.part, BinID: bin, Quantity: -n, Kind: kind, JobID: job})
		return err
	}
	if err := take(&two, "used", 1); refusedAt(err) != "quantity" {
		t.Errorf("taken for another job: got %v", err)
	}
	if err := take(nil, "used", 1); refusedAt(err) != "quantity" {
		t.Errorf("taken for no job: got %v", err)
	}
	stages, err := y.store.Stages(y.ctx, two)
	if err != nil {
		t.Fatal(err)
	}
	if short, err := y.store.FinishStage(y.ctx, stages[0].ID, false, nil, jobsNow); err != nil || len(short) != 1 {
		t.Errorf("done with what is kept: %v, %v", short, err)
	}
	if err := take(&one, "used", 1); err != nil {
		t.Errorf("taken for the job it is kept for: %v", err)
	}
	// One is gone for good: what is left is too little, and nothing is kept that is not there.
	if err := take(nil, "scrapped", 1); err != nil {
		t.Fatal(err)
	}
	if kept, err := y.store.Kept(y.ctx, y.part); err != nil || len(kept) != 0 {
		t.Errorf("still kept: %v, %v", kept, err)
	}
	y.put(bin, 1)
	if err := y.store.PinNeed(y.ctx, second, jobsNow); err != nil {
		t.Fatal(err)
	}
	if err := y.store.UnpinNeed(y.ctx, second); err != nil {
		t.Fatal(err)
	}
	if err := take(nil, "used", 1); err != nil {
		t.Errorf("when it is free again: %v", err)
	}
	if err := y.store.PinNeed(y.ctx, 4711, jobsNow); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("one that never was: %v", err)
	}
}

// TestStore_stockRace lets a thousand hands at a few pieces: they take, keep, let go, move and put back. Whatever comes first,
// no bin holds less than nothing and no more is kept than lies there.
func TestStore_stockRace(t *testing.T) {
	t.Parallel()
	pool := pgtest.Pool(t)
	y := jobYardOn(t, pool)
	bins := []garage.BinID{y.binA, y.binB}
	y.put(bins[0], 30)
	y.put(bins[1], 30)
	var needs []garage.NeedID
	for i := range 12 {
		needs = append(needs, y.need(y.first(y.job(fmt.Sprint("Job ", i))).ID, 3))
	}
	var taken, refused atomic.Int64
	var all sync.WaitGroup
	work := make(chan uint64)
	for range 10 {
		all.Go(func() {
			for seed := range work {
				n, err := y.anyHand(rand.New(rand.NewPCG(seed, 1)), bins, needs)
				switch {
				case err == nil:
					taken.Add(int64(n))
				case refusedAt(err) != "" || wasRefused(err):
					refused.Add(1)
				default:
					t.Error(err)
				}
			}
		})
	}
	for seed := range uint64(1000) {
		work <- seed
	}
	close(work)
	all.Wait()
	left := y.id(`select sum(quantity) from stock where part_id = $1`, y.part)
	if left != 60-taken.Load() || left < 0 {
		t.Errorf("%d left of 60 after %d were taken", left, taken.Load())
	}
	if low := y.id(`select count(*) from stock where quantity < 0`); low != 0 {
		t.Errorf("%d bins hold less than nothing", low)
	}
	if kept := y.id(`select coalesce(sum(quantity), 0) from needs where pinned_at is not null`); kept > left || kept == 0 {
		t.Errorf("%d are kept, %d lie there", kept, left)
	}
	if taken.Load() == 0 || refused.Load() == 0 {
		t.Errorf("%d were taken and %d refused: that is no race", taken.Load(), refused.Load())
	}
}

func wasRefused(err error) bool {
	_, ok := errors.AsType[*garage.InvalidError](err)
	return ok
}

// anyHand does one thing at random and says how many pieces it took for good. What is kept for the second half of the needs is
// never let go, so that at the end something is kept.
func (y *jobYard) anyHand(random *rand.Rand, bins []garage.BinID, needs []garage.NeedID) (int, error) {
	bin, i := bins[random.IntN(len(bins))], random.IntN(len(needs))
	switch random.IntN(6) {
	case 0, 1:
		return 0, y.store.PinNeed(y.ctx, needs[i], jobsNow)
	case 2:
		return 0, y.store.UnpinNeed(y.ctx, needs[i/2])
	case 3:
		_, err := y.store.MoveStock(y.ctx, garage.Movement{PartID: y.part, BinID: bin, Quantity: 1}, garage.BinPick{Name: "A1"})
		return 0, err
	}
	_, err := y.store.TakeStock(y.ctx, garage.Movement{PartID: y.part, BinID: bin, Quantity: -1, Kind: "used"})
	return 1, err
}
