package planner_test

import (
	"bytes"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"axlestand/internal/planner"
)

func TestChain_ByHand(t *testing.T) {
	t.Parallel()
	for _, test := range []struct{ name, rest, job, want string }{
		{
			// The paint dries till the 8th, and so the hood is fitted on the 20th, in the first session after that.
			"back to a session", `"jobs":[{"id":"hood","car":"estate","weight":1,"stages":[{"id":"paint","kind":"bench","minutes":[60,60,60]},
			  {"id":"dry","kind":"wait","minutes":[2880,2880,2880]},{"id":"fit","kind":"bench","minutes":[30,30,30]}]}]}`,
			"hood", "hood fit: stage dry <- hood dry\nhood dry: stage paint <- hood paint\nhood paint: session\n",
		},
		{
			"back to an arrival through a prerequisite", `"parts":[{"id":"arm","arrivals":[{"qty":1,"at":"2027-03-19"}]}],
			 "jobs":[{"id":"arms","car":"estate","weight":1,"stages":[{"id":"fit","kind":"bench","minutes":[60,60,60],"parts":[{"part":"arm","qty":1}]}]},
			  {"id":"align","car":"estate","weight":1,"after":[{"job":"arms"}],"stages":[{"id":"drive","kind":"outside","days":[1,1,1]},{"id":"set","kind":"wait","minutes":[60,60,60]}]}]}`,
			"align", "align set: stage drive <- align drive\nalign drive: job arms <- arms fit\narms fit: part arm\n",
		},
		{
			"back over the hands", `"jobs":[{"id":"hood","car":"estate","weight":5,"stages":[{"id":"fit","kind":"bench","minutes":[60,60,60]}]},
			  {"id":"horn","car":"van","weight":1,"stages":[{"id":"fit","kind":"bench","minutes":[60,60,60]}]}]}`,
			"horn", "horn fit: hands hood <- hood fit\nhood fit: session\n",
		},
		{"a job without a place", `"parts":[{"id":"arm"}],"jobs":[{"id":"arms","car":"estate","stages":[{"id":"fit","kind":"bench","minutes":[60,60,60],"parts":[{"part":"arm"}]}]}]}`, "arms", ""},
		{"no such job", `"jobs":[]}`, "horn", ""},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			p := readProblem(t, twoSaturdays+test.rest)
			if got := chainText(planner.Chain(p, planned(t, p), test.job)); got != test.want {
				t.Errorf("got\n%s\nwant\n%s", got, test.want)
			}
		})
	}
}

// A chain goes back in time link by link, each leaning on the next, from the end of the job to something that is no work.
func TestChain_HoldsTogether(t *testing.T) {
	t.Parallel()
	first, last := seeds(t, 10)
	for seed := first; seed < last; seed++ {
		p, err := planner.ReadProblem(bytes.NewReader(generate(seed)))
		if err != nil {
			t.Fatal(err)
		}
		a := planned(t, p)
		for _, job := range p.Jobs {
			links := planner.Chain(p, a, job.ID)
			placed := slices.ContainsFunc(a.Stages, func(s planner.PlacedStage) bool { return s.Job == job.ID })
			if placed != (len(links) > 0) {
				t.Fatalf("AXLESTAND_SEED=%d: %s has %d links", seed, job.ID, len(links))
			}
			for i, l := range links {
				why := ""
				switch {
				case i == 0 && (l.Job != job.ID || l.Stage != job.Stages[len(job.Stages)-1].ID):
					why = "does not begin with its last stage"
				case l.OnJob != "" && (i+1 == len(links) || links[i+1].Job != l.OnJob || links[i+1].Stage != l.OnStage):
					why = "is torn"
				case l.OnJob == "" && i+1 < len(links):
					why = "goes on though it leans on nothing"
				case i > 0 && l.To.After(links[i-1].From):
					why = "goes forward in time"
				case l.OnJob == "" && slices.Contains(strings.Fields("stage job harvest"), l.Because.Kind):
					why = "ends at work"
				case l.OnJob != "" && slices.Contains(strings.Fields("job harvest hands"), l.Because.Kind) && l.OnJob != l.Because.Of:
					why = "leans on another job than its reason names"
				}
				if why != "" {
					t.Errorf("AXLESTAND_SEED=%d: the chain of %s %s:\n%s", seed, job.ID, why, chainText(links))
					break
				}
			}
		}
	}
}

func TestShortfalls_ByHand(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		name, rest string
		want       []planner.Shortfall
	}{
		{
			// Until the 10th there are three hours. The belt takes 150 minutes and 20 to get at it, the pump before it 60: 230.
			"a prerequisite", `"access":[{"id":"front","car":"estate","open_minutes":20,"close_minutes":30}],
			 "jobs":[{"id":"pump","car":"estate","stages":[{"id":"fit","kind":"bench","minutes":[60,60,60],"access":["front"]}]},
			  {"id":"belt","car":"estate","due":"2027-03-10","after":[{"job":"pump"}],"stages":[{"id":"fit","kind":"bench","minutes":[150,150,150],"access":["front"]}]}]}`,
			[]planner.Shortfall{{Job: "belt", Jobs: []string{"belt", "pump"}, Need: 230, Have: 180, Short: 50}},
		},
		{
			// Each fits into the three hours, both do not.
			"together", `"jobs":[{"id":"belt","car":"estate","due":"2027-03-10","late_cost":5,"stages":[{"id":"fit","kind":"bench","minutes":[120,120,120]}]},
			  {"id":"hose","car":"van","due":"2027-03-12","late_cost":5,"stages":[{"id":"fit","kind":"bench","minutes":[90,90,90]}]}]}`,
			[]planner.Shortfall{{Job: "hose", Jobs: []string{"belt", "hose"}, Need: 210, Have: 180, Short: 30, Together: true}},
		},
		{"it fits", `"jobs":[{"id":"belt","car":"estate","due":"2027-03-10","late_cost":5,"stages":[{"id":"fit","kind":"bench","minutes":[180,180,180]}]}]}`, []planner.Shortfall{}},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			p := readProblem(t, twoSaturdays+test.rest)
			got, err := planner.Shortfalls(p)
			if err != nil {
				t.Fatal(err)
			}
			for i := range got {
				got[i].Due, got[i].Earliest = p.Now, p.Now
			}
			for i := range test.want {
				test.want[i].Due, test.want[i].Earliest = p.Now, p.Now
			}
			if diff := cmp.Diff(test.want, got); diff != "" {
				t.Error(diff)
			}
		})
	}
}

// A due date that is proved to be out of reach is met by no plan.
func TestShortfalls_NoPlanMeetsThem(t *testing.T) {
	t.Parallel()
	first, last := seeds(t, 10)
	proved := 0
	for seed := first; seed < last; seed++ {
		p, err := planner.ReadProblem(bytes.NewReader(generate(seed)))
		if err != nil {
			t.Fatal(err)
		}
		short, err := planner.Shortfalls(p)
		if err != nil {
			t.Fatal(err)
		}
		a := planned(t, p)
		for _, s := range short {
			proved++
			met := func(id string) bool {
				done, late := false, false
				for _, stage := range a.Stages {
					done = done || stage.Job == id
					late = late || stage.Job == id && stage.To.After(s.Due)
				}
				return done && !late
			}
			if !s.Together && met(s.Job) || s.Together && !slices.ContainsFunc(s.Jobs, func(id string) bool { return !met(id) }) {
				t.Errorf("AXLESTAND_SEED=%d: a plan meets what is said to be out of reach: %+v", seed, s)
			}
		}
	}
	if last-first > 100 && proved < 20 {
		t.Errorf("only %d due dates are out of reach", proved)
	}
}

func TestOrderBy(t *testing.T) {
	t.Parallel()
	// The disc takes three days, the seal one: for the 20th they are ordered by the 16th and the 18th at the latest. The disc that
	// is to lie in oil from the 12th on is ordered by the 8th.
	p := readProblem(t, twoSaturdays+`"parts":[{"id":"disc","order_lead_days":[3,3,3]},{"id":"seal","on_hand":1,"order_lead_days":[1,1,1]}],
	 "jobs":[{"id":"discs","car":"van","not_before":"2027-03-19","stages":[{"id":"fit","kind":"bench","minutes":[60,60,60],"parts":[{"part":"disc","qty":2}]}]},
	  {"id":"sump","car":"estate","not_before":"2027-03-19","stages":[{"id":"seal","kind":"bench","minutes":[60,60,60],"parts":[{"part":"seal","qty":2}]}]},
	  {"id":"hub","car":"van","not_before":"2027-03-19","stages":[{"id":"fit","kind":"bench","minutes":[30,30,30],"parts":[{"part":"disc","qty":1}]}]},
	  {"id":"soak","car":"van","not_before":"2027-03-12","stages":[{"id":"lie","kind":"wait","minutes":[60,60,60],"parts":[{"part":"disc","qty":1}]}]}]}`)
	want := []planner.Order{
		{Part: "disc", Qty: 1, By: planner.On(2027, 3, 8), Jobs: []string{"soak"}},
		{Part: "disc", Qty: 3, By: planner.On(2027, 3, 16), Jobs: []string{"discs", "hub"}},
		{Part: "seal", Qty: 1, By: planner.On(2027, 3, 18), Jobs: []string{"sump"}},
	}
	if diff := cmp.Diff(want, planner.OrderBy(planned(t, p))); diff != "" {
		t.Error(diff)
	}
}
