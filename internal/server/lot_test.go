package server

import (
	"fmt"
	"net/http"
	"net/url"
	"strconv"
	"testing"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/web/page"
	"axlestand/web/route"
)

func TestStock_sort(t *testing.T) {
	t.Parallel()
	s := setup(t)
	part := s.addPart()
	car, err := s.store.CreateCar(t.Context(), garagetest.Car())
	if err != nil {
		t.Fatal(err)
	}
	s.fill(route.Stock(part, page.StockPut), "form.form", url.Values{"bin": {"A1"}, "new_bin": {"yes"}, "quantity": {"4"}}).to(route.Part(part))
	sort := route.Stock(part, page.StockSort)
	s.fill(sort, "form.form", url.Values{"quantity": {"9"}, "condition": {"worn"}}).is(http.StatusUnprocessableEntity).says("Only 4 left in that bin.")
	s.fill(sort, "form.form", url.Values{"quantity": {"1"}, "keeps": {"12"}}).is(http.StatusUnprocessableEntity).says("Since when is it open?")
	s.fill(sort, "form.form", url.Values{"quantity": {"1"}, "condition": {"bad"}, "note": {"cracked at the eye"}}).to(route.Part(part))
	s.undo(route.Part(part)).to(route.Part(part))
	s.fill(sort, "form.form", url.Values{"quantity": {"1"}, "condition": {"bad"}, "note": {"cracked at the eye"}}).to(route.Part(part))
	s.get(route.Part(part)).says("1 noted as that.", "bad · cracked at the eye", "On hand: 4")
	s.fill(secondRow(s, part, page.StockSort), "form.form", url.Values{"condition": {""}, "note": {""}}).to(route.Part(part))
	s.fill(sort, "form.form", url.Values{"quantity": {"2"}, "checked_car": {strconv.FormatInt(int64(car), 10)}}).to(route.Part(part))
	s.get(route.Part(part)).says("checked against " + garagetest.Car().Name)
	stock, err := s.store.StockOf(t.Context(), part)
	if err != nil || len(stock) != 2 || stock[1].Lot.CheckedOn == nil || *stock[1].Lot.CheckedOn != garage.NewDate(2027, 3, 5) {
		t.Fatal(stock, err)
	}
	// Counted apart: those that were checked, not the others.
	count := secondRow(s, part, page.StockCount)
	if !s.get(route.Part(part)).doc().Has(`a[href="` + count + `"]`) {
		t.Fatal("the part's page does not lead to " + count)
	}
	s.fill(count, "form.form", url.Values{"quantity": {"1"}}).to(route.Part(part))
	s.get(route.Part(part)).says("On hand: 3")
	s.fill(count, "form.form", url.Values{"quantity": {"1"}}).to(route.Part(part))
	s.get(route.Part(part)).says("Counted: as expected.")
}

// secondRow is the form that does something with the second row of a part's stock.
func secondRow(s *site, part garage.PartID, action string) string {
	s.Helper()
	stock, err := s.store.StockOf(s.Context(), part)
	if err != nil || len(stock) != 2 {
		s.Fatal(stock, err)
	}
	return route.StockAt(part, action, fmt.Sprintf("%d.%d", stock[1].BinID, *stock[1].LotID))
}

// kitYard is a job that needs two of a part and one that needs one, with two in a bin.
func kitYard(s *site) (part garage.PartID, first, second garage.JobID, needs [2]garage.NeedID) {
	s.Helper()
	ctx := s.Context()
	part = s.addPart(func(p *garage.Part) { p.LeadLow, p.LeadLikely, p.LeadHigh = nil, nil, nil })
	car, err := s.store.CreateCar(ctx, garagetest.Car())
	if err != nil {
		s.Fatal(err)
	}
	if _, err := s.store.PutStock(ctx, garage.Movement{PartID: part, Quantity: 2, Kind: "bought"}, garage.BinPick{Name: "A1", New: true}); err != nil {
		s.Fatal(err)
	}
	_, err = s.store.CreateSessionPattern(ctx, garagetest.SessionPattern())
	if err != nil {
		s.Fatal(err)
	}
	jobs := [2]garage.JobID{}
	for i, title := range []string{"Rear brakes", "Spare set"} {
		jobs[i], err = s.store.CreateJob(ctx, garagetest.Job(func(j *garage.Job) { j.CarID, j.Title, j.Weight = car, title, 9-4*i }), nil,
			garagetest.Stage(func(st *garage.Stage) { st.Lift = false }))
		if err != nil {
			s.Fatal(err)
		}
		stages, err := s.store.Stages(ctx, jobs[i])
		if err != nil {
			s.Fatal(err)
		}
		needs[i], err = s.store.CreateNeed(ctx, garagetest.Need(func(n *garage.Need) { n.StageID, n.PartID, n.Quantity = stages[0].ID, part, 2-i }), garage.PartPick{})
		if err != nil {
			s.Fatal(err)
		}
	}
	return part, jobs[0], jobs[1], needs
}

// TestKit_promisedOnce: of two jobs that need the same pieces one has a complete kit, and the owner can say which.
func TestKit_promisedOnce(t *testing.T) {
	t.Parallel()
	s := setup(t)
	part, first, second, needs := kitYard(s)
	s.get(route.Job(first)).says("kit complete", "1 part was not held against the car yet")
	s.get(route.Job(second)).says("1 part that it stops for not in a bin for it yet", "1 on hand, promised to", "Rear brakes")
	s.get(route.Part(part)).says("Promised to", "2 on hand promised", "1 lacking")

	s.post(route.NeedPin(needs[1]), nil).to(route.Part(part))
	s.get(route.Part(part)).says("kept for it", "Keep no more")
	s.get(route.Job(second)).says("kit complete")
	s.get(route.Job(first)).says("not in a bin for it yet")
	s.post(route.NeedPin(needs[0]), nil).to(route.Part(part))
	s.get(route.Part(part)).says("Not kept. Too few are on hand that will do and are not kept for another job.")
	s.fill(route.Stock(part, page.StockTake), "form.form", url.Values{"quantity": {"2"}}).is(http.StatusUnprocessableEntity).says("What is left is kept for Spare set.")
	s.post(route.NeedUnpin(needs[1]), nil).to(route.Part(part))
	s.get(route.Job(first)).says("kit complete")
}

// TestPart_toOrder: what the plan counts on and nobody has ordered is told as such on the part's page, with the way to order it. None
// is on hand, so none can be kept.
func TestPart_toOrder(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.addSaturdays()
	part := s.addPart(func(p *garage.Part) { p.LeadLow, p.LeadLikely, p.LeadHigh = new(2), new(2), new(2) })
	job := s.addJob(s.addCar(), "Rear brakes")
	if _, err := s.store.CreateNeed(t.Context(), garagetest.Need(func(n *garage.Need) { n.StageID, n.PartID, n.Quantity = s.stageOf(job), part, 2 }), garage.PartPick{}); err != nil {
		t.Fatal(err)
	}
	// Worked by hand: ordered on Friday 5 March it is here by the end of the 7th, so the work is on Saturday the 13th. Ordered on the 11th it
	// would be here by the end of that day.
	at := s.get(route.Part(part)).says("Nothing is expected", "2 to be ordered by Wed 10 Mar", "Order it", "From ordering 2 days").saysNot("of what comes promised", "Keep for it")
	if !at.doc().Has("main a[href=" + route.ToOrder() + "]") {
		t.Error("no way to order it")
	}

	s.addStock(part, "A1", 1)
	s.get(route.Part(part)).says("1 on hand promised", "1 to be ordered by Wed 10 Mar", "Keep for it")
}

// TestPart_expectedBy: what is expected is there by the end of the day that the plan reckons with, not of the next one.
func TestPart_expectedBy(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.addSaturdays()
	part, job := s.addPart(), s.addJob(s.addCar(), "Rear brakes")
	need, err := s.store.CreateNeed(t.Context(), garagetest.Need(func(n *garage.Need) { n.StageID, n.PartID, n.Quantity = s.stageOf(job), part, 1 }), garage.PartPick{})
	if err != nil {
		t.Fatal(err)
	}
	day := "2027-03-09" // a Tuesday
	s.post(route.Arrivals(part), url.Values{"quantity": {"1"}, "arrives_low": {day}, "arrives_likely": {day}, "arrives_high": {day}}).to(route.Part(part))
	s.get(route.Part(part)).says("1 of what comes promised, by Tue 9 Mar")
	s.get(route.Job(job)).says("expected by Tue 9 Mar")
	s.get(route.Alternatives(need)).says("Tue 9 Mar")
}

func TestKit_box(t *testing.T) {
	t.Parallel()
	s := setup(t)
	part, first, second, _ := kitYard(s)
	s.fill(route.JobKit(first), "form.form", url.Values{"bin": {"Kit 1"}}).is(http.StatusUnprocessableEntity).says("There is no bin called Kit 1. Tick to make it.")
	s.fill(route.JobKit(first), "form.form", url.Values{"bin": {"Kit 1"}, "new_bin": {"yes"}}).to(route.Job(first))
	s.fill(route.JobKit(second), "form.form", url.Values{"bin": {"kit 1"}}).is(http.StatusUnprocessableEntity).says("Kit 1 is the box for Rear brakes.")
	s.post(route.JobKitGather(first), nil).to(route.Job(first))
	s.undo(route.Job(first)).to(route.Job(first))
	s.get(route.Job(first)).says("2 on hand in A1")
	s.post(route.JobKitGather(first), nil).to(route.Job(first))
	s.get(route.Job(first)).says("Gathered in Kit 1.", "kit complete, in Kit 1", "2 on hand in Kit 1")
	s.get(route.Part(part)).says("Kit 1")
	bins, err := s.store.Bins(t.Context())
	if err != nil || len(bins) != 2 {
		t.Fatal(bins, err)
	}
	s.get(route.Bin(bins[1].ID)).says("Trailing arm", "Gathered for Rear brakes")
	s.post(route.JobKitGather(second), nil).is(http.StatusNotFound)
	s.post(route.JobKitDelete(first), nil).to(route.Job(first))
	s.undo(route.Job(first)).to(route.Job(first))
	s.get(route.Job(first)).says("kit complete, in Kit 1")
}

func TestNeed_asks(t *testing.T) {
	t.Parallel()
	s := setup(t)
	part, first, _, needs := kitYard(s)
	s.fill(route.NeedEdit(needs[0]), "form.form", url.Values{"least_grade": {"fine"}}).is(http.StatusUnprocessableEntity).says("Choose one of the list.")
	s.fill(route.NeedEdit(needs[0]), "form.form", url.Values{"least_grade": {"maker"}, "single_use": {"yes"}, "side": {"both"}}).to(route.Job(first))
	s.get(route.Job(first)).says("both · no less than maker · single use", "kit complete")
	s.fill(route.Stock(part, page.StockSort), "form.form", url.Values{"quantity": {"2"}, "grade": {"used"}}).to(route.Part(part))
	s.get(route.Job(first)).says("not in a bin for it yet")
}
