package page

import (
	"fmt"
	"strings"
	"unicode"

	"axlestand/internal/garage"
	"axlestand/internal/trade/cost"
	"axlestand/internal/trade/deposit"
	"axlestand/internal/trade/unit"
	"axlestand/web/ui"
)

var moneyCalculators = []calculator{coreBench, landedBench, returnBench}

const moneyHint = "In the garage's currency."

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
	alarm := deposit.AlarmOf(last, in.civil(), freed)
	a.row("Post it by", dateWords(last.Year, last.Month, last.Day), "")
	switch {
	case alarm.Level == deposit.Today:
		a.look("Today is the last day.")
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

var landedBench = calculator{
	Name: "landed-cost", Title: "Landed cost of an order",
	Sub: "What each line has cost when it is in the bin: shipping, duty, tax and fees shared over the lines to the last cent.",
	Fields: []benchField{
		{
			Name: "lines", Label: "Lines", Kind: someLines, Example: "120.00 brake disc\n45.50 pads\n30.00 hose",
			Hint: "One a line: the price of all its pieces, then a weight like 800 g or 2 lb if it is shared by that, then a name.",
		},
		{Name: "by", Label: "Shared by", Kind: aChoice, Options: []ui.Option{{Value: string(cost.ByValue), Text: "value"}, {Value: string(cost.ByWeight), Text: "weight"}}},
		{Name: "shipping", Label: "Shipping", Hint: moneyHint, Example: "18.00", Optional: true, Set: "What was charged beside the goods"},
		{Name: "duty", Label: "Duty", Hint: "On goods and shipping.", Example: "4.5", Unit: "%", Optional: true, Set: "What was charged beside the goods"},
		{Name: "vat", Label: "Value added tax", Hint: "On goods, shipping and duty. Leave it out where prices hold it.", Example: "21", Unit: "%", Optional: true, Set: "What was charged beside the goods"},
		{Name: "handling", Label: "Handling", Hint: "The fee of the carrier or customs agent.", Optional: true, Set: "What was charged beside the goods"},
		{Name: "paid", Label: "Paid in the end", Hint: "With a discount, say. Then leave the four above empty.", Optional: true, Set: "Or only the whole sum"},
	},
	About: benchAbout{
		Formula: "Total = goods + shipping + duty·(goods + shipping) + tax·(goods + shipping + duty) + handling. What is more than the goods is shared over the lines by largest remainder, so that they add up to the total.",
		Source:  computed,
		Range:   "Rates up to 1000 %. Rounded once, to the nearest minor unit, halves away from zero.",
		Limits:  "The law of import and tax of any country, which decides; amounts in two currencies.",
	},
	Work: workLanded,
}

// money reads an amount in the garage's currency; an empty optional field is none.
func (in *benchTyped) money(name string) cost.Money {
	minor, wrong := garage.ParseMoney(in.text(name), in.at.Currency)
	if wrong != "" {
		in.wrong(name, wrong)
	}
	return cost.Money{Minor: minor, Currency: in.at.Currency}
}

// percent reads a rate; an empty optional field is none.
func (in *benchTyped) percent(name string) cost.Millionths {
	typed := in.text(name)
	if typed == "" {
		return 0
	}
	rate, err := cost.ParsePercent(typed)
	in.refused(err, "percent", name)
	return rate
}

func workLanded(in *benchTyped) (a BenchAnswer) {
	o := cost.Order{
		Currency: in.at.Currency, By: cost.ShareBy(in.choice("by")),
		Shipping: in.money("shipping"), Handling: in.money("handling"), Duty: in.percent("duty"), VAT: in.percent("vat"),
	}
	paid := in.money("paid")
	names := in.orderLines(&o)
	if in.text("paid") != "" && in.text("shipping")+in.text("handling")+in.text("duty")+in.text("vat") != "" {
		in.wrong("paid", "Give either this or the four above, not both.")
	}
	if !in.ok() {
		return a
	}
	landed, err := cost.Land(o)
	if in.text("paid") != "" {
		landed, err = cost.LandPaid(o, paid)
	}
	if in.refused(err, "amount", "lines") {
		return a
	}
	sayLanded(&a, landed, names, in.text("paid") != "")
	return a
}

// orderLines reads the lines into the order and gives their names.
func (in *benchTyped) orderLines(o *cost.Order) (names []string) {
	for _, l := range in.lines("lines") {
		line, name, wrong := readOrderLine(l.Text, o.Currency)
		if wrong == "" && o.By == cost.ByWeight && line.Grams == 0 {
			wrong = "give its weight after the price, like 800 g."
		}
		if wrong != "" {
			in.wrongLine("lines", l, wrong)
			continue
		}
		if name == "" {
			name = fmt.Sprintf("Line %d", l.Number)
		}
		o.Lines, names = append(o.Lines, line), append(names, name)
	}
	return names
}

// readOrderLine takes a line apart: a price, a weight with its unit if there is one, and a name, which begins with no digit, so
// that a price with its thousands set apart is not taken for a price and a name.
func readOrderLine(text, currency string) (line cost.Line, name, wrong string) {
	price, rest, _ := strings.Cut(text, " ")
	minor, wrong := garage.ParseMoney(price, currency)
	if wrong != "" {
		return line, "", "begin with the price. " + wrong
	}
	line.Goods = cost.Money{Minor: minor, Currency: currency}
	rest = strings.TrimSpace(strings.TrimPrefix(rest+" ", currency+" "))
	if rest == "" || !unicode.IsDigit([]rune(rest)[0]) {
		return line, rest, ""
	}
	words := strings.SplitN(rest, " ", 3)
	for n := min(2, len(words)); n > 0; n-- {
		if q, err := unit.Parse[unit.MassKind](strings.Join(words[:n], " ")); err == nil {
			line.Grams = int64(q.In(unit.Gram) + 0.5)
			return line, strings.Join(words[n:], " "), ""
		}
	}
	return line, "", fmt.Sprintf("after the price comes a weight with its unit or a name that begins with a letter, not %.20q.", rest)
}

func sayLanded(a *BenchAnswer, landed cost.Landed, names []string, paid bool) {
	text := func(m cost.Money) string { return garage.MoneyText(m.Minor, m.Currency) }
	figure := func(m cost.Money) string { return garage.MoneyFigure(m.Minor, m.Currency) }
	a.Figures = []BenchFigure{{Label: "Landed cost", Value: figure(landed.Total), Unit: landed.Total.Currency}}
	a.row("Goods", text(landed.Goods), "")
	if !paid {
		a.row("Customs value", text(landed.CustomsValue), "Goods and shipping.")
		a.row("Duty", text(landed.Duty), "")
		a.row("Value added tax", text(landed.VAT), "On the customs value and the duty.")
	}
	a.row("Beside the goods", text(landed.Overhead), "Shared over the lines.")
	t := ui.TableData{
		Caption: "What each line has cost",
		Columns: []ui.Column{{Head: "Line", Lead: true}, {Head: "Goods", Num: true}, {Head: "Share", Num: true}, {Head: "Landed", Num: true}},
	}
	for i, l := range landed.Lines {
		t.Rows = append(t.Rows, []ui.Cell{{Text: names[i]}, {Text: figure(l.Goods)}, {Text: figure(l.Overhead)}, {Text: figure(l.Total)}})
	}
	a.Table = &t
}

var returnBench = calculator{
	Name: "return-rights", Title: "How long it can go back",
	Sub: "The last days of withdrawal and of the seller's liability for something bought in the EU.",
	Fields: []benchField{
		{Name: "seller", Label: "Bought from", Kind: aChoice, Options: []ui.Option{{Value: "trader", Text: "a trader in the EU"}, {Value: "private", Text: "a private seller"}}},
		{Name: "way", Label: "Bought", Kind: aChoice, Options: []ui.Option{{Value: "distance", Text: "by internet, telephone or letter"}, {Value: "counter", Text: "over the counter"}}},
		{Name: "state", Label: "It was", Kind: aChoice, Options: []ui.Option{{Value: "new", Text: "new"}, {Value: "used", Text: "used"}}},
		{Name: "used_months", Label: "Liability for used goods", Hint: "What your country leaves of the two years, 12 to 24; empty for 12.", Unit: "months", Optional: true},
		{Name: "bought", Label: "Bought on", Kind: aDate, Example: "2026-02-26"},
		{Name: "received", Label: "Arrived on", Kind: aDate, Example: "2026-03-02"},
	},
	About: benchAbout{
		Formula: "Withdrawal: 14 days from arrival when sold at a distance. Liability: 24 months from arrival, for used goods at least 12. The seller has to prove that a fault was not there for 12 months.",
		Source:  "Directives 2011/83/EU, article 9, and (EU) 2019/771, articles 10 and 11, from memory.",
		Range:   "Consumers in the EU.",
		Limits:  "National law and the seller's own terms, which may give more; goods made to order. No advice on law.",
	},
	Work: workReturn,
}

func workReturn(in *benchTyped) (a BenchAnswer) {
	p := cost.Purchase{
		Trader: in.choice("seller") == "trader", Distance: in.choice("way") == "distance", Used: in.choice("state") == "used",
		UsedMonths: in.whole("used_months"), Bought: in.date("bought"), Received: in.date("received"),
	}
	if in.text("used_months") != "" && p.UsedMonths == 0 {
		p.UsedMonths = -1 // typed as none, which is not the same as not typed
	}
	if !in.ok() {
		return a
	}
	r, err := cost.ReturnRights(p)
	if in.refused(err) {
		return a
	}
	a.look(r.Sentence)
	if !p.Trader {
		return a
	}
	a.Figures = []BenchFigure{{Label: "The seller is liable until", Value: dayText(r.Conformity, "")}}
	a.row("Withdrawal without a reason until", dayText(r.Withdrawal, "no such right"), "Only what is sold at a distance.")
	a.row("The seller has to prove it until", dayText(r.ReversedBurden, ""), "That a fault was not there when it arrived.")
	return a
}
