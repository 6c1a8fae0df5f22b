package page

import (
	"net/url"
	"strconv"
	"strings"

	"axlestand/internal/garage"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// What can be done with stock; part of the address of its form.
const (
	StockPut   = "put"
	StockTake  = "take"
	StockMove  = "move"
	StockCount = "count"
	StockSort  = "sort"
)

// StockForm is something done with the stock of a part, as typed. Bin is the name of a bin, when taking its id.
type StockForm struct {
	Action   string
	PartID   garage.PartID
	From     string // id of the bin that pieces are moved out of
	Bin      string
	NewBin   string
	Quantity string
	Kind     string
	Job      string
	Note     string
	Lot      LotForm // what they are, when that is said
	Errors   garage.FieldErrors
}

// NewStockForm is the form as it opens: the first bin that holds some is chosen.
func NewStockForm(action string, part garage.PartID, stock []garage.BinStock) StockForm {
	f := StockForm{Action: action, PartID: part}
	switch action {
	case StockPut:
		f.Kind, f.Quantity = "bought", "1"
	case StockTake:
		f.Kind, f.Quantity = "used", "1"
	}
	if len(stock) > 0 {
		first := stock[0]
		switch action {
		case StockTake:
			f.Bin = stockPlace(first.Stock)
		case StockMove, StockSort:
			f.pick(first)
		default:
			f.Bin = first.BinName
		}
	}
	return f
}

// pick opens the form with one row of the stock chosen.
func (f *StockForm) pick(row garage.BinStock) {
	switch f.Action {
	case StockTake:
		f.Bin = stockPlace(row.Stock)
	case StockCount:
		f.From, f.Bin, f.Quantity = stockPlace(row.Stock), row.BinName, strconv.Itoa(row.Quantity)
	case StockMove, StockSort:
		f.From, f.Quantity = stockPlace(row.Stock), strconv.Itoa(row.Quantity)
	}
	if f.Action == StockSort {
		f.Lot = newLotForm(row)
	}
}

// PickPlace opens the form with the row of the stock chosen that a place names; a place that holds none changes nothing.
func (f *StockForm) PickPlace(place string, stock []garage.BinStock) {
	for _, row := range stock {
		if stockPlace(row.Stock) == place {
			f.pick(row)
		}
	}
}

// stockPlace names a row of the stock of a part: its bin, and its lot if it is of one.
func stockPlace(s garage.Stock) string {
	if s.LotID == nil {
		return idText(s.BinID)
	}
	return idText(s.BinID) + "." + idText(*s.LotID)
}

// place reads what stockPlace wrote.
func (f *fields) place(name, typed string) (garage.BinID, *garage.LotID) {
	bin, lot, of := strings.Cut(typed, ".")
	id := garage.BinID(f.id(name, bin))
	if !of {
		return id, nil
	}
	return id, new(garage.LotID(f.id(name, lot)))
}

// ReadStockForm is the form as sent.
func ReadStockForm(action string, part garage.PartID, v url.Values) StockForm {
	return StockForm{
		Action:   action,
		PartID:   part,
		From:     v.Get("from"),
		Bin:      v.Get("bin"),
		NewBin:   v.Get("new_bin"),
		Quantity: v.Get("quantity"),
		Kind:     v.Get("kind"),
		Job:      v.Get("job"),
		Note:     v.Get("note"),
		Lot:      readLotForm(v),
	}
}

// Pick is the bin that is named.
func (f StockForm) Pick() garage.BinPick { return garage.BinPick{Name: f.Bin, New: f.NewBin != ""} }

// Movement reads what was typed, and notes in Errors what does not parse. Its quantity is negative when taking; counting, it
// is what was counted.
func (f *StockForm) Movement() garage.Movement {
	var in fields
	m := garage.Movement{PartID: f.PartID, Quantity: in.int("quantity", f.Quantity), Kind: f.Kind, Note: strings.TrimSpace(f.Note)}
	switch f.Action {
	case StockPut:
		f.allow(&in, "bought", "received", "taken off")
	case StockTake:
		f.allow(&in, "used", "scrapped")
		m.BinID, m.LotID = in.place("bin", f.Bin)
		if job := garage.JobID(in.id("job", f.Job)); job != 0 {
			m.JobID = &job
		}
		if m.Quantity < 1 {
			in.Errors.Add("quantity", "At least 1.")
		}
		m.Quantity = -m.Quantity
	case StockMove, StockSort:
		m.Kind = "moved"
		if m.BinID, m.LotID = in.place("from", f.From); m.BinID == 0 {
			in.Errors.Add("from", "Choose the bin.")
		}
	case StockCount:
		_, m.LotID = in.place("from", f.From)
	}
	f.Errors = in.Errors
	return m
}

// allow holds the kind against those that the form offers.
func (f StockForm) allow(in *fields, kinds ...string) {
	for _, k := range kinds {
		if f.Kind == k {
			return
		}
	}
	in.Errors.Add("kind", "Choose one of the list.")
}

var stockFields = []ui.Option{
	{Value: "kind", Text: "Why"},
	{Value: "from", Text: "Out of"},
	{Value: "quantity", Text: "How many"},
	{Value: "bin", Text: "Bin"},
	{Value: "new_bin", Text: "Bin"},
	{Value: "job", Text: "Job"},
	{Value: "condition", Text: "Condition"},
	{Value: "grade", Text: "Grade"},
	{Value: "checked_car", Text: "Checked against the car"},
	{Value: "checked_on", Text: "Checked on"},
	{Value: "opened", Text: "Opened on"},
	{Value: "keeps", Text: "Keeps"},
	{Value: "note", Text: "Note"},
}

// StockView is the page of a form that does something with stock.
type StockView struct {
	Base
	Part     garage.Part
	Heading  string
	Sub      string
	Form     StockForm
	Unit     string
	Quantity string      // what the quantity is called
	Button   string      // what sends the form
	Kinds    []ui.Option // why, where the form asks
	Holding  []ui.Option // bins that hold some, by id
	Bins     []string    // names of all bins, to offer
	Jobs     []ui.Option // open jobs that need it
	OneBin   bool        // it can be taken from bins that hold some only
	ToBin    bool        // a bin is named that it goes into
	Counted  string      // the row that is counted, when it is one that lies there
	Cars     []ui.Option // to have been held against
}

var stockWords = map[string]struct{ heading, quantity, button string }{
	StockPut:   {"Put in", "How many", "Put in"},
	StockTake:  {"Take", "How many", "Take"},
	StockMove:  {"Move", "How many", "Move"},
	StockCount: {"Count", "Counted", "Correct to that"},
	StockSort:  {"Say what they are", "How many of them", "They are that"},
}

// NewStockView is the page of the form, with the bins that hold some, all bins, and the open jobs that need the part.
func NewStockView(base Base, p garage.Part, form StockForm, stock []garage.BinStock, bins []garage.BinRow, needs []garage.PartNeed, cars []garage.Car) StockView {
	words := stockWords[form.Action]
	v := StockView{
		Base: base, Part: p, Heading: words.heading, Sub: p.Label(), Form: form, Unit: unitText(p.Unit), Quantity: words.quantity,
		Button: words.button, OneBin: form.Action == StockTake || form.Action == StockMove || form.Action == StockSort,
		ToBin: form.Action != StockTake && form.Action != StockSort,
	}
	for _, s := range stock {
		text := joined(" · ", s.BinName+": "+stockText(s.Quantity, p.Unit), lotText(s.Lot))
		v.Holding = append(v.Holding, ui.Option{Value: stockPlace(s.Stock), Text: text})
		if form.Action == StockCount && form.From == stockPlace(s.Stock) {
			v.Counted = text
		}
	}
	for _, c := range cars {
		v.Cars = append(v.Cars, ui.Option{Value: idText(c.ID), Text: c.Name})
	}
	v.Bins = binNames(bins)
	switch form.Action {
	case StockPut:
		v.Kinds = []ui.Option{{Value: "bought", Text: "bought"}, {Value: "received", Text: "received"}, {Value: "taken off", Text: "taken off a car"}}
	case StockTake:
		v.Kinds = []ui.Option{{Value: "used", Text: "used"}, {Value: "scrapped", Text: "scrapped"}}
		v.Jobs = needingJobs(needs)
	}
	return v
}

func needingJobs(needs []garage.PartNeed) []ui.Option {
	if len(needs) == 0 {
		return nil
	}
	options := []ui.Option{{Value: "", Text: "no job"}}
	seen := map[garage.JobID]bool{}
	for _, n := range needs {
		if !seen[n.JobID] {
			options = append(options, ui.Option{Value: idText(n.JobID), Text: n.JobTitle + ", " + n.CarName})
		}
		seen[n.JobID] = true
	}
	return options
}

func binNames(bins []garage.BinRow) []string {
	var names []string
	for _, b := range bins {
		names = append(names, b.Name)
	}
	return names
}

// unitText is the unit behind a field; pieces have none.
func unitText(unit string) string {
	switch unit {
	case "piece":
		return ""
	case "set":
		return "sets"
	}
	return unit
}

// DoneText says what was done with stock.
func (f StockForm) DoneText(p garage.Part, m garage.Movement) string {
	n := m.Quantity
	switch f.Action {
	case StockPut:
		return stockText(n, p.Unit) + " put into " + strings.TrimSpace(f.Bin) + "."
	case StockTake:
		return stockText(-n, p.Unit) + " taken."
	case StockMove:
		return stockText(n, p.Unit) + " moved to " + strings.TrimSpace(f.Bin) + "."
	case StockSort:
		return stockText(n, p.Unit) + " noted as that."
	}
	return strings.TrimSpace(f.Bin) + " corrected to " + stockText(n, p.Unit) + "."
}

// path is the address of the form.
func (f StockForm) path() string { return route.Stock(f.PartID, f.Action) }
