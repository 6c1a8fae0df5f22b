package page

import (
	"reflect"
	"strings"
	"testing"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
)

func TestBrowserName(t *testing.T) {
	t.Parallel()
	for agent, want := range map[string]string{
		"Mozilla/5.0 (Windows NT 10.0; Win64; x64; rv:140.0) Gecko/20100101 Firefox/140.0":                                                        "Firefox on Windows",
		"Mozilla/5.0 (X11; Linux x86_64) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/140.0.0.0 Safari/537.36":                                   "Chrome on Linux",
		"Mozilla/5.0 (Windows NT 10.0; Win64; x64) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/140.0.0.0 Safari/537.36 Edg/140.0.0.0":           "Edge on Windows",
		"Mozilla/5.0 (Linux; Android 10; K) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/140.0.0.0 Mobile Safari/537.36":                         "Chrome on Android",
		"Mozilla/5.0 (iPhone; CPU iPhone OS 18_0 like Mac OS X) AppleWebKit/605.1.15 (KHTML, like Gecko) Version/18.0 Mobile/15E148 Safari/604.1": "Safari on iPhone",
		"Mozilla/5.0 (Macintosh; Intel Mac OS X 10_15_7) AppleWebKit/605.1.15 (KHTML, like Gecko) Version/18.0 Safari/605.1.15":                   "Safari on Mac",
		"curl/8.5.0":            "curl/8.5.0",
		"":                      "A browser that gives no name",
		strings.Repeat("x", 99): strings.Repeat("x", 59) + "…",
	} {
		if got := browserName(agent); got != want {
			t.Errorf("%s: %q, want %q", agent, got, want)
		}
	}
}

func TestNewSigninRows(t *testing.T) {
	t.Parallel()
	mine := garagetest.Signin()
	other := garagetest.Signin(func(v *garage.Signin) { v.TokenHash, v.Address = []byte{1, 2}, "" })
	rows := NewSigninRows([]garage.Signin{mine, other}, mine.TokenHash, mustZone(t, "Europe/Vienna"))
	if !rows[0].Current || rows[1].Current || rows[1].Name != "0102" {
		t.Errorf("%+v", rows)
	}
	if want := "Signed in 20 Feb 2027, 10:30 from 192.168.1.23, last used 5 Mar 2027, 15:05."; rows[0].Details != want {
		t.Errorf("got %s", rows[0].Details)
	}
}

func TestZones(t *testing.T) {
	t.Parallel()
	if len(Zones()) < 400 {
		t.Errorf("only %d zones", len(Zones()))
	}
	for _, name := range Zones() {
		if _, err := time.LoadLocation(name); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestSettingsForm(t *testing.T) {
	t.Parallel()
	want := garagetest.Settings()
	form := NewSettingsForm(want)
	form.Currency = " eur "
	if got := form.Settings(); !reflect.DeepEqual(got, want) || len(form.Errors) > 0 {
		t.Errorf("%+v, %v", got, form.Errors)
	}
	for field, change := range map[string]func(*SettingsForm){
		"name":               func(f *SettingsForm) { f.Name = strings.Repeat("x", 201) },
		"zone":               func(f *SettingsForm) { f.Zone = "Local" },
		"currency":           func(f *SettingsForm) { f.Currency = "EURO" },
		"distance_unit":      func(f *SettingsForm) { f.DistanceUnit = "league" },
		"torque_unit":        func(f *SettingsForm) { f.TorqueUnit = "" },
		"confidence":         func(f *SettingsForm) { f.Confidence = "49" },
		"holidays":           func(f *SettingsForm) { f.Holidays = "2027-12-24, soon" },
		"change_car_minutes": func(f *SettingsForm) { f.ChangeCarMinutes = "1441" },
		"lifts":              func(f *SettingsForm) { f.Lifts = "1.5" },
	} {
		form := NewSettingsForm(want)
		change(&form)
		if form.Settings(); len(form.Errors) != 1 || form.Errors[field] == "" {
			t.Errorf("%s: %v", field, form.Errors)
		}
	}
}
