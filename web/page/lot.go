package page

import (
	"net/url"

	"axlestand/internal/garage"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// LotForm is what sets pieces apart, as typed.
type LotForm struct {
	Condition string
	Grade     string
	Car       string // that they were held against
	CheckedOn string
	Opened    string
	Keeps     string
	About     string
}

func newLotForm(row garage.BinStock) LotForm {
	l := row.Lot
	f := LotForm{
		Condition: l.Condition, Grade: l.Grade, CheckedOn: dateText(l.CheckedOn), Opened: dateText(l.OpenedOn), Keeps: intText(l.KeepsMonths),
		About: l.Note,
	}
	if l.CheckedCarID != nil {
		f.Car = idText(*l.CheckedCarID)
	}
	return f
}

func readLotForm(v url.Values) LotForm {
	return LotForm{
		Condition: v.Get("condition"), Grade: v.Get("grade"), Car: v.Get("checked_car"), CheckedOn: v.Get("checked_on"),
		Opened: v.Get("opened"), Keeps: v.Get("keeps"), About: v.Get("note"),
	}
}

// AsLot reads what was typed of what pieces are, and notes in Errors what does not parse. Where they come from stays as it was; a
// car without a day was checked today.
func (f *StockForm) AsLot(was garage.Lot, today garage.Date) garage.Lot {
	in := fields{Errors: f.Errors}
	l := garage.Lot{
		PartID: f.PartID, Condition: f.Lot.Condition, Grade: f.Lot.Grade, CheckedOn: in.optionalDate("checked_on", f.Lot.CheckedOn),
		OpenedOn: in.optionalDate("opened", f.Lot.Opened), KeepsMonths: in.optionalInt("keeps", f.Lot.Keeps), Note: f.Lot.About,
		DonorPartID: was.DonorPartID,
	}
	if id := in.id("checked_car", f.Lot.Car); id != 0 {
		l.CheckedCarID = new(garage.CarID(id))
		if l.CheckedOn == nil {
			l.CheckedOn = &today
		}
	}
	f.Errors = in.Errors
	return l
}

var stockConditions = []ui.Option{
	{Value: "", Text: "as it was bought"},
	{Value: "new", Text: "new"},
	{Value: "good", Text: "good"},
	{Value: "worn", Text: "worn"},
	{Value: "bad", Text: "bad", Hint: "No job gets it."},
}

// lotText is what sets pieces apart, in words.
func lotText(l garage.LotRow) string {
	checked, opened, from := "", "", ""
	if l.CheckedOn != nil {
		checked = "checked against " + l.CheckedCar + " " + DayWords(*l.CheckedOn)
	}
	if l.OpenedOn != nil {
		opened = "opened " + DayWords(*l.OpenedOn)
	}
	if until, known := l.GoodUntil(); known {
		opened += ", good until " + DayWords(until)
	}
	if l.Origin != "" {
		from = "off " + l.Origin
	}
	return joined(" · ", l.Condition, l.Grade, checked, opened, from, l.Note)
}

// promisedLine is a job that gets pieces of a part, with the ways to keep them for it or not.
type promisedLine struct {
	job   string
	href  string
	text  string
	keep  string // keeps pieces on hand for it
	free  string // keeps them no more
	order string // where what is counted on is ordered
	state ui.Mood
}

// Promise is a need of an open job for a part, with what the plan gives it.
type Promise struct {
	Need   garage.PartNeed
	OnHand int
	Coming int
	When   string // the last of what is to come
	Lacks  int

	ToOrder int    // what the plan counts on and nobody has ordered
	OrderBy string // the last day for that
}

// promisedLines say who gets pieces of a part. Some can be kept for a job while any lie in a bin.
func promisedLines(p garage.Part, promises []Promise, onHand int) []promisedLine {
	var lines []promisedLine
	for _, pr := range promises {
		line := promisedLine{job: pr.Need.JobTitle, href: route.Job(pr.Need.JobID), state: ui.Done}
		words := []string{pr.Need.CarName, "needs " + stockText(pr.Need.Quantity, p.Unit)}
		if pr.Need.LeastGrade != "" {
			words = append(words, "no less than "+pr.Need.LeastGrade)
		}
		if !pr.Need.Stops {
			words = append(words, "goes on without it")
		}
		switch {
		case pr.Need.PinnedAt != nil:
			words = append(words, "kept for it")
			line.free = route.NeedUnpin(pr.Need.ID)
		case pr.OnHand > 0:
			words = append(words, stockText(pr.OnHand, p.Unit)+" on hand promised")
		}
		if pr.Coming > 0 {
			words = append(words, stockText(pr.Coming, p.Unit)+" of what comes promised, by "+pr.When)
			line.state = ui.Waits
		}
		if pr.ToOrder > 0 {
			order := stockText(pr.ToOrder, p.Unit) + " to be ordered"
			if pr.OrderBy != "" {
				order += " by " + pr.OrderBy
			}
			words = append(words, order)
			line.state, line.order = ui.Waits, route.ToOrder()
		}
		if pr.Lacks > 0 && pr.Need.Stops && pr.Need.PinnedAt == nil {
			words = append(words, stockText(pr.Lacks, p.Unit)+" lacking")
			line.state = ui.Blocked
		}
		if pr.Need.PinnedAt == nil && onHand > 0 {
			line.keep = route.NeedPin(pr.Need.ID)
		}
		line.text = joined(" · ", words...)
		lines = append(lines, line)
	}
	return lines
}

// lotGrades are the grades that pieces may have; the first is that of their part.
func lotGrades(p garage.Part) []ui.Option {
	options := partGrades()
	options[0].Text = "as the part"
	if p.Grade != "" {
		options[0].Text += ": " + p.Grade
	}
	return options
}

func noneOr(none string, options []ui.Option) []ui.Option {
	return append([]ui.Option{{Value: "", Text: none}}, options...)
}
