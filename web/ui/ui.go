// Package ui holds the components that every page is made of. It knows how things look and what they need to be usable
// with a keyboard, a screen reader, a gloved thumb and on paper; it knows no car, job or part.
//
// Components take plain arguments or one small struct. None of them writes a style attribute or an inline script, since
// the content security policy gives those no effect.
package ui

import (
	"cmp"
	"crypto/rand"
	"slices"
	"strconv"
	"strings"

	"github.com/a-h/templ"
)

// Kind is how much a button asks to be pressed.
type Kind string

// The three kinds of button. A page has at most one primary button in sight.
const (
	Primary   Kind = "primary"
	Secondary Kind = "secondary"
	Danger    Kind = "danger" // quiet: takes something away, which can be undone
)

// Nav is one of the five places of the navigation.
type Nav string

// The places of the navigation, for Page.Active.
const (
	NavNone  Nav = ""
	NavToday Nav = "today"
	NavPlan  Nav = "plan"
	NavCars  Nav = "cars"
	NavParts Nav = "parts"
	NavMore  Nav = "more"
)

// Page is what the shell around a page needs to know.
type Page struct {
	Title  string // of the browser tab; the program's name is added
	Active Nav
	Theme  string // "light", "dark", or "" for the device's own
	Assets string // address of the static tree
	Path   string // of this page, where the theme switch returns to
	Flash  Flash
	Build  string // version shown in the footer
	Bare   bool   // without navigation: signing in, first start, a helper's link
	Wide   bool   // use the whole width, as a time line does
}

// Flash is the one-line answer to the last action, with the way to undo it.
type Flash struct {
	Text   string
	Bad    bool       // something was not done
	Undo   string     // address that undoes the action by POST; empty when there is none
	Fields []KeyValue // sent with the undo
}

// Link is a text that leads somewhere.
type Link struct {
	Text    string
	Href    string
	Current bool
}

// KeyValue is a hidden form field.
type KeyValue struct {
	Name  string
	Value string
}

// OnceField is a hidden field of every form that changes something: a word of its own, new each time the page is made. The
// server knows by it a form that is sent a second time.
const OnceField = "once"

func once() string { return rand.Text()[:16] }

// Input describes a form field; each input component reads the fields that concern it.
type Input struct {
	Name     string
	Label    string
	Value    string
	Hint     string
	Error    string
	Required bool
	Unit     string           // NumberInput: shown behind the figure
	Max      int              // TextInput, TextArea: most characters; 0 is 200 for a line and 10,000 for an area
	Rows     int              // TextArea: lines shown; 0 is 4
	Suggest  []string         // TextInput: offered while typing
	Type     string           // TextInput: password, email, url, tel; empty is text
	Options  []Option         // Select, RadioList, CheckList
	Values   []string         // CheckList: the chosen ones
	ID       string           // only where one name stands on the page more than once; see FieldID
	Short    bool             // a narrow box, several of which stand side by side in Fields
	Attrs    templ.Attributes // anything else for the input element, such as autocomplete or data-*
}

// Option is one choice of a Select, RadioList or CheckList.
type Option struct {
	Value string
	Text  string
	Hint  string // RadioList, CheckList: a second line
	Group string // Select: options that follow one another with the same group stand under its name
}

// ThreePointInput describes an estimate as low, likely and high. Its inputs are named Name_low, Name_likely and Name_high.
type ThreePointInput struct {
	Name     string
	Label    string
	Unit     string
	Hint     string
	Error    string // of the estimate as a whole, or of any of its inputs
	Required bool
	Low      string
	Likely   string
	High     string
	Dates    bool // dates instead of numbers
	Words    bool // numbers with words, such as 1 h 30
}

// FieldID is the id of the input with that name, the target of the summary's links.
func FieldID(name string) string {
	return "f-" + strings.NewReplacer(".", "-", "[", "-", "]", "").Replace(name)
}

func (in Input) id() string { return cmp.Or(in.ID, FieldID(in.Name)) }

// describedBy names the hint and the error of the field, as far as there are any.
func (in Input) describedBy() string {
	var ids []string
	if in.Hint != "" {
		ids = append(ids, in.id()+"-hint")
	}
	if in.Error != "" {
		ids = append(ids, in.id()+"-error")
	}
	return strings.Join(ids, " ")
}

// attrs are the attributes that every kind of input shares.
func (in Input) attrs() templ.Attributes {
	a := templ.Attributes{"id": in.id(), "name": in.Name}
	if in.Required {
		a["required"] = true
	}
	if d := in.describedBy(); d != "" {
		a["aria-describedby"] = d
	}
	if in.Error != "" {
		a["aria-invalid"] = "true"
	}
	for name, value := range in.Attrs {
		a[name] = value
	}
	return a
}

// group is the Input of the fieldset around a three-point estimate.
func (in ThreePointInput) group() Input {
	return Input{Name: in.Name, Label: in.Label, Hint: in.Hint, Error: in.Error, Required: in.Required}
}

// input is one of the three inputs, with the hint and error of the whole.
func (in ThreePointInput) input(suffix, label, value string) Input {
	g := in.group()
	a := templ.Attributes{}
	if d := g.describedBy(); d != "" {
		a["aria-describedby"] = d
	}
	if in.Error != "" {
		a["aria-invalid"] = "true"
	}
	return Input{Name: in.Name + "_" + suffix, Label: label, Value: value, Unit: in.Unit, Required: in.Required, Attrs: a}
}

// optionGroup is a run of options under one name.
type optionGroup struct {
	name    string
	options []Option
}

func groups(options []Option) []optionGroup {
	var out []optionGroup
	for _, o := range options {
		if len(out) == 0 || out[len(out)-1].name != o.Group {
			out = append(out, optionGroup{name: o.Group})
		}
		last := &out[len(out)-1]
		last.options = append(last.options, o)
	}
	return out
}

// formError is one line of the summary on top of a form.
type formError struct{ name, label, text string }

// formErrors sorts the messages: as a whole first, then in the order of the labels, then the rest by name.
func formErrors(errors map[string]string, labels []Option) []formError {
	place := func(name string) int {
		if name == "" {
			return -1
		}
		if i := slices.IndexFunc(labels, func(o Option) bool { return o.Value == name }); i >= 0 {
			return i
		}
		return len(labels)
	}
	var out []formError
	for name, text := range errors {
		if text == "" {
			continue
		}
		e := formError{name: name, text: text}
		if i := place(name); i >= 0 && i < len(labels) {
			e.label = labels[i].Text
		}
		out = append(out, e)
	}
	slices.SortFunc(out, func(a, b formError) int {
		return cmp.Or(cmp.Compare(place(a.name), place(b.name)), cmp.Compare(a.name, b.name))
	})
	return out
}

// Column is a head of a table.
type Column struct {
	Head string
	Num  bool // figures: set to the right, never broken
	Lead bool // names the row: becomes the heading of its block on the phone
}

// Cell is one entry of a table: a text, a link, or any component.
type Cell struct {
	Text string
	Href string
	Sub  string          // a second, softer line
	Body templ.Component // instead of the text
}

// TableData is a table with its caption, heads, rows and, if there are any, totals.
type TableData struct {
	Caption string // says what the table holds; read out, and shown unless Quiet
	Quiet   bool   // hides the caption from the eye, where a heading above says the same
	Columns []Column
	Rows    [][]Cell
	Totals  []Cell
}

// Def is one entry of a definition list.
type Def struct {
	Term string
	Text string
	Href string
	Body templ.Component // instead of the text
}

// ListItem is one row of a list. With an address the whole row is the link.
type ListItem struct {
	Title string
	Href  string
	Sub   string          // what else there is to know, a line of its own
	Meta  string          // a short figure or date at the right
	State templ.Component // at the right, above the meta
}

// Figure is a number with its unit; the two never part.
type Figure struct {
	Value string
	Unit  string
}

// PlateData is a figure as stamped on a plate, with the document that it comes from.
type PlateData struct {
	Label   string   // what the figure is for; may be empty at a step that says so itself
	Figures []Figure // the stages, in order
	Notes   string   // condition, such as: dry, new bolt
	Source  string   // document and page; empty draws the broken rule and says so
	Small   bool     // in tables and lists
}

// Mood is the state of a thing, always said with a word, a shape and a tone.
type Mood string

// The states.
const (
	Done    Mood = "done"    // tick
	Ready   Mood = "ready"   // triangle
	Waits   Mood = "waits"   // clock
	Blocked Mood = "blocked" // square
	Loose   Mood = "loose"   // bolt
)

// PagerData says which rows are shown and where the others are.
type PagerData struct {
	From, To, Total int
	Prev, Next      string // addresses; empty at the ends
}

// ConflictRow sets what was typed beside what is stored.
type ConflictRow struct {
	Field  string
	Yours  string
	Stored string
}

// ConflictData is a save that came too late: someone saved the same thing in between.
type ConflictData struct {
	What   string // what was being saved, such as: Rear brakes
	When   string // when the other save was made, in words; may be empty
	Rows   []ConflictRow
	Action string     // address that saves yours over it
	Fields []KeyValue // everything that was typed, with the version that is stored now
	Stored string     // address that shows what is stored
}

// ProblemData is a page that could not be had: what happened, what was kept, what to do.
type ProblemData struct {
	Title    string
	Happened string
	Kept     string
	ToDo     string
	Links    []Link
}

// RepeatData describes a group of fields that may be filled in several times.
type RepeatData struct {
	Legend string
	Hint   string
	Item   string // what one row is, such as: stage
	Rows   int    // rows to show, the spare empty ones included
}

// spareIndex stands in the row that the script copies, where the number of the new row goes.
const spareIndex = "__i__"

func count(n int) []string {
	out := make([]string, n)
	for i := range out {
		out[i] = strconv.Itoa(i)
	}
	return out
}
