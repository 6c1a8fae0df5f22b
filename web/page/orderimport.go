package page

import (
	"net/url"
	"strconv"

	"axlestand/internal/garage"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// OrderImportForm is an order to be pasted, as typed.
type OrderImportForm struct {
	OrderForm
	Lines string
}

// ReadOrderImportForm is the form as sent.
func ReadOrderImportForm(v url.Values) OrderImportForm {
	return OrderImportForm{OrderForm: ReadOrderForm(v), Lines: v.Get("lines")}
}

var orderImportLabels = append([]ui.Option{{Value: "file", Text: "File"}, {Value: "lines", Text: "Lines"}}, orderLabels...)

// OrderImportNewView is the page of that form.
type OrderImportNewView struct {
	Base
	Home      string
	Suppliers []ui.Option
	Form      OrderImportForm
}

// NewOrderImportNew is the page of that form.
func NewOrderImportNew(base Base, home string, suppliers []garage.SupplierRow, form OrderImportForm) OrderImportNewView {
	return OrderImportNewView{Base: base, Home: home, Suppliers: supplierOptions(suppliers), Form: form}
}

// OrderImportRow is a line that was pasted, with what it does.
type OrderImportRow struct {
	Line     int
	Text     string
	Part     garage.Part
	Quantity int
	Price    int64
	Deposit  int64
	Wrong    string
}

// OrderImportView shows what a pasted order would be, or became.
type OrderImportView struct {
	Base
	ID     garage.OrderImportID
	Sum    string
	Facts  []ui.Def
	Wrong  ui.TableData
	Lines  ui.TableData
	Button string // makes it; empty when there is nothing to do
	Done   string
	Order  string // the order that it became
	Undo   bool
}

// NewOrderImport is the page of a pasted order.
func NewOrderImport(base Base, i garage.OrderImport, from garage.Supplier, rows []OrderImportRow) OrderImportView {
	o := i.Form
	v := OrderImportView{Base: base, ID: i.ID, Facts: []ui.Def{
		{Term: "Supplier", Text: from.Name, Href: supplierHref(from)},
		{Term: "Number", Text: o.Number},
		{Term: "Ordered on", Text: DayWords(o.OrderedOn)},
		{Term: "Promised for", Text: promisedText(o)},
		{Term: "Shipping", Text: garage.MoneyText(o.Shipping, o.Currency)},
	}}
	v.Wrong = ui.TableData{Caption: "Lines that are wrong", Quiet: true, Columns: []ui.Column{{Head: "Line", Lead: true}, {Head: "What is wrong"}, {Head: "As it stands"}}}
	v.Lines = ui.TableData{Caption: "Lines that are right", Quiet: true, Columns: []ui.Column{
		{Head: "Line", Lead: true}, {Head: "Part"}, {Head: "How many", Num: true}, {Head: "Price", Num: true}, {Head: "Deposit", Num: true},
	}}
	goods, fresh := int64(0), 0
	for _, r := range rows {
		line := "line " + strconv.Itoa(r.Line)
		if r.Wrong != "" {
			v.Wrong.Rows = append(v.Wrong.Rows, []ui.Cell{{Text: line}, {Text: r.Wrong}, {Text: r.Text}})
			continue
		}
		part := ui.Cell{Text: r.Part.Label(), Sub: "adds the part"}
		if r.Part.ID != 0 {
			part.Href, part.Sub = route.Part(r.Part.ID), ""
		} else {
			fresh++
		}
		l := garage.OrderLine{Quantity: r.Quantity, Price: r.Price, Per: garage.PricedBy(r.Part)}
		goods += l.Goods()
		v.Lines.Rows = append(v.Lines.Rows, []ui.Cell{
			{Text: line},
			part,
			{Text: stockText(r.Quantity, r.Part.Unit)},
			{Text: garage.MoneyText(r.Price, o.Currency) + priceOf(r.Part.Unit)},
			{Text: conditional(r.Deposit > 0, garage.MoneyText(r.Deposit, o.Currency))},
		})
	}
	v.say(i, len(v.Lines.Rows), fresh, goods)
	return v
}

// say sums it up, and offers what can be done with it.
func (v *OrderImportView) say(i garage.OrderImport, lines, fresh int, goods int64) {
	sum := []string{countWords(lines, "line", "lines"), "goods " + garage.MoneyText(goods, i.Form.Currency)}
	if fresh > 0 {
		sum = append(sum, countWords(fresh, "part to add", "parts to add"))
	}
	if n := len(v.Wrong.Rows); n > 0 {
		sum = append(sum, countWords(n, "line is wrong", "lines are wrong"))
	}
	v.Sum = joined(" · ", sum...)
	switch {
	case i.UndoneAt != nil:
		v.Done = "This order was made and undone. Paste it again to make it."
	case i.OrderID != nil:
		v.Done, v.Undo, v.Order = "This order is made.", true, route.Order(*i.OrderID)
	case lines > 0:
		v.Button = "Make the order of " + countWords(lines, "line", "lines")
	}
}
