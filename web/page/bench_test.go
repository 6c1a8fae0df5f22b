package page

import (
	"bytes"
	"net/url"
	"strings"
	"testing"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/htmltest"
	"axlestand/web/ui"
)

// benchDay is the day of these tests.
var benchPlace = BenchPlace{Today: garage.NewDate(2027, time.March, 5), TorqueUnit: "Nm", DistanceUnit: "km", Currency: "EUR"}

// benchCase is what is typed beside the worked example, and what the page then says, or the sentence at a field.
type benchCase struct {
	calculator string
	typed      url.Values
	says       []string
	wrong      map[string]string // a part of the sentence by field
}

func benchPage(t *testing.T, name string, typed url.Values) (CalculatorView, string) {
	t.Helper()
	v, known := NewCalculator(Base{Page: ui.Page{Title: "Bench"}}, name, typed, benchPlace)
	if !known {
		t.Fatalf("there is no calculator %s", name)
	}
	var b bytes.Buffer
	if err := Calculator(v).Render(t.Context(), &b); err != nil {
		t.Fatal(err)
	}
	htmltest.Check(t, b.String())
	text := htmltest.Parse(t, b.String()).Find("main").Text()
	return v, strings.NewReplacer("\u00a0", " ", "\u2212", "-").Replace(strings.Join(strings.Fields(text), " "))
}

func (c benchCase) run(t *testing.T) {
	t.Helper()
	calc, known := findCalculator(c.calculator)
	if !known {
		t.Fatalf("there is no calculator %s", c.calculator)
	}
	typed := calc.example()
	for name, values := range c.typed {
		typed[name] = values
	}
	v, text := benchPage(t, c.calculator, typed)
	for field, part := range c.wrong {
		if !strings.Contains(v.Errors[field], part) {
			t.Errorf("%s: at %q stands %q, want %q", c.calculator, field, v.Errors[field], part)
		}
	}
	if c.wrong == nil && len(v.Errors) > 0 {
		t.Errorf("%s: refused: %v", c.calculator, v.Errors)
	}
	for _, say := range c.says {
		if !strings.Contains(text, say) {
			t.Errorf("%s does not say %q:\n%s", c.calculator, say, text)
		}
	}
}

// The worked example of each calculator has an answer, its empty form none and nothing wrong, and a blank one that is sent says
// what it takes.
func TestBench_everyCalculator(t *testing.T) {
	t.Parallel()
	seen := map[string]bool{}
	for _, s := range BenchSamples() {
		if seen[s.Name] {
			t.Errorf("two calculators are called %s", s.Name)
		}
		seen[s.Name] = true
		t.Run(s.Name, func(t *testing.T) {
			t.Parallel()
			v, text := benchPage(t, s.Name, s.Typed)
			if v.Answer == nil {
				t.Fatal("the example has no answer:", v.Errors)
			}
			if !strings.Contains(text, "Worked out from") || !strings.Contains(text, "Formula, source and limits") {
				t.Error("the answer does not say where it comes from")
			}
			if v.About.Formula == "" || v.About.Source == "" || v.About.Limits == "" {
				t.Error("formula, source or limits are missing")
			}
			empty, text := benchPage(t, s.Name, nil)
			if empty.Answer != nil || len(empty.Errors) > 0 || !strings.Contains(text, "No answer yet") {
				t.Error("an empty form is not empty:", empty.Errors)
			}
			for _, typed := range []string{"", "??", strings.Repeat("9", 300), "-1", "1e9", "\ufffd"} {
				sent := url.Values{}
				for name := range s.Typed {
					sent.Set(name, typed)
				}
				v, _ := benchPage(t, s.Name, sent)
				if v.Answer == nil && len(v.Errors) == 0 {
					t.Errorf("with %.10q there is neither an answer nor a word about it", typed)
				}
				for name, sentence := range v.Errors {
					if !strings.HasSuffix(sentence, ".") && !strings.HasSuffix(sentence, "?") {
						t.Errorf("%s: %q is no sentence", name, sentence)
					}
				}
			}
		})
	}
}
