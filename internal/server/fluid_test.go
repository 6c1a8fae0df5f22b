package server

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"axlestand/web/route"
)

// keeps adds one of a noun by its form, changes it, saves it stale, deletes it and brings it back.
func (s *site) keeps(list, add, field string, good url.Values) {
	s.Helper()
	s.fill(add, "form.form", good).to(list)
	var edit string
	for _, a := range s.get(list).is(http.StatusOK).doc().FindAll("main a") {
		if strings.HasSuffix(a.Attr("href"), "/edit") {
			edit = a.Attr("href")
		}
	}
	own := strings.TrimSuffix(edit, "/edit")
	mine := s.get(edit).is(http.StatusOK).doc().Find("form.form").FormValues()
	s.fill(edit, "form.form", url.Values{field: {"99"}}).is(http.StatusSeeOther)
	mine.Set(field, "98")
	again := s.post(own, mine).is(http.StatusConflict).says("98", "99").doc().Find(".conflict form")
	s.post(again.Attr("action"), again.FormValues()).to(list)
	s.post(own+"/delete", nil).to(list)
	flash := s.get(list).says("deleted.").doc().Find(".flash form")
	s.get(edit).is(http.StatusNotFound)
	s.post(own, mine).is(http.StatusNotFound)
	s.post(flash.Attr("action"), flash.FormValues()).to(list)
	s.get(edit).is(http.StatusOK)
}

// refuses sends a form with one bad value: it is said, and what was typed is still there.
func (s *site) refuses(add, field, typed string, says ...string) {
	s.Helper()
	doc := s.fill(add, "form.form", url.Values{field: {typed}}).is(http.StatusUnprocessableEntity).says(says...).doc()
	if got := doc.Find("#f-" + field).Attr("value"); got != typed {
		s.Errorf("%s shown as %q", field, got)
	}
}

func TestFluidSpecs(t *testing.T) {
	t.Parallel()
	s := setup(t)
	list := route.FluidSpecs(s.addCar())
	s.get(list).is(http.StatusOK).says("No fluids yet")
	s.refuses(list+"/new", "capacity_service", "four", "Give it a name.")
	s.keeps(list, list+"/new", "page", url.Values{
		"kind": {"brake fluid"}, "name": {"Brake fluid"}, "grade": {"DOT 4"}, "capacity_service": {"1.0"}, "every_months": {"24"}, "source": {"Handbook"},
	})
	s.post("/bottles", url.Values{"kind": {"brake fluid"}, "name": {"Purple"}, "grade": {"DOT 5"}, "opened_on": {"2027-03-01"}, "keeps_months": {"12"}}).to("/bottles")
	s.get(list).says("boils at 230 °C dry and 155 °C wet at least", "every 24 months", "Handbook, page 98", "Purple", "not for this")
	s.get("/cars/9999/fluids").is(http.StatusNotFound)
}

func TestBottles(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.get("/bottles").is(http.StatusOK).says("No opened bottles")
	s.refuses("/bottles/new", "opened_on", "2027-04-01", "Give it a name.")
	s.fill("/bottles/new", "form.form", url.Values{"name": {"Tin"}, "opened_on": {"2027-04-01"}}).is(http.StatusUnprocessableEntity).says("That day has not come yet.")
	s.keeps("/bottles", "/bottles/new", "place", url.Values{"name": {"Tin"}, "grade": {"DOT 4"}, "opened_on": {"2026-03-05"}, "volume_left": {"0.4"}})
	s.get("/bottles").says("old since Fri 5 Mar 2027", "0.4 l")
}

func TestWheels(t *testing.T) {
	t.Parallel()
	s := setup(t)
	car := s.addCar()
	list := route.Wheels(car)
	s.get(list).is(http.StatusOK).says("What the car requires is not entered", "No wheel sets yet")
	s.refuses(route.RequiredWheelNew(car), "load_index", "heavy", "A whole number, please.")
	s.keeps(list, route.RequiredWheelNew(car), "page", url.Values{"size": {"205/55 R16"}, "load_index": {"91"}, "speed_symbol": {"v"}, "source": {"Papers"}})
	s.post(route.RequiredWheels(car), url.Values{"size": {"205/55 R16"}, "load_index": {"91"}, "speed_symbol": {"V"}}).
		is(http.StatusUnprocessableEntity).says("entered already")
	s.refuses(list+"/new", "tyre", "205", "Give it a name.")
	s.fill(list+"/new", "form.form", url.Values{"name": {"Late"}, "tyre": {"205/55 R16 91V"}, "date_code": {"5027"}}).
		is(http.StatusUnprocessableEntity).says("yet to come")
	s.post(list, url.Values{"name": {"Thin"}, "tyre": {"205/55 R16 88T"}, "tread": {"1.2 mm"}}).to(list)
	s.get(list).says("Papers, page 98", "Load index 88 carries", "Speed symbol T is for", "is less than the 1.6 mm", "does not fit or must not be used")
	s.post(list, url.Values{"name": {"Right"}, "tyre": {"205/55 R16 91V"}, "date_code": {"1823"}}).to(list)
	s.get(list).says("made in week 18 of 2023", "nothing known speaks against it")
}

func TestWheelSets_kept(t *testing.T) {
	t.Parallel()
	s := setup(t)
	list := route.Wheels(s.addCar())
	s.keeps(list, list+"/new", "place", url.Values{"name": {"Summer"}, "tyre": {"205/55 R16 91V"}, "rim": {"7J×16 ET42"}, "mounted": {"yes"}})
}
