package cost

import (
	"axlestand/internal/trade/input"
	"axlestand/internal/trade/interval"
)

// Purchase is what decides how long something can go back.
type Purchase struct {
	Trader   bool // bought of a trader in the EU, not privately
	Distance bool // by letter, telephone or internet
	Used     bool
	// UsedMonths is what national law leaves of the two years for used goods; at least 12. Zero is 12.
	UsedMonths int
	Bought     interval.Date
	Received   interval.Date
}

// Rights are the last days on which something can go back, both from memory of the directives. A zero Date is no such right.
type Rights struct {
	Withdrawal     interval.Date // distance selling: 14 days from receipt, Directive 2011/83/EU, article 9
	Conformity     interval.Date // two years, Directive (EU) 2019/771, article 10
	ReversedBurden interval.Date // the seller has to prove that the fault was not there: one year, article 11
	Sentence       string
}

// The days and months of the directives, from memory.
const (
	WithdrawalDays   = 14
	ConformityMonths = 24
	UsedLeastMonths  = 12
	BurdenMonths     = 12
)

// ReturnRights says until when a purchase can go back. National law and the seller's own terms may give more. Without a day of receipt it
// is refused for "received"; months for used goods outside 12 to 24 are refused for "used_months".
func ReturnRights(p Purchase) (Rights, error) {
	switch {
	case !p.Trader:
		return Rights{Sentence: "Bought privately: usually there is no right to give it back."}, nil
	case p.Received.IsZero() || p.Received.Before(p.Bought):
		return Rights{}, input.Wrong("received", "Give the day it arrived, which is not before the day it was bought.")
	case p.UsedMonths != 0 && (p.UsedMonths < UsedLeastMonths || p.UsedMonths > ConformityMonths):
		return Rights{}, input.Wrong("used_months", "National law leaves from 12 to 24 months for used goods.")
	}
	months := ConformityMonths
	if p.Used {
		months = max(UsedLeastMonths, p.UsedMonths)
	}
	r := Rights{
		Conformity:     p.Received.AddMonths(months),
		ReversedBurden: p.Received.AddMonths(BurdenMonths),
		Sentence:       "As the directives have it; national law and the seller's own terms may give more.",
	}
	if p.Distance {
		r.Withdrawal = p.Received.AddDays(WithdrawalDays)
	}
	return r, nil
}

// WarrantyBasis is the day from which a maker's or seller's warranty runs.
type WarrantyBasis string

// The bases.
const (
	FromPurchase WarrantyBasis = "purchase"
	FromFitting  WarrantyBasis = "fitting"
)

// Warranty is what a part's warranty says. Zero is no limit of that kind; one of the two is there.
type Warranty struct {
	Months int
	Metres int64
	Basis  WarrantyBasis
	// Professional says that it holds only if a workshop fitted the part, as such warranties often do: common practice, no source.
	Professional bool
}

// WarrantyEnd is when a warranty ends: on a day, or when the car has run so far, whichever comes first. Zero is no limit of that kind.
type WarrantyEnd struct {
	On       interval.Date
	Metres   int64
	Sentence string
}

// End says when the warranty ends for a part bought on a day, and fitted at a reading, which may be zero while it is not fitted. A warranty
// without a limit is refused for "warranty", without the day that it runs from for "bought" or "fitted".
func (w Warranty) End(bought interval.Date, fitted interval.Reading) (WarrantyEnd, error) {
	from, field := bought, "bought"
	if w.Basis == FromFitting {
		from, field = fitted.On, "fitted"
	}
	switch {
	case w.Months < 0 || w.Metres < 0 || w.Months == 0 && w.Metres == 0 || w.Months > 1200 || w.Metres > maxMinor:
		return WarrantyEnd{}, input.Wrong("warranty", "Give months, a distance or both, each more than zero.")
	case w.Basis != FromPurchase && w.Basis != FromFitting:
		return WarrantyEnd{}, input.Wrong("basis", "A warranty runs from the purchase or from the fitting.")
	case from.IsZero():
		return WarrantyEnd{}, input.Wrong(field, "Give the day from which the warranty runs.")
	case w.Metres > 0 && fitted.On.IsZero():
		return WarrantyEnd{}, input.Wrong("fitted", "A warranty by distance runs from the reading when the part was fitted.")
	}
	var end WarrantyEnd
	if w.Months > 0 {
		end.On = from.AddMonths(w.Months)
	}
	if w.Metres > 0 {
		end.Metres = fitted.Metres + w.Metres
	}
	if w.Professional {
		end.Sentence = "It asks for fitting by a workshop: a part that you fit yourself may not be covered."
	}
	return end, nil
}

// Over says whether the warranty has ended on a day with the car at so many metres. The last day and the last metre belong to it.
func (e WarrantyEnd) Over(today interval.Date, metres int64) bool {
	return !e.On.IsZero() && e.On.Before(today) || e.Metres > 0 && metres > e.Metres
}
