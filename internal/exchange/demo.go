// Package exchange reads and writes a garage in files.
package exchange

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strconv"
	"strings"
	"time"

	"axlestand/internal/garage"
)

// demo is the file: records refer to each other by name, and dates count in days from S, a Saturday.
type demo struct {
	Settings struct {
		Name             string `json:"name"`
		Zone             string `json:"zone"`
		Currency         string `json:"currency"`
		DistanceUnit     string `json:"distance_unit"`
		TorqueUnit       string `json:"torque_unit"`
		Confidence       int    `json:"confidence"`
		ChangeCarMinutes int    `json:"change_car_minutes"`
		Lifts            int    `json:"lifts"`
	} `json:"settings"`
	Sessions []struct {
		Weekday  int `json:"weekday"`
		From, To string
		Helpers  int `json:"helpers"`
	} `json:"sessions"`
	Exceptions []struct {
		On       string `json:"on"`
		Off      bool   `json:"off"`
		From, To string
		Helpers  int    `json:"helpers"`
		Note     string `json:"note"`
	} `json:"exceptions"`
	Tools []struct {
		Name, From, To, Note string
	} `json:"tools"`
	Bins []struct {
		Name, Place string
	} `json:"bins"`
	Suppliers []demoSupplier `json:"suppliers"`
	Orders    []demoOrder    `json:"orders"`
	Parts     []demoPart     `json:"parts"`
	Cars      []demoCar      `json:"cars"`
	Phases    []struct {
		Car, Name, Finish string
		Budget            int64
	} `json:"phases"`
	Jobs     []demoJob    `json:"jobs"`
	Wrenches []demoWrench `json:"wrenches"`
	Bottles  []demoBottle `json:"bottles"`
	Done     []demoDone   `json:"done"`
	Cards    []demoCard   `json:"cards"`
}

type demoPart struct {
	Name, Number, Side, Grade, Unit, Supplier, Notes, Variant, Twin string
	Numbers                                                         string
	Price                                                           int64
	Lead                                                            []int
	Fits                                                            []struct{ Car, Known, Note string }
	Fitted                                                          []demoFitted
	Cores                                                           []demoCore
	Stock                                                           []demoStock
	Arrivals                                                        []struct {
		Quantity int
		At       []string
		Supplier string
		Order    string // its number, where it was ordered
	}
}

type demoCar struct {
	Name, Role, Make, Model, VIN, Plate, Engine, Stands, Notes string
	Year                                                       int
	Arrives                                                    []string
	Odometer                                                   []struct {
		On    string
		Shown int
	}
	RoadNeeds []struct {
		Why, From, To string
		Weekdays      []int
	} `json:"road_needs"`
	Access []struct {
		Name        string
		Open, Close int
		Stays       bool
		Inside      []string
	}
	Closing []struct {
		Name             string
		Minutes, Helpers int
	}
	Torque    []demoTorque
	Fluids    []demoFluid
	Wheels    *demoRequired
	WheelSets []demoWheelSet `json:"wheel_sets"`
	OnIt      []struct {
		Part, Condition, Harvest string
		Quantity, Minutes        int
		Worth                    int64
	} `json:"on_it"`
	Ledger *demoLedger
	Sales  []struct {
		What, On, Note string
		Price, Fees    int64
	}
}

type demoJob struct {
	Car, Phase, Kind, Title, Reason, Due, Kit string
	DueFor                                    string `json:"due_for"`
	LateCost                                  int64  `json:"late_cost"`
	LateCostPerDay                            int64  `json:"late_cost_per_day"`
	Weight                                    int
	After                                     []struct {
		Job      string
		GapHours int `json:"gap_hours"`
	}
	Stages []struct {
		Name, Kind, Immobile   string
		Minutes                [3]int
		Lift                   bool
		Helpers                int
		Tools, Access, Closing []string
		Needs                  []demoNeed
	}
}

// ReadDemo reads a demo garage, its dates laid so that S is the first Saturday at least two days after today. A name that
// nothing in the file bears is an error.
func ReadDemo(data []byte, today garage.Date) (garage.Records, error) {
	var d demo
	decoder := json.NewDecoder(bytes.NewReader(data))
	decoder.DisallowUnknownFields()
	if err := decoder.Decode(&d); err != nil {
		return garage.Records{}, fmt.Errorf("demo garage: %w", err)
	}
	saturday := today.AddDays(2)
	for saturday.Weekday() != 6 {
		saturday = saturday.AddDays(1)
	}
	r := demoReader{
		saturday: saturday, currency: d.Settings.Currency,
		bins: map[string]garage.BinID{}, parts: map[string]garage.PartID{}, tools: map[string]garage.ToolID{},
		cars: map[string]garage.CarID{}, phases: map[string]garage.PhaseID{}, jobs: map[string]garage.JobID{},
		access: map[string]garage.AccessID{}, closing: map[string]garage.ClosingID{}, checked: map[garage.LotID]string{},
	}
	r.garage(d)
	r.specs(d)
	r.partLinks(d.Parts)
	r.done(d.Done)
	r.cards(d.Cards)
	r.cores(d.Parts)
	return r.out, r.err
}

// demoReader gives ids in the order of the file and keeps the first error.
type demoReader struct {
	out      garage.Records
	err      error
	saturday garage.Date
	currency string
	cameOn   []*garage.Date // by order: when it came
	cameBy   []int          // the movements that put what came into bins

	bins    map[string]garage.BinID
	parts   map[string]garage.PartID
	tools   map[string]garage.ToolID
	cars    map[string]garage.CarID
	phases  map[string]garage.PhaseID // by car and name
	jobs    map[string]garage.JobID
	access  map[string]garage.AccessID  // by car and name
	closing map[string]garage.ClosingID // by car and name
	checked map[garage.LotID]string     // the car
}

func (r *demoReader) garage(d demo) {
	s := d.Settings
	r.out.Settings = garage.Settings{
		Name: s.Name, Zone: s.Zone, Currency: s.Currency, DistanceUnit: s.DistanceUnit, TorqueUnit: s.TorqueUnit,
		Confidence: s.Confidence, ChangeCarMinutes: s.ChangeCarMinutes, Lifts: s.Lifts, Estimates: garage.TurnOut,
	}
	r.sessions(d)
	for _, b := range d.Bins {
		id := garage.BinID(len(r.out.Bins) + 1)
		r.bins[b.Name] = id
		r.out.Bins = append(r.out.Bins, garage.Bin{ID: id, Name: b.Name, Place: b.Place})
	}
	r.suppliers(d)
	for _, p := range d.Parts {
		r.part(p)
	}
	r.came()
	for _, c := range d.Cars {
		r.car(c)
	}
	for _, p := range d.Phases {
		id := garage.PhaseID(len(r.out.Phases) + 1)
		r.phases[p.Car+"/"+p.Name] = id
		r.out.Phases = append(r.out.Phases, garage.Phase{
			ID: id, CarID: find(r, r.cars, p.Car), Name: p.Name, Budget: p.Budget, Currency: r.currency, FinishOn: r.maybeDate(p.Finish),
		})
	}
	for i, j := range d.Jobs {
		r.jobs[j.Title] = garage.JobID(i + 1)
	}
	for _, j := range d.Jobs {
		r.job(j)
	}
	for _, c := range d.Cars {
		r.onIt(c)
		r.ledger(c)
	}
}

func (r *demoReader) sessions(d demo) {
	for i, s := range d.Sessions {
		r.out.Patterns = append(r.out.Patterns, garage.SessionPattern{
			ID: garage.PatternID(i + 1), Weekday: s.Weekday, FromMinute: r.minute(s.From), ToMinute: r.minute(s.To), Helpers: s.Helpers,
		})
	}
	for i, x := range d.Exceptions {
		exception := garage.SessionException{
			ID: garage.ExceptionID(i + 1), OnDate: r.date(x.On), Off: x.Off, Helpers: x.Helpers, Note: x.Note,
		}
		if !x.Off {
			exception.FromMinute, exception.ToMinute = r.minute(x.From), r.minute(x.To)
		}
		r.out.Exceptions = append(r.out.Exceptions, exception)
	}
	for i, t := range d.Tools {
		id := garage.ToolID(i + 1)
		r.tools[t.Name] = id
		r.out.Tools = append(r.out.Tools, garage.Tool{
			ID: id, Name: t.Name, Capacity: 1, HereFrom: r.maybeDate(t.From), HereTo: r.maybeDate(t.To), Note: t.Note,
		})
	}
}

func (r *demoReader) part(p demoPart) {
	id := garage.PartID(len(r.out.Parts) + 1)
	r.parts[p.Name] = id
	part := garage.Part{
		ID: id, Name: p.Name, Number: p.Number, Side: p.Side, Grade: p.Grade, Unit: p.Unit, Supplier: p.Supplier, Price: p.Price,
		Currency: r.currency, Notes: p.Notes, OtherNumbers: p.Numbers, Variant: p.Variant,
	}
	if part.Unit == "" {
		part.Unit = "piece"
	}
	if len(p.Lead) == 3 {
		part.LeadLow, part.LeadLikely, part.LeadHigh = &p.Lead[0], &p.Lead[1], &p.Lead[2]
	}
	r.out.Parts = append(r.out.Parts, part)
	for _, s := range p.Stock {
		r.out.Movements = append(r.out.Movements, garage.Movement{
			ID: garage.MovementID(len(r.out.Movements) + 1), PartID: id, BinID: find(r, r.bins, s.Bin), LotID: r.lot(id, s), Quantity: s.Quantity,
			Kind: "bought",
		})
		if s.Order != "" {
			r.receive(len(r.out.Movements)-1, part, s)
		}
	}
	for _, a := range p.Arrivals {
		low, likely, high := r.three(a.At)
		arrival := garage.Arrival{PartID: id, Quantity: a.Quantity, Low: low, Likely: likely, High: high, Supplier: a.Supplier}
		r.ordered(&arrival, part, a.Order)
		arrival.ID = garage.ArrivalID(len(r.out.Arrivals) + 1)
		r.out.Arrivals = append(r.out.Arrivals, arrival)
	}
}

func (r *demoReader) car(c demoCar) {
	id := garage.CarID(len(r.out.Cars) + 1)
	r.cars[c.Name] = id
	car := garage.Car{
		ID: id, Name: c.Name, Role: garage.Role(c.Role), Make: c.Make, Model: c.Model, VIN: c.VIN, Plate: c.Plate, Engine: c.Engine,
		Stands: garage.Stands(c.Stands), Notes: c.Notes,
	}
	if c.Year != 0 {
		car.Year = &c.Year
	}
	if len(c.Arrives) > 0 {
		low, likely, high := r.three(c.Arrives)
		car.ArrivesLow, car.ArrivesLikely, car.ArrivesHigh = &low, &likely, &high
	}
	r.out.Cars = append(r.out.Cars, car)
	r.odometer(id, c)
	for _, n := range c.RoadNeeds {
		r.out.RoadNeeds = append(r.out.RoadNeeds, garage.RoadNeed{
			ID: garage.RoadNeedID(len(r.out.RoadNeeds) + 1), CarID: id, Why: n.Why, Weekdays: n.Weekdays,
			FromMinute: r.minute(n.From), ToMinute: r.minute(n.To),
		})
	}
	for _, a := range c.Access {
		access := garage.Access{
			ID: garage.AccessID(len(r.out.Access) + 1), CarID: id, Name: a.Name, OpenMinutes: a.Open, CloseMinutes: a.Close, Stays: a.Stays,
		}
		r.access[c.Name+"/"+a.Name] = access.ID
		for _, outer := range a.Inside {
			access.Inside = append(access.Inside, find(r, r.access, c.Name+"/"+outer))
		}
		r.out.Access = append(r.out.Access, access)
	}
	for _, w := range c.Closing {
		closing := garage.ClosingWork{
			ID: garage.ClosingID(len(r.out.Closing) + 1), CarID: id, Name: w.Name, Minutes: w.Minutes, Helpers: w.Helpers,
		}
		r.closing[c.Name+"/"+w.Name] = closing.ID
		r.out.Closing = append(r.out.Closing, closing)
	}
}

func (r *demoReader) odometer(id garage.CarID, c demoCar) {
	if len(c.Odometer) == 0 {
		return
	}
	segment := garage.OdometerSegment{
		ID: garage.SegmentID(len(r.out.Segments) + 1), CarID: id, Number: 1, Unit: r.out.Settings.DistanceUnit, Reason: "first",
	}
	r.out.Segments = append(r.out.Segments, segment)
	for _, o := range c.Odometer {
		r.out.Readings = append(r.out.Readings, garage.OdometerReading{
			ID: garage.ReadingID(len(r.out.Readings) + 1), SegmentID: segment.ID, ReadOn: r.date(o.On), Shown: o.Shown,
		})
	}
}

func (r *demoReader) onIt(c demoCar) {
	for _, o := range c.OnIt {
		part := garage.DonorPart{
			ID: garage.DonorPartID(len(r.out.DonorParts) + 1), CarID: r.cars[c.Name], PartID: find(r, r.parts, o.Part),
			Quantity: max(o.Quantity, 1), Condition: o.Condition,
		}
		if o.Harvest != "" {
			part.HarvestJobID = new(find(r, r.jobs, o.Harvest))
		}
		if o.Minutes > 0 {
			part.RemovalMinutes = &o.Minutes
		}
		if o.Worth > 0 {
			part.Worth = &o.Worth
		}
		if part.Condition == "" {
			part.Condition = "unknown"
		}
		r.out.DonorParts = append(r.out.DonorParts, part)
	}
}

func (r *demoReader) job(j demoJob) {
	id := r.jobs[j.Title]
	job := garage.Job{
		ID: id, CarID: find(r, r.cars, j.Car), Kind: garage.JobKind(j.Kind), Title: j.Title, Reason: j.Reason, Weight: j.Weight,
		Due: r.maybeDate(j.Due), DueFor: j.DueFor, LateCost: j.LateCost, LateCostPerDay: j.LateCostPerDay, Currency: r.currency,
	}
	if j.Kit != "" {
		r.out.Kits = append(r.out.Kits, garage.JobKit{JobID: id, BinID: find(r, r.bins, j.Kit)})
	}
	if j.Phase != "" {
		phase := find(r, r.phases, j.Car+"/"+j.Phase)
		job.PhaseID = &phase
	}
	r.out.Jobs = append(r.out.Jobs, job)
	for _, a := range j.After {
		r.out.After = append(r.out.After, garage.After{JobID: id, AfterID: find(r, r.jobs, a.Job), GapMinutes: a.GapHours * 60})
	}
	for i, s := range j.Stages {
		stage := garage.Stage{
			ID: garage.StageID(len(r.out.Stages) + 1), JobID: id, Position: i + 1, Name: s.Name, Kind: garage.StageKind(s.Kind),
			Low: s.Minutes[0], Likely: s.Minutes[1], High: s.Minutes[2], Lift: s.Lift, Helpers: s.Helpers, Immobile: s.Immobile,
		}
		if stage.Kind == "" {
			stage.Kind = garage.Bench
		}
		for _, name := range s.Tools {
			stage.Tools = append(stage.Tools, find(r, r.tools, name))
		}
		for _, name := range s.Access {
			stage.Access = append(stage.Access, find(r, r.access, j.Car+"/"+name))
		}
		for _, name := range s.Closing {
			stage.Closing = append(stage.Closing, find(r, r.closing, j.Car+"/"+name))
		}
		r.out.Stages = append(r.out.Stages, stage)
		for _, n := range s.Needs {
			r.out.Needs = append(r.out.Needs, garage.Need{
				ID: garage.NeedID(len(r.out.Needs) + 1), StageID: stage.ID, PartID: find(r, r.parts, n.Part), Quantity: max(n.Quantity, 1),
				Stops: !n.Nice, Side: n.Side, LeastGrade: n.Least, SingleUse: n.SingleUse, Note: n.Note,
			})
		}
	}
}

func find[ID ~int64](r *demoReader, named map[string]ID, name string) ID {
	id, ok := named[name]
	if !ok {
		r.fail("nothing is called %q", name)
	}
	return id
}

func (r *demoReader) fail(format string, a ...any) {
	if r.err == nil {
		r.err = fmt.Errorf("demo garage: "+format, a...)
	}
}

// date reads "S+9" or "S-3".
func (r *demoReader) date(s string) garage.Date {
	offset, ok := strings.CutPrefix(s, "S")
	days, err := strconv.Atoi(offset)
	if !ok || err != nil {
		r.fail("%q is not a day like S+9", s)
	}
	return r.saturday.AddDays(days)
}

func (r *demoReader) maybeDate(s string) *garage.Date {
	if s == "" {
		return nil
	}
	d := r.date(s)
	return &d
}

func (r *demoReader) three(days []string) (low, likely, high garage.Date) {
	if len(days) != 3 {
		r.fail("%v is not three days", days)
		return low, likely, high
	}
	return r.date(days[0]), r.date(days[1]), r.date(days[2])
}

func (r *demoReader) minute(clock string) int {
	t, err := time.Parse("15:04", clock)
	if err != nil {
		r.fail("%q is not a time like 19:00", clock)
	}
	return t.Hour()*60 + t.Minute()
}
