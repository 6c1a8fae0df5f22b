package interval

import "slices"

// Default is what is usual for a kind of maintenance: a default to edit, not a rule. Without months the maker's or the date on the thing counts.
type Default struct {
	What   string
	Months int
	From   int // months of age from which it is done at all; zero from the first
	Note   string
}

// Common practice, no source.
var defaults = []Default{
	{What: "brake fluid", Months: 24},
	{What: "coolant, IAT", Months: 24},
	{What: "coolant, OAT", Months: 60},
	{What: "engine oil", Months: 12},
	{What: "timing belt", Note: "by years as well as by distance: see the maker's figure"},
	{What: "look at the tyres", Months: 12, From: 60},
	{What: "test the battery", Months: 12, From: 48},
	{What: "air filter", Note: "see the maker's figure"},
	{What: "cabin filter", Note: "see the maker's figure"},
	{What: "fuel hoses", Months: 120},
	{What: "fire extinguisher", Note: "by the date on it"},
	{What: "inspect the lift", Months: 12},
	{What: "calibrate the torque wrench", Months: 12},
}

// Defaults lists what is usual. Common practice, no source.
func Defaults() []Default { return slices.Clone(defaults) }

// RunIn is something to do on a rebuilt engine after some minutes of running, or after a distance.
type RunIn struct {
	What    string
	Minutes int
	Metres  int64 // the distance by which it is done
	From    int64 // the distance from which it may be done, where it is not at one figure
}

// Common practice, no source.
var runIn = []RunIn{
	{What: "change oil and filter", Minutes: 30},
	{What: "look for leaks and at the levels", Metres: 20_000},
	{What: "look for leaks and at the levels", Metres: 100_000},
	{What: "look for leaks and at the levels", Metres: 500_000},
	{What: "change oil and filter", From: 500_000, Metres: 1_000_000},
}

// RunInNote goes with it.
const RunInNote = "Vary the load. Tighten the head again only if the maker of the gasket says so."

// RunInList lists what a rebuilt engine needs. Common practice, no source.
func RunInList() []RunIn { return slices.Clone(runIn) }
