package garage

import (
	"slices"
	"time"

	"axlestand/internal/trade/cost"
	"axlestand/internal/trade/interval"
)

// DonorLedger is what a donor costs, and what its shell brings in the end.
type DonorLedger struct {
	CarID         CarID
	Version       int64 // 0 when nothing was noted yet
	Currency      string
	Price         int64
	Transport     int64
	StoragePerDay int64
	Disposal      int64
	Paperwork     int64
	HereSince     *Date // storage is counted from then on
	GoneOn        *Date
	ScrapKg       int
	ScrapPrice    int64 // for a kilogram
}

// Validate says which fields do not hold.
func (l DonorLedger) Validate() error {
	var e FieldErrors
	for field, amount := range map[string]int64{
		"price": l.Price, "transport": l.Transport, "storage_per_day": l.StoragePerDay, "disposal": l.Disposal, "paperwork": l.Paperwork,
		"scrap_price": l.ScrapPrice,
	} {
		if amount < 0 {
			e.Add(field, "Not below zero.")
		}
	}
	if l.ScrapKg < 0 || l.ScrapKg > 100_000 {
		e.Add("scrap_kg", "From 0 to 100,000 kg.")
	}
	if l.GoneOn != nil && (l.HereSince == nil || l.GoneOn.Before(*l.HereSince)) {
		e.Add("gone_on", "Not before it came: note that day too.")
	}
	return e.Err()
}

// DonorSaleID names a sale.
type DonorSaleID int64

// DonorSale is something of a donor that was sold.
type DonorSale struct {
	ID       DonorSaleID
	Version  int64
	CarID    CarID
	What     string
	SoldOn   Date
	Currency string
	Price    int64
	Fees     int64
	Note     string
	// What left the shelf with it; nil when nothing did.
	MovementID *MovementID
	DeletedAt  *time.Time
	Piece      *ShelfPiece `db:"-"` // what is to leave the shelf when the sale is noted; read from nowhere
}

// ShelfPiece is what of a donor lies on the shelf.
type ShelfPiece struct {
	PartID   PartID
	LotID    LotID
	BinID    BinID
	Quantity int
	PartName string
	BinName  string
}

// Validate says which fields do not hold.
func (s DonorSale) Validate() error {
	var e FieldErrors
	e.name("what", s.What)
	if s.SoldOn.IsZero() {
		e.Add("sold_on", "Note the day.")
	}
	if s.Price <= 0 {
		e.Add("price", "What did it bring?")
	}
	if s.Piece != nil && s.Piece.Quantity < 1 {
		e.Add("quantity", "One at least.")
	}
	if s.Fees < 0 || s.Fees > s.Price {
		e.Add("fees", "From nothing to the price.")
	}
	e.text("note", s.Note)
	return e.Err()
}

// DonorUse is a part of a donor with what became of it.
type DonorUse struct {
	DonorPartRow
	PartPrice int64 // what one costs to order; 0 when that is not known
	Used      int   // pieces that jobs have used up
}

// Elsewhere is what one piece would cost at the cheapest real alternative: what the owner noted or what an order costs, whichever is
// less; 0 when neither is known.
func (u DonorUse) Elsewhere() int64 {
	p := KitLine{Part: Part{Price: u.PartPrice, Unit: u.PartUnit}}
	order := p.Price(1)
	if u.Worth != nil && (order == 0 || *u.Worth < order) {
		return *u.Worth
	}
	return order
}

// DonorSheet is all that is known of what a donor costs and brings.
type DonorSheet struct {
	Car        Car
	Ledger     DonorLedger
	Sales      []DonorSale
	Parts      []DonorUse
	OwnMinutes int // at the bench for its harvest, where the owner said
}

// DonorAccount is a donor added up.
type DonorAccount struct {
	cost.DonorResult
	StorageDays int
	Storage     int64
	Used        int64
	Sold        int64
	Scrap       int64
	Estimate    cost.DonorResult // as if all that is still on it, or lies in a bin, were used too
}

// Account adds a donor up at a day. *InvalidError for what cannot be added.
func (s DonorSheet) Account(today Date) (a DonorAccount, err error) {
	l := s.Ledger
	money := func(minor int64) cost.Money { return cost.Money{Minor: minor, Currency: l.Currency} }
	if l.HereSince != nil && !today.Before(*l.HereSince) {
		until := today
		if l.GoneOn != nil && l.GoneOn.Before(today) {
			until = *l.GoneOn
		}
		if a.StorageDays, err = cost.SpaceDays(interval.Date(*l.HereSince), interval.Date(until)); err != nil {
			return a, FieldErrors{"here_since": TradeSentence(err)}.Err()
		}
	}
	a.Storage = int64(a.StorageDays) * l.StoragePerDay
	whole := int64(0)
	for _, u := range s.Parts {
		a.Used += int64(u.Used) * u.Elsewhere()
		if u.Condition != Bad {
			whole += int64(max(u.Quantity, u.Used)) * u.Elsewhere()
		} else {
			whole += int64(u.Used) * u.Elsewhere()
		}
	}
	for _, sale := range s.Sales {
		a.Sold += sale.Price - sale.Fees
	}
	scrap, err := cost.Scrap(int64(l.ScrapKg)*1000, money(l.ScrapPrice))
	if err != nil {
		return a, FieldErrors{"scrap_price": TradeSentence(err)}.Err()
	}
	a.Scrap = scrap.Minor
	d := cost.Donor{
		Currency: l.Currency, Price: money(l.Price), Transport: money(l.Transport), StoragePerDay: money(l.StoragePerDay),
		StorageDays: a.StorageDays, Disposal: money(l.Disposal), Paperwork: money(l.Paperwork), Used: money(a.Used), Sold: money(a.Sold), Scrap: scrap,
	}
	if a.DonorResult, err = d.Reckon(); err == nil {
		d.Used = money(whole)
		a.Estimate, err = d.Reckon()
	}
	if err != nil {
		return a, FieldErrors{"": TradeSentence(err)}.Err()
	}
	return a, nil
}

// Basis is what a part of an estimated value has cost, by its share of all that the donor is estimated to bring; 0 when nothing
// is estimated.
func (a DonorAccount) Basis(value int64) int64 {
	basis, err := a.Estimate.Basis(cost.Money{Minor: value, Currency: a.Cost.Currency})
	if err != nil {
		return 0
	}
	return basis.Minor
}

// DonorWant is something that the plan takes off a donor: when, and what it would cost elsewhere.
type DonorWant struct {
	On    Date
	Value int64
}

// LeaveBy is the day after which keeping a shell costs more than what is still wanted from it: of all the days on which something
// comes off, and the first, the one up to which what came off is worth most beyond the room it took. wanted says that there is
// something to wait for.
func LeaveBy(from Date, perDay int64, wants []DonorWant) (day Date, wanted bool) {
	wants = slices.Clone(wants)
	slices.SortStableFunc(wants, func(a, b DonorWant) int { return a.On.Compare(b.On) })
	day, best, sum := from, int64(0), int64(0)
	for _, w := range wants {
		sum += w.Value
		days := max(0, interval.Date(from).Days(interval.Date(w.On)))
		if net := sum - int64(days)*perDay; net > best || net == best && perDay == 0 {
			day, best, wanted = w.On, net, true
		}
	}
	if day.Before(from) {
		day = from
	}
	return day, wanted
}
