package page

import (
	"fmt"

	"axlestand/internal/trade/deposit"
	"axlestand/internal/trade/interval"
	"axlestand/internal/trade/unit"
	"axlestand/web/ui"
)

var dueBench = calculator{
	Name: "next-due", Title: "Due by distance or months",
	Sub: "When something is due again, whichever comes first.",
	Fields: []benchField{
		{Name: "every", Label: "Every", Hint: "Empty without a distance.", Example: "15000", Units: benchDistances, Optional: true},
		{Name: "months", Label: "Or every", Hint: "Empty without a time.", Example: "12", Unit: "months", Optional: true},
		{Name: "lastDay", Label: "Day", Example: "2026-06-20", Kind: aDate, Set: "Done last"},
		{Name: "lastAt", Label: "Odometer", Example: "120000", Units: benchDistances, Set: "Done last"},
		{Name: "nowDay", Label: "Day", Example: "2027-03-05", Kind: aDate, Set: "Read last"},
		{Name: "nowAt", Label: "Odometer", Example: "129000", Units: benchDistances, Set: "Read last"},
	},
	About: benchAbout{
		Formula: "Months: the same day, or the month's last. Distance: what is left over what the car runs a day, by the two readings.",
		Source:  "Computed; the maker's interval comes from its service book.",
		Range:   "Readings at least 14 days apart tell what a day is.",
		Limits:  "Cars laid up between, and other use than so far: a car's own page has all its readings.",
	},
	Work: workDue,
}

// metres reads a distance in metres.
func (in *benchTyped) metres(name string) int64 {
	return int64(quantity[unit.DistanceKind](in, name).In(unit.Km)*1000 + 0.5)
}

func workDue(in *benchTyped) (a BenchAnswer) {
	rule := interval.Rule{Months: in.whole("months"), Metres: in.metres("every")}
	last := interval.Reading{On: in.date("lastDay"), Metres: in.metres("lastAt")}
	now := interval.Reading{On: in.date("nowDay"), Metres: in.metres("nowAt")}
	if !in.ok() {
		return a
	}
	rate, err := interval.DailyRate([]interval.Reading{last, now}, nil)
	if in.refused(err, "readings", "nowAt") {
		return a
	}
	due, err := interval.NextDue(rule, last, now, rate, nil)
	if in.refused(err, "rule", "every", "last", "lastDay", "now", "nowDay") {
		return a
	}
	if due.On.IsZero() {
		a.look("No day can be named: the readings lie too close together to tell how far the car runs in a day.")
	} else {
		a.row("Due", dateWords(due.On.Year, due.On.Month, due.On.Day), "By "+string(due.By)+", which comes first.")
	}
	if rule.Metres > 0 {
		left := unit.Km.Of(float64(due.LeftMetres) / 1000)
		if due.LeftMetres < 0 {
			a.bad("over", "The distance is passed.")
		}
		a.row("Left by distance", both(left, unit.Km, unit.Mile), "")
	}
	if rate > 0 {
		a.row("It runs a day", both(unit.Km.Of(float64(rate)/1000), unit.Km, unit.Mile), "Between the two readings.")
	}
	today := interval.NewDate(in.at.Today.Year, in.at.Today.Month, in.at.Today.Day)
	if days := due.OverdueDays(today); days > 0 {
		a.bad("over", fmt.Sprintf("By time it has been due for %s.", countWords(days, "day", "days")))
	}
	return a
}

var coreBench = calculator{
	Name: "core-deposit", Title: "Core deposit",
	Sub: "The last day on which the old unit can be posted.",
	Fields: []benchField{
		{Name: "from", Label: "The seller counts from", Kind: aChoice, Options: []ui.Option{
			{Value: string(deposit.FromDelivery), Text: "delivery"},
			{Value: string(deposit.FromPurchase), Text: "purchase"},
			{Value: string(deposit.FromShipping), Text: "shipping"},
			{Value: string(deposit.FromInvoice), Text: "invoice"},
		}},
		{Name: "day", Label: "That day", Example: "2027-03-01", Kind: aDate},
		{Name: "window", Label: "Window", Example: "30"},
		{Name: "count", Label: "Counted in", Kind: aChoice, Options: []ui.Option{
			{Value: string(deposit.CalendarDays), Text: "days"}, {Value: string(deposit.BusinessDays), Text: "business days"}, {Value: string(deposit.WholeMonths), Text: "months"},
		}},
		{Name: "freed", Label: "The old unit comes off", Hint: "The day on which the job that frees it ends; empty when not planned.", Example: "2027-03-27", Kind: aDate, Optional: true},
	},
	About: benchAbout{
		Formula: "The day counted from is day 0; the last day of the window is the last to post on.",
		Source:  "The seller's terms; business days are Monday to Friday.",
		Range:   "Windows of whole days or months.",
		Limits:  "Public holidays, and sellers who count the day of arrival: read their terms.",
	},
	Work: workCore,
}

func workCore(in *benchTyped) (a BenchAnswer) {
	terms := deposit.Terms{Basis: deposit.Basis(in.choice("from")), Window: deposit.Window{N: in.whole("window"), Count: deposit.Count(in.choice("count"))}}
	day, freed := in.date("day"), in.date("freed")
	if !in.ok() {
		return a
	}
	dates := deposit.Dates{Purchased: day, Shipped: day, Delivered: day, Invoiced: day}
	last, err := terms.LastDay(dates, nil)
	if in.refused(err, "window", "window", "basis", "from") {
		return a
	}
	today := interval.NewDate(in.at.Today.Year, in.at.Today.Month, in.at.Today.Day)
	alarm := deposit.AlarmOf(last, today, freed)
	a.row("Post it by", dateWords(last.Year, last.Month, last.Day), "")
	switch {
	case alarm.Level == deposit.TooLate:
		a.bad("over", "The window has closed. Ask the seller all the same.")
	case alarm.Level != deposit.InTime:
		a.look(countWords(alarm.DaysLeft, "day", "days") + " left.")
	default:
		a.good("in time", countWords(alarm.DaysLeft, "day", "days")+" left.")
	}
	if alarm.FreedTooLate {
		a.bad("too late", "The old unit comes off after the last day: move the job, or send another unit of the same part.")
	}
	return a
}
