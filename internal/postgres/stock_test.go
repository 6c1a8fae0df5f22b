package postgres_test

import (
	"errors"
	"fmt"
	"strings"
	"sync"
	"testing"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/internal/pgtest"
	"axlestand/internal/postgres"
)

// lies says where a part lies: 3 in A1, 2 in B1.
func lies(t *testing.T, s *postgres.Store, part garage.PartID) string {
	t.Helper()
	stock, err := s.StockOf(t.Context(), part)
	if err != nil {
		t.Fatal(err)
	}
	var all []string
	for _, st := range stock {
		all = append(all, fmt.Sprintf("%d in %s", st.Quantity, st.BinName))
	}
	return strings.Join(all, ", ")
}

func binNamed(t *testing.T, s *postgres.Store, name string) garage.BinID {
	t.Helper()
	bins, err := s.Bins(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range bins {
		if b.Name == name {
			return b.ID
		}
	}
	t.Fatal("no bin", name)
	return 0
}

func TestStore_PutStock(t *testing.T) {
	t.Parallel()
	s := postgres.New(pgtest.Tx(t))
	part := createPart(t, s)
	put := func(quantity int, kind string, pick garage.BinPick) error {
		_, err := s.PutStock(t.Context(), garage.Movement{PartID: part, Quantity: quantity, Kind: kind}, pick)
		return err
	}
	if err := put(2, "bought", garage.BinPick{Name: "A1"}); refusedAt(err) != "new_bin" {
		t.Errorf("into a bin that is not there: got %v", err)
	}
	if err := put(2, "bought", garage.BinPick{Name: " A1 ", New: true}); err != nil {
		t.Fatal(err)
	}
	if err := put(1, "bought", garage.BinPick{Name: "a1", New: true}); err != nil {
		t.Fatal(err)
	}
	if got := lies(t, s, part); got != "3 in A1" {
		t.Errorf("got %s", got)
	}
	if err := put(0, "stolen", garage.BinPick{}); refusedAt(err) != "bin kind quantity" {
		t.Errorf("all wrong: got %v", err)
	}
	if err := put(-1, "bought", garage.BinPick{Name: "A1"}); refusedAt(err) != "quantity" {
		t.Errorf("less than nothing: got %v", err)
	}
	if err := put(1, "bought", garage.BinPick{Name: strings.Repeat("A", 201), New: true}); refusedAt(err) != "bin" {
		t.Errorf("into a bin of 201 letters: got %v", err)
	}
}

func TestStore_TakeStock(t *testing.T) {
	t.Parallel()
	s := postgres.New(pgtest.Tx(t))
	part := createPart(t, s)
	putStock(t, s, part, 3, "A1")
	take := garage.Movement{PartID: part, BinID: binNamed(t, s, "A1"), Quantity: -4, Kind: "used"}
	if _, err := s.TakeStock(t.Context(), take); err == nil || !strings.Contains(err.Error(), "Only 3 left in that bin.") {
		t.Errorf("four of three: got %v", err)
	}
	take.Quantity = -3
	if _, err := s.TakeStock(t.Context(), take); err != nil {
		t.Fatal(err)
	}
	take.Quantity = -1
	if _, err := s.TakeStock(t.Context(), take); err == nil || !strings.Contains(err.Error(), "Nothing is left in that bin.") {
		t.Errorf("one of none: got %v", err)
	}
	take.BinID = 1 << 40
	if _, err := s.TakeStock(t.Context(), take); refusedAt(err) != "bin" {
		t.Errorf("out of a bin that never was: got %v", err)
	}
	take.PartID = 1 << 40
	if _, err := s.TakeStock(t.Context(), take); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("of a part that never was: got %v", err)
	}
}

func TestStore_TakeStock_fifty_at_once(t *testing.T) {
	t.Parallel()
	s := postgres.New(pgtest.Pool(t))
	part := createPart(t, s)
	putStock(t, s, part, 1, "A1")
	bin := binNamed(t, s, "A1")
	const takers = 50
	errs := make(chan error, takers)
	var all sync.WaitGroup
	for range takers {
		all.Go(func() {
			_, err := s.TakeStock(t.Context(), garage.Movement{PartID: part, BinID: bin, Quantity: -1, Kind: "used"})
			errs <- err
		})
	}
	all.Wait()
	close(errs)
	got := 0
	for err := range errs {
		switch {
		case err == nil:
			got++
		case !strings.Contains(err.Error(), "Nothing is left in that bin."):
			t.Error(err)
		}
	}
	if got != 1 || lies(t, s, part) != "" {
		t.Errorf("%d of %d took the last piece; left: %q", got, takers, lies(t, s, part))
	}
	movements, err := s.Movements(t.Context(), part, 100)
	if err != nil || len(movements) != 2 {
		t.Errorf("%d movements, %v; want the one in and the one out", len(movements), err)
	}
}

func TestStore_stock_to_and_fro_at_once(t *testing.T) {
	t.Parallel()
	s := postgres.New(pgtest.Pool(t))
	part := createPart(t, s)
	putStock(t, s, part, 20, "A1")
	putStock(t, s, part, 20, "B1")
	a, b := binNamed(t, s, "A1"), binNamed(t, s, "B1")
	var all sync.WaitGroup
	for i := range 40 {
		all.Go(func() {
			from, to := a, "B1"
			if i%2 == 1 {
				from, to = b, "A1"
			}
			var err error
			switch i % 5 {
			case 4:
				_, err = s.CountStock(t.Context(), garage.Movement{PartID: part}, garage.BinPick{Name: to}, 20)
			default:
				_, err = s.MoveStock(t.Context(), garage.Movement{PartID: part, BinID: from, Quantity: 1}, garage.BinPick{Name: to})
			}
			if err != nil {
				t.Error(err)
			}
		})
	}
	all.Wait()
	if different := unequalSums(t, s, part); different != 0 {
		t.Errorf("%d bins hold other than the sum of their movements", different)
	}
}

// unequalSums counts the bins whose stock is not the sum of their movements.
func unequalSums(t *testing.T, s *postgres.Store, part garage.PartID) (different int) {
	t.Helper()
	movements, err := s.Movements(t.Context(), part, 10000)
	if err != nil {
		t.Fatal(err)
	}
	sums := map[garage.BinID]int{}
	for _, m := range movements {
		sums[m.BinID] += m.Quantity
	}
	stock, err := s.StockOf(t.Context(), part)
	if err != nil {
		t.Fatal(err)
	}
	for _, lies := range stock {
		sums[lies.BinID] -= lies.Quantity
	}
	for _, rest := range sums {
		if rest != 0 {
			different++
		}
	}
	return different
}

func TestStore_MoveStock(t *testing.T) {
	t.Parallel()
	s := postgres.New(pgtest.Tx(t))
	part := createPart(t, s)
	putStock(t, s, part, 3, "A1")
	from := binNamed(t, s, "A1")
	first, err := s.MoveStock(t.Context(), garage.Movement{PartID: part, BinID: from, Quantity: 1, Note: "to the bench"}, garage.BinPick{Name: "B1", New: true})
	if err != nil {
		t.Fatal(err)
	}
	second, err := s.MoveStock(t.Context(), garage.Movement{PartID: part, BinID: from, Quantity: 1}, garage.BinPick{Name: "B1"})
	if err != nil {
		t.Fatal(err)
	}
	if got := lies(t, s, part); got != "1 in A1, 2 in B1" {
		t.Errorf("after two moves: %s", got)
	}
	if _, err := s.MoveStock(t.Context(), garage.Movement{PartID: part, BinID: from, Quantity: 2}, garage.BinPick{Name: "B1"}); err == nil || !strings.Contains(err.Error(), "Only 1 left") {
		t.Errorf("two of one: got %v", err)
	}
	if _, err := s.MoveStock(t.Context(), garage.Movement{PartID: part, BinID: from, Quantity: 1}, garage.BinPick{Name: "A1"}); refusedAt(err) != "bin" {
		t.Errorf("to where it lies: got %v", err)
	}
	if _, err := s.MoveStock(t.Context(), garage.Movement{PartID: part, BinID: from, Quantity: -1}, garage.BinPick{Name: "B1"}); refusedAt(err) != "quantity" {
		t.Errorf("less than nothing: got %v", err)
	}
	if _, err := s.ReverseMovement(t.Context(), second); err != nil {
		t.Fatal(err)
	}
	if got := lies(t, s, part); got != "2 in A1, 1 in B1" {
		t.Errorf("after one was undone: %s", got)
	}
	if _, err := s.ReverseMovement(t.Context(), second+1); err == nil || !strings.Contains(err.Error(), "It is reversed already.") {
		t.Errorf("its other half was undone with it: got %v", err)
	}
	if _, err := s.ReverseMovement(t.Context(), first); err != nil {
		t.Errorf("the other move is whole: got %v", err)
	}
}

func TestStore_CountStock(t *testing.T) {
	t.Parallel()
	s := postgres.New(pgtest.Tx(t))
	part := createPart(t, s)
	putStock(t, s, part, 3, "A1")
	count := func(bin string, counted int) garage.MovementID {
		t.Helper()
		id, err := s.CountStock(t.Context(), garage.Movement{PartID: part}, garage.BinPick{Name: bin, New: true}, counted)
		if err != nil {
			t.Fatal(err)
		}
		return id
	}
	if id := count("A1", 3); id != 0 {
		t.Errorf("as expected, but movement %d was made", id)
	}
	lost := count("A1", 1)
	count("B1", 5)
	if got := lies(t, s, part); got != "1 in A1, 5 in B1" {
		t.Errorf("counted: %s", got)
	}
	if _, err := s.ReverseMovement(t.Context(), lost); err != nil {
		t.Fatal(err)
	}
	if got := lies(t, s, part); got != "3 in A1, 5 in B1" {
		t.Errorf("the count was wrong: %s", got)
	}
	if _, err := s.CountStock(t.Context(), garage.Movement{PartID: part}, garage.BinPick{Name: "A1"}, -1); refusedAt(err) != "quantity" {
		t.Errorf("less than nothing: got %v", err)
	}
	if _, err := s.CountStock(t.Context(), garage.Movement{PartID: 1 << 40}, garage.BinPick{Name: "A1"}, 1); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("of a part that never was: got %v", err)
	}
}

func TestStore_CountStock_while_a_stage_uses_it(t *testing.T) {
	t.Parallel()
	pool := pgtest.Pool(t)
	s := postgres.New(pool)
	part := createPart(t, s)
	putStock(t, s, part, 3, "A1")
	job, err := s.CreateJob(t.Context(), garagetest.Job(func(j *garage.Job) { j.CarID = createCar(t, s) }), nil, garagetest.Stage())
	if err != nil {
		t.Fatal(err)
	}
	sheet, err := s.JobSheet(t.Context(), job)
	if err != nil {
		t.Fatal(err)
	}
	stage := sheet.Stages[0].ID
	if _, err := s.CreateNeed(t.Context(), garagetest.Need(func(n *garage.Need) { n.StageID, n.PartID = stage, part }), garage.PartPick{}); err != nil {
		t.Fatal(err)
	}
	err = waitsFor(t, pool, func(first *postgres.Store) error {
		_, err := first.FinishStage(t.Context(), stage, false, nil, jobsNow)
		return err
	}, func() error {
		_, err := s.CountStock(t.Context(), garage.Movement{PartID: part}, garage.BinPick{Name: "A1"}, 5)
		return err
	})
	if got := lies(t, s, part); err != nil || got != "5 in A1" {
		t.Errorf("counted five: %s, %v", got, err)
	}
}

func TestStore_ReverseMovement(t *testing.T) {
	t.Parallel()
	s := postgres.New(pgtest.Tx(t))
	part := createPart(t, s)
	in := putStock(t, s, part, 3, "A1")
	out, err := s.TakeStock(t.Context(), garage.Movement{PartID: part, BinID: binNamed(t, s, "A1"), Quantity: -2, Kind: "used"})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.ReverseMovement(t.Context(), in); err == nil || !strings.Contains(err.Error(), "There is not that much in the bin any more.") {
		t.Errorf("what came in and went out: got %v", err)
	}
	if got, err := s.ReverseMovement(t.Context(), out); err != nil || got != part {
		t.Errorf("got part %d, %v", got, err)
	}
	if _, err := s.ReverseMovement(t.Context(), out); err == nil || !strings.Contains(err.Error(), "It is reversed already.") {
		t.Errorf("twice: got %v", err)
	}
	movements, err := s.Movements(t.Context(), part, 10)
	if err != nil || len(movements) != 3 || movements[0].Kind != "reversed" || !movements[1].Reversed || movements[2].Reversed {
		t.Fatalf("movements: %+v, %v", movements, err)
	}
	if _, err := s.ReverseMovement(t.Context(), movements[0].ID); err == nil || !strings.Contains(err.Error(), "It is reversed already.") {
		t.Errorf("the reversal: got %v", err)
	}
	if _, err := s.ReverseMovement(t.Context(), 1<<40); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("one that never was: got %v", err)
	}
}

func TestMovements_are_never_changed(t *testing.T) {
	t.Parallel()
	tx := pgtest.Tx(t)
	s := postgres.New(tx)
	part := createPart(t, s)
	putStock(t, s, part, 3, "A1")
	for _, sql := range []string{"update stock_movements set quantity = 1", "delete from stock_movements", "update stock set quantity = -1"} {
		err := pgx.BeginFunc(t.Context(), tx, func(inner pgx.Tx) error {
			_, err := inner.Exec(t.Context(), sql)
			return err
		})
		if err == nil {
			t.Errorf("the database lets through: %s", sql)
		}
	}
}
