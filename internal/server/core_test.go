package server

import (
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"testing"

	"axlestand/internal/garage"
	"axlestand/web/route"
)

// coreYard is a job that the owner has put into the session of 10 April, and the deposit for what it frees, which is lost after 1 April.
func coreYard(s *site) (part garage.PartID, job garage.JobID, core string) {
	s.Helper()
	s.addSaturdays()
	job = s.addJob(s.addCar(), "Front brakes")
	part = s.addPart()
	s.exec(`update jobs set pinned_at = '2027-04-10 09:00Z' where id = $1`, job)
	s.get(route.Cores()).is(http.StatusOK).says("No core deposits")
	s.fill(route.CoreNew(part), "form.form", url.Values{
		"supplier": {"Harbour Motor Factors"}, "deposit": {"45"}, "window": {"30"}, "basis_on": {"2027-03-02"}, "job": {strconv.FormatInt(int64(job), 10)},
	}).to(route.Cores())
	for _, a := range s.get(route.Cores()).doc().FindAll("main a") {
		if strings.HasPrefix(a.Attr("href"), route.Cores()+"/") {
			core = a.Attr("href")
		}
	}
	return part, job, core
}

func TestCores_shows_what_would_be_lost_and_what_saves_it(t *testing.T) {
	t.Parallel()
	s := setup(t)
	part, job, core := coreYard(s)
	s.get(route.Cores()).says("45.00 EUR paid = 0.00 EUR refunded + 0.00 EUR lost + 45.00 EUR outstanding", "27 days left", "planned to be done Sat 10 Apr")
	shown := s.get(core).is(http.StatusOK).says("comes off on Sat 10 Apr 2027, after the last day: 45.00 EUR would be lost", "take the old unit off", "What changes: 45.00 EUR less lost to lateness")
	if strings.Contains(shown.doc().Find("main").Text(), "May go back instead") {
		t.Error("a donor is offered that has no such unit")
	}
	s.get("/").says("Trailing arm", "45.00 EUR would be lost")
	s.get(route.Plan()).says("1 date", "Core deposit, Thu 1 Apr", "45.00 EUR would be lost")
	var plan string
	for _, a := range shown.doc().FindAll("main a") {
		if a.Text() == "Show the plan that saves it" {
			plan = a.Attr("href")
		}
	}
	s.get(plan).is(http.StatusOK).says("Front brakes in the session Sat 27 Mar 09:00", "Sat 10 Apr 11:20 Sat 27 Mar 11:20")

	donor := s.addCar(func(c *garage.Car) { c.Name, c.Role = "Spare set", garage.Donor })
	s.exec(`insert into donor_parts (car_id, part_id, quantity) values ($1, $2, 1)`, donor, part)
	s.get(core).says("May go back instead", "Spare set")
	choose := s.get(core).doc().FindAll("main form.one")[0]
	s.post(choose.Attr("action"), choose.FormValues()).to(core)
	s.get(core).says("Goes back in place of the car's own", "Plan its harvest", "take the unit off the donor")
	s.get(route.Cores()).says("no job")
	s.post(core+"/unit", nil).to(core)
	s.get(core).says("May go back instead", "take the old unit off", "Freed by Front brakes")
	s.post(core+"/unit", url.Values{"donor_part": {"x"}}).is(http.StatusNotFound)
	s.post(core+"/unit", url.Values{"donor_part": {"99999"}}).is(http.StatusNotFound)

	s.notBefore(job, "2027-04-10")
	s.get(core).says("fits into no session before that day", "When it may start")
	s.exec(`update jobs set not_before = null, pinned_at = null where id = $1`, job)
	if text := s.get(core).doc().Find("main").Text(); strings.Contains(text, "would be lost") {
		t.Error("nothing is lost any more, but it is said")
	}
	s.get(route.Plan()).says("Core deposit, Thu 1 Apr", "the old unit is off on Sat 6 Mar").saysNot("would be lost")
}

// Computed: 60 % of 45.00 are 27.00; 18.00 are lost, and 11.90 of freight leave 15.10.
func TestCore_money_adds_up_after_a_partial_refund(t *testing.T) {
	t.Parallel()
	s := setup(t)
	_, _, core := coreYard(s)
	happens := func(v url.Values) answer { return s.fill(core, "form.form", v) }
	happens(url.Values{"state": {"sent"}, "freight": {"11.90"}, "happened_on": {"2027-03-04"}, "tracking": {"TR-9"}}).to(core)
	happens(url.Values{"state": {"refunded"}}).is(http.StatusUnprocessableEntity)
	happens(url.Values{"state": {"received"}, "happened_on": {"2027-03-03"}}).is(http.StatusUnprocessableEntity).says("That was before what happened last.")
	happens(url.Values{"state": {"received"}, "happened_on": {"2027-03-06"}}).is(http.StatusUnprocessableEntity).says("That day has not come yet.")
	happens(url.Values{"state": {"accepted"}, "amount": {"27"}, "reason": {"cracked bracket"}}).to(core)
	happens(url.Values{"state": {"refunded"}}).to(core)
	s.get(core).says("45.00 EUR paid: 27.00 EUR refunded, 18.00 EUR lost, 0.00 EUR outstanding", "11.90 EUR freight, 15.10 EUR net", "cracked bracket", "TR-9")
	s.post(core+"/back", nil).to(core)
	s.get(core).says("0.00 EUR refunded, 18.00 EUR lost, 27.00 EUR outstanding", "wait for the refund", "the latest was taken back")
}

func TestCore_form(t *testing.T) {
	t.Parallel()
	s := setup(t)
	part, _, core := coreYard(s)
	s.refuses(route.CoreNew(part), "deposit", "dear", "Write an amount like 12.50.")
	s.stale(core+"/edit", "order_number", "99", "98")
	s.post(core+"/delete", nil).to(route.Cores())
	flash := s.get(route.Cores()).says("deleted.").doc().Find(".flash form")
	s.get(core).is(http.StatusNotFound)
	s.post(flash.Attr("action"), flash.FormValues()).to(route.Cores())
	s.get(core).is(http.StatusOK)
	s.get("/cores/9999").is(http.StatusNotFound)
	s.get(route.CoreNew(garage.PartID(9999))).is(http.StatusNotFound)
}
