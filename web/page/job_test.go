package page

import (
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/web/ui"
)

// typedJob is the form of a good job with a first stage, as a browser sends it, with some fields changed.
func typedJob(change ...string) url.Values {
	v := url.Values{
		"car": {"3"}, "title": {" Rear brakes "}, "kind": {"repair"}, "weight": {"5"}, "reason": {""}, "due": {""}, "due_for": {""},
		"late_cost_per_day": {""}, "late_cost": {""}, "not_before": {""}, "phase": {""}, "notes": {""},
		"after.0.job": {""}, "after.0.gap": {""},
		"stage.name": {"Fit"}, "stage.kind": {"bench"}, "stage.minutes_low": {"1:30"}, "stage.minutes_likely": {"2h"},
		"stage.minutes_high": {"200"}, "stage.helpers": {"0"}, "stage.immobile": {""},
	}
	for i := 0; i < len(change); i += 2 {
		v[change[i]] = []string{change[i+1]}
	}
	return v
}

func readTyped(v url.Values) (JobForm, garage.Job, []garage.After, []garage.Stage) {
	f := ReadJobForm(v)
	job, after := f.Job("EUR")
	return f, job, after, f.FirstStage()
}

func TestJobForm(t *testing.T) {
	t.Parallel()
	due, phase := garage.NewDate(2027, 4, 3), garage.PhaseID(9)
	f, job, after, stages := readTyped(typedJob("due", "2027-04-03", "due_for", "Inspection", "late_cost_per_day", "5", "late_cost", "120,50",
		"phase", "9", "reason", "It pulls.", "after.0.job", "8", "after.0.gap", "1 d", "after.4.job", "2", "stage.lift", "yes"))
	if len(f.Errors) > 0 {
		t.Fatal(f.Errors)
	}
	want := garage.Job{
		CarID: 3, PhaseID: &phase, Kind: garage.Repair, Title: "Rear brakes", Reason: "It pulls.", Weight: 5, Due: &due,
		DueFor: "Inspection", LateCostPerDay: 500, LateCost: 12050, Currency: "EUR",
	}
	if diff := cmp.Diff(want, job); diff != "" {
		t.Errorf("job (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff([]garage.After{{AfterID: 8, GapMinutes: 1440}, {AfterID: 2}}, after); diff != "" {
		t.Errorf("after (-want +got):\n%s", diff)
	}
	stage := garage.Stage{Name: "Fit", Kind: garage.Bench, Low: 90, Likely: 120, High: 200, Lift: true}
	if diff := cmp.Diff([]garage.Stage{stage}, stages); diff != "" {
		t.Errorf("stage (-want +got):\n%s", diff)
	}
}

func TestJobForm_errors(t *testing.T) {
	t.Parallel()
	for name, tt := range map[string]struct {
		change []string
		field  string
	}{
		"no title":                      {[]string{"title", "  "}, "title"},
		"no such kind":                  {[]string{"kind", "tuning"}, "kind"},
		"weight of words":               {[]string{"weight", "much"}, "weight"},
		"weight too large":              {[]string{"weight", "10"}, "weight"},
		"a car that is no number":       {[]string{"car", "x"}, "car"},
		"no car":                        {[]string{"car", ""}, "car"},
		"a day that is none":            {[]string{"due", "2027-02-30"}, "due"},
		"cost without a date":           {[]string{"late_cost", "5"}, "due"},
		"amount of words":               {[]string{"late_cost_per_day", "five"}, "late_cost_per_day"},
		"due before it may start":       {[]string{"due", "2027-03-01", "not_before", "2027-03-02"}, "not_before"},
		"a gap after no job":            {[]string{"after.0.gap", "2 d"}, "after.0.job"},
		"a gap that is none":            {[]string{"after.0.job", "2", "after.0.gap", "soon"}, "after.0.gap"},
		"a gap over a year":             {[]string{"after.0.job", "2", "after.0.gap", "366 d"}, "after.0.gap"},
		"one job twice":                 {[]string{"after.0.job", "2", "after.1.job", "2"}, "after.1.job"},
		"stage without a time":          {[]string{"stage.minutes_likely", ""}, "stage.minutes"},
		"stage with a time of words":    {[]string{"stage.minutes_likely", "long"}, "stage.minutes"},
		"stage that runs backwards":     {[]string{"stage.minutes_low", "3 h"}, "stage.minutes"},
		"stage of no kind":              {[]string{"stage.kind", ""}, "stage.kind"},
		"a day at the bench":            {[]string{"stage.minutes_low", "", "stage.minutes_likely", "1 d", "stage.minutes_high", ""}, "stage.minutes"},
		"outside work in hours":         {[]string{"stage.kind", "outside"}, "stage.minutes"},
		"more helpers than there are":   {[]string{"stage.helpers", "12"}, "stage.helpers"},
		"an immobile span of one's own": {[]string{"stage.immobile", "always"}, "stage.immobile"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			f, _, _, _ := readTyped(typedJob(tt.change...))
			if len(f.Errors) != 1 || f.Errors[tt.field] == "" {
				t.Errorf("got %v, want one at %q", f.Errors, tt.field)
			}
			if label, ok := strings.CutPrefix(tt.field, stagePrefix); ok && f.Stage.Errors[label] == "" {
				t.Errorf("the stage's own fields do not say it: %v", f.Stage.Errors)
			}
			known := slices.ContainsFunc(jobLabels(f), func(o ui.Option) bool { return o.Value == tt.field })
			if !known {
				t.Errorf("the summary has no words for %q", tt.field)
			}
		})
	}
}

func TestJobForm_firstStage(t *testing.T) {
	t.Parallel()
	t.Run("may be left out", func(t *testing.T) {
		t.Parallel()
		v := typedJob("stage.name", "", "stage.minutes_low", "", "stage.minutes_likely", "", "stage.minutes_high", "")
		f, _, _, stages := readTyped(v)
		if len(stages) != 0 || len(f.Errors) != 0 {
			t.Errorf("got %v %v", stages, f.Errors)
		}
	})
	t.Run("is named like the job when it has no name", func(t *testing.T) {
		t.Parallel()
		f, _, _, stages := readTyped(typedJob("stage.name", ""))
		if len(stages) != 1 || stages[0].Name != "Rear brakes" || f.Stage.Name != "" {
			t.Errorf("got %+v, typed %q", stages, f.Stage.Name)
		}
	})
	t.Run("takes the likely time when it is the only one", func(t *testing.T) {
		t.Parallel()
		_, _, _, stages := readTyped(typedJob("stage.minutes_low", "", "stage.minutes_high", ""))
		if s := stages[0]; s.Low != 120 || s.Likely != 120 || s.High != 120 {
			t.Errorf("got %d %d %d", s.Low, s.Likely, s.High)
		}
	})
	t.Run("has nothing of the bench when it waits", func(t *testing.T) {
		t.Parallel()
		v := typedJob("stage.kind", "wait", "stage.minutes_likely", "2 days", "stage.minutes_high", "3 d", "stage.helpers", "2",
			"stage.immobile", "from", "stage.follows_at_once", "yes", "stage.access", "4", "stage.tools", "6")
		f, _, _, stages := readTyped(v)
		want := garage.Stage{Name: "Fit", Kind: garage.Wait, Low: 90, Likely: 2880, High: 4320, Tools: []garage.ToolID{6}}
		if diff := cmp.Diff([]garage.Stage{want}, stages); diff != "" || len(f.Errors) > 0 {
			t.Errorf("%v (-want +got):\n%s", f.Errors, diff)
		}
	})
	t.Run("what the store refuses stands at both", func(t *testing.T) {
		t.Parallel()
		f := ReadJobForm(typedJob())
		f.Refuse(garage.FieldErrors{"stage.access": "Not of this car.", "after": "They would wait for each other."})
		if f.Errors["after"] == "" || f.Errors["stage.access"] == "" || f.Stage.Errors["access"] == "" {
			t.Errorf("got %v and %v", f.Errors, f.Stage.Errors)
		}
	})
}

// What is stored and shown in the form is read back as it was.
func TestForms_readBack(t *testing.T) {
	t.Parallel()
	due, phase := garage.NewDate(2027, 4, 3), garage.PhaseID(9)
	job := garagetest.Job(func(j *garage.Job) {
		j.CarID, j.PhaseID, j.Due, j.DueFor, j.LateCost, j.LateCostPerDay, j.Version = 3, &phase, &due, "Inspection", 12050, 5, 4
	})
	f := NewJobForm(job, []garage.JobLink{{ID: 8, GapMinutes: 90}, {ID: 2}})
	got, after := f.Job("EUR")
	if diff := cmp.Diff(job, got); diff != "" || len(f.Errors) > 0 {
		t.Errorf("job %v (-want +got):\n%s", f.Errors, diff)
	}
	if diff := cmp.Diff([]garage.After{{AfterID: 8, GapMinutes: 90}, {AfterID: 2}}, after); diff != "" {
		t.Errorf("after (-want +got):\n%s", diff)
	}
	for _, stage := range []garage.Stage{
		garagetest.Stage(func(s *garage.Stage) {
			s.Position, s.Helpers, s.Immobile, s.FollowsAtOnce = 0, 2, "until", true
			s.Tools, s.Access, s.Closing = []garage.ToolID{1, 2}, []garage.AccessID{3}, []garage.ClosingID{4}
		}),
		{Version: 2, Name: "Cure", Kind: garage.Wait, Low: 1440, Likely: 1530, High: 2880, Lift: true},
		{Version: 2, Name: "Painter", Kind: garage.OutsideWork, Low: 1, Likely: 3, High: 6},
	} {
		f := NewStageForm(stage)
		if diff := cmp.Diff(stage, f.Stage()); diff != "" || len(f.Errors) > 0 {
			t.Errorf("%s %v (-want +got):\n%s", stage.Name, f.Errors, diff)
		}
	}
	need := garagetest.Need(func(n *garage.Need) { n.Note, n.Stops = "long", false })
	nf := NewNeedForm(need, garage.Part{Name: "Arm", Side: "left"})
	if got, pick := nf.Need(), nf.Pick(); got != need || pick != (garage.PartPick{Text: "Arm, left"}) || len(nf.Errors) > 0 {
		t.Errorf("need %+v %+v %v", got, pick, nf.Errors)
	}
	ph := garagetest.Phase(func(p *garage.Phase) { p.FinishOn = &due })
	pf := NewPhaseForm(ph)
	if diff := cmp.Diff(ph, pf.Phase("EUR")); diff != "" || len(pf.Errors) > 0 {
		t.Errorf("phase %v (-want +got):\n%s", pf.Errors, diff)
	}
	pinned := time.Date(2027, 3, 6, 8, 0, 0, 0, time.UTC)
	wf := NewJobWhenForm(garage.Job{PinnedAt: &pinned, NotBefore: &due})
	if at, from := wf.When(); at == nil || !at.Equal(pinned) || *from != due || len(wf.Errors) > 0 {
		t.Errorf("when %v %v %v", at, from, wf.Errors)
	}
}

func TestJobWhenForm_errors(t *testing.T) {
	t.Parallel()
	f := JobWhenForm{Session: "Saturday", NotBefore: "soon"}
	f.When()
	if f.Errors["session"] == "" || f.Errors["not_before"] == "" {
		t.Errorf("got %v", f.Errors)
	}
}

func TestNeedForm(t *testing.T) {
	t.Parallel()
	f := ReadNeedForm(url.Values{"part": {"Arm"}, "new_part": {"yes"}, "side": {"left"}, "quantity": {"two"}, "note": {" long "}})
	need := f.Need()
	if f.Errors["quantity"] == "" || len(f.Errors) != 1 || need.Note != "long" || need.Stops {
		t.Errorf("got %+v %v", need, f.Errors)
	}
	if pick := f.Pick(); pick != (garage.PartPick{Text: "Arm", New: true, Side: "left"}) {
		t.Errorf("got %+v", pick)
	}
}

func TestTakeOffForm(t *testing.T) {
	t.Parallel()
	for name, tt := range map[string]struct {
		form TakeOffForm
		good bool
	}{
		"nothing":    {TakeOffForm{Bin: "A1"}, false},
		"not a part": {TakeOffForm{Parts: []string{"x"}, Bin: "A1"}, false},
		"one, twice": {TakeOffForm{Parts: []string{"1", "1"}, Bin: "A1", NewBin: "yes"}, true},
	} {
		parts, bin := tt.form.Choices()
		switch {
		case tt.good && (len(tt.form.Errors) > 0 || len(parts) != 1 || bin != garage.BinPick{Name: "A1", New: true}):
			t.Errorf("%s: got %v %v %v", name, parts, bin, tt.form.Errors)
		case !tt.good && tt.form.Errors["parts"] == "":
			t.Errorf("%s: got %v, want one at the parts", name, tt.form.Errors)
		}
	}
}

func TestReadJobFilter(t *testing.T) {
	t.Parallel()
	for query, want := range map[string]garage.JobFilter{
		"":                                  {State: garage.OpenJobs, Limit: 100},
		"state=all&car=4&kind=harvest":      {CarID: 4, Kind: garage.Harvest, Limit: 100},
		"state=closed&from=101":             {State: garage.ClosedJobs, Limit: 100, Offset: 100},
		"state=half&car=-1&kind=x&from=abc": {State: garage.OpenJobs, Limit: 100},
		"from=99999999999999999999&car=x":   {State: garage.OpenJobs, Limit: 100},
	} {
		v, err := url.ParseQuery(query)
		if err != nil {
			t.Fatal(err)
		}
		if got := ReadJobFilter(v); got != want {
			t.Errorf("%q: got %+v, want %+v", query, got, want)
		}
	}
}

func TestNewJobIndex_pages(t *testing.T) {
	t.Parallel()
	rows := make([]garage.JobRow, 100)
	for i := range rows {
		rows[i].Total = 250
	}
	f := garage.JobFilter{CarID: 4, Limit: 100, Offset: 100}
	v := NewJobIndex(Base{}, f, rows, nil, garage.NewDate(2027, 3, 5))
	want := ui.PagerData{From: 101, To: 200, Total: 250, Prev: "/jobs?car=4&state=all", Next: "/jobs?car=4&from=201&state=all"}
	if diff := cmp.Diff(want, v.Pager); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	back, err := url.Parse(v.Pager.Next)
	if err != nil {
		t.Fatal(err)
	}
	f.Offset = 200
	if got := ReadJobFilter(back.Query()); got != f {
		t.Errorf("the next page asks for %+v, want %+v", got, f)
	}
}

func TestSessionOptions(t *testing.T) {
	t.Parallel()
	vienna, err := time.LoadLocation("Europe/Vienna")
	if err != nil {
		t.Fatal(err)
	}
	from := time.Date(2027, 3, 6, 9, 0, 0, 0, vienna)
	sessions := []garage.Session{{From: from, To: from.Add(8 * time.Hour), Helpers: 1}}
	texts := func(pinned *time.Time) (list []string) {
		for _, o := range SessionOptions(sessions, pinned, vienna) {
			list = append(list, o.Value+" "+o.Text)
		}
		return list
	}
	plain := []string{" In none: let the plan choose", "2027-03-06T08:00:00Z Sat 6 Mar, 09:00 to 17:00, 1 helper"}
	if diff := cmp.Diff(plain, texts(nil)); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	same := from.UTC()
	if diff := cmp.Diff(plain, texts(&same)); diff != "" {
		t.Errorf("pinned to it (-want +got):\n%s", diff)
	}
	gone := from.AddDate(0, 0, 1)
	want := append(plain, "2027-03-07T08:00:00Z Sun 7 Mar 2027 09:00, where no session begins any more")
	if diff := cmp.Diff(want, texts(&gone)); diff != "" {
		t.Errorf("pinned where no session is (-want +got):\n%s", diff)
	}
}

func TestKitSourceWords(t *testing.T) {
	t.Parallel()
	today, harvest := garage.NewDate(2027, 3, 5), garage.JobID(7)
	lead := func(n int) *int { return &n }
	sheet := garage.JobSheet{
		Donors: []garage.Car{{ID: 4, Name: "Tern saloon"}}, Harvests: []garage.JobLink{{ID: harvest, Title: "Arms off"}},
	}
	line := garage.KitLine{
		Part: garage.Part{Unit: "ml", LeadLow: lead(2), LeadLikely: lead(3), LeadHigh: lead(9)}, Need: garage.Need{Quantity: 750},
	}
	day := func(d int) garage.Date { return garage.NewDate(2027, 3, d) }
	for _, tt := range []struct {
		source garage.KitSource
		mood   ui.Mood
		want   string
	}{
		{garage.KitSource{Place: garage.KitOnHand, Quantity: 500, Bin: garage.Bin{Name: "A1"}}, ui.Done, "500 ml on hand in A1"},
		{
			garage.KitSource{Place: garage.KitExpected, Quantity: 1, Arrival: garage.Arrival{Low: day(10), Likely: day(12), High: day(20)}},
			ui.Waits, "1 ml expected Fri 12 Mar, between Wed 10 Mar and Sat 20 Mar",
		},
		{
			garage.KitSource{Place: garage.KitExpected, Quantity: 1, Arrival: garage.Arrival{Low: day(10), Likely: day(10), High: day(10)}},
			ui.Waits, "1 ml expected Wed 10 Mar",
		},
		{
			garage.KitSource{Place: garage.KitOnDonor, Quantity: 1, Donor: garage.DonorPart{CarID: 4, HarvestJobID: &harvest}},
			ui.Waits, "1 ml on Tern saloon, taken off by Arms off",
		},
		{garage.KitSource{Place: garage.KitToOrder, Quantity: 250}, ui.Waits, "250 ml to be ordered, takes 3 days (2 to 9)"},
		{garage.KitSource{Place: garage.KitMissing, Quantity: 250}, ui.Blocked, "250 ml missing"},
		{garage.KitSource{Place: garage.KitUsed, Quantity: 750}, ui.Done, "used"},
		{garage.KitSource{Place: garage.KitUsed, Quantity: 500}, ui.Loose, "done with 500 ml only"},
	} {
		got := kitSourceWords(line, tt.source, sheet, today)
		text := strings.TrimSpace(strings.ReplaceAll(got.Text+" "+got.Link, "\u00a0", " "))
		if text != tt.want || got.Mood != tt.mood {
			t.Errorf("%s: got %q %s, want %q %s", tt.source.Place, text, got.Mood, tt.want, tt.mood)
		}
	}
}

func TestStageWords(t *testing.T) {
	t.Parallel()
	sheet := garage.JobSheet{
		Tools: []garage.Tool{{ID: 1, Name: "Press"}}, Access: []garage.Access{{ID: 2, Name: "Wheels"}, {ID: 3, Name: "Undertray"}},
		Closing: []garage.ClosingWork{{ID: 4, Name: "Bleed"}},
	}
	for _, tt := range []struct {
		stage garage.Stage
		want  string
	}{
		{garage.Stage{Kind: garage.Bench}, ""},
		{
			garage.Stage{
				Kind: garage.Bench, Lift: true, Helpers: 1, FollowsAtOnce: true, Immobile: "from", Tools: []garage.ToolID{1},
				Access: []garage.AccessID{2, 3}, Closing: []garage.ClosingID{4},
			},
			"On the lift. Needs 1 helper. In the same session as the stage before, directly after it. From its start the car cannot roll. " +
				"Opens: Wheels, Undertray. Closing work at the end of the visit: Bleed. Special tools: Press.",
		},
		{garage.Stage{Kind: garage.Bench, Immobile: "until"}, "The car cannot roll until its end."},
		{garage.Stage{Kind: garage.Bench, Immobile: "within"}, "The car cannot roll only during it."},
		{garage.Stage{Kind: garage.Wait}, "Waiting: nobody works."},
		{garage.Stage{Kind: garage.OutsideWork}, "Outside work, in the shop's working days."},
	} {
		if got := strings.Join(stageWords(tt.stage, sheet), " "); got != tt.want {
			t.Errorf("got %q, want %q", got, tt.want)
		}
	}
}
