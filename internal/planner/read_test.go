package planner_test

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"
	"time"

	"axlestand/internal/planner"
)

// wholeProblem uses every field of a problem file.
const wholeProblem = `{"now":"2027-03-05T18:00","zone":"Europe/Vienna","confidence":0.7,"currency":"EUR",
 "sessions":[{"from":"2027-03-06T09:00","to":"2027-03-06T17:00","helpers":1},{"from":"2027-03-07T08:00:00Z","to":"2027-03-07T16:00:00+01:00"}],
 "resources":[{"id":"lift","capacity":1},{"id":"puller","windows":[{"from":"2027-03-06","to":"2027-03-07T12:00"}]}],
 "change_car_minutes":20,
 "cars":[{"id":"estate","on_lift":true,"road_needs":[{"from":"2027-03-08T07:00","to":"2027-03-08T18:00"}]},
  {"id":"shell","immobile":true,"arrives":["2027-03-01","2027-03-02","2027-03-03"]}],
 "access":[{"id":"tray","car":"estate","open_minutes":10,"close_minutes":10,"stays":true,"open":true},
  {"id":"subframe","car":"estate","open_minutes":30,"close_minutes":40,"inside":["tray"]}],
 "closing":[{"id":"bleed","car":"estate","minutes":45,"needs":{"helpers":1}}],
 "parts":[{"id":"arm","on_hand":1,"arrivals":[{"qty":1,"at":"2027-03-06"},{"from_job":"strip"}],"order_lead_days":[3,5,12]}],
 "jobs":[{"id":"strip","car":"shell","stages":[{"id":"take","kind":"bench","minutes":[60,60,60],"needs":{"puller":1}}]},
  {"id":"rear","car":"estate","weight":2.5,"not_before":"2027-03-06","due":"2027-03-10","due_for":"inspection","late_cost_per_day":5,
   "late_cost":20,"dues":[{"at":"2027-03-12","for":"core deposit","late_cost":90}],"pin":"2027-03-06T09:00","after":[{"job":"strip","gap_minutes":30}],
   "stages":[{"id":"off","kind":"bench","minutes":[60,80,120],"needs":{"lift":1,"hands":1},"access":["subframe"],"closing":["bleed"],
     "parts":[{"part":"arm"}],"immobile":"from"},
    {"id":"cure","kind":"wait","minutes":[60,60,60]},
    {"id":"on","kind":"bench","minutes":[30,30,30],"immobile":"until"},
    {"id":"check","kind":"bench","minutes":[10,10,10],"follows_at_once":true},
    {"id":"align","kind":"outside","days":[1,1,2],"working_days":["mon","tue"]}]}]}`

// edited is the whole problem with one text put in the place of another.
func edited(t *testing.T, old, new string) string {
	t.Helper()
	if !strings.Contains(wholeProblem, old) {
		t.Fatalf("the problem has no %q", old)
	}
	return strings.Replace(wholeProblem, old, new, 1)
}

func TestReadProblem_refusesInOneLine(t *testing.T) {
	t.Parallel()
	for _, test := range []struct{ name, old, new, want string }{
		{"unknown field at the top", `"now"`, `"when":1,"now"`, "when: unknown field"},
		{"unknown field deep down", `"on_hand":1`, `"onhand":1`, "parts[0].onhand: unknown field"},
		{"no moment", `"now":"2027-03-05T18:00",`, ``, "now: missing"},
		{"a date for a moment", `"now":"2027-03-05T18:00"`, `"now":"2027-03-05"`, "now: a date without a time"},
		{"no such day", `"due":"2027-03-10"`, `"due":"2027-02-30"`, `jobs[1].due: "2027-02-30" is not a time`},
		{"a further due date of no day", `"at":"2027-03-12","for"`, `"for"`, "jobs[1].dues[0].at: missing"},
		{"a further due date with a price below zero", `"late_cost":90`, `"late_cost":-90`, "jobs[1].dues[0].late_cost: negative"},
		{"unknown zone", `Europe/Vienna`, `Europe/Nowhere`, `zone: unknown zone "Europe/Nowhere"`},
		{"the machine's zone", `Europe/Vienna`, `Local`, `zone: unknown zone "Local"`},
		{"confidence out of reach", `0.7`, `0.3`, "confidence: not between 0.5 and 0.99"},
		{"wrong type", `"change_car_minutes":20`, `"change_car_minutes":"20"`, "change_car_minutes: not a number"},
		{"fraction of a minute", `"change_car_minutes":20`, `"change_car_minutes":20.5`, "change_car_minutes: not a whole number"},
		{"not a list", `"inside":["tray"]`, `"inside":"tray"`, "access[1].inside: not a list"},
		{"negative", `[60,80,120]`, `[60,-80,120]`, "jobs[1].stages[0].minutes[1]: negative"},
		{"too large", `[60,80,120]`, `[60,80,1e12]`, "jobs[1].stages[0].minutes[2]: too large"},
		{"not ascending", `[60,80,120]`, `[60,50,120]`, "jobs[1].stages[0].minutes[1]: less than the value before it"},
		{"two values", `[60,80,120]`, `[60,120]`, "jobs[1].stages[0].minutes: not three values"},
		{"dates not ascending", `["2027-03-01","2027-03-02","2027-03-03"]`, `["2027-03-01","2027-02-02","2027-03-03"]`, "cars[1].arrives[1]: earlier than the value before it"},
		{"session backwards", `"to":"2027-03-06T17:00"`, `"to":"2027-03-06T08:00"`, "sessions[0]: ends before it starts"},
		{"sessions overlap", `"2027-03-07T08:00:00Z"`, `"2027-03-06T15:00:00Z"`, "sessions[1]: overlaps sessions[0]"},
		{"duplicate car", `"id":"shell"`, `"id":"estate"`, `cars[1].id: duplicate id "estate"`},
		{"duplicate stage", `"id":"on"`, `"id":"off"`, `jobs[1].stages[2].id: duplicate id "off"`},
		{"unknown car", `"car":"shell"`, `"car":"hearse"`, `jobs[0].car: unknown car "hearse"`},
		{"unknown job", `{"job":"strip"`, `{"job":"stripe"`, `jobs[1].after[0].job: unknown job "stripe"`},
		{"unknown harvest", `"from_job":"strip"`, `"from_job":"none"`, `parts[0].arrivals[1].from_job: unknown job "none"`},
		{"unknown part", `{"part":"arm"}`, `{"part":"leg"}`, `jobs[1].stages[0].parts[0].part: unknown part "leg"`},
		{"unknown access", `"access":["subframe"]`, `"access":["roof"]`, `jobs[1].stages[0].access[0]: unknown access "roof"`},
		{"access on another car", `"car":"shell","stages":[{"id":"take",`, `"car":"shell","stages":[{"access":["tray"],"id":"take",`, `jobs[0].stages[0].access[0]: access "tray" is on another car`},
		{"unknown closing work", `"closing":["bleed"]`, `"closing":["bleat"]`, `jobs[1].stages[0].closing[0]: unknown closing work "bleat"`},
		{"unknown resource", `"puller":1}`, `"pulley":1}`, "jobs[0].stages[0].needs.pulley: unknown resource"},
		{"more than there is", `"puller":1}`, `"puller":2}`, "jobs[0].stages[0].needs.puller: more than there are"},
		{"two owners", `"hands":1`, `"hands":2`, "jobs[1].stages[0].needs.hands: more than there are"},
		{"unknown kind", `"kind":"wait"`, `"kind":"sleep"`, `jobs[1].stages[1].kind: unknown kind "sleep"`},
		{"outside work in minutes", `"days":[1,1,2]`, `"minutes":[1,1,2]`, "jobs[1].stages[4].days: missing"},
		{"unknown day", `["mon","tue"]`, `["mon","tues"]`, `jobs[1].stages[4].working_days[1]: unknown day "tues"`},
		{"nothing to follow", `"id":"take",`, `"id":"take","follows_at_once":true,`, "jobs[0].stages[0].follows_at_once: ties a bench stage to the bench stage before it"},
		{"no stages", `"stages":[{"id":"take","kind":"bench","minutes":[60,60,60],"needs":{"puller":1}}]`, `"stages":[]`, "jobs[0].stages: empty"},
		{"job loop", `"car":"shell","stages"`, `"car":"shell","after":[{"job":"rear"}],"stages"`, "job rear -> strip -> rear"},
		{"access loop", `"stays":true,"open":true`, `"inside":["subframe"]`, "access subframe -> tray -> subframe"},
		{"a field twice", `"on_hand":1`, `"on_hand":1,"on_hand":2`, `field "on_hand" is given twice`},
		{"something after the end", `]}]}]}`, `]}]}]} {}`, "something follows the end of the problem"},
		{"cut off", `"working_days":["mon","tue"]}]}]}`, ``, "the file ends too early"},
		{"not JSON", `"now":`, `now:`, "not JSON"},
		{"a line in an id", `{"part":"arm"}`, `{"part":"a\nrm"}`, `unknown part "a\nrm"`},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			_, err := planner.ReadProblem(strings.NewReader(edited(t, test.old, test.new)))
			if err == nil {
				t.Fatal("not refused")
			}
			if got := err.Error(); !strings.Contains(got, test.want) || strings.ContainsAny(got, "\n\r") {
				t.Errorf("got %q, want one line with %q", got, test.want)
			}
		})
	}
}

// A problem read, marshalled and read again is the same problem.
func TestProblem_marshalsToItsFile(t *testing.T) {
	t.Parallel()
	first, err := planner.ReadProblem(strings.NewReader(wholeProblem))
	if err != nil {
		t.Fatal(err)
	}
	file, err := json.Marshal(first)
	if err != nil {
		t.Fatal(err)
	}
	again, err := planner.ReadProblem(bytes.NewReader(file))
	if err != nil {
		t.Fatalf("%v in %s", err, file)
	}
	second, err := json.Marshal(again)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(file, second) {
		t.Errorf("first\n%s\nthen\n%s", file, second)
	}
	plans := [2][]byte{}
	for i, p := range []planner.Problem{first, again} {
		answer, err := planner.Plan(p)
		if err != nil {
			t.Fatal(err)
		}
		plans[i], _ = json.Marshal(answer)
	}
	if !bytes.Equal(plans[0], plans[1]) {
		t.Errorf("planned %s\nthen %s", plans[0], plans[1])
	}
}

func TestPlan_refusesWhatGoMadeWrong(t *testing.T) {
	t.Parallel()
	now := time.Date(2027, 3, 5, 18, 0, 0, 0, time.UTC)
	job := planner.Job{ID: "job-1", Car: "car-1", Stages: []planner.Stage{{ID: "stage-1", Kind: planner.Bench, Minutes: planner.Exactly(30)}}}
	for _, test := range []struct {
		name string
		edit func(p *planner.Problem)
		want string
	}{
		{"no time", func(p *planner.Problem) { p.Now = time.Time{} }, "now"},
		{"negative minutes", func(p *planner.Problem) { p.ChangeCarMinutes = -1 }, "change_car_minutes: negative"},
		{"a due date of the year one", func(p *planner.Problem) { p.Jobs[0].Due = planner.At(time.Unix(-1e11, 0)) }, "jobs[0].due: not a usable time"},
		{"centuries of waiting", func(p *planner.Problem) {
			for range 40 {
				p.Jobs[0].After = append(p.Jobs[0].After, planner.After{Job: "job-1", GapMinutes: 10_000_000})
			}
		}, "jobs"},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			stages := append([]planner.Stage(nil), job.Stages...)
			p := planner.Problem{Now: now, Cars: []planner.Car{{ID: "car-1"}}, Jobs: []planner.Job{{ID: job.ID, Car: job.Car, Stages: stages}}}
			if _, err := planner.Plan(p); err != nil {
				t.Fatalf("before the edit: %v", err)
			}
			test.edit(&p)
			if _, err := planner.Plan(p); err == nil || !strings.Contains(err.Error(), test.want) {
				t.Errorf("got %v, want %q", err, test.want)
			}
		})
	}
}
