package page

import (
	"cmp"
	"net/url"
	"slices"
	"strings"

	"axlestand/internal/garage"
	safety "axlestand/internal/trade/caution"
	"axlestand/web/route"
	"axlestand/web/ui"

	"github.com/a-h/templ"
)

// calculator is one page of the Bench: what it asks, and a pure function from what was typed to an answer. A new one is a
// value in a file of its own and a line in calculators.
type calculator struct {
	Name     string // in the address
	Title    string
	Sub      string // what it answers
	Fields   []benchField
	Cautions []safety.Topic // shown before everything else
	About    benchAbout
	// Work reads the fields of in, notes there what is wrong, and answers; what it returns with anything noted is not shown.
	Work func(in *benchTyped) BenchAnswer
}

// benchAbout stands one tap away from each answer.
type benchAbout struct {
	Formula, Source, Range, Limits string
}

// benchGroup is a heading of the list.
type benchGroup struct {
	Title       string
	Calculators []calculator
}

// calculators are all of them, in the order of the list.
var calculators = []benchGroup{
	{"Torque", torqueCalculators},
	{"Fluids", fluidCalculators},
	{"Wheels and tyres", wheelCalculators},
	{"Brakes", brakeCalculators},
	{"Identification and faults", faultCalculators},
	{"Intervals", intervalCalculators},
	{"Money", moneyCalculators},
}

func findCalculator(name string) (calculator, bool) {
	for _, g := range calculators {
		if i := slices.IndexFunc(g.Calculators, func(c calculator) bool { return c.Name == name }); i >= 0 {
			return g.Calculators[i], true
		}
	}
	return calculator{}, false
}

// benchField is one thing that a calculator asks.
type benchField struct {
	Name     string
	Label    string
	Hint     string
	Example  string // shown while the field is empty, and what the worked example has
	Kind     benchKind
	Units    []string    // one is chosen beside the figure; the example has the first
	Unit     string      // said behind the figure
	Options  []ui.Option // of a choice; the first is taken when nothing is chosen
	Optional bool
	Set      string // fields that follow one another with the same set stand together under it
}

// benchKind is how a field is typed.
type benchKind int

const (
	aNumber benchKind = iota
	aText
	someLines
	aDate
	aChoice
)

// longest is how many characters a field takes.
func (f benchField) longest() int {
	if f.Kind == someLines {
		return 1000
	}
	return 80
}

// unitName is the name of the field in which the unit is chosen.
func (f benchField) unitName() string { return f.Name + "_unit" }

// BenchPlace is where and when something is worked out: the owner's units and money, and the garage's day.
type BenchPlace struct {
	Today                              garage.Date
	TorqueUnit, DistanceUnit, Currency string
}

// NewBenchPlace takes from the settings what calculators need.
func NewBenchPlace(s garage.Settings, today garage.Date) BenchPlace {
	return BenchPlace{Today: today, TorqueUnit: s.TorqueUnit, DistanceUnit: s.DistanceUnit, Currency: s.Currency}
}

// preferred is the unit in which a field is typed before one is chosen: the owner's where the field takes it.
func (p BenchPlace) preferred(units []string) string {
	owner := []string{p.TorqueUnit, "km", "km/h"}
	if p.DistanceUnit == "mi" {
		owner = []string{p.TorqueUnit, "miles", "mph"}
	}
	for _, u := range owner {
		if slices.Contains(units, u) {
			return u
		}
	}
	return units[0]
}

// BenchAnswer is what was worked out.
type BenchAnswer struct {
	Figures  []BenchFigure
	Rows     []BenchRow
	Findings []BenchFinding
	Table    *ui.TableData
	Label    string // stands with figures that are not the maker's
}

// BenchFigure is a figure to set, fill or read, in the unit asked for and in another beside it.
type BenchFigure struct {
	Label, Value, Unit, Also string
}

// BenchRow is a further result.
type BenchRow struct {
	Label, Value, Note string
}

// BenchFinding is a judgement in a sentence, headed by a word.
type BenchFinding struct {
	Mood       ui.Mood
	Word, Text string
}

func (a *BenchAnswer) row(label, value, note string) {
	a.Rows = append(a.Rows, BenchRow{Label: label, Value: value, Note: note})
}

func (a *BenchAnswer) good(word, text string) {
	a.Findings = append(a.Findings, BenchFinding{ui.Done, word, text})
}

func (a *BenchAnswer) look(text string) {
	a.Findings = append(a.Findings, BenchFinding{ui.Waits, "look", text})
}

func (a *BenchAnswer) bad(word, text string) {
	a.Findings = append(a.Findings, BenchFinding{ui.Blocked, word, text})
}

// verdict says a judgement in its own word.
func (a *BenchAnswer) verdict(word string, text string) {
	mood := map[string]ui.Mood{"good": ui.Done, "watch": ui.Waits, "fault": ui.Blocked}[word]
	a.Findings = append(a.Findings, BenchFinding{mood, word, text})
}

// BenchView lists the calculators.
type BenchView struct {
	Base
	Groups []BenchList
}

// BenchList is a heading with its calculators.
type BenchList struct {
	Title string
	Items []ui.ListItem
}

// NewBench lists all calculators.
func NewBench(base Base) BenchView {
	v := BenchView{Base: base}
	for _, g := range calculators {
		list := BenchList{Title: g.Title}
		for _, c := range g.Calculators {
			list.Items = append(list.Items, ui.ListItem{Title: c.Title, Href: route.Calculator(c.Name), Sub: c.Sub})
		}
		v.Groups = append(v.Groups, list)
	}
	return v
}

// CalculatorView is a calculator with what was typed and, when that makes sense, the answer.
type CalculatorView struct {
	Base
	Name, Sub string
	Sets      []benchSet
	Labels    []ui.Option // of the fields, for the list of errors
	Errors    garage.FieldErrors
	Typed     bool // something is, so that there is something to start over from
	Answer    *BenchAnswer
	From      []BenchRow // what was typed, beside the answer
	Cautions  []safety.Caution
	About     benchAbout
	Example   string // the address of the worked example
}

// benchSet is fields that stand together.
type benchSet struct {
	Legend string
	Inputs []benchInput
}

// benchInput is a field as drawn.
type benchInput struct {
	ui.Input
	Kind     benchKind
	UnitName string // where the unit is chosen
	UnitOf   string // says to a reader what the choice belongs to
	Chosen   string
	Units    []ui.Option
}

// NewCalculator is the page of a calculator for what was typed, which is nothing at first; known is false for a name that there is not.
func NewCalculator(base Base, name string, sent url.Values, at BenchPlace) (v CalculatorView, known bool) {
	c, known := findCalculator(name)
	if !known {
		return CalculatorView{}, false
	}
	in := c.read(sent, at)
	base.Title = c.Title
	v = CalculatorView{
		Base: base, Name: c.Name, Sub: c.Sub, About: c.About, Typed: in.sent,
		Example: route.CalculatorWith(c.Name, c.example()),
	}
	for _, topic := range c.Cautions {
		if found, ok := safety.For(topic); ok {
			v.Cautions = append(v.Cautions, found)
		}
	}
	if in.sent && c.asks(sent) {
		v.Answer = c.answer(in)
		v.Errors, v.From = in.Errors, in.from()
	}
	for _, f := range c.Fields {
		v.Labels = append(v.Labels, ui.Option{Value: f.Name, Text: f.Label})
	}
	v.Sets = in.sets()
	return v, true
}

// asks says whether a form was sent, which holds every field that is required, filled in or not. A link that fills in what is known of a
// step holds some of them: it asks for the others.
func (c calculator) asks(sent url.Values) bool {
	for _, f := range c.Fields {
		if !f.Optional && f.Kind != aChoice && !sent.Has(f.Name) {
			return false
		}
	}
	return true
}

// answer is nil when something is wrong, which is then noted in in.
func (c calculator) answer(in *benchTyped) *BenchAnswer {
	in.checkLengths()
	if len(in.Errors) > 0 {
		return nil
	}
	a := c.Work(in)
	if len(in.Errors) > 0 {
		return nil
	}
	return &a
}

// example is what a form filled in with the examples sends.
func (c calculator) example() url.Values {
	v := url.Values{}
	for _, f := range c.Fields {
		switch {
		case f.Kind == aChoice:
			v.Set(f.Name, cmp.Or(f.Example, f.Options[0].Value))
		case f.Example != "":
			v.Set(f.Name, f.Example)
		}
		if len(f.Units) > 0 {
			v.Set(f.unitName(), f.Units[0])
		}
	}
	return v
}

// BenchSample is a calculator's name with what its worked example sends.
type BenchSample struct {
	Name  string
	Typed url.Values
}

// BenchSamples are the worked examples of all calculators, for tests and the gallery.
func BenchSamples() (samples []BenchSample) {
	for _, g := range calculators {
		for _, c := range g.Calculators {
			samples = append(samples, BenchSample{Name: c.Name, Typed: c.example()})
		}
	}
	return samples
}

// sets draws the fields as typed.
func (in *benchTyped) sets() (sets []benchSet) {
	for _, f := range in.fields {
		if len(sets) == 0 || sets[len(sets)-1].Legend != f.Set {
			sets = append(sets, benchSet{Legend: f.Set})
		}
		last := &sets[len(sets)-1]
		last.Inputs = append(last.Inputs, in.draw(f))
	}
	return sets
}

func (in *benchTyped) draw(f benchField) benchInput {
	d := benchInput{
		Kind: f.Kind,
		Input: ui.Input{
			Name: f.Name, Label: f.Label, Hint: f.Hint, Value: in.values[f.Name], Error: in.Errors[f.Name], Unit: f.Unit,
			Options: f.Options, Max: f.longest(), Required: !f.Optional && f.Kind != aChoice, Rows: 3, Attrs: templ.Attributes{},
		},
	}
	if f.Kind != aChoice && f.Kind != aDate && f.Example != "" {
		d.Attrs["placeholder"] = f.Example
	}
	if len(f.Units) > 0 {
		d.UnitName, d.UnitOf, d.Chosen = f.unitName(), "Unit of "+f.Label, in.unitOf(f)
		for _, u := range f.Units {
			d.Units = append(d.Units, ui.Option{Value: u, Text: u})
		}
	}
	return d
}

// from is what was typed, with its units, as it is read back beside the answer.
func (in *benchTyped) from() (rows []BenchRow) {
	for _, f := range in.fields {
		value := strings.ReplaceAll(strings.TrimSpace(in.values[f.Name]), "\n", ", ")
		if f.Kind == aChoice {
			if i := slices.IndexFunc(f.Options, func(o ui.Option) bool { return o.Value == in.choice(f.Name) }); i >= 0 && f.Options[i].Value != "" {
				value = f.Options[i].Text
			}
		}
		if value == "" {
			continue
		}
		if unit := cmp.Or(f.Unit, in.unitOf(f)); unit != "" && !strings.ContainsFunc(value, letterOrSign) {
			value += "\u00a0" + unit
		}
		rows = append(rows, BenchRow{Label: f.Label, Value: value})
	}
	return rows
}

// letterOrSign says that a figure was typed with its unit, which then goes before the one that is chosen.
func letterOrSign(r rune) bool {
	return !strings.ContainsRune("0123456789.,/ '+-\u2212\u00a0\u202f½¼¾", r)
}
