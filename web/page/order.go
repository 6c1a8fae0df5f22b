package page

import (
	"net/url"
	"regexp"
	"strconv"
	"strings"

	"axlestand/internal/garage"
	"axlestand/internal/trade/cost"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// OrderForm is an order as typed.
type OrderForm struct {
	Version, Supplier, Number, OrderedOn, PromisedOn string
	Currency, Rate                                   string
	Shipping, Duty, Tax, Handling, Paid              string
	ReturnDays, Notes                                string
	Errors                                           garage.FieldErrors
}

// BlankOrderForm is the form of an order made today, with what is usual with a supplier that is chosen.
func BlankOrderForm(s garage.Supplier, today garage.Date) OrderForm {
	f := OrderForm{OrderedOn: today.String()}
	if s.ID != 0 {
		f.Supplier, f.Currency, f.ReturnDays = idText(s.ID), s.Currency, intText(s.ReturnDays)
		if s.Shipping != nil {
			f.Shipping = garage.MoneyFigure(*s.Shipping, s.Currency)
		}
	}
	return f
}

// NewOrderForm is the form filled from what is stored.
func NewOrderForm(o garage.Order) OrderForm {
	money := func(minor int64) string {
		if minor == 0 {
			return ""
		}
		return garage.MoneyFigure(minor, o.Currency)
	}
	f := OrderForm{
		Version: strconv.FormatInt(o.Version, 10), Supplier: idText(o.SupplierID), Number: o.Number, OrderedOn: o.OrderedOn.String(),
		PromisedOn: dateText(o.PromisedOn), Currency: o.Currency, Shipping: money(o.Shipping), Duty: money(o.Duty), Tax: money(o.Tax),
		Handling: money(o.Handling), ReturnDays: intText(o.ReturnDays), Notes: o.Notes,
	}
	if o.Currency != o.Home {
		f.Rate = rateText(o.Rate)
	}
	if o.Paid != nil {
		f.Paid = garage.MoneyFigure(*o.Paid, o.Currency)
	}
	return f
}

// ReadOrderForm is the form as sent.
func ReadOrderForm(v url.Values) OrderForm {
	return OrderForm{
		Version: v.Get("version"), Supplier: v.Get("supplier"), Number: v.Get("number"), OrderedOn: v.Get("ordered_on"),
		PromisedOn: v.Get("promised_on"), Currency: v.Get("currency"), Rate: v.Get("rate"), Shipping: v.Get("shipping"), Duty: v.Get("duty"),
		Tax: v.Get("tax"), Handling: v.Get("handling"), Paid: v.Get("paid"), ReturnDays: v.Get("return_days"), Notes: v.Get("notes"),
	}
}

// Order reads what was typed over what is there, and notes in Errors what does not parse or does not hold. What is left empty of a new one
// is as usual with its supplier.
func (f *OrderForm) Order(over garage.Order, suppliers []garage.SupplierRow) garage.Order {
	var in fields
	o := over
	o.Version, o.Number, o.Notes = version(f.Version), strings.TrimSpace(f.Number), strings.TrimSpace(f.Notes)
	o.SupplierID = garage.SupplierID(in.id("supplier", f.Supplier))
	from := supplierOf(suppliers, o.SupplierID)
	if from.ID == 0 {
		o.SupplierID = 0
	}
	o.OrderedOn, o.PromisedOn = in.date("ordered_on", f.OrderedOn), in.optionalDate("promised_on", f.PromisedOn)
	if o.Currency = strings.ToUpper(strings.TrimSpace(f.Currency)); o.Currency == "" {
		if o.Currency = from.Currency; from.ID == 0 {
			o.Currency = o.Home // the supplier is what is missing
		}
	}
	o.Rate = garage.RateAtHome
	if strings.TrimSpace(f.Rate) != "" {
		o.Rate = in.rate("rate", f.Rate)
	} else if o.Currency != o.Home && from.ID != 0 {
		in.Errors.Add("rate", "How many "+o.Home+" is one "+o.Currency+"?")
	}
	o.Shipping, o.Duty = in.money("shipping", f.Shipping, o.Currency), in.money("duty", f.Duty, o.Currency)
	o.Tax, o.Handling = in.money("tax", f.Tax, o.Currency), in.money("handling", f.Handling, o.Currency)
	if o.Paid = nil; strings.TrimSpace(f.Paid) != "" {
		o.Paid = new(in.money("paid", f.Paid, o.Currency))
	}
	o.ReturnDays = in.optionalInt("return_days", f.ReturnDays)
	if over.ID == 0 {
		f.usual(&o, from)
	}
	f.Errors = in.with(o.Validate())
	return o
}

// usual fills in what is usual with a supplier where nothing was typed.
func (f *OrderForm) usual(o *garage.Order, from garage.Supplier) {
	if strings.TrimSpace(f.ReturnDays) == "" {
		o.ReturnDays = from.ReturnDays
	}
	if strings.TrimSpace(f.Shipping) == "" && from.Shipping != nil && from.Currency == o.Currency {
		o.Shipping = *from.Shipping
	}
}

func supplierOf(suppliers []garage.SupplierRow, id garage.SupplierID) garage.Supplier {
	for _, s := range suppliers {
		if s.ID == id {
			return s.Supplier
		}
	}
	return garage.Supplier{}
}

var rateForm = regexp.MustCompile(`^([0-9]{1,6})(?:[.,]([0-9]{1,9}))?$`)

// rate reads a rate of exchange such as 0.92.
func (f *fields) rate(name, typed string) cost.Billionths {
	m := rateForm.FindStringSubmatch(strings.TrimSpace(typed))
	if m == nil {
		f.Errors.Add(name, "A number above zero, such as 0.92.")
		return garage.RateAtHome
	}
	n, err := strconv.ParseInt(m[1]+(m[2] + "000000000")[:9], 10, 64)
	if err != nil || n == 0 {
		f.Errors.Add(name, "A number above zero, such as 0.92.")
		return garage.RateAtHome
	}
	return cost.Billionths(n)
}

func rateText(r cost.Billionths) string {
	whole, rest := int64(r/garage.RateAtHome), int64(r%garage.RateAtHome)
	text := strings.TrimRight(strconv.FormatInt(rest+1_000_000_000, 10)[1:], "0")
	if text == "" {
		return strconv.FormatInt(whole, 10)
	}
	return strconv.FormatInt(whole, 10) + "." + text
}

// Conflict sets the form beside what is stored.
func (f OrderForm) Conflict(stored OrderForm, suppliers []garage.SupplierRow) []ConflictRow {
	name := func(id string) string {
		n, _ := strconv.ParseInt(id, 10, 64)
		return supplierOf(suppliers, garage.SupplierID(n)).Name
	}
	return []ConflictRow{
		{Field: "Supplier", Yours: name(f.Supplier), Stored: name(stored.Supplier)},
		{Field: "Number", Yours: f.Number, Stored: stored.Number},
		{Field: "Ordered on", Yours: f.OrderedOn, Stored: stored.OrderedOn},
		{Field: "Promised for", Yours: f.PromisedOn, Stored: stored.PromisedOn},
		{Field: "Currency", Yours: f.Currency, Stored: stored.Currency},
		{Field: "Rate", Yours: f.Rate, Stored: stored.Rate},
		{Field: "Shipping", Yours: f.Shipping, Stored: stored.Shipping},
		{Field: "Duty", Yours: f.Duty, Stored: stored.Duty},
		{Field: "Tax", Yours: f.Tax, Stored: stored.Tax},
		{Field: "Handling", Yours: f.Handling, Stored: stored.Handling},
		{Field: "Paid in all", Yours: f.Paid, Stored: stored.Paid},
		{Field: "Goes back within", Yours: f.ReturnDays, Stored: stored.ReturnDays},
		{Field: "Notes", Yours: f.Notes, Stored: stored.Notes},
	}
}

var orderLabels = []ui.Option{
	{Value: "supplier", Text: "Supplier"},
	{Value: "number", Text: "Number"},
	{Value: "ordered_on", Text: "Ordered on"},
	{Value: "promised_on", Text: "Promised for"},
	{Value: "currency", Text: "Currency"},
	{Value: "rate", Text: "Rate"},
	{Value: "shipping", Text: "Shipping"},
	{Value: "duty", Text: "Duty"},
	{Value: "tax", Text: "Tax"},
	{Value: "handling", Text: "Handling"},
	{Value: "paid", Text: "Paid in all"},
	{Value: "return_days", Text: "Goes back within"},
	{Value: "notes", Text: "Notes"},
}

// OrderEditView is the page of an order's form; the order's ID is zero for a new one.
type OrderEditView struct {
	Base
	Order     garage.Order
	Suppliers []ui.Option
	Form      OrderForm
}

// NewOrderEdit is the page of an order's form.
func NewOrderEdit(base Base, o garage.Order, suppliers []garage.SupplierRow, form OrderForm) OrderEditView {
	return OrderEditView{Base: base, Order: o, Suppliers: supplierOptions(suppliers), Form: form}
}

func supplierOptions(suppliers []garage.SupplierRow) []ui.Option {
	options := []ui.Option{{Text: "Choose one"}}
	for _, s := range suppliers {
		options = append(options, ui.Option{Value: idText(s.ID), Text: s.Name})
	}
	return options
}

// Action is where the form is sent.
func (v OrderEditView) Action() string {
	if v.Order.ID == 0 {
		return route.Orders()
	}
	return route.Order(v.Order.ID)
}

// OrdersView lists the orders.
type OrdersView struct {
	Base
	Tabs  []ui.Link
	Table ui.TableData
	Pager ui.PagerData
	All   bool
	Backs []ui.ListItem // what has to be sent back
}

// NewOrders lists orders, a page of them, with what has to be sent back.
func NewOrders(base Base, f garage.OrderFilter, rows []garage.OrderRow, backs []garage.OrderReturnRow, today garage.Date) OrdersView {
	v := OrdersView{Base: base, All: !f.Open, Table: ui.TableData{
		Caption: "Orders", Quiet: true,
		Columns: []ui.Column{{Head: "Order", Lead: true}, {Head: "Ordered on"}, {Head: "How it stands"}, {Head: "Lines", Num: true}, {Head: "Came", Num: true}},
	}}
	v.Tabs = []ui.Link{
		{Text: "Still to come", Href: route.Orders(), Current: f.Open}, {Text: "All", Href: route.OrdersAll("1"), Current: !f.Open},
	}
	for _, o := range rows {
		mood, text := orderStands(o, today)
		v.Table.Rows = append(v.Table.Rows, []ui.Cell{
			{Text: o.SupplierName, Href: route.Order(o.ID), Sub: o.Number},
			{Text: DayWords(o.OrderedOn)},
			{Body: ui.State(mood, text)},
			{Text: strconv.Itoa(o.Lines)},
			{Text: strconv.Itoa(o.Came) + " of " + strconv.Itoa(o.Wanted)},
		})
	}
	for _, r := range backs {
		v.Backs = append(v.Backs, backItem(r, today))
	}
	if len(rows) > 0 && rows[0].Total > len(rows) {
		v.pages(f, rows[0].Total, len(rows))
	}
	return v
}

func (v *OrdersView) pages(f garage.OrderFilter, total, shown int) {
	to := route.OrdersAll
	if f.Open {
		to = route.OrdersOpen
	}
	v.Pager = ui.PagerData{From: f.Offset + 1, To: f.Offset + shown, Total: total}
	if page := f.Offset/max(1, f.Limit) + 1; page > 1 {
		v.Pager.Prev = to(strconv.Itoa(page - 1))
	}
	if f.Offset+shown < total {
		v.Pager.Next = to(strconv.Itoa(f.Offset/max(1, f.Limit) + 2))
	}
}

// orderStands says whether an order is here, or when it comes.
func orderStands(o garage.OrderRow, today garage.Date) (ui.Mood, string) {
	switch {
	case o.Lines == 0:
		return ui.Loose, "no line yet"
	case o.NextLikely == nil && o.Wanted == 0:
		return ui.Done, "nothing comes"
	case o.NextLikely == nil:
		return ui.Done, "all here"
	case o.LatestHigh.Before(today):
		return ui.Waits, "should be here since " + DayWords(*o.LatestHigh)
	}
	return ui.Waits, "likely " + DayWords(*o.NextLikely)
}

func backItem(r garage.OrderReturnRow, today garage.Date) ui.ListItem {
	item := ui.ListItem{
		Title: pieces(r.Quantity, r.PartName), Href: route.OrderReturn(r.ID), Sub: joined(" · ", "to "+r.SupplierName, r.Why, r.Note),
		State: ui.State(ui.Waits, "no last day agreed"),
	}
	if r.LastDay != nil {
		mood, text := lastDayWords(*r.LastDay, today)
		item.State = ui.State(mood, text)
	}
	return item
}

// lastDayWords says how near a last day is.
func lastDayWords(last, today garage.Date) (ui.Mood, string) {
	if last.Before(today) {
		return ui.Blocked, "was to be sent by " + DayWords(last)
	}
	return ui.Waits, "send it by " + DayWords(last)
}

func orderMoneyHint(fresh bool) string {
	if fresh {
		return "What is left empty is as usual with the supplier."
	}
	return ""
}

// AddReturns adds what has to be sent back within ten days.
func (v *TodayView) AddReturns(backs []garage.OrderReturnRow, today garage.Date) {
	for _, r := range backs {
		if r.LastDay == nil || today.AddDays(soonDays).Before(*r.LastDay) {
			continue
		}
		mood, text := lastDayWords(*r.LastDay, today)
		v.Needs = append(v.Needs, NeedsRow{Title: pieces(r.Quantity, r.PartName), Href: route.OrderReturn(r.ID), Text: "to " + r.SupplierName + ": " + text, Mood: mood})
	}
}
