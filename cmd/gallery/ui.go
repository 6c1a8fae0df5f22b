package main

import (
	"fmt"
	"strings"

	"axlestand/web/ui"

	"github.com/a-h/templ"
)

// A name of 200 characters with spaces, and one without: the worst that the forms let through.
var (
	longName = strings.Repeat("Rear trailing arm, left, with bush and bracket ", 5)[:200]
	longWord = strings.Repeat("0123456789AB-", 16)[:200]
)

func init() {
	register("ui",
		sample("plain", "A page", ui.Page{}, plainSample),
		sample("fields", "Fields", ui.Page{}, func() templ.Component { return fieldSample(false) }),
		sample("fields-wrong", "Fields with errors", ui.Page{}, func() templ.Component { return fieldSample(true) }),
		sample("buttons", "Buttons", ui.Page{}, buttonSample),
		sample("table", "Tables", ui.Page{Active: ui.NavParts}, tableSample),
		sample("table-500", "A table of 500 rows", ui.Page{Active: ui.NavParts}, func() templ.Component { return longTable(500) }),
		sample("lists", "Lists", ui.Page{Active: ui.NavCars}, listSample),
		sample("empty", "Nothing yet", ui.Page{Active: ui.NavCars}, emptySample),
		sample("state", "States and figures", ui.Page{}, stateSample),
		sample("timeline", "Time line", ui.Page{Active: ui.NavPlan, Wide: true}, timelineSample),
		sample("flash-undo", "After a deletion", ui.Page{Active: ui.NavMore, Flash: ui.Flash{Text: "Rear brakes deleted.", Undo: "/undo", Fields: []ui.KeyValue{{Name: "id", Value: "7"}}}}, emptySample),
		sample("flash-bad", "After a failure", ui.Page{Flash: ui.Flash{Bad: true, Text: "The order was not checked in: " + longName}}, emptySample),
		sample("conflict", "Saved by someone else", ui.Page{}, conflictSample),
		Entry{Name: "problem", Page: notFound},
		sample("bare", "Signing in", ui.Page{Bare: true}, bareSample),
		sample("long", longName, ui.Page{}, longSample),
	)
}

// sample is an entry that shows a component on a page of its own, with the shell as given.
func sample(name, title string, shell ui.Page, body func() templ.Component) Entry {
	return Entry{Name: name, Page: func(base ui.Page) templ.Component {
		base.Title, base.Active, base.Flash, base.Bare, base.Wide = title, shell.Active, shell.Flash, shell.Bare, shell.Wide
		return samplePage(base, title, body())
	}}
}

var sampleColumns = []ui.Column{{Head: "Part", Lead: true}, {Head: "Bin"}, {Head: "Promised to"}, {Head: "On hand", Num: true}, {Head: "Price", Num: true}}

func sampleRows(n int) [][]ui.Cell {
	names := []string{"Trailing arm, left", "Release bearing", "Brake pads, rear axle", "Cavity wax, 1 l", "Wheel bolt M12 × 1.5"}
	jobs := []string{"Rear brakes", "Gearbox out and in", "", "Underseal", "Wheels back on"}
	var rows [][]ui.Cell
	for i := range n {
		rows = append(rows, []ui.Cell{
			{Text: names[i%5], Href: fmt.Sprintf("/parts/%d", i), Sub: fmt.Sprintf("QL %04d", 1000+i*37%9000)},
			{Text: fmt.Sprintf("%c%d", 'A'+i%7, 1+i%12)},
			{Text: jobs[i%5]},
			{Text: fmt.Sprint(i * 13 % 21)},
			{Text: fmt.Sprintf("%d.%02d EUR", 3+i*17%140, i*7%100)},
		})
	}
	return rows
}

func sampleItems() []ui.ListItem {
	return []ui.ListItem{
		{Title: "Front arms", Href: "/jobs/1", Sub: "Tern estate · with the alignment, saves 50 min", Meta: "Sat 6 Mar, 9:00", State: ui.State(ui.Ready, "ready")},
		{Title: "Rear brakes", Href: "/jobs/2", Sub: "Tern estate · trailing arm, off the donor on 20 Mar", Meta: "Sat 27 Mar", State: ui.State(ui.Waits, "waits")},
		{Title: "Underseal", Href: "/jobs/3", Sub: "Kite coupé · no wax in the shelf, none ordered", State: ui.State(ui.Blocked, "blocked")},
		{Title: "Gearbox out", Href: "/jobs/4", Sub: "Kite coupé", Meta: "2 bolts", State: ui.State(ui.Loose, "loose")},
		{Title: "Oil and filter", Sub: "Tern estate", Meta: "Tue 2 Mar", State: ui.State(ui.Done, "done")},
	}
}

func sampleConflict() ui.ConflictData {
	return ui.ConflictData{
		What: "Rear brakes", When: "today at 10:42", Action: "/jobs/2", Stored: "/jobs/2",
		Rows: []ui.ConflictRow{
			{Field: "Name", Yours: "Rear brakes, both sides", Stored: "Rear brakes"},
			{Field: "Due", Yours: "2027-04-03", Stored: "2027-04-03"},
			{Field: "Reason", Yours: longName, Stored: ""},
		},
		Fields: []ui.KeyValue{{Name: "name", Value: "Rear brakes, both sides"}, {Name: "version", Value: "4"}},
	}
}
