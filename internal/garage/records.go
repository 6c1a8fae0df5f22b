package garage

import (
	"cmp"
	"slices"
)

// Records are all that a garage holds, to be written into an empty database as they are, ids included. Stock on hand is not
// among them: it follows from the movements.
type Records struct {
	Snapshot
	Segments  []OdometerSegment
	Readings  []OdometerReading
	Movements []Movement
	Torque    []TorqueSpec
	Wrenches  []Wrench
	Fluids    []FluidSpec
	Bottles   []Bottle
	Required  []RequiredWheel
	WheelSets []WheelSet
	Twins     []PartTwins
	Fits      []PartFit
	Lots      []Lot
	Kits      []JobKit
	// Pieces that were fitted.
	WereFitted []Fitted
	Ledgers    []DonorLedger
	// What is on the cards of jobs, and what was done there.
	Steps []Step
	Marks []StepMark
	// Jobs that are closed, which a plan knows nothing of.
	DoneJobs   []Job
	DoneStages []Stage
	Repeats    []JobRepeat
	Rounds     []Round
	LookBacks  []LookBack
	Sales      []DonorSale
	// What happened to the units of core deposits.
	CoreEvents []CoreEvent
	Suppliers  []Supplier
	Orders     []Order
	OrderLines []OrderLine
	// Arrivals that have come.
	Came []Arrival
}

// CountStock sets the stock on hand to the sum of the movements, as a database does by itself.
func (r *Records) CountStock() {
	r.Stock = nil
	for _, m := range r.Movements {
		i := slices.IndexFunc(r.Stock, func(s Stock) bool { return s.PartID == m.PartID && s.BinID == m.BinID && sameLot(s.LotID, m.LotID) })
		if i < 0 {
			r.Stock = append(r.Stock, r.stockRow(m))
			i = len(r.Stock) - 1
		}
		r.Stock[i].Quantity += m.Quantity
	}
	r.Stock = slices.DeleteFunc(r.Stock, func(s Stock) bool { return s.Quantity == 0 })
	slices.SortFunc(r.Stock, func(a, b Stock) int { return cmp.Or(cmp.Compare(a.PartID, b.PartID), cmp.Compare(a.BinID, b.BinID)) })
}

// stockRow is an empty row of stock of what a movement is about, as a database reads it.
func (r *Records) stockRow(m Movement) Stock {
	s := Stock{PartID: m.PartID, BinID: m.BinID, LotID: m.LotID, Grade: gradeOf(r.Snapshot, m.PartID)}
	if m.LotID != nil {
		lot := find(r.Lots, func(l Lot) bool { return l.ID == *m.LotID })
		s.Condition, s.Grade = lot.Condition, cmp.Or(lot.Grade, s.Grade)
	}
	return s
}

func sameLot(a, b *LotID) bool { return a == nil && b == nil || a != nil && b != nil && *a == *b }

// JobRepeat is what must be seen before the rounds of a job end.
type JobRepeat struct {
	JobID JobID
	Until string
}
