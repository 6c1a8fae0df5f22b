package planner_test

import (
	"bytes"
	"encoding/json"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"axlestand/internal/planner"
)

// FuzzPlan feeds files of any kind to the reader and plans what it accepts: no panic, refusals of one line, and an answer that
// can be written.
func FuzzPlan(f *testing.F) {
	f.Add([]byte(wholeProblem))
	paths, err := filepath.Glob(scenarios + "/*.txt")
	if err != nil {
		f.Fatal(err)
	}
	for _, path := range paths {
		text, err := os.ReadFile(path)
		if err != nil {
			f.Fatal(err)
		}
		at := verdict.FindIndex(text)
		_, problem, _ := strings.Cut(string(text[:at[0]]), "\n{")
		f.Add([]byte("{" + problem))
	}
	for seed := range uint64(20) {
		f.Add(generate(seed))
		f.Add(again(f, generate(seed), seed))
	}
	f.Fuzz(func(t *testing.T, file []byte) {
		if len(file) > 20_000 {
			return // slow to try in numbers
		}
		p, err := planner.ReadProblem(bytes.NewReader(file))
		if err != nil {
			if strings.ContainsAny(err.Error(), "\n\r") {
				t.Errorf("refused in several lines: %q", err)
			}
			return
		}
		answer, err := planner.Plan(p)
		if err != nil {
			t.Fatalf("read and then refused: %v", err)
		}
		if _, err := json.Marshal(answer); err != nil {
			t.Errorf("the answer cannot be written: %v", err)
		}
		if err := planner.WriteText(io.Discard, p, answer); err != nil {
			t.Errorf("the text cannot be written: %v", err)
		}
		if placed := len(p.Jobs) - len(answer.Blocked); placed < 0 || len(answer.Stages) < placed {
			t.Errorf("%d jobs, %d blocked, %d stages placed", len(p.Jobs), len(answer.Blocked), len(answer.Stages))
		}
	})
}

// again is a problem with the plan that it had before, the owner's pace and a limit to the effort.
func again(f *testing.F, problem []byte, seed uint64) []byte {
	f.Helper()
	p, err := planner.ReadProblem(bytes.NewReader(problem))
	if err != nil {
		f.Fatal(err)
	}
	a, err := planner.Plan(p)
	if err != nil {
		f.Fatal(err)
	}
	for _, s := range a.Stages {
		p.Previous = append(p.Previous, planner.Earlier{Job: s.Job, Stage: s.Stage, From: s.From})
	}
	p.Effort, p.Pace = int(seed*seed), &planner.Pace{Factor: 1.3, Sigma: 0.2}
	out, err := json.Marshal(p)
	if err != nil {
		f.Fatal(err)
	}
	return out
}
