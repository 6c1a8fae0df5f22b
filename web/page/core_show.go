package page

import (
	"net/url"
	"strings"

	"axlestand/internal/garage"
	"axlestand/internal/trade/deposit"
	"axlestand/web/ui"
)

// CoreEventForm is what happened to a unit, as typed.
type CoreEventForm struct {
	State, HappenedOn, Amount, Freight, Tracking, Reason string
	Errors                                               garage.FieldErrors
}

// BlankCoreEventForm is the form of what happened today, with the first that can come next.
func BlankCoreEventForm(c garage.Core, today garage.Date) CoreEventForm {
	f := CoreEventForm{HappenedOn: today.String()}
	if next := c.State.Next(); len(next) > 0 {
		f.State = string(next[0])
	}
	return f
}

// ReadCoreEventForm is the form as sent.
func ReadCoreEventForm(v url.Values) CoreEventForm {
	return CoreEventForm{
		State: v.Get("state"), HappenedOn: v.Get("happened_on"), Amount: v.Get("amount"), Freight: v.Get("freight"),
		Tracking: v.Get("tracking"), Reason: v.Get("reason"),
	}
}

// Event reads what was typed, and notes in Errors what does not parse. Accepted or refunded without an amount is all that is outstanding.
func (f *CoreEventForm) Event(c garage.Core, today garage.Date) garage.CoreEvent {
	var in fields
	e := garage.CoreEvent{
		CoreID: c.ID, State: deposit.State(f.State), HappenedOn: in.date("happened_on", f.HappenedOn),
		Amount: in.money("amount", f.Amount, c.Currency), Freight: in.money("freight", f.Freight, c.Currency),
		Tracking: strings.TrimSpace(f.Tracking), Reason: strings.TrimSpace(f.Reason),
	}
	if strings.TrimSpace(f.Amount) == "" && (e.State == deposit.Accepted || e.State == deposit.Refunded) {
		e.Amount = c.Outstanding
	}
	if today.Before(e.HappenedOn) {
		in.Errors.Add("happened_on", "That day has not come yet.")
	}
	if e.State == "" {
		in.Errors.Add("state", "Say what happened to the unit.")
	}
	for field, text := range map[string]string{"tracking": e.Tracking, "reason": e.Reason} {
		if len([]rune(text)) > 200 {
			in.Errors.Add(field, "Keep it to 200 characters.")
		}
	}
	f.Errors = in.Errors
	return e
}

var coreEventLabels = []ui.Option{
	{Value: "state", Text: "What happened"},
	{Value: "happened_on", Text: "On"},
	{Value: "amount", Text: "Amount"},
	{Value: "freight", Text: "Freight"},
	{Value: "tracking", Text: "Tracking"},
	{Value: "reason", Text: "Why"},
}

// CoreView shows a core deposit.
type CoreView struct {
	Base
	Sheet   garage.CoreSheet
	Alarm   CoreAlarm
	Saving  *CoreSaving
	Money   string
	Net     string
	Next    string
	Terms   []ui.Def
	Unit    *CoreUnit  // on a donor, that goes back
	Donors  []CoreUnit // that may go back instead
	History ui.TableData
	States  []ui.Option
	Form    CoreEventForm
	Back    bool // what happened last can be taken back
}

// NewCore shows a core deposit, what happened to it and what can happen next.
func NewCore(base Base, p Planned, sheet garage.CoreSheet, form CoreEventForm) CoreView {
	c := sheet.Core
	v := CoreView{
		Base: base, Sheet: sheet, Alarm: p.coreAlarm(c), Next: coreNext(c), Terms: coreTerms(sheet, p.Shot.Settings.Holidays), Form: form,
		Money: garage.MoneyText(c.Paid, c.Currency) + " paid: " + coreSplit(c.Refunded, c.Forfeited, c.Outstanding, c.Currency),
		History: ui.TableData{
			Caption: "What happened", Quiet: true,
			Columns: []ui.Column{{Head: "On", Lead: true}, {Head: "What"}, {Head: "Money"}},
		},
	}
	if c.OnCar() {
		v.Unit, v.Donors = p.coreUnits(c)
	}
	if c.OnCar() && c.DonorPartID != nil && v.Unit == nil {
		v.Next = "the unit is off the donor: note that it is removed"
	}
	if unit, err := c.Replay(sheet.Events); err == nil && unit.Freight.Minor > 0 {
		v.Net = garage.MoneyText(unit.Freight.Minor, c.Currency) + " freight, " + garage.MoneyText(unit.Refunded.Minor-unit.Freight.Minor, c.Currency) + " net"
	}
	for _, s := range c.State.Next() {
		v.States = append(v.States, ui.Option{Value: string(s), Text: string(s)})
	}
	_, v.Back = garage.LatestCoreEvent(sheet.Events)
	for _, e := range sheet.Events {
		what := string(e.State)
		if e.Reverses != nil {
			what = "the latest was taken back"
		}
		v.History.Rows = append(v.History.Rows, []ui.Cell{
			{Text: DayWords(e.HappenedOn)},
			{Text: what, Sub: joined(" · ", e.Tracking, e.Reason)},
			{Text: conditional(e.Amount > 0, garage.MoneyText(e.Amount, c.Currency)), Sub: conditional(e.Freight > 0, garage.MoneyText(e.Freight, c.Currency)+" freight")},
		})
	}
	return v
}

func coreTerms(sheet garage.CoreSheet, holidays []garage.Date) []ui.Def {
	c := sheet.Core
	terms := []ui.Def{
		{Term: "Supplier", Text: joined(", ", c.Supplier, c.OrderNumber)},
		{Term: "Window", Text: windowWords(c.WindowN, c.WindowCount) + " from the " + basisWord(c.Basis)},
		{Term: "Asked for", Text: joined(", ", conditional(c.Box, "in the new part's box"), conditional(c.Drained, "drained"),
			conditional(c.Complete, "complete"), conditional(c.FreightByBuyer, "freight at your cost"))},
		{Term: "Refund due", Text: refundDue(sheet, holidays)},
		{Term: "Return to", Text: c.ReturnTo},
		{Term: "Number of the return", Text: c.ReturnNumber},
		{Term: "Note", Text: c.Note},
	}
	var told []ui.Def
	for _, t := range terms {
		if t.Text != "" {
			told = append(told, t)
		}
	}
	return told
}

func windowWords(n int, count deposit.Count) string {
	if n == 1 {
		return "1 " + strings.TrimSuffix(string(count), "s")
	}
	return countWords(n, string(count), string(count))
}

// refundDue is by when the refund is due: a day as soon as the supplier has the unit.
func refundDue(sheet garage.CoreSheet, holidays []garage.Date) string {
	c := sheet.Core
	if c.RefundN == nil {
		return ""
	}
	var received garage.Date
	for _, e := range sheet.Events {
		if e.State == deposit.Received {
			received = e.HappenedOn
		}
	}
	if c.State == deposit.Received || c.State == deposit.Accepted {
		if due, agreed := c.RefundDue(received, holidays); agreed {
			return DayWords(due)
		}
	}
	return "within " + windowWords(*c.RefundN, c.RefundCount) + " of receipt"
}
