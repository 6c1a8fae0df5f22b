package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

const smallProblem = `{"now":"2027-03-05T18:00","zone":"UTC",
 "sessions":[{"from":"2027-03-06T09:00","to":"2027-03-06T12:00"}],
 "cars":[{"id":"estate"}],
 "jobs":[{"id":"horn","car":"estate","stages":[{"id":"fit","kind":"bench","minutes":[20,30,60]}]}]}`

func ran(t *testing.T, problem string, args ...string) string {
	t.Helper()
	var out strings.Builder
	if err := runPlan(args, strings.NewReader(problem), &out); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

func TestRunPlan_Text(t *testing.T) {
	t.Parallel()
	want := `Sat 6 Mar 2027
  09:00-09:30  estate  horn fit  because session, 6 Mar 09:00
late 0, weighted 15.5, overhead 0 min, saved 0 min, bound 15.5
optimal
what frees most:
  a session of 2 h 30 min on Fri 5 Mar 19:00: weighted -14.0, 1 job sooner, 0.6 days in all
`
	if got := ran(t, smallProblem, "-samples", "0"); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	if got := ran(t, smallProblem); !strings.HasPrefix(got, want+"chances:\n  horn  ≈ 100 % ") {
		t.Errorf("got\n%s\nwant a chance of 100 %% at the end", got)
	}
}

func TestRunPlan_Why(t *testing.T) {
	t.Parallel()
	want := "horn ends Sat 6 Mar 09:30:\n    horn fit  Sat 6 Mar 09:00 to Sat 6 Mar 09:30  because session, 6 Mar 09:00\n"
	if got := ran(t, smallProblem, "-why", "horn"); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	blocked := strings.Replace(smallProblem, `"minutes":[20,30,60]`, `"minutes":[20,30,60],"needs":{"helpers":1}`, 1)
	want = "horn is blocked: helper\n  it needs a helper on Sat 6 Mar 09:00\n"
	if got := ran(t, blocked, "-why", "horn"); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

// Two hours are not enough for both jobs, and what is pinned to them goes first.
func TestRunPlan_Force(t *testing.T) {
	t.Parallel()
	problem := `{"now":"2027-03-05T18:00","zone":"Europe/Vienna",
 "sessions":[{"from":"2027-03-06T09:00","to":"2027-03-06T11:00"},{"from":"2027-03-13T09:00","to":"2027-03-13T11:00"}],
 "cars":[{"id":"estate"}],
 "jobs":[{"id":"horn","car":"estate","weight":2,"stages":[{"id":"fit","kind":"bench","minutes":[110,110,110]}]},
  {"id":"mirror@left","car":"estate","weight":1,"stages":[{"id":"fit","kind":"bench","minutes":[110,110,110]}]}]}`
	want := `mirror@left can begin in the session of Sat 6 Mar 09:00:
  late cost +0, weighted +168.0, overhead +0 min
  mirror@left moves from Sat 13 Mar 09:00 to Sat 6 Mar 09:00
  horn moves from Sat 6 Mar 09:00 to Sat 13 Mar 09:00
`
	for _, at := range []string{"2027-03-06T09:00", "2027-03-06T09:30:00+01:00"} {
		if got := ran(t, problem, "-force", "mirror@left@"+at); got != want {
			t.Errorf("got\n%s\nwant\n%s", got, want)
		}
	}
}

func TestRunPlan_JSONFromFile(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "problem.json")
	if err := os.WriteFile(path, []byte(smallProblem), 0o600); err != nil {
		t.Fatal(err)
	}
	var out strings.Builder
	if err := runPlan([]string{"-in", path, "-json"}, strings.NewReader(""), &out); err != nil {
		t.Fatal(err)
	}
	var answer struct {
		Stages                           []struct{ Job, From string }
		Orders, Unblock, Chains, Blocked []any
		Frees                            []struct{ Kind string }
		Chances                          []struct {
			Job  string
			Done float64
		}
	}
	if err := json.Unmarshal([]byte(out.String()), &answer); err != nil {
		t.Fatal(err)
	}
	if len(answer.Stages) != 1 || answer.Stages[0].Job != "horn" || answer.Stages[0].From != "2027-03-06T09:00:00Z" {
		t.Errorf("got %+v", answer)
	}
	if answer.Orders == nil || answer.Unblock == nil || answer.Chains == nil || answer.Blocked == nil {
		t.Errorf("a list is missing: %s", out.String())
	}
	if len(answer.Frees) != 1 || answer.Frees[0].Kind != "session" || len(answer.Chances) != 1 || answer.Chances[0].Done < 0.95 {
		t.Errorf("frees %+v, chances %+v", answer.Frees, answer.Chances)
	}
}

func TestRunPlan_Refuses(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		name, stdin, want string
		args              []string
	}{
		{"what is no problem", `{"now":"2027-03-05T18:00","colour":"red"}`, "colour: unknown field", nil},
		{"a file that is not there", "", "no such file", []string{"-in", filepath.Join(t.TempDir(), "gone.json")}},
		{"an argument", smallProblem, `"problem.json"`, []string{"problem.json"}},
		{"a job that is not there", smallProblem, `no job "horns"`, []string{"-why", "horns"}},
		{"a session that is not there", smallProblem, "no session at 2027-03-06T12:00", []string{"-force", "horn@2027-03-06T12:00"}},
		{"a job without a time", smallProblem, "is not JOB@TIME", []string{"-force", "horn"}},
		{"a time that is none", smallProblem, "no time like", []string{"-force", "horn@Saturday"}},
		{"two questions", smallProblem, "one at a time", []string{"-force", "horn@2027-03-06T09:00", "-why", "horn"}},
		{"too many samples", smallProblem, "-samples", []string{"-samples", "10000000"}},
		{"an unknown flag", smallProblem, "-out", []string{"-out", "x"}},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			var out strings.Builder
			err := runPlan(test.args, strings.NewReader(test.stdin), &out)
			if err == nil || !strings.Contains(err.Error(), test.want) || strings.Contains(err.Error(), "\n") {
				t.Errorf("got %v, want one line with %q", err, test.want)
			}
			if out.Len() > 0 {
				t.Errorf("printed %q all the same", out.String())
			}
		})
	}
}
