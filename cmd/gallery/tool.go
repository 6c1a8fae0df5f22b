package main

import (
	"fmt"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/web/page"
	"axlestand/web/ui"

	"github.com/a-h/templ"
)

func init() {
	register("tool",
		Entry{Name: "index-empty", Page: func(b ui.Page) templ.Component { return tools(b, nil) }},
		Entry{Name: "index", Page: func(b ui.Page) templ.Component { return tools(b, someTools()) }},
		Entry{Name: "index-500", Page: func(b ui.Page) templ.Component { return tools(b, manyTools(500)) }},
		Entry{Name: "new", Page: func(b ui.Page) templ.Component { return tool(b, page.ToolForm{Capacity: "1"}, 0) }},
		Entry{Name: "edit", Page: func(b ui.Page) templ.Component { return tool(b, page.NewToolForm(garagetest.Tool()), 1) }},
		Entry{Name: "wrong", Page: func(b ui.Page) templ.Component {
			form := page.ToolForm{Capacity: "two", HereFrom: "2027-03-20", HereTo: "2027-03-06"}
			form.Tool()
			return tool(b, form, 0)
		}},
		Entry{Name: "needed", Page: func(b ui.Page) templ.Component {
			b.Flash = ui.Flash{Bad: true, Text: "It cannot go while open jobs need it: Press in the front bushes, Rear trailing arms."}
			return tool(b, page.NewToolForm(garagetest.Tool()), 1)
		}},
	)
}

func tools(b ui.Page, list []garage.Tool) templ.Component {
	b.Title, b.Active = "Tools", ui.NavMore
	return page.Tools(page.NewTools(page.Base{Page: b}, list, theDay))
}

func tool(b ui.Page, form page.ToolForm, id garage.ToolID) templ.Component {
	b.Title, b.Active = "Tool", ui.NavMore
	return page.Tool(page.ToolView{Base: page.Base{Page: b}, ID: id, Form: form})
}

func someTools() []garage.Tool {
	return []garage.Tool{
		garagetest.Tool(),
		garagetest.Tool(func(t *garage.Tool) {
			t.ID, t.Name, t.HereFrom, t.HereTo, t.Note = 2, "Bearing puller", new(theDay.AddDays(2)), new(theDay.AddDays(9)), "Lent by the neighbour"
		}),
		garagetest.Tool(func(t *garage.Tool) {
			t.ID, t.Name, t.Capacity, t.HereTo, t.Note = 3, longName, 2, new(theDay.AddDays(-3)), longName
		}),
	}
}

func manyTools(n int) []garage.Tool {
	all := make([]garage.Tool, n)
	for i := range all {
		all[i] = garagetest.Tool(func(t *garage.Tool) { t.ID, t.Name = garage.ToolID(i+1), fmt.Sprintf("Tool %03d", i+1) })
	}
	return all
}
