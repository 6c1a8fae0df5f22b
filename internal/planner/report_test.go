package planner_test

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"

	"axlestand/internal/planner"
)

// The report of a garage with a blocked job, a late one, parts to order and a due date out of reach, worked by hand.
//
// The sump is sealed on the 6th, 9:00 to 10:30, since it is due on the 9th and costs 40 when late; belt and discs cannot be done
// then. The belt's two hours and a half are too much for the hour and a half that is left, and it may pause: it begins at 10:30
// and goes on on the 20th. It was due on the 7th; that a session holds three hours till then, and the two jobs due by then would
// take four, is what no plan changes.
const reported = twoSaturdays + `"parts":[{"id":"disc","order_lead_days":[3,3,3]},{"id":"seal","on_hand":1}],
 "jobs":[{"id":"sump","car":"estate","weight":1,"due":"2027-03-07","late_cost":40,"stages":[{"id":"seal","kind":"bench","minutes":[90,90,90]}]},
  {"id":"belt","car":"van","weight":1,"due":"2027-03-07","late_cost":15,"stages":[{"id":"fit","kind":"bench","minutes":[150,150,150]}]},
  {"id":"discs","car":"van","weight":1,"stages":[{"id":"fit","kind":"bench","minutes":[30,30,30],"parts":[{"part":"disc","qty":2}]}]},
  {"id":"hub","car":"van","weight":1,"stages":[{"id":"seal","kind":"bench","minutes":[20,20,20],"parts":[{"part":"seal","qty":3}]}]}]}`

func reportText(t *testing.T, p planner.Problem, samples int) string {
	t.Helper()
	report, err := planner.Explain(p, samples)
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	if err := planner.WriteReport(&b, p, report); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestWriteReport_ByHand(t *testing.T) {
	t.Parallel()
	text := reportText(t, readProblem(t, reported), 0)
	for _, want := range []string{
		"what would free blocked jobs:\n  hub: 2 seal more\n",
		"\nto order:\n  by Tue 16 Mar 2027: 2 disc for discs\n",
		"\ndue dates that no plan meets:\n" +
			"  belt, due Sun 7 Mar 24:00: short by 1 h: 4 h of work (belt, sump) with a price are due by then, the sessions hold 3 h\n" +
			"  sump, due Sun 7 Mar 24:00: short by 1 h: 4 h of work (belt, sump) with a price are due by then, the sessions hold 3 h\n",
		"\nlate jobs and what they wait for:\n  belt, due Sun 7 Mar 24:00, ends Sat 20 Mar 10:00, late cost 15\n" +
			"    sump seal  Sat 6 Mar 09:00 to Sat 6 Mar 10:30  because session, 6 Mar 09:00\n" +
			"    belt fit   Sat 6 Mar 10:30 to Sat 20 Mar 10:00  because hands sump, 6 Mar 10:30\n",
		"\nwhat frees most:\n  a session of 2 h 30 min on Fri 5 Mar 19:00: late cost -15, ",
		"\n  2 seal more: 20 min of work possible (hub), ",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("got\n%s\nwant in it\n%s", text, want)
		}
	}
}

// A gain that costs other jobs their place, or that is dearer, says so.
func TestWriteReport_Gains(t *testing.T) {
	t.Parallel()
	p := readProblem(t, reported)
	report := planner.Report{Answer: planned(t, p), Frees: []planner.Gain{
		{Thing: planner.Thing{Kind: planner.ThingTool, Of: "press"}, LateCost: 7, Minutes: -75, Weighted: 3, Frees: []string{"a"}, Blocks: []string{"b", "c"}},
		{Thing: planner.Thing{Kind: planner.ThingBuy, Of: "seal", Qty: 2}, LateCost: -1.5, Minutes: 90, Frees: []string{"a", "d"}},
	}}
	var b strings.Builder
	if err := planner.WriteReport(&b, p, report); err != nil {
		t.Fatal(err)
	}
	want := "what frees most:\n  one more press: late cost -7, 1 h 15 min of work less (a; without b, c), weighted -3.0\n" +
		"  2 seal more: late cost +1.5, 1 h 30 min of work possible (a, d), weighted +0.0\n"
	if !strings.HasSuffix(b.String(), want) {
		t.Errorf("got\n%s\nwant at its end\n%s", b.String(), want)
	}
}

// A garage with nothing in it, or with nothing that can be done, has a report that says no more than that.
func TestWriteReport_Degenerate(t *testing.T) {
	t.Parallel()
	for _, test := range []struct{ name, problem, want string }{
		{"nothing at all", `{"now":"2027-03-05T18:00","zone":"UTC","sessions":[],"cars":[],"jobs":[]}`, "late 0, weighted 0.0, overhead 0 min, saved 0 min, bound 0.0\n"},
		{
			"no session", `{"now":"2027-03-05T18:00","zone":"UTC","sessions":[],"cars":[{"id":"van"}],
			 "jobs":[{"id":"horn","car":"van","due":"2027-03-01","late_cost":5,"stages":[{"id":"fit","kind":"bench","minutes":[30,30,30]}]}]}`,
			"blocked:\n  horn: no session left\nlate 0, weighted 0.0, overhead 0 min, saved 0 min, bound 0.0\n" +
				"what would free blocked jobs:\n  horn: a session of 30 min on Sat 6 Mar 09:00\n" +
				"what frees most:\n  a session of 2 h 30 min on Fri 5 Mar 19:00: 30 min of work possible (horn), weighted +0.0\n" +
				"due dates that no plan meets:\n  horn, due Mon 1 Mar 24:00: short by 30 min: 30 min of work (horn) must come before, the sessions hold 0 min\n",
		},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			if got := reportText(t, readProblem(t, test.problem), 20); got != test.want {
				t.Errorf("got\n%s\nwant\n%s", got, test.want)
			}
		})
	}
}

// Whatever a garage holds, all can be asked, and its report is the same to the byte when it is written down in another order.
func TestExplain_SameBytesInAnyOrder(t *testing.T) {
	t.Parallel()
	first, last := seeds(t, 250)
	for seed := first; seed < last; seed++ {
		problem := generate(seed)
		var texts []string
		for _, given := range [][]byte{problem, shuffled(seed, problem)} {
			p, err := planner.ReadProblem(bytes.NewReader(given))
			if err != nil {
				t.Fatal(err)
			}
			report, err := planner.Explain(p, 5)
			if err != nil {
				t.Fatalf("AXLESTAND_SEED=%d: %v", seed, err)
			}
			b, err := json.Marshal(report)
			if err != nil {
				t.Fatal(err)
			}
			var text strings.Builder
			if err := planner.WriteReport(&text, p, report); err != nil {
				t.Fatal(err)
			}
			texts = append(texts, string(b)+text.String())
		}
		if texts[0] != texts[1] {
			t.Errorf("AXLESTAND_SEED=%d: written down in another order it differs\n%s", seed, firstDifference([]byte(texts[0]), []byte(texts[1])))
		}
	}
}
