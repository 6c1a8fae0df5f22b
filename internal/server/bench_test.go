package server

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"axlestand/web/route"
)

func TestBench(t *testing.T) {
	t.Parallel()

	t.Run("lists the calculators", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		doc := s.get("/more").is(http.StatusOK).doc()
		if !doc.Has(`a[href="/bench"]`) {
			t.Error("no link leads to it")
		}
		doc = s.get(route.Bench()).is(http.StatusOK).says("Torque", "Intervals", "Money").doc()
		n := 0
		for _, a := range doc.FindAll("main a") {
			if href := a.Attr("href"); strings.HasPrefix(href, route.Bench()+"/") {
				s.get(href).is(http.StatusOK).says("No answer yet")
				n++
			}
		}
		if n < 20 {
			t.Errorf("%d calculators", n)
		}
	})

	t.Run("answers in the address", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		// the balance of moments: 90 Nm · 350/(350 + 50) = 78.75 Nm
		typed := url.Values{"torque": {"90"}, "torque_unit": {"Nm"}, "wrench": {"350"}, "wrench_unit": {"mm"}, "extension": {"50"}, "extension_unit": {"mm"}, "angle": {"0"}}
		address := route.CalculatorWith("extension", typed)
		doc := s.get(address).is(http.StatusOK).says("Set the wrench to", "78.75", "Formula, source and limits").doc()
		if got := doc.Find("#f-torque").Attr("value"); got != "90" {
			t.Errorf("the torque is shown as %q", got)
		}
	})

	t.Run("works in the garage's money and on its day", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		s.fill("/settings", "form.form", url.Values{"currency": {"CHF"}}).is(http.StatusSeeOther)
		s.get(route.CalculatorWith("landed-cost", url.Values{"lines": {"120.00 disc\n45.50 pads\n30 hose"}, "shipping": {"18"}, "duty": {"4.5"}, "vat": {"21"}})).
			is(http.StatusOK).says("269.96", "CHF", "165.70", "62.83", "41.43")
		// the clock says 5 March 2027
		s.get(route.CalculatorWith("core-deposit", url.Values{"window": {"30"}, "day": {"2027-02-03"}})).is(http.StatusOK).says("Fri 5 Mar 2027", "Today is the last day.")
	})

	t.Run("keeps what cannot be worked out", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		doc := s.get(route.CalculatorWith("extension", url.Values{"torque": {"ninety"}, "wrench": {"350"}, "extension": {"50"}, "angle": {"0"}})).
			is(http.StatusUnprocessableEntity).says("Not worked out yet. What you typed is below.").doc()
		field := doc.Find("#f-torque")
		if field.Attr("value") != "ninety" || doc.Find("#f-wrench").Attr("value") != "350" {
			t.Errorf("shown as %q and %q", field.Attr("value"), doc.Find("#f-wrench").Attr("value"))
		}
		if field.Attr("aria-invalid") != "true" || doc.Find("#f-wrench").Attr("aria-invalid") == "true" {
			t.Error("the field that is wrong is not marked, or another is")
		}
		if doc.Has(".benchfigures") {
			t.Error("a figure is shown all the same")
		}
		said := ""
		for _, id := range strings.Fields(field.Attr("aria-describedby")) {
			said += doc.Find("#"+id).Text() + " "
		}
		if !strings.Contains(said, "Write a number and a unit") {
			t.Errorf("at the field stands %q", said)
		}

		lines := "120.00 disc\nfree hose"
		doc = s.get(route.CalculatorWith("landed-cost", url.Values{"lines": {lines}})).is(http.StatusUnprocessableEntity).says("Line 2: begin with the price.").doc()
		if got := doc.Find("form.bench").FormValues().Get("lines"); got != lines {
			t.Errorf("the lines are shown as %q", got)
		}
	})

	t.Run("knows no other calculators", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		s.get("/bench/perpetual-motion").is(http.StatusNotFound)
		s.get("/bench/extension/more").is(http.StatusNotFound)
	})

	t.Run("is for those who are signed in", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		s.post("/signout", nil).is(http.StatusSeeOther)
		s.get(route.CalculatorWith("extension", url.Values{"torque": {"90"}})).is(http.StatusSeeOther)
	})
}

// A link of a step fills in what is known of it: the rest is asked for, and nothing is wrong yet.
func TestBench_filledInByAStep(t *testing.T) {
	t.Parallel()
	s := setup(t)
	page := s.get("/bench/extension?torque=9&torque_unit=Nm").is(http.StatusOK)
	if got := page.doc().Find("#f-torque").Attr("value"); got != "9" {
		t.Errorf("torque is shown as %q", got)
	}
	page.saysNot("There is a problem")
	s.get("/bench/extension?torque=9&torque_unit=Nm&wrench=&extension=50&angle=0").is(http.StatusUnprocessableEntity)
}
