package cost

import (
	"errors"
	"fmt"

	"axlestand/internal/trade/input"
)

// ShareBy is by what the costs beside the goods are shared over the lines.
type ShareBy string

// By what they are shared.
const (
	ByValue  ShareBy = "value"
	ByWeight ShareBy = "weight"
)

// Line is a line of an order: the goods' price for all its pieces, and their weight where it is shared by that.
type Line struct {
	Goods Money
	Grams int64
}

// Order is what an order costs. An amount of none may be left out.
type Order struct {
	Currency string
	Lines    []Line
	Shipping Money
	Handling Money // the carrier's or the customs agent's fee
	Duty     Millionths
	VAT      Millionths
	By       ShareBy // by value where empty
}

// LandedLine is what a line has cost when it is in the bin.
type LandedLine struct {
	Goods, Overhead, Total Money
}

// Landed is what an order has cost. The lines' totals add up to the total.
type Landed struct {
	Goods, Shipping, CustomsValue, Duty, VAT, Handling Money
	Overhead, Total                                    Money
	Lines                                              []LandedLine
}

// Land works an order out: duty on goods and shipping, value added tax on these and the duty. What is refused has the name of its
// field; goods of no value, or no weight, that nothing can be shared by are refused for "lines".
func Land(o Order) (Landed, error) {
	goods, err := o.check()
	if err != nil {
		return Landed{}, err
	}
	money := func(minor int64) Money { return Money{Minor: minor, Currency: o.Currency} }
	l := Landed{Goods: money(goods), Shipping: money(o.Shipping.Minor), Handling: money(o.Handling.Minor), CustomsValue: money(goods + o.Shipping.Minor)}
	if l.Duty, err = l.CustomsValue.Part(o.Duty); err != nil {
		return Landed{}, renamed(err, "duty")
	}
	taxed := money(l.CustomsValue.Minor + l.Duty.Minor)
	if l.VAT, err = taxed.Part(o.VAT); err != nil {
		return Landed{}, renamed(err, "vat")
	}
	l.Total = money(taxed.Minor + l.VAT.Minor + l.Handling.Minor)
	return l.share(o)
}

// LandPaid works an order out of which only the goods and what was paid in the end are known; what was paid less than the goods, a
// discount, is shared too. It refuses like [Land], and a payment below zero for "paid".
func LandPaid(o Order, paid Money) (Landed, error) {
	goods, err := o.check()
	if err == nil {
		err = amounts(o.Currency, map[string]Money{"paid": paid})
	}
	if err != nil {
		return Landed{}, err
	}
	l := Landed{Goods: Money{goods, o.Currency}, Total: Money{paid.Minor, o.Currency}}
	return l.share(o)
}

func (o Order) check() (goods int64, err error) {
	all := map[string]Money{"shipping": o.Shipping, "handling": o.Handling}
	for i, line := range o.Lines {
		all[fmt.Sprintf("lines.%d", i)] = line.Goods
		if line.Grams < 0 || line.Grams > maxMinor {
			return 0, input.Wrong(fmt.Sprintf("lines.%d", i), "A weight cannot be less than zero.")
		}
		goods += line.Goods.Minor
	}
	switch err := amounts(o.Currency, all); {
	case err != nil:
		return 0, err
	case len(o.Lines) == 0 || len(o.Lines) > 10_000:
		return 0, input.Wrong("lines", "An order has at least one line.")
	case over(goods):
		return 0, tooMuch()
	case o.By != "" && o.By != ByValue && o.By != ByWeight:
		return 0, input.Wrong("by", "Share by value or by weight.")
	}
	return goods, nil
}

func (l Landed) share(o Order) (Landed, error) {
	if over(l.Total.Minor) {
		return Landed{}, tooMuch()
	}
	l.Overhead = Money{Minor: l.Total.Minor - l.Goods.Minor, Currency: o.Currency}
	weights := make([]int64, len(o.Lines))
	for i, line := range o.Lines {
		weights[i] = line.Goods.Minor
		if o.By == ByWeight {
			weights[i] = line.Grams
		}
	}
	shares, err := Allocate(l.Overhead.Minor, weights)
	if err != nil {
		return Landed{}, input.Wrong("lines", "The lines have no value or no weight to share the costs by: choose the other.")
	}
	for i, line := range o.Lines {
		l.Lines = append(l.Lines, LandedLine{
			Goods:    Money{line.Goods.Minor, o.Currency},
			Overhead: Money{shares[i], o.Currency},
			Total:    Money{line.Goods.Minor + shares[i], o.Currency},
		})
	}
	return l, nil
}

// renamed gives an error the field that the caller's form has.
func renamed(err error, field string) error {
	if e, ok := errors.AsType[*input.Error](err); ok && e.Field == "rate" {
		return input.Wrong(field, e.Sentence)
	}
	return err
}
