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
		for what, on := range pastDays(records) {
			if today.Before(on) {
				t.Errorf("on %s: %s lies in the future, on %s", today, what, on)
			}
		}
	}
}

// pastDays are the days of what has happened already.
func pastDays(r garage.Records) map[string]garage.Date {
	days := map[string]garage.Date{}
	for _, v := range r.Readings {
		days["a reading of "+v.ReadOn.String()] = v.ReadOn
	}
	for _, v := range r.Orders {
		days["order "+v.Number] = v.OrderedOn
	}
	for _, v := range r.Sales {
		days["the sale of "+v.What] = v.SoldOn
	}
	for _, v := range r.CoreEvents {
		days["a unit "+string(v.State)+" on "+v.HappenedOn.String()] = v.HappenedOn
	}
	for _, v := range r.WereFitted {
		if v.EndedOn != nil {
			days["the end of a fitted part on "+v.EndedOn.String()] = *v.EndedOn
		}
	}
	return days
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
	for _, v := range r.Cores {
		check(v.OrderNumber, v.Validate())
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
	for _, v := range r.Steps {
		check(v.Text, v.Validate())
	}
	for _, v := range r.Rounds {
		check(v.Observation, v.Validate())
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
	for _, v := range r.Suppliers {
		check(v.Name, v.Validate())
	}
	for _, v := range r.Orders {
		check(v.Number, v.Validate())
	}
	for _, v := range r.OrderLines {
		check("line", v.Validate())
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

// TestReadDemo_cards: the demo's cards are worked as cards are. A job that is done took what its marks come to, one is half done, and
// nothing was done in the future or noted out of its limits.
func TestReadDemo_cards(t *testing.T) {
	t.Parallel()
	today := garage.NewDate(2027, time.March, 5)
	r, err := exchange.ReadDemo(testdata.Demo, today)
	if err != nil {
		t.Fatal(err)
	}
	kinds := map[garage.StepKind]int{}
	byStage := map[garage.StageID][]garage.Step{}
	for _, s := range r.Steps {
		kinds[s.Kind]++
		byStage[s.StageID] = append(byStage[s.StageID], s)
	}
	for _, kind := range garage.StepKinds {
		if kinds[kind] == 0 {
			t.Errorf("no step of the kind %q", kind)
		}
	}
	half := 0
	for _, stages := range [][]garage.Stage{r.Stages, r.DoneStages} {
		for _, stage := range stages {
			card := garage.Card{Steps: byStage[stage.ID], Marks: r.Marks}
			done, all := garage.Progress(card.Rows())
			if done > 0 && done < all {
				half++
			}
			for _, row := range card.Rows() {
				if row.Mark != nil && (row.Finding != "" || garage.DateOf(row.Mark.At).Compare(today) > 0) {
					t.Errorf("%s: %s, at %s", row.Text, row.Finding, row.Mark.At)
				}
			}
			took, measured := card.MeasuredMinutes(stage.ID)
			if stage.DoneAt != nil && (!measured || stage.ActualMinutes == nil || *stage.ActualMinutes != took || done != all) {
				t.Errorf("%s: %d of %d done, took %v, measured %d", stage.Name, done, all, stage.ActualMinutes, took)
			}
		}
	}
	if half != 1 || len(r.DoneJobs) != 1 || len(r.Rounds) != 3 || len(r.LookBacks) != 1 {
		t.Errorf("%d half done, %d closed, %d rounds, %d look backs", half, len(r.DoneJobs), len(r.Rounds), len(r.LookBacks))
	}
}
