package exchange_test

import (
	"strings"
	"testing"
	"time"

	"axlestand/internal/exchange"
	"axlestand/internal/garage"
	"axlestand/testdata"
)

func TestReadDemo(t *testing.T) {
	t.Parallel()
	for day := range 7 {
		today := garage.NewDate(2027, time.March, 1+day)
		records, err := exchange.ReadDemo(testdata.Demo, today)
		if err != nil {
			t.Fatalf("on %s: %v", today, err)
		}
		if len(records.Cars) != 3 || len(records.Jobs) != 15 {
			t.Errorf("on %s: %d cars and %d jobs, want 3 and 15", today, len(records.Cars), len(records.Jobs))
		}
		checkRecords(t, records)
		for _, x := range records.Exceptions {
			if x.OnDate.Before(today) || x.OnDate.Weekday() < 6 {
				t.Errorf("on %s: the exception falls on %s, weekday %d", today, x.OnDate, x.OnDate.Weekday())
			}
		}
		for _, r := range records.Readings {
			if today.Before(r.ReadOn) {
				t.Errorf("on %s: an odometer is read in the future, on %s", today, r.ReadOn)
			}
		}
	}
}

// checkRecords asks the domain's own rules.
func checkRecords(t *testing.T, r garage.Records) {
	t.Helper()
	check := func(what string, err error) {
		if err != nil {
			t.Errorf("%s: %v", what, err)
		}
	}
	check("settings", r.Settings.Validate())
	for _, v := range r.Cars {
		check(v.Name, v.Validate())
		if v.VIN != "" && !strings.HasPrefix(v.VIN, "0") {
			t.Errorf("%s: the VIN %s could be a real car's", v.Name, v.VIN)
		}
	}
	for _, v := range r.Parts {
		check(v.Name, v.Validate())
	}
	for _, v := range r.Jobs {
		check(v.Title, v.Validate())
	}
	for _, v := range r.Stages {
		check(v.Name, v.Validate())
	}
	for _, v := range r.Torque {
		check(v.Joint, v.Validate())
	}
	for _, v := range r.Fluids {
		check(v.Name, v.Validate())
	}
	for _, v := range r.Bottles {
		check(v.Name, v.Validate())
	}
	for _, v := range r.Required {
		check(v.Size, v.Validate())
	}
	for _, v := range r.WheelSets {
		check(v.Name, v.Validate())
	}
	for _, v := range r.Wrenches {
		check(v.Name, v.Validate())
	}
	for _, v := range r.RoadNeeds {
		check(v.Why, v.Validate())
	}
	for _, v := range r.Patterns {
		check("pattern", v.Validate())
	}
	for _, v := range r.Exceptions {
		check(v.Note, v.Validate())
	}
}

func TestReadDemo_refusesWhatItCannotPlace(t *testing.T) {
	t.Parallel()
	today := garage.NewDate(2027, time.March, 1)
	for name, file := range map[string]string{
		"not JSON":      `{`,
		"unknown field": `{"colour": "red"}`,
		"unknown name":  `{"jobs": [{"car": "nobody's"}]}`,
		"not a day":     `{"exceptions": [{"on": "tomorrow", "off": true}]}`,
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			if _, err := exchange.ReadDemo([]byte(file), today); err == nil {
				t.Error("was accepted")
			}
		})
	}
}
