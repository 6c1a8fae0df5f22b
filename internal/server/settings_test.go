package server

import (
	"net/http"
	"net/url"
	"testing"

	"axlestand/internal/garage"
)

func TestSettings(t *testing.T) {
	t.Parallel()

	t.Run("saved", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		s.fill("/settings", "form.form", url.Values{"zone": {"Europe/Vienna"}, "lifts": {"2"}, "estimates": {"written"}, "holidays": {"2027-12-24\n2027-03-29, 2027-12-24"}}).to("/settings")
		s.get("/settings").is(http.StatusOK).says("Settings saved.")
		stored, err := s.store.Settings(t.Context())
		if err != nil || stored.Zone != "Europe/Vienna" || stored.Lifts != 2 || stored.Estimates != garage.AsWritten || stored.Version != 2 || len(stored.Holidays) != 2 || stored.Holidays[0] != garage.NewDate(2027, 3, 29) {
			t.Errorf("stored %+v, %v", stored, err)
		}
		if s.get("/settings").doc().Has(".flash") {
			t.Error("the flash is shown twice")
		}
	})

	t.Run("refused with what was typed", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		doc := s.fill("/settings", "form.form", url.Values{"zone": {"Europe/Atlantis"}, "lifts": {"many"}}).
			is(http.StatusUnprocessableEntity).says("Not a known time zone.", "A whole number, please.").doc()
		if got := doc.Find("#f-zone").Attr("value"); got != "Europe/Atlantis" {
			t.Errorf("zone is shown as %q", got)
		}
		if got := doc.Find("#f-lifts").Attr("value"); got != "many" {
			t.Errorf("lifts are shown as %q", got)
		}
	})

	t.Run("stale", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		first := s.get("/settings").doc().Find("form.form").FormValues()
		second := s.get("/settings").doc().Find("form.form").FormValues()
		first.Set("currency", "CHF")
		s.post("/settings", first).to("/settings")
		second.Set("currency", "SEK")
		conflict := s.post("/settings", second).is(http.StatusConflict).says("CHF", "SEK").doc()
		again := conflict.Find(".conflict form")
		s.post(again.Attr("action"), again.FormValues()).to("/settings")
		stored, err := s.store.Settings(t.Context())
		if err != nil || stored.Currency != "SEK" {
			t.Errorf("stored %+v, %v; want mine over it", stored, err)
		}
	})

	t.Run("fewer lifts than cars stand on", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		s.addCar(func(c *garage.Car) { c.Stands = garage.OnLift })
		s.fill("/settings", "form.form", url.Values{"lifts": {"0"}}).is(http.StatusUnprocessableEntity).says("More cars than that stand on lifts now.")
	})
}
