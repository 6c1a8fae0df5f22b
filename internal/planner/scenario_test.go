package planner_test

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"axlestand/internal/planner"
)

var update = flag.Bool("update", false, "lay the expected plans out anew where only their spacing differs")

const scenarios = "../../testdata/planner"

// scenario is a file of testdata/planner: why it exists and how its plan is worked by hand, the problem, and
// what is expected.
type scenario struct {
	head, problem string
	kind          string // plan or refused
	want          string
}

var verdict = regexp.MustCompile(`(?m)^(plan|refused):\n`)

func readScenario(t *testing.T, path string) scenario {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	text := string(b)
	at := verdict.FindStringSubmatchIndex(text)
	if at == nil {
		t.Fatal("neither plan: nor refused:")
	}
	var s scenario
	rest := text[:at[0]]
	for strings.HasPrefix(rest, "#") {
		line, after, _ := strings.Cut(rest, "\n")
		s.head, rest = s.head+line+"\n", after
	}
	s.problem, s.kind, s.want = rest, text[at[2]:at[3]], text[at[1]:]
	if !strings.HasPrefix(s.head, "# Why:") || s.kind == "plan" && !strings.Contains(s.head, "\n# By hand:") {
		t.Fatal("does not say why it exists and how it is worked by hand")
	}
	return s
}

// The bound is no part of what is worked by hand: it depends on the method. The checker holds it.
var bound = regexp.MustCompile(`, bound [^\n]*`)

// squeezed is a text without its layout.
func squeezed(s string) string {
	lines := strings.Split(strings.TrimSpace(s), "\n")
	for i, line := range lines {
		lines[i] = strings.Join(strings.Fields(line), " ")
	}
	return strings.Join(lines, "\n")
}

func TestPlan_Scenarios(t *testing.T) {
	t.Parallel()
	paths, err := filepath.Glob(scenarios + "/*.txt")
	if err != nil {
		t.Fatal(err)
	}
	if len(paths) < 40 {
		t.Fatalf("%d scenarios in %s", len(paths), scenarios)
	}
	for _, path := range paths {
		t.Run(strings.TrimSuffix(filepath.Base(path), ".txt"), func(t *testing.T) {
			t.Parallel()
			s := readScenario(t, path)
			got := answerText(t, s)
			if got == s.want {
				return
			}
			if *update && squeezed(got) == squeezed(s.want) {
				if err := os.WriteFile(path, []byte(s.head+s.problem+s.kind+":\n"+got), 0o644); err != nil {
					t.Fatal(err)
				}
				return
			}
			t.Errorf("got:\n%s\nworked by hand:\n%s", got, s.want)
		})
	}
}

// answerText plans a scenario and returns the plan, or the line of refusal, as text.
func answerText(t *testing.T, s scenario) string {
	t.Helper()
	p, err := planner.ReadProblem(strings.NewReader(s.problem))
	if s.kind == "refused" {
		if err == nil {
			t.Fatal("not refused")
		}
		return err.Error() + "\n"
	}
	if err != nil {
		t.Fatalf("refused: %v", err)
	}
	plan, err := planner.Plan(p)
	if err != nil {
		t.Fatal(err)
	}
	answer, err := planOf([]byte(s.problem))
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range check([]byte(s.problem), answer) {
		t.Error(line)
	}
	var b bytes.Buffer
	if err := planner.WriteText(&b, p, plan); err != nil {
		t.Fatal(err)
	}
	return bound.ReplaceAllString(b.String(), "")
}

// A thousand accesses, each inside the one before, are refused in a line, not followed to the end.
func TestReadProblem_NestedTooDeep(t *testing.T) {
	t.Parallel()
	var b strings.Builder
	b.WriteString(`{"now":"2027-03-05T18:00","zone":"UTC","cars":[{"id":"estate"}],"access":[{"id":"0","car":"estate"}`)
	for i := 1; i <= 1000; i++ {
		b.WriteString(`,{"id":"` + strconv.Itoa(i) + `","car":"estate","inside":["` + strconv.Itoa(i-1) + `"]}`)
	}
	b.WriteString(`],"jobs":[]}`)
	_, err := planner.ReadProblem(strings.NewReader(b.String()))
	if err == nil || !strings.HasPrefix(err.Error(), "access[") || strings.Contains(err.Error(), "\n") {
		t.Errorf("got %v, want one line that names an access", err)
	}
}

// A file that opens a million brackets is refused as well, and quickly.
func TestReadProblem_BracketsWithoutEnd(t *testing.T) {
	t.Parallel()
	for _, open := range []string{"[", `{"jobs":`} {
		_, err := planner.ReadProblem(strings.NewReader(strings.Repeat(open, 1<<20)))
		if err == nil || strings.Contains(err.Error(), "\n") || len(err.Error()) > 300 {
			t.Errorf("brackets %q: got %.300v, want one short line", open, err)
		}
	}
}
