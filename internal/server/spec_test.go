package server

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"axlestand/web/route"
)

func TestTorqueSpecs(t *testing.T) {
	t.Parallel()

	t.Run("from the first one on", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		car := route.Car(s.addCar())
		s.get(car + "/specs").is(http.StatusOK).says("No torque specs yet")
		spec := s.fill(car+"/torque/new", "form.form", url.Values{
			"joint": {"Wheel bolts"}, "stages": {"30 Nm + 90° + 90°"}, "thread": {"M12x1.5"}, "class": {"10.9"}, "sequence": {"star 5"},
		}).is(http.StatusSeeOther).location
		s.get(spec).is(http.StatusOK).says("no source", "+ 90°", "Turn further by 90°", "generic, not for this joint", "1-3-5-2-4", "Wheel bolts added.")
		s.fill(spec+"/edit", "form.form", url.Values{"source": {"Handbook"}, "page": {"184"}, "single_use": {"yes"}, "stages": {"120 Nm"}}).to(spec)
		s.get(spec).says("Handbook, page 184", "new fasteners each time", "120 Nm")
		s.get(car + "/specs?q=wheel").says("Wheel bolts")
		s.get(car + "/specs?q=nothing").says("No joint is called that")
		s.get(car).says("1 joint")
	})

	t.Run("refused with what was typed", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		car := route.Car(s.addCar())
		doc := s.fill(car+"/torque/new", "form.form", url.Values{
			"joint": {" "}, "stages": {"forty"}, "thread": {"Q7"}, "class": {"9"}, "sequence": {"star 2"}, "bolts": {"x"}, "page": {"7"},
		}).is(http.StatusUnprocessableEntity).says("Give it a name.", "Write the thread like", "Write the class", "A whole number, please.", "Which document is that page in?").doc()
		if got := doc.Find("#f-stages").Attr("value"); got != "forty" {
			t.Errorf("shown as %q", got)
		}
	})

	t.Run("a slip of the unit is pointed out", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		car := route.Car(s.addCar())
		spec := s.post(car+"/torque", url.Values{"joint": {"Cover"}, "stages": {"90 Nm"}, "thread": {"M6"}, "class": {"8.8"}}).is(http.StatusSeeOther).location
		s.get(spec).says("Wrong unit or thread?", "lbf in")
	})

	t.Run("wrench and extension", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		car := route.Car(s.addCar())
		spec := s.post(car+"/torque", url.Values{"joint": {"Bracket"}, "stages": {"80 Nm"}}).is(http.StatusSeeOther).location
		s.get(spec).says("With your torque wrenches entered")
		s.post("/wrenches", url.Values{"name": {"Middle"}, "unit": {"Nm"}, "low": {"20"}, "high": {"110"}, "graduation": {"1"}, "length": {"400"}, "calibrated_on": {"2026-09-01"}}).to("/wrenches")
		s.post("/wrenches", url.Values{"name": {"Stale"}, "unit": {"Nm"}, "low": {"40"}, "high": {"210"}, "calibrated_on": {"2020-09-01"}}).to("/wrenches")
		s.post("/wrenches", url.Values{"name": {"Small"}, "unit": {"Nm"}, "low": {"5"}, "high": {"25"}}).to("/wrenches")
		s.get(spec).says("Set Middle to 80 Nm", "the best of yours for this", "outside its range of 5 Nm to 25 Nm", "Its calibration was due on 1 September 2021")
		// 80 Nm · 400/(400 + 50)
		s.get(spec+"?wrench=1&extension=50&angle=0").is(http.StatusOK).says("Set Middle to 71 Nm", "The fastener then gets 80 Nm")
		doc := s.get(spec + "?extension=long&angle=500").is(http.StatusUnprocessableEntity).doc()
		if got := doc.Find("#f-extension").Attr("value"); got != "long" {
			t.Errorf("shown as %q", got)
		}
		s.get(spec + "?extension=50&angle=500").is(http.StatusUnprocessableEntity).says("The angle is from 0°")
		s.get(car+"/specs").says("Middle", "set to 80 Nm")
	})

	t.Run("tied to a stage, the job shows it", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		car := route.Car(s.addCar())
		job := s.post("/jobs", url.Values{
			"car": {strings.TrimPrefix(car, "/cars/")}, "title": {"Rear brakes"}, "kind": {"repair"}, "weight": {"5"}, "stage.name": {"Fit"}, "stage.kind": {"bench"},
			"stage.minutes_low": {"30"}, "stage.minutes_likely": {"60"}, "stage.minutes_high": {"90"}, "stage.helpers": {"0"},
		}).is(http.StatusSeeOther).location
		page := s.get(job).says("No torque spec is tied to a stage of this job.").doc()
		var add string
		for _, a := range page.FindAll("a") {
			if strings.Contains(a.Attr("href"), "/torque/new?stage=") {
				add = a.Attr("href")
			}
		}
		s.fill(add, "form.form", url.Values{"joint": {"Bracket"}, "stages": {"65 Nm"}}).is(http.StatusSeeOther)
		s.get(job).says("Bracket", "65", "no source")
	})

	t.Run("deleted, brought back, stale", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		car := route.Car(s.addCar())
		spec := s.post(car+"/torque", url.Values{"joint": {"Bracket"}, "stages": {"80 Nm"}}).is(http.StatusSeeOther).location
		s.post(spec+"/delete", nil).to(car + "/specs")
		flash := s.get(car + "/specs").says("Bracket deleted.").doc().Find(".flash form")
		s.get(spec).is(http.StatusNotFound)
		s.post(flash.Attr("action"), flash.FormValues()).to(car + "/specs")
		mine := s.get(spec + "/edit").is(http.StatusOK).doc().Find("form.form").FormValues()
		s.fill(spec+"/edit", "form.form", url.Values{"stages": {"81 Nm"}}).to(spec)
		mine.Set("stages", "82 Nm")
		again := s.post(spec, mine).is(http.StatusConflict).says("81 Nm", "82 Nm").doc().Find(".conflict form")
		s.post(again.Attr("action"), again.FormValues()).to(spec)
		s.get(spec).says("82")
		for _, path := range []string{"/torque/9999", "/torque/x", "/torque/9999/edit", "/cars/9999/specs", "/cars/9999/torque/new"} {
			s.get(path).is(http.StatusNotFound)
		}
		s.post("/torque/9999", url.Values{"joint": {"x"}}).is(http.StatusNotFound)
		s.post("/cars/9999/torque", url.Values{"joint": {"x"}}).is(http.StatusNotFound)
	})
}

func TestWrenches(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.get("/wrenches").is(http.StatusOK).says("No torque wrenches yet")
	doc := s.fill("/wrenches/new", "form.form", url.Values{"name": {""}, "low": {"20"}, "high": {"ten"}, "length": {"400 kg"}, "clicks": {"-1"}}).
		is(http.StatusUnprocessableEntity).says("Give it a name.", "A number, please.").doc()
	if got := doc.Find("#f-high").Attr("value"); got != "ten" {
		t.Errorf("shown as %q", got)
	}
	s.fill("/wrenches/new", "form.form", url.Values{"name": {"Middle"}, "low": {"20"}, "high": {"110"}, "graduation": {"0,5"}}).to("/wrenches")
	edit := s.get("/wrenches").says("Middle is in.", "It is not known when it was last calibrated.", "every 0.5 Nm").doc().Find("table a").Attr("href")
	mine := s.get(edit).doc().Find("form.form").FormValues()
	s.fill(edit, "form.form", url.Values{"calibrated_on": {"2027-01-02"}, "accuracy": {"2"}}).to("/wrenches")
	s.get("/wrenches").says("good until Sun 2 Jan 2028", "± 2 %")
	mine.Set("name", "Mine")
	again := s.post(strings.TrimSuffix(edit, "/edit"), mine).is(http.StatusConflict).says("Mine", "2027-01-02").doc().Find(".conflict form")
	s.post(again.Attr("action"), again.FormValues()).to("/wrenches")
	s.post(strings.TrimSuffix(edit, "/edit")+"/delete", nil).to("/wrenches")
	flash := s.get("/wrenches").says("Mine deleted.").doc().Find(".flash form")
	s.get(edit).is(http.StatusNotFound)
	s.post(flash.Attr("action"), flash.FormValues()).to("/wrenches")
	s.get(edit).is(http.StatusOK)
}
