package page

import (
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/planner"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// DonorFrees is what a donor does for the plan: what it would be without it.
type DonorFrees struct {
	Jobs    []garage.JobID // that nothing else would let happen
	Later   []garage.JobID // that would end on a later day
	Minutes int            // of work at the bench in both
	Pieces  map[garage.DonorPartID]int
	Wants   []garage.DonorWant // Value is filled in by who knows what they cost elsewhere
	wanted  []donorWanted
}

type donorWanted struct {
	part garage.PartID
	qty  int
	on   time.Time
}

// DonorFrees plans the garage without a donor and says what becomes of the other jobs.
func (p Planned) DonorFrees(car garage.CarID) (DonorFrees, error) {
	var f DonorFrees
	harvests := map[garage.JobID]bool{}
	shot := p.Shot
	shot.DonorParts = slices.DeleteFunc(slices.Clone(shot.DonorParts), func(d garage.DonorPart) bool { return d.CarID == car })
	shot.Jobs = slices.DeleteFunc(slices.Clone(shot.Jobs), func(j garage.Job) bool {
		if j.CarID == car && j.Kind == garage.Harvest {
			harvests[j.ID] = true
		}
		return harvests[j.ID]
	})
	shot.Stages = slices.DeleteFunc(slices.Clone(shot.Stages), func(s garage.Stage) bool { return harvests[s.JobID] })
	shot.After = slices.DeleteFunc(slices.Clone(shot.After), func(a garage.After) bool { return harvests[a.AfterID] || harvests[a.JobID] })
	_, without, err := planner.PlanGarage(shot, p.Now)
	if err != nil {
		return f, err
	}
	with, then := lastDays(p.Answer), lastDays(without)
	for _, job := range p.Shot.Jobs {
		ref := planner.JobRef(job.ID)
		end, placed := with[ref]
		if !placed || harvests[job.ID] || job.CarID == car {
			continue
		}
		later, still := then[ref]
		switch {
		case !still:
			f.Jobs = append(f.Jobs, job.ID)
		case garage.DateOf(end.In(p.Now.Location())).Before(garage.DateOf(later.In(p.Now.Location()))):
			f.Later = append(f.Later, job.ID)
		default:
			continue
		}
		f.Minutes += p.benchMinutes(job.ID)
	}
	for _, promise := range p.Answer.Promises {
		job := planner.RefNumber[garage.JobID](promise.Of)
		if promise.Source == planner.FromJob && harvests[job] {
			f.wanted = append(f.wanted, donorWanted{part: planner.RefNumber[garage.PartID](promise.Part), qty: promise.Qty, on: with[promise.Of]})
		}
	}
	return f, nil
}

// lastDays is when each job of a plan ends.
func lastDays(a planner.Answer) map[string]time.Time {
	ends := map[string]time.Time{}
	for _, s := range a.Stages {
		if s.To.After(ends[s.Job]) {
			ends[s.Job] = s.To
		}
	}
	return ends
}

func (p Planned) benchMinutes(job garage.JobID) int {
	minutes := 0
	for _, s := range p.Shot.Stages {
		if s.JobID == job && s.Kind == garage.Bench {
			minutes += s.Likely
		}
	}
	return minutes
}

// value is what the pieces that the plan takes off would cost elsewhere, each with the day on which it comes off.
func (f DonorFrees) value(sheet garage.DonorSheet, zone *time.Location) (wants []garage.DonorWant, total int64) {
	each := map[garage.PartID]int64{}
	for _, u := range sheet.Parts {
		if u.TakenAt == nil {
			each[u.PartID] = u.Elsewhere()
		}
	}
	for _, w := range f.wanted {
		value := each[w.part] * int64(w.qty)
		total += value
		wants = append(wants, garage.DonorWant{On: garage.DateOf(w.on.In(zone)), Value: value})
	}
	return wants, total
}

// DonorView is the page of what a donor costs and brings.
type DonorView struct {
	Base
	Car     garage.Car
	Leave   string
	Mood    ui.Mood
	Frees   []ui.ListItem
	FreesIn string
	Money   ui.TableData
	Own     string
	Sales   ui.TableData
	Parts   ui.TableData
	Factor  string
	Missing string // parts that nobody knows the worth of
}

// NewDonor adds a donor up.
func NewDonor(base Base, sheet garage.DonorSheet, account garage.DonorAccount, frees DonorFrees, p Planned) DonorView {
	v := DonorView{Base: base, Car: sheet.Car}
	zone := p.Shot.Settings.Location()
	wants, saved := frees.value(sheet, zone)
	v.leave(sheet, wants, garage.DateOf(p.Now))
	v.frees(frees, p, garage.MoneyText(saved, sheet.Ledger.Currency))
	v.money(sheet, account)
	v.parts(sheet, account)
	if sheet.OwnMinutes > 0 {
		v.Own = "Your own hours stand apart: " + WorkWords(sheet.OwnMinutes) + " at the bench so far."
	}
	return v
}

// leave says when the shell should go.
func (v *DonorView) leave(sheet garage.DonorSheet, wants []garage.DonorWant, today garage.Date) {
	from := today
	if sheet.Car.Stands == garage.NotHere && sheet.Car.ArrivesLikely != nil && today.Before(*sheet.Car.ArrivesLikely) {
		from = *sheet.Car.ArrivesLikely
	}
	perDay := garage.MoneyText(sheet.Ledger.StoragePerDay, sheet.Ledger.Currency)
	day, wanted := garage.LeaveBy(from, sheet.Ledger.StoragePerDay, wants)
	switch {
	case sheet.Ledger.GoneOn != nil:
		v.Mood, v.Leave = ui.Done, "gone since "+DayWords(*sheet.Ledger.GoneOn)
	case !wanted && len(wants) > 0:
		v.Mood, v.Leave = ui.Loose, "the shell should go now: at "+perDay+" a day it costs more than what the plan still wants from it"
	case !wanted:
		v.Mood, v.Leave = ui.Loose, "the shell can go now: the plan wants nothing more from it"
	case sheet.Ledger.StoragePerDay == 0:
		v.Mood, v.Leave = ui.Waits, "the plan takes the last of it off on "+DayWords(day)+"; its room costs nothing"
	default:
		v.Mood, v.Leave = ui.Waits, "the shell should go after "+DayWords(day)+": from then on its room, "+perDay+" a day, costs more than what the plan still wants from it"
	}
}

func (v *DonorView) frees(f DonorFrees, p Planned, saved string) {
	item := func(id garage.JobID, text string) {
		job := p.jobs[planner.JobRef(id)]
		v.Frees = append(v.Frees, ui.ListItem{Title: job.Title, Href: route.Job(id), Sub: p.cars[planner.CarRef(job.CarID)].Name, Meta: text})
	}
	for _, id := range f.Jobs {
		item(id, "not without it")
	}
	for _, id := range f.Later {
		item(id, "later without it")
	}
	if len(v.Frees) > 0 || len(f.wanted) > 0 {
		v.FreesIn = joined(" · ", countWords(len(v.Frees), "job", "jobs"), WorkWords(f.Minutes)+" at the bench", saved+" not spent elsewhere")
	}
}

func (v *DonorView) money(sheet garage.DonorSheet, a garage.DonorAccount) {
	l := sheet.Ledger
	money := func(minor int64) string { return garage.MoneyText(minor, l.Currency) }
	v.Money = ui.TableData{Caption: "What it costs and brings", Quiet: true, Columns: []ui.Column{{Head: "", Lead: true}, {Head: "Costs", Num: true}, {Head: "Brings", Num: true}}}
	cost := func(what string, minor int64, sub string) {
		if minor != 0 {
			v.Money.Rows = append(v.Money.Rows, []ui.Cell{{Text: what, Sub: sub}, {Text: money(minor)}, {}})
		}
	}
	cost("Price", l.Price, "")
	cost("Transport", l.Transport, "")
	cost("Storage", a.Storage, DayCount(a.StorageDays)+" at "+money(l.StoragePerDay))
	cost("Disposal", l.Disposal, "")
	cost("Paperwork", l.Paperwork, "")
	v.Money.Rows = append(v.Money.Rows,
		[]ui.Cell{{Text: "Parts sold", Sub: "after fees"}, {}, {Text: money(a.Sold)}},
		[]ui.Cell{{Text: "Scrap", Sub: strconv.Itoa(l.ScrapKg) + " kg at " + money(l.ScrapPrice)}, {}, {Text: money(a.Scrap)}},
	)
	v.Money.Totals = []ui.Cell{{Text: "Net outlay"}, {Text: money(a.NetOutlay.Minor), Sub: money(a.Cost.Minor) + " less " + money(a.Sold+a.Scrap)}, {}}
	v.Money.Rows = append(v.Money.Rows, []ui.Cell{{Text: "Parts used", Sub: "at the cheapest real alternative; no money came in"}, {}, {Text: money(a.Used)}})
	benefit := "It has saved " + money(a.Benefit.Minor) + " so far."
	if a.Benefit.Minor < 0 {
		benefit = "It has still to save " + money(-a.Benefit.Minor) + "."
	}
	v.Factor = benefit
	if f, err := a.Estimate.Factor(); err == nil && a.Cost.Minor > 0 {
		v.Factor += " Each part has cost " + strconv.FormatFloat(float64(f)/1e4, 'f', 0, 64) + "\u00a0% of what it is worth."
	}
	v.Sales = ui.TableData{Caption: "Sold", Quiet: true, Columns: []ui.Column{{Head: "What", Lead: true}, {Head: "On"}, {Head: "Price", Num: true}, {Head: "Fees", Num: true}}}
	for _, s := range sheet.Sales {
		v.Sales.Rows = append(v.Sales.Rows, []ui.Cell{
			{Text: s.What, Href: route.DonorSaleEdit(s.ID), Sub: s.Note},
			{Text: DayWords(s.SoldOn)},
			{Text: garage.MoneyText(s.Price, s.Currency)},
			{Text: garage.MoneyText(s.Fees, s.Currency)},
		})
	}
}

func (v *DonorView) parts(sheet garage.DonorSheet, a garage.DonorAccount) {
	v.Parts = ui.TableData{
		Caption: "Its parts and what they have cost", Quiet: true,
		Columns: []ui.Column{{Head: "Part", Lead: true}, {Head: "Where"}, {Head: "Comes off in"}, {Head: "Worth", Num: true}, {Head: "Has cost", Num: true}},
	}
	unknown := 0
	for _, u := range sheet.Parts {
		where := "on the car, " + u.Condition
		if u.Condition == "unknown" {
			where = "on the car, to be found out"
		}
		if u.TakenAt != nil {
			where = joined(", ", "taken off", nonZeroText(u.Used, u.PartUnit)+prefixed(" ", usedWord(u.Used)))
		}
		removal, worth, basis := "", "", ""
		if u.RemovalMinutes != nil {
			removal = WorkWords(*u.RemovalMinutes)
		}
		value := u.Elsewhere() * int64(u.Quantity)
		if value > 0 {
			worth = garage.MoneyText(value, sheet.Ledger.Currency)
			if u.Condition != garage.Bad {
				basis = garage.MoneyText(a.Basis(value), sheet.Ledger.Currency)
			}
		} else {
			unknown++
		}
		cell := ui.Cell{Text: pieces(u.Quantity, u.Part().Label()), Href: route.Part(u.PartID), Sub: u.Note}
		if u.TakenAt == nil {
			cell.Href = route.DonorPartEdit(u.ID)
		}
		v.Parts.Rows = append(v.Parts.Rows, []ui.Cell{cell, {Text: where}, {Text: removal}, {Text: worth}, {Text: basis}})
	}
	if unknown > 0 {
		v.Missing = "Of " + countWords(unknown, "part", "parts") + " nobody has said what one costs elsewhere: note it, and it is counted."
	}
}

func usedWord(used int) string {
	if used == 0 {
		return ""
	}
	return "used"
}

// DonorLedgerForm is what a donor costs, as typed.
type DonorLedgerForm struct {
	Version, Price, Transport, Storage, Disposal, Paperwork string
	HereSince, GoneOn, ScrapKg, ScrapPrice                  string
	Errors                                                  garage.FieldErrors
}

// NewDonorLedgerForm is the form filled from what is stored.
func NewDonorLedgerForm(l garage.DonorLedger) DonorLedgerForm {
	money := func(minor int64) string {
		if minor == 0 {
			return ""
		}
		return garage.MoneyFigure(minor, l.Currency)
	}
	f := DonorLedgerForm{
		Version: strconv.FormatInt(l.Version, 10), Price: money(l.Price), Transport: money(l.Transport), Storage: money(l.StoragePerDay),
		Disposal: money(l.Disposal), Paperwork: money(l.Paperwork), HereSince: dateText(l.HereSince), GoneOn: dateText(l.GoneOn),
		ScrapPrice: money(l.ScrapPrice),
	}
	if l.ScrapKg > 0 {
		f.ScrapKg = strconv.Itoa(l.ScrapKg)
	}
	return f
}

// ReadDonorLedgerForm is the form as sent.
func ReadDonorLedgerForm(v url.Values) DonorLedgerForm {
	return DonorLedgerForm{
		Version: v.Get("version"), Price: v.Get("price"), Transport: v.Get("transport"), Storage: v.Get("storage_per_day"),
		Disposal: v.Get("disposal"), Paperwork: v.Get("paperwork"), HereSince: v.Get("here_since"), GoneOn: v.Get("gone_on"),
		ScrapKg: v.Get("scrap_kg"), ScrapPrice: v.Get("scrap_price"),
	}
}

// Ledger reads what was typed over what is stored, and notes in Errors what does not parse or does not hold.
func (f *DonorLedgerForm) Ledger(l garage.DonorLedger) garage.DonorLedger {
	var in fields
	l.Version = version(f.Version)
	l.Price, l.Transport = in.money("price", f.Price, l.Currency), in.money("transport", f.Transport, l.Currency)
	l.StoragePerDay, l.Disposal = in.money("storage_per_day", f.Storage, l.Currency), in.money("disposal", f.Disposal, l.Currency)
	l.Paperwork, l.ScrapPrice = in.money("paperwork", f.Paperwork, l.Currency), in.money("scrap_price", f.ScrapPrice, l.Currency)
	l.HereSince, l.GoneOn = in.optionalDate("here_since", f.HereSince), in.optionalDate("gone_on", f.GoneOn)
	l.ScrapKg = in.intOr("scrap_kg", f.ScrapKg, 0)
	f.Errors = in.with(l.Validate())
	return l
}

// Conflict sets the form beside what is stored.
func (f DonorLedgerForm) Conflict(stored DonorLedgerForm) []ConflictRow {
	var rows []ConflictRow
	for i, o := range donorLedgerFields {
		rows = append(rows, ConflictRow{Field: o.Text, Yours: f.values()[i], Stored: stored.values()[i]})
	}
	return rows
}

// values are in the order of donorLedgerFields.
func (f DonorLedgerForm) values() []string {
	return []string{f.Price, f.Transport, f.Storage, f.Disposal, f.Paperwork, f.HereSince, f.GoneOn, f.ScrapKg, f.ScrapPrice}
}

var donorLedgerFields = []ui.Option{
	{Value: "price", Text: "Price"},
	{Value: "transport", Text: "Transport"},
	{Value: "storage_per_day", Text: "Room, a day"},
	{Value: "disposal", Text: "Disposal"},
	{Value: "paperwork", Text: "Paperwork"},
	{Value: "here_since", Text: "Here since"},
	{Value: "gone_on", Text: "Gone on"},
	{Value: "scrap_kg", Text: "Scrap"},
	{Value: "scrap_price", Text: "A kilogram brings"},
}

// DonorLedgerView is the page of that form.
type DonorLedgerView struct {
	Base
	Car      garage.Car
	Currency string
	Form     DonorLedgerForm
}

// DonorSaleForm is a sale as typed.
type DonorSaleForm struct {
	Version, What, SoldOn, Price, Fees, Note string
	Piece, Quantity                          string // from the shelf; of a new one alone
	Errors                                   garage.FieldErrors
}

// NewDonorSaleForm is the form filled from what is stored.
func NewDonorSaleForm(s garage.DonorSale) DonorSaleForm {
	return DonorSaleForm{
		Version: strconv.FormatInt(s.Version, 10), What: s.What, SoldOn: s.SoldOn.String(), Price: garage.MoneyFigure(s.Price, s.Currency),
		Fees: garage.MoneyFigure(s.Fees, s.Currency), Note: s.Note,
	}
}

// ReadDonorSaleForm is the form as sent.
func ReadDonorSaleForm(v url.Values) DonorSaleForm {
	return DonorSaleForm{
		Version: v.Get("version"), What: v.Get("what"), SoldOn: v.Get("sold_on"), Price: v.Get("price"), Fees: v.Get("fees"), Note: v.Get("note"),
		Piece: v.Get("piece"), Quantity: v.Get("quantity"),
	}
}

// Sale reads what was typed over what is stored, and notes in Errors what does not parse or does not hold.
func (f *DonorSaleForm) Sale(over garage.DonorSale) garage.DonorSale {
	var in fields
	over.Version, over.What, over.Note = version(f.Version), strings.TrimSpace(f.What), strings.TrimSpace(f.Note)
	over.SoldOn, over.Price, over.Fees = in.date("sold_on", f.SoldOn), in.money("price", f.Price, over.Currency), in.money("fees", f.Fees, over.Currency)
	if over.ID == 0 && f.Piece != "" {
		over.Piece = f.piece(&in)
	}
	f.Errors = in.with(over.Validate())
	return over
}

// piece reads which piece leaves the shelf, named by its lot and its bin.
func (f *DonorSaleForm) piece(in *fields) *garage.ShelfPiece {
	lot, bin, _ := strings.Cut(f.Piece, "-")
	return &garage.ShelfPiece{LotID: garage.LotID(in.id("piece", lot)), BinID: garage.BinID(in.id("piece", bin)), Quantity: in.intOr("quantity", f.Quantity, 1)}
}

// Conflict sets the form beside what is stored.
func (f DonorSaleForm) Conflict(stored DonorSaleForm) []ConflictRow {
	return []ConflictRow{
		{Field: "What", Yours: f.What, Stored: stored.What},
		{Field: "Sold on", Yours: f.SoldOn, Stored: stored.SoldOn},
		{Field: "Price", Yours: f.Price, Stored: stored.Price},
		{Field: "Fees", Yours: f.Fees, Stored: stored.Fees},
		{Field: "Note", Yours: f.Note, Stored: stored.Note},
	}
}

var donorSaleFields = []ui.Option{
	{Value: "what", Text: "What"},
	{Value: "piece", Text: "From the shelf"},
	{Value: "quantity", Text: "How many"},
	{Value: "sold_on", Text: "Sold on"},
	{Value: "price", Text: "Price"},
	{Value: "fees", Text: "Fees"},
	{Value: "note", Text: "Note"},
}

// DonorSaleView is the page of that form.
type DonorSaleView struct {
	Base
	Sale    garage.DonorSale // its id is 0 for a new one
	CarName string
	Form    DonorSaleForm
	Shelf   []garage.ShelfPiece
}

// Pieces are what may leave the shelf with the sale.
func (v DonorSaleView) Pieces() []ui.Option {
	options := []ui.Option{{Text: "Nothing: it was still on the car"}}
	for _, p := range v.Shelf {
		options = append(options, ui.Option{Value: idText(p.LotID) + "-" + idText(p.BinID), Text: pieces(p.Quantity, p.PartName) + " in " + p.BinName})
	}
	return options
}

func (v DonorSaleView) action() string {
	if v.Sale.ID == 0 {
		return route.DonorSales(v.Sale.CarID)
	}
	return route.DonorSale(v.Sale.ID)
}
