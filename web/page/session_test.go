package page

import (
	"math"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/web/ui"
)

func mustZone(t *testing.T, name string) *time.Location {
	t.Helper()
	zone, err := time.LoadLocation(name)
	if err != nil {
		t.Fatal(err)
	}
	return zone
}

// TestNewSessions_changeOfClocks: summer time begins and ends on the last Sundays of March and October (Directive 2000/84/EC,
// articles 2 and 3): a night's session is an hour shorter or longer, and the days after it stay in their places.
func TestNewSessions_changeOfClocks(t *testing.T) {
	t.Parallel()
	night := garagetest.SessionPattern(func(p *garage.SessionPattern) { p.Weekday, p.FromMinute, p.ToMinute = 7, 60, 240 })
	monday := garagetest.SessionPattern(func(p *garage.SessionPattern) { p.Weekday, p.FromMinute, p.ToMinute = 1, 0, 12*60 })
	for name, c := range map[string]struct {
		today garage.Date
		sum   string
	}{
		"spring": {garage.NewDate(2027, time.March, 22), "6 sessions, 44\u00a0h"},
		"autumn": {garage.NewDate(2027, time.October, 25), "6 sessions, 46\u00a0h"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			v := NewSessions(Base{}, []garage.SessionPattern{night, monday}, nil, c.today, mustZone(t, "Europe/Vienna"))
			if v.Sum != c.sum {
				t.Errorf("in sum %q, want %q", v.Sum, c.sum)
			}
			for i, w := range v.Weeks {
				if len(w.Bands) != 2 {
					t.Fatalf("week %d has %d sessions", i, len(w.Bands))
				}
				// Monday's session begins at the left edge and ends at noon; Sunday's begins at one.
				for _, place := range []struct{ got, want float64 }{
					{w.Bands[0].From, 0}, {w.Bands[0].To, 50. / 7}, {w.Bands[1].From, (6 + 1./24) / 7 * 100},
				} {
					if math.Abs(place.got-place.want) > 0.01 {
						t.Errorf("week %d: at %.2f %%, want %.2f %%", i, place.got, place.want)
					}
				}
			}
		})
	}
}

// TestNewSessions_longMonths looks over the ends of months, of a leap February and of a year.
func TestNewSessions_longMonths(t *testing.T) {
	t.Parallel()
	daily := make([]garage.SessionPattern, 7)
	for i := range daily {
		daily[i] = garagetest.SessionPattern(func(p *garage.SessionPattern) { p.Weekday = i + 1 })
	}
	for today, want := range map[string]string{
		"2028-02-20": "2028-03-11", "2027-02-20": "2027-03-12", "2027-12-25": "2028-01-14", "2027-04-30": "2027-05-20",
	} {
		first, err := garage.ParseDate(today)
		if err != nil {
			t.Fatal(err)
		}
		v := NewSessions(Base{}, daily, nil, first, time.UTC)
		if len(v.Table.Rows) != previewDays {
			t.Errorf("%s: %d days", today, len(v.Table.Rows))
		}
		if last := v.Table.Rows[previewDays-1][0].Text; !strings.Contains(shortDay(mustDate(t, want), first), last) {
			t.Errorf("%s: looks to %s, want %s", today, last, want)
		}
	}
}

func mustDate(t *testing.T, s string) garage.Date {
	t.Helper()
	d, err := garage.ParseDate(s)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func TestNewSessions_exceptions(t *testing.T) {
	t.Parallel()
	today := garage.NewDate(2027, time.March, 5)
	v := NewSessions(Base{}, []garage.SessionPattern{garagetest.SessionPattern()}, []garage.SessionException{
		garagetest.SessionException(func(x *garage.SessionException) { x.OnDate = today.AddDays(-6); x.Note = "Long ago" }),
		garagetest.SessionException(func(x *garage.SessionException) { x.OnDate = today.AddDays(-1); x.Note = "Just now" }),
		garagetest.SessionException(func(x *garage.SessionException) { x.OnDate = today.AddDays(1) }),
		garagetest.SessionException(func(x *garage.SessionException) {
			x.OnDate, x.Off, x.FromMinute, x.ToMinute, x.Note = today.AddDays(8), false, 0, 1440, ""
		}),
	}, today, time.UTC)
	if len(v.Past) != 2 || v.Past[0].Sub != "Just now" {
		t.Errorf("past %+v, want the latest first", v.Past)
	}
	if len(v.Coming) != 2 || v.Coming[1].Title != "Sat 13 Mar 2027: 00:00 to 24:00" || v.Coming[1].Sub != "" {
		t.Errorf("to come %+v", v.Coming)
	}
	got := make([]string, len(v.Table.Rows))
	for i, row := range v.Table.Rows {
		got[i] = row[0].Sub + "|" + row[1].Text + "|" + row[2].Text + "|" + row[5].Text
	}
	want := []string{"no session|||Wedding", "|00:00|24:00|exception", "|09:00|17:00|"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	if v.Weekly != "8\u00a0h" {
		t.Errorf("%s a week", v.Weekly)
	}
}

func TestNewSessions_overlap(t *testing.T) {
	t.Parallel()
	v := NewSessions(Base{}, []garage.SessionPattern{
		garagetest.SessionPattern(), garagetest.SessionPattern(func(p *garage.SessionPattern) { p.FromMinute, p.ToMinute = 16*60, 18*60 }),
	}, nil, garage.NewDate(2027, time.March, 5), time.UTC)
	if v.Weekly != "9\u00a0h" || len(v.Table.Rows) != 3 {
		t.Errorf("%s a week, %d sessions in three; want 9 h and 3", v.Weekly, len(v.Table.Rows))
	}
}

func TestPatternForm(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		form  PatternForm
		wrong string // field
	}{
		"fine":                   {form: PatternForm{Weekday: "6", From: "09:00", To: "17:00", Helpers: "2"}},
		"until midnight":         {form: PatternForm{Weekday: "6", From: "21:00", To: "00:00"}},
		"until 24:00":            {form: PatternForm{Weekday: "6", From: "21:00", To: "24:00"}},
		"the whole day":          {form: PatternForm{Weekday: "6", From: "00:00", To: "00:00"}},
		"no day":                 {form: PatternForm{From: "09:00", To: "17:00"}, wrong: "weekday"},
		"eighth day":             {form: PatternForm{Weekday: "8", From: "09:00", To: "17:00"}, wrong: "weekday"},
		"no start":               {form: PatternForm{Weekday: "6", To: "17:00"}, wrong: "from"},
		"no end":                 {form: PatternForm{Weekday: "6", From: "09:00"}, wrong: "to"},
		"backwards":              {form: PatternForm{Weekday: "6", From: "17:00", To: "09:00"}, wrong: "to"},
		"over midnight":          {form: PatternForm{Weekday: "6", From: "21:00", To: "01:00"}, wrong: "to"},
		"twenty-five":            {form: PatternForm{Weekday: "6", From: "09:00", To: "25:00"}, wrong: "to"},
		"more helpers than room": {form: PatternForm{Weekday: "6", From: "09:00", To: "17:00", Helpers: "10"}, wrong: "helpers"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			p := c.form.Pattern()
			if c.wrong != "" {
				if c.form.Errors[c.wrong] == "" {
					t.Errorf("errors %v, want one at %s", c.form.Errors, c.wrong)
				}
				return
			}
			if len(c.form.Errors) > 0 {
				t.Fatal(c.form.Errors)
			}
			again := ReadPatternForm(values(PatternFields(p)))
			if q := again.Pattern(); q != p {
				t.Errorf("entered again as %+v, was %+v", q, p)
			}
		})
	}
}

func TestExceptionForm(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		form  ExceptionForm
		days  int
		wrong string // field
	}{
		"a day off":                  {form: ExceptionForm{OnDate: "2028-02-29", Off: "yes", From: "rubbish"}, days: 1},
		"a session":                  {form: ExceptionForm{OnDate: "2027-03-06", Off: "no", From: "08:00", To: "00:00", Helpers: "1", Note: " Both "}, days: 1},
		"a holiday":                  {form: ExceptionForm{OnDate: "2027-12-24", Through: "2028-01-06", Off: "yes"}, days: 14},
		"three months":               {form: ExceptionForm{OnDate: "2027-06-01", Through: "2027-09-01", Off: "yes"}, days: 93},
		"longer":                     {form: ExceptionForm{OnDate: "2027-06-01", Through: "2027-09-02", Off: "yes"}, wrong: "through"},
		"backwards":                  {form: ExceptionForm{OnDate: "2027-06-02", Through: "2027-06-01", Off: "yes"}, wrong: "through"},
		"a last day that is no date": {form: ExceptionForm{OnDate: "2027-06-02", Through: "soon", Off: "yes"}, wrong: "through"},
		"no date":                    {form: ExceptionForm{Off: "yes"}, wrong: "on_date"},
		"no such date":               {form: ExceptionForm{OnDate: "2027-02-29", Off: "yes"}, wrong: "on_date"},
		"neither":                    {form: ExceptionForm{OnDate: "2027-03-06"}, wrong: "off"},
		"a session without times":    {form: ExceptionForm{OnDate: "2027-03-06", Off: "no"}, wrong: "from"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			all := c.form.Exceptions()
			if c.wrong != "" {
				if c.form.Errors[c.wrong] == "" || all != nil {
					t.Errorf("errors %v, want one at %s", c.form.Errors, c.wrong)
				}
				return
			}
			if len(all) != c.days || len(c.form.Errors) > 0 {
				t.Fatalf("%d days, %v; want %d", len(all), c.form.Errors, c.days)
			}
			again := ReadExceptionForm(values(ExceptionFields(all[0])))
			if q := again.Exceptions(); len(q) != 1 || q[0] != all[0] {
				t.Errorf("entered again as %+v, was %+v", q, all[0])
			}
		})
	}
}

// values are what a browser sends of hidden fields.
func values(fields []ui.KeyValue) url.Values {
	v := url.Values{}
	for _, f := range fields {
		v.Add(f.Name, f.Value)
	}
	return v
}
