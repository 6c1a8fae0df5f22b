package page

import (
	"strconv"
	"strings"

	"axlestand/internal/garage"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// PartImportForm takes a CSV file of parts, or its lines as pasted.
type PartImportForm struct {
	Lines  string
	Errors garage.FieldErrors
}

var partImportFields = []ui.Option{{Value: "file", Text: "File"}, {Value: "lines", Text: "Lines"}}

// PartImportNewView is the page of that form.
type PartImportNewView struct {
	Base
	Form PartImportForm
}

// PartImportLine is a line of the file with what it does.
type PartImportLine struct {
	Line   int
	Cells  []string
	Part   garage.Part
	New    bool
	Same   bool
	Fields []string
	Wrong  string
}

// PartImportView shows what an import would do, or did.
type PartImportView struct {
	Base
	ID      garage.PartImportID
	Sum     string
	Ignored string
	Wrong   ui.TableData
	Lines   ui.TableData
	More    string // how many lines are not shown
	All     ui.Link
	Button  string // does it; empty when there is nothing to do
	Done    string
	Undo    bool
}

// linesShown is how many lines of a file a page shows that are right; what is wrong is shown to the last.
const linesShown = 200

// NewPartImport is the page of an import. show is "all" for every line.
func NewPartImport(base Base, i garage.PartImport, ignored []string, lines []PartImportLine, show string) PartImportView {
	v := PartImportView{Base: base, ID: i.ID, Ignored: strings.Join(ignored, ", ")}
	v.Wrong = ui.TableData{Caption: "Lines that are wrong", Quiet: true, Columns: []ui.Column{{Head: "Line", Lead: true}, {Head: "What is wrong"}, {Head: "As it stands"}}}
	v.Lines = ui.TableData{Caption: "Lines that are right", Quiet: true, Columns: []ui.Column{{Head: "Line", Lead: true}, {Head: "Part"}, {Head: "What it does"}}}
	fresh, changed, same, hidden := 0, 0, 0, 0
	for _, l := range lines {
		line := "line " + strconv.Itoa(l.Line)
		what := "adds it"
		switch {
		case l.Wrong != "":
			v.Wrong.Rows = append(v.Wrong.Rows, []ui.Cell{{Text: line}, {Text: l.Wrong}, {Text: joined(" · ", l.Cells...)}})
			continue
		case l.New:
			fresh++
		case l.Same:
			same++
			what = "changes nothing"
		default:
			changed++
			what = "changes " + strings.Join(l.Fields, ", ")
		}
		if len(v.Lines.Rows) == linesShown && show != "all" {
			hidden++
			continue
		}
		cell := ui.Cell{Text: l.Part.Label()}
		if l.Part.ID != 0 {
			cell.Href = route.Part(l.Part.ID)
		}
		v.Lines.Rows = append(v.Lines.Rows, []ui.Cell{{Text: line}, cell, {Text: what}})
	}
	if hidden > 0 {
		v.More = countWords(hidden, "line more is right", "lines more are right")
		v.All = ui.Link{Text: "Show every line", Href: route.PartImport(i.ID) + "?show=all"}
	}
	v.say(i, fresh, changed, same)
	return v
}

// say sums the import up, and offers what can be done with it.
func (v *PartImportView) say(i garage.PartImport, fresh, changed, same int) {
	sum := []string{countWords(fresh, "part to add", "parts to add"), countWords(changed, "to change", "to change"), strconv.Itoa(same) + " as they are"}
	if n := len(v.Wrong.Rows); n > 0 {
		sum = append(sum, countWords(n, "line is wrong", "lines are wrong"))
	}
	v.Sum = joined(" · ", sum...)
	switch {
	case i.UndoneAt != nil:
		v.Done = "This import was done and undone. Send the file again to import it."
	case i.DoneAt != nil:
		v.Done, v.Undo = "This import is done. What is shown is what the file would change now.", true
	case fresh+changed > 0:
		v.Button = "Import " + countWords(fresh+changed, "part", "parts")
	}
}
