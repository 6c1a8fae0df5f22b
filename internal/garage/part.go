package garage

import (
	"errors"
	"slices"
	"strings"
	"time"
	"unicode"
)

// PartID names a part.
type PartID int64

// Grades lists where a part may come from, best known first.
var Grades = []string{"", "maker", "supplier to the maker", "aftermarket", "refurbished", "used", "made here"}

// PartUnits lists what a part is counted in.
var PartUnits = []string{"piece", "set", "ml", "g", "cm"}

// Sides lists the sides of a handed part: left and right as seen from the driver's seat facing forward.
var Sides = []string{"", "left", "right"}

// Part is a kind of thing with numbers and variants. Price is for one piece or set, for 1,000 of ml, g or cm.
// The three lead times are days from an order made now; none when it cannot be ordered.
type Part struct {
	ID           PartID
	Version      int64
	Name         string
	Number       string
	OtherNumbers string
	Side         string
	Grade        string
	Unit         string
	Supplier     string
	Price        int64
	Currency     string
	LeadLow      *int
	LeadLikely   *int
	LeadHigh     *int
	Notes        string
	Variant      string // what must match, where it comes in variants
	DeletedAt    *time.Time
}

// Validate says which fields do not hold.
func (p Part) Validate() error {
	var e FieldErrors
	e.name("name", p.Name)
	for field, value := range map[string]string{"number": p.Number, "supplier": p.Supplier, "variant": p.Variant} {
		if len([]rune(value)) > maxName {
			e.Add(field, "Keep it to 200 characters.")
		}
	}
	e.numbers("other_numbers", p.OtherNumbers)
	oneOf(&e, "side", p.Side, Sides)
	oneOf(&e, "grade", p.Grade, Grades)
	oneOf(&e, "unit", p.Unit, PartUnits)
	if p.Price < 0 {
		e.Add("price", "Not below zero.")
	}
	e.lead(p)
	e.text("notes", p.Notes)
	return e.Err()
}

func (e *FieldErrors) numbers(field, text string) {
	if len([]rune(text)) > 2000 {
		e.Add(field, "Keep it to 2,000 characters.")
	}
	for _, n := range ParseNumbers(text) {
		if len([]rune(n.Number)) > maxName || len([]rune(n.Whose)) > maxName {
			e.Add(field, "Keep each number to 200 characters; commas stand between them.")
		}
	}
}

func (e *FieldErrors) lead(p Part) {
	lead := []*int{p.LeadLow, p.LeadLikely, p.LeadHigh}
	missing := slices.Contains(lead, nil)
	switch {
	case missing && !slices.ContainsFunc(lead, func(d *int) bool { return d != nil }):
	case missing:
		e.Add("lead", "Give all three: least, likely, most days.")
	case *p.LeadLow < 0 || *p.LeadLow > *p.LeadLikely || *p.LeadLikely > *p.LeadHigh:
		e.Add("lead", "The days must not run backwards: least, likely, most.")
	case *p.LeadHigh > 3650:
		e.Add("lead", "That is more than ten years.")
	}
}

// Label tells a part from others of its name: Trailing arm, left · TR-4410-L. A name that says the side
// already goes without.
func (p Part) Label() string {
	label := p.Name
	words := strings.FieldsFunc(strings.ToLower(p.Name), func(r rune) bool { return !unicode.IsLetter(r) })
	if p.Side != "" && !slices.Contains(words, p.Side) {
		label += ", " + p.Side
	}
	if p.Number != "" {
		label += " · " + p.Number
	}
	return label
}

// Measured says that it is used by the millilitre, gram or centimetre: it stays in its can or on its roll.
func (p Part) Measured() bool { return p.Unit == "ml" || p.Unit == "g" || p.Unit == "cm" }

// PartFilter chooses parts for a list: those that hold every word of Query in what can be named of them.
type PartFilter struct {
	Query  string
	Limit  int
	Offset int
}

// PartRow is a part as the list of parts shows it, with how many the filter found in all.
type PartRow struct {
	Part
	OnHand   int
	Expected int
	OnDonors int
	Jobs     int // open ones that need it
	Bins     string
	Total    int
}

// PartNeed is a need of an open job as the page of its part shows it.
type PartNeed struct {
	Need
	JobID    JobID
	JobTitle string
	CarName  string
}

// BinID names a bin.
type BinID int64

// Bin is a place where stock lies.
type Bin struct {
	ID        BinID
	Version   int64
	Name      string
	Place     string
	DeletedAt *time.Time
}

// Validate says which fields do not hold.
func (b Bin) Validate() error {
	var e FieldErrors
	e.name("name", b.Name)
	if len([]rune(b.Place)) > maxName {
		e.Add("place", "Keep it to 200 characters.")
	}
	return e.Err()
}

// MovementID names a stock movement.
type MovementID int64

// MovementKinds lists why stock moves; the owner enters all but the last.
var MovementKinds = []string{"bought", "received", "taken off", "used", "moved", "counted", "scrapped", "sent back", "sold", "reversed"}

// Movement is pieces put into (positive) or taken out of (negative) a bin. It is never changed; one that Reverses another
// undoes it.
type Movement struct {
	ID        MovementID
	PartID    PartID
	BinID     BinID
	LotID     *LotID // nil: as it was bought
	Quantity  int
	Kind      string
	Note      string
	JobID     *JobID
	ArrivalID *ArrivalID
	// The stage that used it up, and the part on a donor that it was.
	StageID     *StageID
	DonorPartID *DonorPartID
	Reverses    *MovementID
	CreatedAt   time.Time
}

// MovementRow is a movement as a part's list shows it.
type MovementRow struct {
	Movement
	BinName  string
	JobTitle *string
	Reversed bool
}

// BinPick names a bin as typed; New lets one be made that is not there.
type BinPick struct {
	Name string
	New  bool
}

// PartPick names a part as typed, by its label, name or number; New lets one be made that is not there, for that side.
type PartPick struct {
	Text string
	New  bool
	Side string
}

// Validate says which fields do not hold.
func (m Movement) Validate() error {
	var e FieldErrors
	if m.BinID == 0 {
		e.Add("bin", "Choose the bin.")
	}
	if m.Quantity == 0 || m.Quantity < -1_000_000 || m.Quantity > 1_000_000 {
		e.Add("quantity", "Not zero, and at most 1,000,000.")
	}
	oneOf(&e, "kind", m.Kind, MovementKinds)
	e.text("note", m.Note)
	return e.Err()
}

// Stock is what of a part lies in a bin and is alike: of one lot, or of none.
type Stock struct {
	PartID    PartID
	BinID     BinID
	LotID     *LotID
	Quantity  int
	Grade     string
	Condition string
}

// BinStock is what of a part lies in a bin, with the bin's name.
type BinStock struct {
	Stock
	BinName string
	Place   string
	Lot     LotRow // empty for what lies there as it was bought
}

// PartStock is what of a part lies in a bin, with the part.
type PartStock struct {
	Part
	Quantity int
	Detail   string // what sets the pieces apart, where something does
}

// BinRow is a bin as the list of bins shows it.
type BinRow struct {
	Bin
	Parts int // different ones that lie in it
}

// ArrivalID names an arrival.
type ArrivalID int64

// Arrival is pieces expected from a supplier: at the earliest, most likely, at the latest.
type Arrival struct {
	ID         ArrivalID
	Version    int64
	PartID     PartID
	Quantity   int
	Low        Date
	Likely     Date
	High       Date
	Supplier   string
	Note       string
	ReceivedAt *time.Time
	DeletedAt  *time.Time
	// The line of an order that it is of; nil for one that was entered alone.
	OrderID     *OrderID
	OrderLineID *OrderLineID
	PromisedOn  *Date
	Estimated   bool           // its dates follow the promise and how the supplier keeps those
	ReturnID    *OrderReturnID // what it comes in place of
}

// Validate says which fields do not hold.
func (a Arrival) Validate() error {
	var e FieldErrors
	e.quantity("quantity", a.Quantity)
	if a.Low.IsZero() || a.Likely.IsZero() || a.High.IsZero() {
		e.Add("arrives", "Give all three dates: earliest, likely, latest.")
	} else {
		e.spread("arrives", &a.Low, &a.Likely, &a.High)
	}
	if len([]rune(a.Supplier)) > maxName {
		e.Add("supplier", "Keep it to 200 characters.")
	}
	e.text("note", a.Note)
	return e.Err()
}

// DonorPartID names a part that is still on a donor.
type DonorPartID int64

// Conditions lists what is known of a part on a donor.
var Conditions = []string{"unknown", "good", "worn", "bad"}

// DonorPart is a part that is on a donor car: to be had, but not in stock.
type DonorPart struct {
	ID           DonorPartID
	Version      int64
	CarID        CarID
	PartID       PartID
	Quantity     int
	Condition    string
	Note         string
	HarvestJobID *JobID // the job that takes it off
	// How long it takes to come off, and what one costs elsewhere at the cheapest, in minor units; nil where nobody said.
	RemovalMinutes *int
	Worth          *int64
	TakenAt        *time.Time
	DeletedAt      *time.Time
	ForCores       int // how many of them go back for a deposit; read, never written
}

// Free is how many are left for jobs.
func (d DonorPart) Free() int { return max(0, d.Quantity-d.ForCores) }

// Validate says which fields do not hold.
func (d DonorPart) Validate() error {
	var e FieldErrors
	if d.PartID == 0 {
		e.Add("part", "Choose the part.")
	}
	e.quantity("quantity", d.Quantity)
	oneOf(&e, "condition", d.Condition, Conditions)
	if d.RemovalMinutes != nil && (*d.RemovalMinutes < 1 || *d.RemovalMinutes > 7*24*60) {
		e.Add("removal", "From one minute to a week.")
	}
	if d.Worth != nil && *d.Worth < 0 {
		e.Add("worth", "Not below zero.")
	}
	e.text("note", d.Note)
	return e.Err()
}

// DonorPartRow is a part on a donor as a list shows it, with the open job that takes it off.
type DonorPartRow struct {
	DonorPart
	PartName     string
	PartNumber   string
	PartSide     string
	PartUnit     string
	CarName      string
	CarStands    Stands
	HarvestTitle *string
}

// Part is the part that it is, as far as the row knows.
func (r DonorPartRow) Part() Part {
	return Part{ID: r.PartID, Name: r.PartName, Number: r.PartNumber, Side: r.PartSide, Unit: r.PartUnit}
}

// HarvestPlan is a harvest job to be made: the parts it takes off a donor and what it takes at the bench, in minutes.
type HarvestPlan struct {
	CarID    CarID
	Title    string
	Parts    []DonorPartID
	Low      int
	Likely   int
	High     int
	Lift     bool
	Currency string
}

// Validate says which fields do not hold.
func (h HarvestPlan) Validate() error {
	var e FieldErrors
	e.name("title", h.Title)
	if len(h.Parts) == 0 {
		e.Add("parts", "Tick what it takes off.")
	}
	stage := Stage{Name: h.Title, Kind: Bench, Low: h.Low, Likely: h.Likely, High: h.High}
	if invalid, ok := errors.AsType[*InvalidError](stage.Validate()); ok {
		delete(invalid.Fields, "name")
		e.Merge(invalid.Fields)
	}
	return e.Err()
}

// NormalNumber is a part number in small letters without the blanks, hyphens, dots and strokes that it is written with.
func NormalNumber(number string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) || strings.ContainsRune(numberBreaks, r) {
			return -1
		}
		return unicode.ToLower(r)
	}, number)
}

const numberBreaks = "-./\u2010\u2011\u2013"
