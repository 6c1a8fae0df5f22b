package postgres_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/internal/pgtest"
	"axlestand/internal/postgres"
)

var donorNow = time.Date(2027, 3, 27, 10, 0, 0, 0, time.UTC)

// onDonor says what is on a donor, and what was taken off it.
func onDonor(t *testing.T, s *postgres.Store, car garage.CarID) string {
	t.Helper()
	all, err := s.DonorParts(t.Context(), car)
	if err != nil {
		t.Fatal(err)
	}
	var lines []string
	for _, d := range all {
		line := fmt.Sprintf("%d %s", d.Quantity, d.Part().Label())
		if d.HarvestTitle != nil {
			line += " by " + *d.HarvestTitle
		}
		if d.TakenAt != nil {
			line += " taken"
		}
		lines = append(lines, line)
	}
	return strings.Join(lines, "; ")
}

func addDonorPart(t *testing.T, s *postgres.Store, car garage.CarID, text string) garage.DonorPartID {
	t.Helper()
	id, err := s.CreateDonorPart(t.Context(), garagetest.DonorPart(func(d *garage.DonorPart) { d.CarID = car }), garage.PartPick{Text: text, New: true})
	if err != nil {
		t.Fatal(err)
	}
	return id
}

func TestStore_CreateDonorPart(t *testing.T) {
	t.Parallel()
	s := postgres.New(pgtest.Tx(t))
	donor := createCar(t, s)
	createPart(t, s)
	createPart(t, s, func(p *garage.Part) { p.Side, p.Number = "right", "QL 33-1043 B" })
	add := func(pick garage.PartPick) error {
		_, err := s.CreateDonorPart(t.Context(), garagetest.DonorPart(func(d *garage.DonorPart) { d.CarID = donor }), pick)
		return err
	}
	err := add(garage.PartPick{Text: "trailing arm", New: true})
	if refusedAt(err) != "part" || !strings.Contains(err.Error(), "Several parts fit: Trailing arm, left · QL 33-1042 B; Trailing arm, right · QL 33-1043 B.") {
		t.Errorf("two of that name: got %v", err)
	}
	if err := add(garage.PartPick{Text: "trailing arm, LEFT · ql 33-1042 b"}); err != nil {
		t.Errorf("by its label: got %v", err)
	}
	if err := add(garage.PartPick{Text: "QL331043B"}); err != nil {
		t.Errorf("by its number: got %v", err)
	}
	createPart(t, s, func(p *garage.Part) { p.Name, p.Number = "Left mirror", "MI-1" })
	if err := add(garage.PartPick{Text: "left mirror · mi-1"}); err != nil {
		t.Errorf("by a label whose name says the side: got %v", err)
	}
	if err := add(garage.PartPick{Text: "Door"}); refusedAt(err) != "new_part" {
		t.Errorf("one that is not there: got %v", err)
	}
	if err := add(garage.PartPick{Text: "Door", New: true, Side: "left"}); err != nil {
		t.Errorf("a new one: got %v", err)
	}
	if got := onDonor(t, s, donor); got != "2 Door, left; 2 Left mirror · MI-1; 2 Trailing arm, left · QL 33-1042 B; 2 Trailing arm, right · QL 33-1043 B" {
		t.Errorf("on it: %s", got)
	}
	_, err = s.CreateDonorPart(t.Context(), garage.DonorPart{CarID: donor, Condition: "rusty"}, garage.PartPick{})
	if refusedAt(err) != "condition part quantity" {
		t.Errorf("all wrong: got %v", err)
	}
	if err := add(garage.PartPick{Text: strings.Repeat("D", 201), New: true}); refusedAt(err) != "part side" && refusedAt(err) != "part" {
		t.Errorf("a name of 201 letters: got %v", err)
	}
	if _, err := s.CreateDonorPart(t.Context(), garagetest.DonorPart(func(d *garage.DonorPart) { d.CarID = 1 << 40 }), garage.PartPick{Text: "Door"}); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("on a car that never was: got %v", err)
	}
}

func TestStore_UpdateDonorPart(t *testing.T) {
	t.Parallel()
	s := postgres.New(pgtest.Tx(t))
	donor := createCar(t, s)
	id := addDonorPart(t, s, donor, "Door")
	row, err := s.DonorPart(t.Context(), id)
	if err != nil {
		t.Fatal(err)
	}
	d := row.DonorPart
	d.Quantity, d.Condition, d.Note = 4, "worn", "dented"
	if err := s.UpdateDonorPart(t.Context(), d); err != nil {
		t.Fatal(err)
	}
	if err := s.UpdateDonorPart(t.Context(), d); !errors.Is(err, garage.ErrConflict) {
		t.Errorf("saved from an old page: got %v", err)
	}
	if got, err := s.DonorPart(t.Context(), id); err != nil || got.Quantity != 4 || got.Condition != "worn" || got.Note != "dented" {
		t.Errorf("stored %+v, %v", got, err)
	}
	d.Quantity = 0
	if err := s.UpdateDonorPart(t.Context(), d); refusedAt(err) != "quantity" {
		t.Errorf("none: got %v", err)
	}
	if err := s.DeleteDonorPart(t.Context(), id); err != nil {
		t.Fatal(err)
	}
	if _, err := s.DonorPart(t.Context(), id); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("deleted: got %v", err)
	}
	if err := s.RestoreDonorPart(t.Context(), id); err != nil {
		t.Fatal(err)
	}
	if got := onDonor(t, s, donor); got != "4 Door" {
		t.Errorf("brought back: %s", got)
	}
}

func TestStore_TakeOffDonorPart(t *testing.T) {
	t.Parallel()
	s := postgres.New(pgtest.Tx(t))
	donor, err := s.CreateCar(t.Context(), garagetest.Donor())
	if err != nil {
		t.Fatal(err)
	}
	id := addDonorPart(t, s, donor, "Door")
	part, err := s.DonorPart(t.Context(), id)
	if err != nil {
		t.Fatal(err)
	}
	shelf := garage.BinPick{Name: "Shelf", New: true}
	if _, err := s.TakeOffDonorPart(t.Context(), id, 1, shelf, donorNow); err == nil || !strings.Contains(err.Error(), "Tern saloon is not here yet.") {
		t.Errorf("before the donor came: got %v", err)
	}
	if _, err := s.MoveCar(t.Context(), donor, garage.Outside); err != nil {
		t.Fatal(err)
	}
	if _, err := s.TakeOffDonorPart(t.Context(), id, 3, shelf, donorNow); refusedAt(err) != "quantity" {
		t.Errorf("three of two: got %v", err)
	}
	movement, err := s.TakeOffDonorPart(t.Context(), id, 1, shelf, donorNow)
	if err != nil {
		t.Fatal(err)
	}
	if got := onDonor(t, s, donor); got != "1 Door; 1 Door taken" {
		t.Errorf("one off: %s", got)
	}
	if got := lies(t, s, part.PartID); got != "1 in Shelf" {
		t.Errorf("in stock: %s", got)
	}
	if _, err := s.TakeOffDonorPart(t.Context(), id, 1, shelf, donorNow); !errors.Is(err, garage.ErrConflict) {
		t.Errorf("twice: got %v", err)
	}
	if err := s.DeleteDonorPart(t.Context(), id); !errors.Is(err, garage.ErrConflict) {
		t.Errorf("deleting what was taken off: got %v", err)
	}
	if _, err := s.ReverseMovement(t.Context(), movement); err != nil {
		t.Fatal(err)
	}
	if got := onDonor(t, s, donor); got != "1 Door; 1 Door" {
		t.Errorf("undone: %s", got)
	}
	if got := lies(t, s, part.PartID); got != "" {
		t.Errorf("undone, but in stock: %s", got)
	}
	donors, err := s.PartOnDonors(t.Context(), part.PartID)
	if err != nil || len(donors) != 2 || donors[0].CarName != "Tern saloon" {
		t.Errorf("donors of it: %+v, %v", donors, err)
	}
}

func TestStore_CreateHarvest(t *testing.T) {
	t.Parallel()
	s := postgres.New(pgtest.Tx(t))
	donor, other := createCar(t, s), createCar(t, s)
	door, seat := addDonorPart(t, s, donor, "Door"), addDonorPart(t, s, donor, "Seat")
	plan := garage.HarvestPlan{
		CarID: donor, Title: "Strip the doors", Parts: []garage.DonorPartID{door}, Low: 30, Likely: 45, High: 90, Lift: true, Currency: "EUR",
	}
	job, err := s.CreateHarvest(t.Context(), plan)
	if err != nil {
		t.Fatal(err)
	}
	sheet, err := s.JobSheet(t.Context(), job)
	if err != nil || sheet.Job.Kind != garage.Harvest || len(sheet.Stages) != 1 || sheet.Stages[0].Likely != 45 || !sheet.Stages[0].Lift {
		t.Errorf("job %+v, stages %+v, %v", sheet.Job, sheet.Stages, err)
	}
	if got := onDonor(t, s, donor); got != "2 Door by Strip the doors; 2 Seat" {
		t.Errorf("linked: %s", got)
	}
	plan.Parts = []garage.DonorPartID{seat, door}
	if _, err := s.CreateHarvest(t.Context(), plan); refusedAt(err) != "parts" {
		t.Errorf("one that another job takes off: got %v", err)
	}
	jobs, err := s.CarJobs(t.Context(), donor)
	if err != nil || len(jobs) != 1 {
		t.Errorf("%d jobs, %v; a refused one must leave none", len(jobs), err)
	}
	if err := s.DeleteJob(t.Context(), job, true); err != nil {
		t.Fatal(err)
	}
	if got := onDonor(t, s, donor); got != "2 Door; 2 Seat" {
		t.Errorf("the job is gone: %s", got)
	}
	if _, err := s.CreateHarvest(t.Context(), plan); err != nil {
		t.Errorf("both are free again: got %v", err)
	}
	wrong := garage.HarvestPlan{CarID: donor, Low: 5, Likely: 4, High: 3}
	if _, err := s.CreateHarvest(t.Context(), wrong); refusedAt(err) != "minutes parts title" {
		t.Errorf("all wrong: got %v", err)
	}
	plan.CarID = other
	if _, err := s.CreateHarvest(t.Context(), plan); refusedAt(err) != "parts" {
		t.Errorf("parts of another car: got %v", err)
	}
	plan.CarID = 1 << 40
	if _, err := s.CreateHarvest(t.Context(), plan); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("a car that never was: got %v", err)
	}
}
