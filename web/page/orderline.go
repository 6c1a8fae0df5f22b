package page

import (
	"net/url"
	"strconv"
	"strings"

	"axlestand/internal/garage"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// OrderLineForm is a line of an order as typed.
type OrderLineForm struct {
	Version, Part, NewPart, Quantity, Price, Deposit, Note string
	Errors                                                 garage.FieldErrors
}

// BlankOrderLineForm is the form of a further line: one piece.
func BlankOrderLineForm() OrderLineForm { return OrderLineForm{Quantity: "1"} }

// NewOrderLineForm is the form filled from what is stored.
func NewOrderLineForm(l garage.OrderLine, currency string) OrderLineForm {
	f := OrderLineForm{
		Version: strconv.FormatInt(l.Version, 10), Quantity: strconv.Itoa(l.Quantity), Price: garage.MoneyFigure(l.Price, currency), Note: l.Note,
	}
	if l.Deposit > 0 {
		f.Deposit = garage.MoneyFigure(l.Deposit, currency)
	}
	return f
}

// ReadOrderLineForm is the form as sent.
func ReadOrderLineForm(v url.Values) OrderLineForm {
	return OrderLineForm{
		Version: v.Get("version"), Part: v.Get("part"), NewPart: v.Get("new_part"), Quantity: v.Get("quantity"), Price: v.Get("price"),
		Deposit: v.Get("deposit"), Note: v.Get("note"),
	}
}

// Line reads what was typed over what is there, and notes in Errors what does not parse. The rest is for the store to hold against the
// rules, together with the part that is named.
func (f *OrderLineForm) Line(over garage.NewOrderLine, currency string) garage.NewOrderLine {
	var in fields
	l := over
	l.Version, l.Quantity = version(f.Version), in.int("quantity", f.Quantity)
	l.Price, l.Deposit = in.money("price", f.Price, currency), in.money("deposit", f.Deposit, currency)
	l.Note = strings.TrimSpace(f.Note)
	l.Pick = garage.PartPick{Text: f.Part, New: f.NewPart != ""}
	f.Errors = in.Errors
	return l
}

// Conflict sets the form beside what is stored.
func (f OrderLineForm) Conflict(stored OrderLineForm) []ConflictRow {
	return []ConflictRow{
		{Field: "How many", Yours: f.Quantity, Stored: stored.Quantity},
		{Field: "Price", Yours: f.Price, Stored: stored.Price},
		{Field: "Core deposit", Yours: f.Deposit, Stored: stored.Deposit},
		{Field: "Note", Yours: f.Note, Stored: stored.Note},
	}
}

var orderLineLabels = []ui.Option{
	{Value: "part", Text: "Part"},
	{Value: "new_part", Text: "Part"},
	{Value: "quantity", Text: "How many"},
	{Value: "price", Text: "Price"},
	{Value: "deposit", Text: "Core deposit"},
	{Value: "note", Text: "Note"},
}

// OrderLineView is the page of a line's form; the line's ID is zero for a new one.
type OrderLineView struct {
	Base
	Line     garage.OrderLine
	Order    garage.Order
	Supplier garage.Supplier
	Part     garage.Part // of a line that is there
	Parts    []string    // offered while typing
	Form     OrderLineForm
}

func (v OrderLineView) action() string {
	if v.Line.ID == 0 {
		return route.OrderLines(v.Order.ID)
	}
	return route.OrderLine(v.Line.ID)
}

func (v OrderLineView) priceHint() string {
	if v.Line.ID == 0 {
		return "Of a piece or set; of a litre, a kilogram or 10 m of what is measured."
	}
	return "In " + v.Order.Currency + priceOf(v.Part.Unit) + "."
}

// SendBackForm is what goes back, as typed.
type SendBackForm struct {
	Quantity, Place, Why, Again, Note string
	Errors                            garage.FieldErrors
}

// BlankSendBackForm sends one piece back, from where the part lies.
func BlankSendBackForm(stock []garage.BinStock) SendBackForm {
	f := SendBackForm{Quantity: "1", Why: garage.ReturnReasons[0]}
	if len(stock) > 0 {
		f.Place = stockPlace(stock[0].Stock)
	}
	return f
}

// ReadSendBackForm is the form as sent.
func ReadSendBackForm(v url.Values) SendBackForm {
	return SendBackForm{Quantity: v.Get("quantity"), Place: v.Get("bin"), Why: v.Get("why"), Again: v.Get("again"), Note: v.Get("note")}
}

// Return reads what was typed, and notes in Errors what does not parse or does not hold.
func (f *SendBackForm) Return(a garage.Arrival) (garage.OrderReturn, garage.Stock) {
	var in fields
	r := garage.OrderReturn{ArrivalID: a.ID, Quantity: in.int("quantity", f.Quantity), Why: f.Why, Note: strings.TrimSpace(f.Note)}
	from := garage.Stock{PartID: a.PartID}
	from.BinID, from.LotID = in.place("bin", f.Place)
	if from.BinID == 0 {
		in.Errors.Add("bin", "Choose the bin.")
	}
	f.Errors = in.with(r.Validate())
	return r, from
}

var sendBackLabels = []ui.Option{
	{Value: "quantity", Text: "How many"},
	{Value: "bin", Text: "From bin"},
	{Value: "why", Text: "Why"},
	{Value: "note", Text: "Note"},
}

// SendBackView is the page of that form.
type SendBackView struct {
	Base
	Arrival garage.Arrival
	Part    garage.Part
	Sub     string
	Places  []ui.Option
	Reasons []ui.Option
	Form    SendBackForm
}

// NewSendBack is the page on which pieces of an arrival are sent back; stock is where the part lies.
func NewSendBack(base Base, s garage.OrderSheet, a garage.Arrival, stock []garage.BinStock, settings garage.Settings, today garage.Date, form SendBackForm) SendBackView {
	v := SendBackView{Base: base, Arrival: a, Part: s.Part(a.PartID), Form: form}
	for _, b := range stock {
		v.Places = append(v.Places, ui.Option{Value: stockPlace(b.Stock), Text: joined(" · ", b.BinName, stockText(b.Quantity, v.Part.Unit), lotText(b.Lot))})
	}
	for _, why := range garage.ReturnReasons {
		v.Reasons = append(v.Reasons, ui.Option{Value: why, Text: why})
	}
	const leave = "They leave the bin, so that no job counts on them."
	v.Sub = leave
	if a.ReceivedAt != nil {
		if last, agreed := s.Order.LastReturn(garage.DateOf(a.ReceivedAt.In(settings.Location()))); agreed {
			if v.Sub = leave + " The last day to send them is " + DayWords(last) + "."; last.Before(today) {
				v.Sub = "The last day to send them was " + DayWords(last) + ": ask first whether they are taken back. " + leave
			}
		}
	}
	return v
}

// OrderReturnForm is what became of pieces that go back, as typed.
type OrderReturnForm struct {
	Version, Why, LastDay, SentOn, Tracking, Refunded, RefundedOn, Note string
	Errors                                                              garage.FieldErrors
}

// NewOrderReturnForm is the form filled from what is stored.
func NewOrderReturnForm(r garage.OrderReturn, currency string) OrderReturnForm {
	f := OrderReturnForm{
		Version: strconv.FormatInt(r.Version, 10), Why: r.Why, LastDay: dateText(r.LastDay), SentOn: dateText(r.SentOn), Tracking: r.Tracking,
		RefundedOn: dateText(r.RefundedOn), Note: r.Note,
	}
	if r.Refunded > 0 {
		f.Refunded = garage.MoneyFigure(r.Refunded, currency)
	}
	return f
}

// ReadOrderReturnForm is the form as sent.
func ReadOrderReturnForm(v url.Values) OrderReturnForm {
	return OrderReturnForm{
		Version: v.Get("version"), Why: v.Get("why"), LastDay: v.Get("last_day"), SentOn: v.Get("sent_on"), Tracking: v.Get("tracking"),
		Refunded: v.Get("refunded"), RefundedOn: v.Get("refunded_on"), Note: v.Get("note"),
	}
}

// Return reads what was typed over what is there, and notes in Errors what does not parse or does not hold.
func (f *OrderReturnForm) Return(over garage.OrderReturn, currency string) garage.OrderReturn {
	var in fields
	r := over
	r.Version, r.Why, r.Tracking, r.Note = version(f.Version), f.Why, strings.TrimSpace(f.Tracking), strings.TrimSpace(f.Note)
	r.LastDay, r.SentOn, r.RefundedOn = in.optionalDate("last_day", f.LastDay), in.optionalDate("sent_on", f.SentOn), in.optionalDate("refunded_on", f.RefundedOn)
	r.Refunded = in.money("refunded", f.Refunded, currency)
	f.Errors = in.with(r.Validate())
	return r
}

// Conflict sets the form beside what is stored.
func (f OrderReturnForm) Conflict(stored OrderReturnForm) []ConflictRow {
	return []ConflictRow{
		{Field: "Why", Yours: f.Why, Stored: stored.Why},
		{Field: "Last day", Yours: f.LastDay, Stored: stored.LastDay},
		{Field: "Sent on", Yours: f.SentOn, Stored: stored.SentOn},
		{Field: "Tracking", Yours: f.Tracking, Stored: stored.Tracking},
		{Field: "Paid back", Yours: f.Refunded, Stored: stored.Refunded},
		{Field: "Paid back on", Yours: f.RefundedOn, Stored: stored.RefundedOn},
		{Field: "Note", Yours: f.Note, Stored: stored.Note},
	}
}

var orderReturnLabels = []ui.Option{
	{Value: "why", Text: "Why"},
	{Value: "last_day", Text: "Last day"},
	{Value: "sent_on", Text: "Sent on"},
	{Value: "tracking", Text: "Tracking"},
	{Value: "refunded", Text: "Paid back"},
	{Value: "refunded_on", Text: "Paid back on"},
	{Value: "note", Text: "Note"},
}

// OrderReturnView is the page of that form.
type OrderReturnView struct {
	Base
	Return  garage.OrderReturn
	Order   garage.Order
	Heading string
	Crumb   string
	Reasons []ui.Option
	Form    OrderReturnForm
}

// NewOrderReturn is the page of what goes back.
func NewOrderReturn(base Base, s garage.OrderSheet, r garage.OrderReturn, form OrderReturnForm) OrderReturnView {
	v := OrderReturnView{Base: base, Return: r, Order: s.Order, Crumb: orderName(s.Order, s.Supplier), Form: form}
	for _, l := range s.Lines {
		if l.ID == r.OrderLineID {
			v.Heading = quantityText(r.Quantity, s.Part(l.PartID))
		}
	}
	for _, why := range garage.ReturnReasons {
		v.Reasons = append(v.Reasons, ui.Option{Value: why, Text: why})
	}
	return v
}
