package cost

import (
	"axlestand/internal/trade/input"
	"axlestand/internal/trade/interval"
)

// Donor is what a donor car costs and brings. Amounts may be left out. The owner's hours stand apart and are not counted as money.
type Donor struct {
	Currency      string
	Price         Money
	Transport     Money
	StoragePerDay Money
	StorageDays   int
	Disposal      Money
	Paperwork     Money

	Used     Money // parts used, each at the cheapest real alternative, not at its new price
	Sold     Money // parts sold, after fees
	Scrap    Money
	Deposits Money // core deposits that its units got back
}

// DonorResult is what a donor car has come to.
type DonorResult struct {
	Cost       Money
	NetOutlay  Money // what is really gone: cost less what was paid back for it; below zero when it has paid for itself
	Benefit    Money // what the parts used save on top of that; below zero when it did not pay
	Realisable Money // all that it brings, by which its cost is shared over its parts
}

// Reckon adds a donor car up. What is refused has the name of its field.
func (d Donor) Reckon() (DonorResult, error) {
	err := amounts(d.Currency, map[string]Money{
		"price": d.Price, "transport": d.Transport, "storage_per_day": d.StoragePerDay, "disposal": d.Disposal, "paperwork": d.Paperwork,
		"used": d.Used, "sold": d.Sold, "scrap": d.Scrap, "deposits": d.Deposits,
	})
	if err != nil {
		return DonorResult{}, err
	}
	if d.StorageDays < 0 || d.StorageDays > 36525 {
		return DonorResult{}, input.Wrong("storage_days", "Give the days of storage, zero or more.")
	}
	if d.StorageDays > 0 && d.StoragePerDay.Minor > maxMinor/int64(d.StorageDays) {
		return DonorResult{}, tooMuch()
	}
	money := func(minor int64) Money { return Money{Minor: minor, Currency: d.Currency} }
	cost := d.Price.Minor + d.Transport.Minor + d.StoragePerDay.Minor*int64(d.StorageDays) + d.Disposal.Minor + d.Paperwork.Minor
	back := d.Sold.Minor + d.Scrap.Minor + d.Deposits.Minor
	return DonorResult{
		Cost: money(cost), NetOutlay: money(cost - back), Benefit: money(d.Used.Minor - (cost - back)), Realisable: money(d.Used.Minor + back),
	}, nil
}

// Factor is the share of a part's estimated value that it has cost: cost over all that can be realised. Where nothing can be realised it is
// refused for "realisable".
func (r DonorResult) Factor() (Millionths, error) {
	if r.Realisable.Minor <= 0 {
		return 0, input.Wrong("realisable", "Estimate what its parts are worth first.")
	}
	f, ok := scale(r.Cost.Minor, int64(Whole), r.Realisable.Minor)
	if !ok {
		return 0, tooMuch()
	}
	return Millionths(f), nil
}

// Basis is what a part of an estimated value has cost. Where nothing can be realised it is refused for "realisable", an estimate below zero
// for "estimate". The bases of all its parts together come from [Allocate], so that they add up to the cost.
func (r DonorResult) Basis(estimate Money) (Money, error) {
	if r.Realisable.Minor <= 0 {
		return Money{}, input.Wrong("realisable", "Estimate what its parts are worth first.")
	}
	if err := amounts(r.Cost.Currency, map[string]Money{"estimate": estimate}); err != nil {
		return Money{}, err
	}
	minor, ok := scale(estimate.Minor, r.Cost.Minor, r.Realisable.Minor)
	if !ok {
		return Money{}, tooMuch()
	}
	return Money{Minor: minor, Currency: r.Cost.Currency}, nil
}

// Scrap is what a weight brings at a price for a kilogram. A weight below zero is refused for "grams", a price below zero for "price".
func Scrap(grams int64, perKilogram Money) (Money, error) {
	if grams < 0 || grams > maxMinor {
		return Money{}, input.Wrong("grams", "Give the weight, zero or more.")
	}
	if err := amounts(perKilogram.Currency, map[string]Money{"price": perKilogram}); err != nil {
		return Money{}, err
	}
	minor, ok := scale(perKilogram.Minor, grams, 1000)
	if !ok {
		return Money{}, tooMuch()
	}
	return Money{Minor: minor, Currency: perKilogram.Currency}, nil
}

// SpaceDays is how many days a shell has taken room, the first and the last included. A day before it arrived is refused for "today".
func SpaceDays(arrived, today interval.Date) (int, error) {
	if arrived.IsZero() || today.Before(arrived) {
		return 0, input.Wrong("today", "It has not arrived yet.")
	}
	return arrived.Days(today) + 1, nil
}
