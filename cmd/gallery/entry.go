package main

import (
	"cmp"
	"slices"

	"axlestand/web/ui"

	"github.com/a-h/templ"
)

// Entry is one page of the gallery: a component or a page of the program in one state.
type Entry struct {
	Noun string // groups entries in the index, and names the file that registers them
	Name string // unique within the noun; part of the address
	Page func(base ui.Page) templ.Component
}

func (e Entry) path() string { return "/" + e.Noun + "/" + e.Name }

var entries []Entry

// register adds entries under a noun. Each noun has a file of its own here, which calls it from init.
func register(noun string, list ...Entry) {
	for _, e := range list {
		e.Noun = noun
		entries = append(entries, e)
	}
	slices.SortStableFunc(entries, func(a, b Entry) int { return cmp.Compare(a.Noun, b.Noun) })
}

// nouns are the groups of the index.
func nouns(list []Entry) []string {
	var out []string
	for _, e := range list {
		if !slices.Contains(out, e.Noun) {
			out = append(out, e.Noun)
		}
	}
	return out
}

func links(list []Entry, noun string) []ui.ListItem {
	var out []ui.ListItem
	for _, e := range list {
		if e.Noun == noun {
			out = append(out, ui.ListItem{Title: e.Name, Href: e.path()})
		}
	}
	return out
}
