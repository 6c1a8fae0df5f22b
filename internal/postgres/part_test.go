package postgres_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/internal/pgtest"
	"axlestand/internal/postgres"
)

func createPart(t *testing.T, s *postgres.Store, changes ...func(*garage.Part)) garage.PartID {
	t.Helper()
	id, err := s.CreatePart(t.Context(), garagetest.Part(changes...))
	if err != nil {
		t.Fatal(err)
	}
	return id
}

func putStock(t *testing.T, s *postgres.Store, part garage.PartID, quantity int, bin string) garage.MovementID {
	t.Helper()
	id, err := s.PutStock(t.Context(), garage.Movement{PartID: part, Quantity: quantity, Kind: "bought"}, garage.BinPick{Name: bin, New: true})
	if err != nil {
		t.Fatal(err)
	}
	return id
}

func TestStore_Part(t *testing.T) {
	t.Parallel()
	s := postgres.New(pgtest.Tx(t))
	id := createPart(t, s)
	got, err := s.Part(t.Context(), id)
	want := garagetest.Part(func(p *garage.Part) { p.ID = id })
	if diff := cmp.Diff(want, got); diff != "" || err != nil {
		t.Fatalf("%v; stored (-want +got):\n%s", err, diff)
	}
	got.Name, got.LeadLow, got.LeadLikely, got.LeadHigh, got.Price = "Arm", nil, nil, nil, 0
	if err := s.UpdatePart(t.Context(), got); err != nil {
		t.Fatal(err)
	}
	if err := s.UpdatePart(t.Context(), got); !errors.Is(err, garage.ErrConflict) {
		t.Errorf("saved from an old page: got %v", err)
	}
	got.Unit = "dozen"
	if err := s.UpdatePart(t.Context(), got); refusedAt(err) != "unit" {
		t.Errorf("by the dozen: got %v", err)
	}
	if _, err := s.CreatePart(t.Context(), garagetest.Part(func(p *garage.Part) { p.LeadLow = nil })); refusedAt(err) != "lead" {
		t.Errorf("with two of three days: got %v", err)
	}
	if _, err := s.Part(t.Context(), 1<<40); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("one that never was: got %v", err)
	}
	got.ID, got.Unit = 1<<40, "piece"
	if err := s.UpdatePart(t.Context(), got); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("saving one that never was: got %v", err)
	}
}

func TestStore_Parts_finds(t *testing.T) {
	t.Parallel()
	s := postgres.New(pgtest.Tx(t))
	createPart(t, s)
	createPart(t, s, func(p *garage.Part) { p.Side, p.Number, p.OtherNumbers = "right", "QL 33-1043 B", "" })
	oil := createPart(t, s, func(p *garage.Part) {
		*p = garage.Part{Name: "Oil 100%_pure", Unit: "ml", Currency: "EUR", Notes: "for the gearbox", Number: "331042"}
	})
	putStock(t, s, oil, 4000, "Cupboard")
	tests := []struct{ query, want string }{
		{"", "Oil 100%_pure, Trailing arm left, Trailing arm right"},
		{"trailing", "Trailing arm left, Trailing arm right"},
		{"arm RIGHT", "Trailing arm right"},
		{"ql331042b", "Trailing arm left"},
		{"QL 33 1042 B", "Trailing arm left"},
		{"33-1042", "Oil 100%_pure, Trailing arm left"}, // exactly that number first
		{"77 041 2", "Trailing arm left"},
		{"lathe", "Trailing arm left, Trailing arm right"},
		{"gearbox", "Oil 100%_pure"},
		{"cupboard", "Oil 100%_pure"},
		{"100%", "Oil 100%_pure"},
		{"%", "Oil 100%_pure"},
		{"_", "Oil 100%_pure"},
		{`\`, ""},
		{"-", "Oil 100%_pure, Trailing arm left, Trailing arm right"},
		{"nothing like it", ""},
	}
	for _, tt := range tests {
		rows, err := s.Parts(t.Context(), garage.PartFilter{Query: tt.query, Limit: 100})
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, r := range rows {
			got = append(got, strings.TrimSpace(r.Name+" "+r.Side))
		}
		if strings.Join(got, ", ") != tt.want {
			t.Errorf("%q: got %v, want %s", tt.query, got, tt.want)
		}
	}
}

func TestStore_Parts_counts(t *testing.T) {
	t.Parallel()
	s := postgres.New(pgtest.Tx(t))
	donor, err := s.CreateCar(t.Context(), garagetest.Donor())
	if err != nil {
		t.Fatal(err)
	}
	id := createPart(t, s)
	putStock(t, s, id, 3, "B2")
	putStock(t, s, id, 1, "A1")
	for _, quantity := range []int{4, 2} {
		if _, err := s.CreateArrival(t.Context(), garagetest.Arrival(func(a *garage.Arrival) { a.PartID, a.Quantity = id, quantity })); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := s.CreateDonorPart(t.Context(), garagetest.DonorPart(func(d *garage.DonorPart) { d.CarID = donor }), garage.PartPick{Text: "trailing arm"}); err != nil {
		t.Fatal(err)
	}
	job, err := s.CreateJob(t.Context(), garagetest.Job(func(j *garage.Job) { j.CarID = donor }), nil, garagetest.Stage(), garagetest.Stage())
	if err != nil {
		t.Fatal(err)
	}
	sheet, err := s.JobSheet(t.Context(), job)
	if err != nil {
		t.Fatal(err)
	}
	for _, stage := range sheet.Stages {
		if _, err := s.CreateNeed(t.Context(), garagetest.Need(func(n *garage.Need) { n.StageID, n.PartID = stage.ID, id }), garage.PartPick{}); err != nil {
			t.Fatal(err)
		}
	}
	rows, err := s.Parts(t.Context(), garage.PartFilter{Limit: 10})
	if err != nil || len(rows) != 1 {
		t.Fatal(rows, err)
	}
	got := rows[0]
	if got.OnHand != 4 || got.Expected != 6 || got.OnDonors != 2 || got.Jobs != 1 || got.Bins != "A1, B2" || got.Total != 1 {
		t.Errorf("got %d on hand, %d expected, %d on donors, %d jobs, bins %q, %d in all", got.OnHand, got.Expected, got.OnDonors, got.Jobs, got.Bins, got.Total)
	}
	needs, err := s.PartNeeds(t.Context(), id)
	if err != nil || len(needs) != 2 || needs[0].JobID != job || needs[0].CarName != "Tern saloon" {
		t.Errorf("needs: %+v, %v", needs, err)
	}
	err = s.DeletePart(t.Context(), id)
	if err == nil || !strings.Contains(err.Error(), "It is still in use: Rear brakes, Tern saloon, an arrival of 2027-03-15, bin A1, bin B2.") {
		t.Errorf("deleting it: got %v", err)
	}
}

func TestStore_Parts_pages(t *testing.T) {
	t.Parallel()
	s := postgres.New(pgtest.Tx(t))
	for i := range 25 {
		createPart(t, s, func(p *garage.Part) { p.Name = fmt.Sprintf("Part %02d", i) })
	}
	rows, err := s.Parts(t.Context(), garage.PartFilter{Query: "part", Limit: 10, Offset: 20})
	if err != nil || len(rows) != 5 || rows[0].Name != "Part 20" || rows[0].Total != 25 {
		t.Errorf("third page: %d rows, %v", len(rows), err)
	}
	labels, err := s.PartLabels(t.Context(), 3)
	if err != nil || len(labels) != 3 || labels[0] != "Part 00, left · QL 33-1042 B" {
		t.Errorf("labels: %q, %v", labels, err)
	}
}

func TestStore_DeletePart(t *testing.T) {
	t.Parallel()
	s := postgres.New(pgtest.Tx(t))
	id := createPart(t, s)
	if err := s.DeletePart(t.Context(), id); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Part(t.Context(), id); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("deleted: got %v", err)
	}
	if _, err := s.PutStock(t.Context(), garage.Movement{PartID: id, Quantity: 1, Kind: "bought"}, garage.BinPick{Name: "A1", New: true}); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("stock of a deleted part: got %v", err)
	}
	if err := s.DeletePart(t.Context(), id); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("deleted twice: got %v", err)
	}
	if err := s.RestorePart(t.Context(), id); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Part(t.Context(), id); err != nil {
		t.Errorf("brought back: got %v", err)
	}
}

func TestStore_Arrival(t *testing.T) {
	t.Parallel()
	s := postgres.New(pgtest.Tx(t))
	part := createPart(t, s)
	id, err := s.CreateArrival(t.Context(), garagetest.Arrival(func(a *garage.Arrival) { a.PartID = part }))
	if err != nil {
		t.Fatal(err)
	}
	got, err := s.Arrival(t.Context(), id)
	want := garagetest.Arrival(func(a *garage.Arrival) { a.ID, a.PartID = id, part })
	if diff := cmp.Diff(want, got); diff != "" || err != nil {
		t.Fatalf("%v; stored (-want +got):\n%s", err, diff)
	}
	got.Likely = got.High
	if err := s.UpdateArrival(t.Context(), got); err != nil {
		t.Fatal(err)
	}
	if err := s.UpdateArrival(t.Context(), got); !errors.Is(err, garage.ErrConflict) {
		t.Errorf("saved from an old page: got %v", err)
	}
	got.Likely = got.High.AddDays(1)
	if err := s.UpdateArrival(t.Context(), got); refusedAt(err) != "arrives" {
		t.Errorf("backwards: got %v", err)
	}
	if err := s.DeleteArrival(t.Context(), id); err != nil {
		t.Fatal(err)
	}
	if all, err := s.Arrivals(t.Context(), part); err != nil || len(all) != 0 {
		t.Errorf("deleted, but expected: %v, %v", all, err)
	}
	if err := s.RestoreArrival(t.Context(), id); err != nil {
		t.Fatal(err)
	}
	if all, err := s.Arrivals(t.Context(), part); err != nil || len(all) != 1 {
		t.Errorf("brought back: %v, %v", all, err)
	}
	if _, err := s.CreateArrival(t.Context(), garagetest.Arrival(func(a *garage.Arrival) { a.PartID = 1 << 40 })); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("of a part that never was: got %v", err)
	}
}

func TestStore_ReceiveArrival(t *testing.T) {
	t.Parallel()
	s := postgres.New(pgtest.Tx(t))
	now := time.Date(2027, 3, 15, 16, 0, 0, 0, time.UTC)
	part := createPart(t, s)
	id, err := s.CreateArrival(t.Context(), garagetest.Arrival(func(a *garage.Arrival) { a.PartID = part }))
	if err != nil {
		t.Fatal(err)
	}
	arrival := garage.Arrival{ID: id, Version: 1}
	for _, quantity := range []int{0, 5} {
		if _, err := s.ReceiveArrival(t.Context(), arrival, quantity, garage.BinPick{Name: "A1", New: true}, now); refusedAt(err) != "quantity" {
			t.Errorf("%d of 4: got %v", quantity, err)
		}
	}
	if _, err := s.ReceiveArrival(t.Context(), arrival, 3, garage.BinPick{Name: "A1"}, now); refusedAt(err) != "new_bin" {
		t.Errorf("into no bin: got %v", err)
	}
	movement, err := s.ReceiveArrival(t.Context(), arrival, 3, garage.BinPick{Name: "A1", New: true}, now)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.ReceiveArrival(t.Context(), arrival, 1, garage.BinPick{Name: "A1"}, now); !errors.Is(err, garage.ErrConflict) {
		t.Errorf("received twice: got %v", err)
	}
	if err := s.DeleteArrival(t.Context(), id); !errors.Is(err, garage.ErrConflict) {
		t.Errorf("deleting what was received: got %v", err)
	}
	state := func() string {
		all, err := s.Arrivals(t.Context(), part)
		if err != nil {
			t.Fatal(err)
		}
		stock, err := s.StockOf(t.Context(), part)
		if err != nil {
			t.Fatal(err)
		}
		var b strings.Builder
		for _, a := range all {
			fmt.Fprintf(&b, "%d expected ", a.Quantity)
		}
		for _, lies := range stock {
			fmt.Fprintf(&b, "%d in %s", lies.Quantity, lies.BinName)
		}
		return b.String()
	}
	if got := state(); got != "1 expected 3 in A1" {
		t.Errorf("after a part of it came: %s", got)
	}
	if got, err := s.Arrival(t.Context(), id); err != nil || got.ReceivedAt == nil || !got.ReceivedAt.Equal(now) || got.Quantity != 3 {
		t.Errorf("the record of it: %+v, %v", got, err)
	}
	if _, err := s.ReverseMovement(t.Context(), movement); err != nil {
		t.Fatal(err)
	}
	if got := state(); got != "3 expected 1 expected " {
		t.Errorf("after that was undone: %s", got)
	}
}

func TestStore_Bin(t *testing.T) {
	t.Parallel()
	s := postgres.New(pgtest.Tx(t))
	id, err := s.CreateBin(t.Context(), garagetest.Bin())
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.CreateBin(t.Context(), garagetest.Bin(func(b *garage.Bin) { b.Name = "a3" })); refusedAt(err) != "name" {
		t.Errorf("of the same name: got %v", err)
	}
	got, err := s.Bin(t.Context(), id)
	want := garagetest.Bin(func(b *garage.Bin) { b.ID = id })
	if diff := cmp.Diff(want, got); diff != "" || err != nil {
		t.Fatalf("%v; stored (-want +got):\n%s", err, diff)
	}
	got.Place = "under the bench"
	if err := s.UpdateBin(t.Context(), got); err != nil {
		t.Fatal(err)
	}
	if err := s.UpdateBin(t.Context(), got); !errors.Is(err, garage.ErrConflict) {
		t.Errorf("saved from an old page: got %v", err)
	}
	part := createPart(t, s)
	movement := putStock(t, s, part, 2, "A3")
	if err := s.DeleteBin(t.Context(), id); err == nil || !strings.Contains(err.Error(), "There is still in it: Trailing arm.") {
		t.Errorf("with stock in it: got %v", err)
	}
	lies, err := s.StockIn(t.Context(), id)
	if err != nil || len(lies) != 1 || lies[0].Quantity != 2 || lies[0].Name != "Trailing arm" {
		t.Errorf("in it: %+v, %v", lies, err)
	}
	bins, err := s.Bins(t.Context())
	if err != nil || len(bins) != 1 || bins[0].Parts != 1 {
		t.Errorf("bins: %+v, %v", bins, err)
	}
	if _, err := s.ReverseMovement(t.Context(), movement); err != nil {
		t.Fatal(err)
	}
	if err := s.DeleteBin(t.Context(), id); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Bin(t.Context(), id); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("deleted: got %v", err)
	}
	other, err := s.CreateBin(t.Context(), garagetest.Bin())
	if err != nil {
		t.Fatal("its name is free:", err)
	}
	if err := s.RestoreBin(t.Context(), id); refusedAt(err) != "name" {
		t.Errorf("back, but its name is taken: got %v", err)
	}
	if err := s.DeleteBin(t.Context(), other); err != nil {
		t.Fatal(err)
	}
	if err := s.RestoreBin(t.Context(), id); err != nil {
		t.Fatal(err)
	}
}
