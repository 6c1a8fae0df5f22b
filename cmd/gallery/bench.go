package main

import (
	"net/url"
	"strings"

	"axlestand/internal/garagetest"
	"axlestand/web/page"
	"axlestand/web/ui"

	"github.com/a-h/templ"
)

func init() {
	list := []Entry{{Name: "index", Page: func(b ui.Page) templ.Component {
		b.Title, b.Active = "Bench", ui.NavMore
		return page.Bench(page.NewBench(page.Base{Page: b}))
	}}}
	for _, sample := range page.BenchSamples() {
		list = append(
			list,
			bench(sample.Name, sample.Name, url.Values{}),
			bench(sample.Name+"-answer", sample.Name, sample.Typed),
			bench(sample.Name+"-wrong", sample.Name, mistyped(sample.Typed, "??")),
		)
	}
	first := page.BenchSamples()[0]
	list = append(list, bench("long", first.Name, mistyped(first.Typed, strings.Repeat("W", 200))))
	register("bench", list...)
}

func bench(entry, name string, typed url.Values) Entry {
	return Entry{Name: entry, Page: func(b ui.Page) templ.Component {
		b.Active = ui.NavMore
		at := page.NewBenchPlace(garagetest.Settings(), theDay)
		v, _ := page.NewCalculator(page.Base{Page: b}, name, typed, at)
		return page.Calculator(v)
	}}
}

// mistyped has the same in every field.
func mistyped(typed url.Values, text string) url.Values {
	wrong := url.Values{}
	for name := range typed {
		wrong.Set(name, text)
	}
	return wrong
}
