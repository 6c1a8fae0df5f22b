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

func TestRunPlan_Text(t *testing.T) {
	t.Parallel()
	var out strings.Builder
	if err := runPlan(nil, strings.NewReader(smallProblem), &out); err != nil {
		t.Fatal(err)
	}
	want := "Sat 6 Mar 2027\n  09:00-09:30  estate  horn fit  because session, 6 Mar 09:00\nlate 0, weighted 15.5, overhead 0 min, saved 0 min, bound 15.5\n"
	if out.String() != want {
		t.Errorf("got\n%s\nwant\n%s", out.String(), want)
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
		Stages []struct{ Job, From string }
	}
	if err := json.Unmarshal([]byte(out.String()), &answer); err != nil {
		t.Fatal(err)
	}
	if len(answer.Stages) != 1 || answer.Stages[0].Job != "horn" || answer.Stages[0].From != "2027-03-06T09:00:00Z" {
		t.Errorf("got %+v", answer)
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
