package page

import (
	"axlestand/web/route"
	"axlestand/web/ui"
)

// MoreView lists every place that is not in the navigation.
type MoreView struct {
	Base
}

// places are the rows of the More page, in order. A page that is reached from a car, job or part needs none.
func places() []ui.ListItem {
	return []ui.ListItem{
		{Title: "Jobs", Href: route.Jobs(), Sub: "All of them, open and closed, by car and kind"},
		{Title: "Bench", Href: route.Bench(), Sub: "Calculators: torque, fluids, tyres, brakes, codes, dates and costs"},
		{Title: "Sessions", Href: route.Sessions(), Sub: "When you can work: every week, and what is different on some dates"},
		{Title: "Tools", Href: route.Tools(), Sub: "Special tools that a job waits for: own, shared and borrowed"},
		{Title: "Wrenches", Href: route.Wrenches(), Sub: "Torque wrenches with range and calibration: the best one is offered beside each torque"},
		{Title: "Opened bottles", Href: route.Bottles(), Sub: "Fluids that are left over, and from when they are old"},
		{Title: "Orders", Href: route.Orders(), Sub: "What is on its way, what it cost in the end, and what goes back"},
		{Title: "Suppliers", Href: route.Suppliers(), Sub: "Who sells parts: days from ordering, shipping, and how they keep their promises"},
		{Title: "Cores", Href: route.Cores(), Sub: "Core deposits: the last day for each old unit, and where the money is"},
		{Title: "Helper links", Href: route.Links(), Sub: "Who may see and tick a job's card without an account"},
		{Title: "Settings", Href: route.Settings(), Sub: "Time zone, currency, units, lifts, how sure a plan is"},
		{Title: "Password and browsers", Href: route.Account(), Sub: "Change the password, sign browsers out"},
	}
}
