// Package page holds the screens: for each noun a template that says what a screen shows, and beside it the view models
// and forms that the template takes.
//
// A page takes one view struct with [Base] embedded. All that can fail or needs figuring out is done by the constructor of
// the view, so that a template only writes. A form is its fields as typed, raw strings, and its Errors: what was typed is
// what is shown again.
package page

import (
	"axlestand/web/ui"
)

// Base is what surrounds every page: title, place in the navigation, flash, theme.
type Base struct {
	ui.Page
}

// ConflictRow sets what was typed beside what is stored.
type ConflictRow = ui.ConflictRow

// ConflictView is a save that came too late.
type ConflictView struct {
	Base
	Data ui.ConflictData
}

// ProblemView is a page that could not be had or an action that could not be done.
type ProblemView struct {
	Base
	Data ui.ProblemData
}
