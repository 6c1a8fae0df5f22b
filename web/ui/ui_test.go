package ui

import (
	"context"
	"io"
	"net/url"
	"strings"
	"testing"

	"axlestand/internal/htmltest"

	"github.com/a-h/templ"
	"github.com/google/go-cmp/cmp"
)

func render(t *testing.T, c templ.Component) htmltest.Node {
	t.Helper()
	var b strings.Builder
	if err := c.Render(t.Context(), &b); err != nil {
		t.Fatal(err)
	}
	htmltest.Check(t, b.String())
	return htmltest.Parse(t, b.String())
}

// around gives a component its children.
func around(c templ.Component, children ...templ.Component) templ.Component {
	return templ.ComponentFunc(func(ctx context.Context, w io.Writer) error {
		return c.Render(templ.WithChildren(ctx, templ.Join(children...)), w)
	})
}

func TestInputSaysWhatIsWrong(t *testing.T) {
	t.Parallel()
	options := []Option{{Value: "1", Text: "one"}, {Value: "2", Text: "two"}}
	for name, c := range map[string]func(Input) templ.Component{
		"input": TextInput, "textarea": TextArea, "input[inputmode=decimal]": NumberInput, "input[type=date]": DateInput,
		"input[type=datetime-local]": DateTimeInput, "input[type=time]": TimeInput, "select": Select, "input[type=checkbox]": Checkbox,
		"input[type=file]": FileInput, "fieldset input[type=radio]": RadioList, "fieldset input[type=checkbox]": CheckList,
	} {
		in := Input{Name: "stages.0.kind", Label: "Kind", Hint: "What it is", Error: "Choose one.", Options: options}
		doc := render(t, c(in))
		input := doc.Find(name)
		var said []string
		for _, id := range strings.Fields(input.Attr("aria-describedby")) {
			said = append(said, doc.Find("#"+id).Text())
		}
		if diff := cmp.Diff([]string{"What it is", "Choose one."}, said); diff != "" || input.Attr("aria-invalid") != "true" {
			t.Errorf("%s: described by %q, invalid %q", name, said, input.Attr("aria-invalid"))
		}
		if !doc.Has("#" + FieldID("stages.0.kind")) {
			t.Errorf("%s: no target for the summary's link", name)
		}
		if good := render(t, c(Input{Name: "x", Label: "Kind", Options: options})).Find(name); good.Attr("aria-invalid")+good.Attr("aria-describedby") != "" {
			t.Errorf("%s: says that something is wrong when nothing is", name)
		}
	}
}

func TestFormKeepsWhatWasTyped(t *testing.T) {
	t.Parallel()
	typed := `<b>"Rear" & front`
	doc := render(t, around(Form("/jobs"),
		TextInput(Input{Name: "name", Label: "Name", Value: typed}),
		TextArea(Input{Name: "reason", Label: "Reason", Value: typed + "\n" + typed}),
		NumberInput(Input{Name: "weight", Label: "Weight", Value: "3,5x"}),
		Select(Input{Name: "car", Label: "Car", Value: "2", Options: []Option{{Value: "1", Text: "a", Group: "g"}, {Value: "2", Text: "b", Group: "g"}, {Value: "3", Text: "c"}}}),
		RadioList(Input{Name: "kind", Label: "Kind", Value: "b", Options: []Option{{Value: "a"}, {Value: "b"}}}),
		CheckList(Input{Name: "needs", Label: "Needs", Values: []string{"lift", "press"}, Options: []Option{{Value: "lift"}, {Value: "welder"}, {Value: "press"}}}),
		Checkbox(Input{Name: "yes", Label: "Yes", Value: "yes"}), Checkbox(Input{Name: "no", Label: "No"}),
		ThreePoint(ThreePointInput{Name: "minutes", Label: "Time", Low: "1", Likely: "2", High: "3"}),
		ThreePoint(ThreePointInput{Name: "at", Label: "Arrival", Dates: true, Low: "2027-03-16"}),
		Hidden("version", "4"),
	)).Find("form[method=post]")
	want := map[string][]string{
		"name": {typed}, "reason": {typed + "\n" + typed}, "weight": {"3,5x"}, "car": {"2"}, "kind": {"b"}, "needs": {"lift", "press"}, "yes": {"yes"},
		"minutes_low": {"1"}, "minutes_likely": {"2"}, "minutes_high": {"3"}, "at_low": {"2027-03-16"}, "at_likely": {""}, "at_high": {""}, "version": {"4"},
	}
	if diff := cmp.Diff(url.Values(want), sends(doc)); diff != "" {
		t.Errorf("sent again (-want +got):\n%s", diff)
	}
}

// sends is what a form sends but for the word that is its own.
func sends(form htmltest.Node) url.Values {
	values := form.FormValues()
	values.Del(OnceField)
	return values
}

// A form's own word is new each time, so that what is sent twice on purpose differs from a second tap.
func TestForm_once(t *testing.T) {
	t.Parallel()
	words := map[string]bool{}
	for range 2 {
		for _, form := range render(t, templ.Join(around(Form("/a")), PostButton(Primary, "x", "/b"))).FindAll("form") {
			words[form.FormValues().Get(OnceField)] = true
		}
	}
	if len(words) != 4 || words[""] {
		t.Errorf("words %v", words)
	}
}

func TestFormErrors(t *testing.T) {
	t.Parallel()
	errors := map[string]string{"kind": "Choose one.", "": "Needs a stage.", "zeta": "Z.", "name": "Give a name.", "fine": ""}
	doc := render(t, templ.Join(FormErrors(errors, Option{Value: "name", Text: "Name"}, Option{Value: "kind", Text: "Kind"}),
		TextInput(Input{Name: "name", Label: "Name"}), TextInput(Input{Name: "kind", Label: "Kind"}), TextInput(Input{Name: "zeta", Label: "Z"})))
	var got []string
	for _, li := range doc.FindAll("[role=alert] li") {
		got = append(got, li.Text())
	}
	if diff := cmp.Diff([]string{"Needs a stage.", "Name: Give a name.", "Kind: Choose one.", "Z."}, got); diff != "" {
		t.Errorf("summary (-want +got):\n%s", diff)
	}
	if render(t, FormErrors(map[string]string{"name": ""})).Has("[role=alert]") {
		t.Error("a form without errors has a summary")
	}
}

func TestRepeatShowsSpareRowsWithoutAScript(t *testing.T) {
	t.Parallel()
	doc := render(t, around(Form("/"), Repeat(RepeatData{Legend: "Stages", Item: "stage", Rows: 2}, func(i string) templ.Component {
		return TextInput(Input{Name: "stages." + i + ".name", Label: "Name", Value: i})
	})))
	want := map[string][]string{"stages.0.name": {"0"}, "stages.1.name": {"1"}}
	if diff := cmp.Diff(url.Values(want), sends(doc.Find("form"))); diff != "" {
		t.Errorf("sent (-want +got):\n%s", diff)
	}
	if got := doc.Find("template input").Attr("name"); got != "stages.__i__.name" {
		t.Errorf("the row to copy is named %q", got)
	}
	if all, hidden := len(doc.FindAll("[data-script]")), len(doc.FindAll("[data-script][hidden]")); all == 0 || all != hidden {
		t.Errorf("%d of the %d buttons that need the script are hidden without it", hidden, all)
	}
}

func TestTable(t *testing.T) {
	t.Parallel()
	doc := render(t, Table(TableData{
		Caption: "Parts", Columns: []Column{{Head: "Part", Lead: true}, {Head: "On hand", Num: true}},
		Rows: [][]Cell{{{Text: "Arm", Href: "/parts/1"}, {Text: "2"}}, {{Text: "Wax"}, {}}}, Totals: []Cell{{Text: "2 parts"}, {Text: "2"}},
	}))
	if got := doc.Find("tbody td.num").Attr("data-head"); got != "On hand" {
		t.Errorf("on the phone the figure is headed %q", got)
	}
	if got := doc.Find("tbody th[scope=row] a").Attr("href"); got != "/parts/1" {
		t.Errorf("the name leads to %q", got)
	}
	if got := len(doc.FindAll("tbody td.none")); got != 1 {
		t.Errorf("%d empty cells are left out on the phone, want 1", got)
	}
	if got := doc.Find("tfoot").Text(); got != "2 parts 2" {
		t.Errorf("totals %q", got)
	}
}

func TestPlateWithoutSourceSaysSo(t *testing.T) {
	t.Parallel()
	with := render(t, Plate(PlateData{Figures: []Figure{{"70", "Nm"}, {"+90°", ""}}, Source: "Manual, p. 12"}))
	if got, want := with.Find(".plate").Text(), "70 Nm +90° Manual, p. 12"; got != want || with.Has(".nosource") {
		t.Errorf("with a source: %q, want %q", got, want)
	}
	without := render(t, Plate(PlateData{Figures: []Figure{{"70", "Nm"}}, Notes: "dry"}))
	if got, want := without.Find(".plate.nosource").Text(), "70 Nm no source · dry"; got != want {
		t.Errorf("without: %q, want %q", got, want)
	}
}

func TestStateHasAWordAndAShape(t *testing.T) {
	t.Parallel()
	shapes := map[string]Mood{}
	for _, m := range []Mood{Done, Ready, Waits, Blocked, Loose} {
		doc := render(t, State(m, ""))
		if got := doc.Text(); got != string(m) {
			t.Errorf("%s reads %q", m, got)
		}
		shape := ""
		for _, p := range doc.FindAll("svg *") {
			shape += p.Tag() + p.Attr("d")
		}
		if other, ok := shapes[shape]; ok || shape == "" {
			t.Errorf("%s has the shape of %s", m, other)
		}
		shapes[shape] = m
	}
}

func TestShell(t *testing.T) {
	t.Parallel()
	head := PageHead("Cars", "")
	doc := render(t, around(Shell(Page{Title: "Cars", Active: NavCars, Path: "/cars?page=2", Assets: "/static/x", Flash: Flash{Text: "Deleted.", Undo: "/undo", Fields: []KeyValue{{"id", "7"}}}}), head))
	if got := doc.Find("nav [aria-current=page]").Text(); got != "Cars" {
		t.Errorf("the navigation marks %q", got)
	}
	if got := doc.Find(".flash form[method=post][action=/undo]").FormValues().Get("id"); got != "7" {
		t.Errorf("undo sends id %q", got)
	}
	if got := doc.Find("form[action=/theme]").FormValues().Get("back"); got != "/cars?page=2" {
		t.Errorf("the theme switch returns to %q", got)
	}
	if doc.Has("html[data-theme]") {
		t.Error("a theme is set although none was chosen")
	}
	bare := render(t, around(Shell(Page{Title: "Sign in", Bare: true, Theme: "dark"}), head))
	if bare.Has("nav.nav") || bare.Has(".flash") || !bare.Has("html[data-theme=dark]") {
		t.Error("the bare shell has a navigation or flash, or has lost the theme")
	}
	if odd := render(t, around(Shell(Page{Title: "x", Theme: `dark" onload="x`}), head)); odd.Has("html[data-theme]") {
		t.Error("an unknown theme reaches the page")
	}
}

func TestAddressesThatRunScriptAreRefused(t *testing.T) {
	t.Parallel()
	var b strings.Builder
	templ.Join(LinkButton(Primary, "x", "javascript:alert(1)"), List(ListItem{Title: "x", Href: "javascript:alert(1)"}), PostButton(Primary, "x", "javascript:alert(1)")).Render(t.Context(), &b)
	if strings.Contains(b.String(), "javascript:") {
		t.Errorf("on the page: %s", b.String())
	}
}

func TestConflict(t *testing.T) {
	t.Parallel()
	doc := render(t, Conflict(ConflictData{
		What: "Rear brakes", Action: "/jobs/2", Stored: "/jobs/2/edit", Fields: []KeyValue{{"name", "Both"}, {"version", "4"}},
		Rows: []ConflictRow{{"Name", "Both", "Rear"}, {"Due", "", ""}},
	}))
	if got := sends(doc.Find("form")).Encode(); got != "name=Both&version=4" {
		t.Errorf("saving mine sends %q", got)
	}
	if got := doc.Find("a").Attr("href"); got != "/jobs/2/edit" {
		t.Errorf("keeping what is stored leads to %q", got)
	}
	if got := len(doc.FindAll("tr.differs")); got != 1 {
		t.Errorf("%d rows differ, want 1", got)
	}
}
