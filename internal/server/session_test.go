package server

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"axlestand/internal/garage"
)

func TestSessions(t *testing.T) {
	t.Parallel()

	t.Run("weekly", func(t *testing.T) {
		t.Parallel()
		s := setup(t) // on Friday 5 March 2027
		s.get("/sessions").is(http.StatusOK).says("No sessions yet")
		s.fill("/sessions/weekly/new", "form.form", url.Values{"weekday": {"6"}, "from": {"09:00"}, "to": {"17:00"}, "helpers": {"1"}}).to("/sessions")
		s.fill("/sessions/weekly/new", "form.form", url.Values{"weekday": {"2"}, "from": {"21:30"}, "to": {"00:00"}}).to("/sessions")
		doc := s.get("/sessions").is(http.StatusOK).
			says("Sat 6 Mar", "Tue 9 Mar", "24:00", "10 h 30 a week", "31 h 30").doc()
		if rows := doc.FindAll("tbody tr"); len(rows) != 6 {
			t.Errorf("%d sessions in three weeks, want 6", len(rows))
		}
		edit := doc.Find(`.list a`).Attr("href")
		s.fill(edit, "form.form", url.Values{"from": {"20:00"}}).to("/sessions")
		s.get("/sessions").says("Tuesday 20:00 to 24:00")
	})

	t.Run("refused with what was typed", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		s.fill("/sessions/weekly/new", "form.form", url.Values{"from": {"17:00"}, "to": {"09:00"}, "helpers": {"ten"}}).
			is(http.StatusUnprocessableEntity).says("Choose from Monday to Sunday.", "The end must come after the start", "A whole number")
		doc := s.fill("/sessions/exceptions/new", "form.form", url.Values{"on_date": {"2027-02-29"}, "off": {"no"}, "from": {"9"}, "to": {""}}).
			is(http.StatusUnprocessableEntity).says("A date like", "A time like").doc()
		if got := doc.Find("#f-on_date").Attr("value"); got != "2027-02-29" {
			t.Errorf("date is shown as %q", got)
		}
	})

	t.Run("taken away and entered again", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		s.post("/sessions/weekly", url.Values{"weekday": {"7"}, "from": {"10:00"}, "to": {"00:00"}, "helpers": {"2"}}).to("/sessions")
		edit := s.get("/sessions").doc().Find(".list a").Attr("href")
		before, _ := s.store.SessionPatterns(t.Context())
		s.post(strings.TrimSuffix(edit, "/edit")+"/delete", nil).to("/sessions")
		flash := s.get("/sessions").says("taken away").doc().Find(".flash form")
		s.post(flash.Attr("action"), flash.FormValues()).to("/sessions")
		after, err := s.store.SessionPatterns(t.Context())
		if err != nil || len(after) != 1 {
			t.Fatalf("%v, %v", after, err)
		}
		before[0].ID = after[0].ID
		if before[0] != after[0] {
			t.Errorf("came back as %+v, was %+v", after[0], before[0])
		}
	})

	t.Run("a holiday over the end of a month", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		s.post("/sessions/weekly", url.Values{"weekday": {"7"}, "from": {"10:00"}, "to": {"12:00"}}).to("/sessions")
		s.fill("/sessions/exceptions/new", "form.form", url.Values{"on_date": {"2028-02-27"}, "through": {"2028-03-02"}, "note": {"Away"}}).to("/sessions")
		all, err := s.store.SessionExceptions(t.Context(), garage.Date{})
		if err != nil {
			t.Fatal(err)
		}
		var days []string
		for _, x := range all {
			days = append(days, x.OnDate.String())
		}
		if got, want := strings.Join(days, " "), "2028-02-27 2028-02-28 2028-02-29 2028-03-01 2028-03-02"; got != want {
			t.Errorf("got %s, want %s", got, want)
		}
	})

	t.Run("an exception in the way", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		s.post("/sessions/weekly", url.Values{"weekday": {"6"}, "from": {"09:00"}, "to": {"17:00"}}).to("/sessions")
		s.post("/sessions/exceptions", url.Values{"on_date": {"2027-03-06"}, "off": {"yes"}, "note": {"Wedding"}}).to("/sessions")
		doc := s.get("/sessions").is(http.StatusOK).says("Sat 6 Mar 2027: no session", "Wedding").doc()
		if got := doc.Find("tbody tr").Text(); !strings.Contains(got, "no session") {
			t.Errorf("the first row is %q", got)
		}
		edit := ""
		for _, a := range doc.FindAll(".list a") {
			if strings.Contains(a.Attr("href"), "exceptions") {
				edit = a.Attr("href")
			}
		}
		mine := s.get(edit).doc().Find("form.form").FormValues()
		s.fill(edit, "form.form", url.Values{"off": {"no"}, "from": {"08:00"}, "to": {"10:00"}}).to("/sessions")
		s.get("/sessions").says("08:00 to 10:00")
		s.post(strings.TrimSuffix(edit, "/edit"), mine).is(http.StatusConflict).says("08:00")
		s.post(strings.TrimSuffix(edit, "/edit")+"/delete", nil).to("/sessions")
		flash := s.get("/sessions").doc().Find(".flash form")
		s.post(flash.Attr("action"), flash.FormValues()).to("/sessions")
		s.get("/sessions").says("08:00 to 10:00")
	})
}
