package garage

import (
	"cmp"
	"slices"
)

// KitPlace says where pieces of a need are.
type KitPlace string

// The places, in the order in which they are counted on.
const (
	KitUsed     KitPlace = "used"
	KitOnHand   KitPlace = "on hand"
	KitPromised KitPlace = "promised" // on hand, but another job gets it
	KitExpected KitPlace = "expected"
	KitOnDonor  KitPlace = "on a donor" // a harvest job takes it off
	KitToOrder  KitPlace = "to order"
	KitMissing  KitPlace = "missing"
)

// KitSource is a number of pieces of a need and where they are.
type KitSource struct {
	Place    KitPlace
	Quantity int
	Bin      Bin       // on hand
	Lot      LotRow    // on hand: what sets it apart
	Checked  bool      // on hand: it, or its like, was held against the car
	By       Promised  // promised: who gets it
	Arrival  Arrival   // expected
	Donor    DonorPart // on a donor
}

// KitLine is a need with the places that meet it. Taken are pieces on hand that would do but go to other jobs. Idle are donor parts that could, but that no open job takes off.
type KitLine struct {
	Need    Need
	Part    Part
	Stage   Stage
	Sources []KitSource
	Idle    []DonorPart
	Taken   []KitSource // on hand, but other jobs get it
}

// Price is what a quantity of the part costs, rounded to the minor unit.
func (l KitLine) Price(quantity int) int64 {
	price := l.Part.Price * int64(quantity)
	if l.Part.Measured() {
		return (price + 500) / 1000
	}
	return price
}

// Kit says for each need of a job where its pieces are: in the bins, expected, on a donor, to be ordered, missing. Pieces
// are counted on once within the job, in the order of its stages; what other jobs want of them is for the plan to say.
func (s JobSheet) Kit() []KitLine {
	k := kit{sheet: s, left: map[any]int{}, stock: slices.Clone(s.Stock), promised: slices.Clone(s.Promised)}
	k.reserve()
	for _, a := range s.Arrivals {
		k.left[a.ID] += a.Quantity
	}
	for _, d := range s.DonorParts {
		k.left[d.ID] += d.Free()
	}
	var lines []KitLine
	for _, stage := range s.Stages {
		for _, need := range s.Needs {
			if need.StageID == stage.ID {
				lines = append(lines, k.line(stage, need))
			}
		}
	}
	return lines
}

// kit keeps what is left of each source while the needs are met one after another.
type kit struct {
	sheet    JobSheet
	left     map[any]int
	stock    []Stock
	promised []Promised
}

// reserve takes what other jobs get out of the stock, those pieces first that this job has least use for.
func (k *kit) reserve() {
	for i := range k.promised {
		p := &k.promised[i]
		rest := k.sheet.wants(p.PartID)
		taken := TakeFor(k.stock, Need{PartID: p.PartID}, min(p.Quantity, k.spare(p.PartID, rest)))
		p.Quantity = taken + TakeFor(k.stock, Need{PartID: p.PartID}, p.Quantity-taken)
	}
}

// spare is how many pieces of a part are on hand that needs of this job could not use.
func (k *kit) spare(part PartID, needs []Need) int {
	n := 0
	for _, s := range k.stock {
		if s.PartID == part && s.Condition != Bad && !slices.ContainsFunc(needs, func(n Need) bool { return n.Meets(s.Grade, s.Condition) }) {
			n += s.Quantity
		}
	}
	return n
}

// wants are the needs of a part whose stages are still to be done.
func (s JobSheet) wants(part PartID) []Need {
	return keep(s.Needs, func(n Need) bool {
		return n.PartID == part && slices.ContainsFunc(s.Stages, func(t Stage) bool { return t.ID == n.StageID && t.DoneAt == nil })
	})
}

func (k kit) line(stage Stage, need Need) KitLine {
	line := KitLine{Need: need, Stage: stage, Part: find(k.sheet.Parts, func(p Part) bool { return p.ID == need.PartID })}
	if stage.DoneAt != nil {
		line.Sources = append(line.Sources, KitSource{Place: KitUsed, Quantity: k.used(stage, need)})
		return line
	}
	want := need.Quantity
	take := func(key any, source KitSource) {
		if source.Quantity = min(want, k.left[key]); source.Quantity > 0 {
			k.left[key] -= source.Quantity
			want -= source.Quantity
			line.Sources = append(line.Sources, source)
		}
	}
	for _, source := range k.onHand(need, want) {
		want -= source.Quantity
		line.Sources = append(line.Sources, source)
	}
	for i, p := range k.promised {
		if p.PartID == need.PartID && p.Quantity > 0 && want > 0 {
			n := min(want, p.Quantity)
			k.promised[i].Quantity -= n
			line.Taken = append(line.Taken, KitSource{Place: KitPromised, Quantity: n, By: p})
		}
	}
	for _, a := range k.arrivals(need.PartID) {
		take(a.ID, KitSource{Place: KitExpected, Arrival: a})
	}
	for _, d := range k.sheet.DonorParts {
		switch {
		case d.PartID != need.PartID || d.Free() == 0:
		case k.takenOff(d):
			take(d.ID, KitSource{Place: KitOnDonor, Donor: d})
		default:
			line.Idle = append(line.Idle, d)
		}
	}
	if want > 0 {
		place := KitMissing
		if line.Part.LeadLikely != nil {
			place = KitToOrder
		}
		line.Sources = append(line.Sources, KitSource{Place: place, Quantity: want})
	}
	return line
}

// used is how much of a need's part its stage took out of the bins; of two needs for one part each is told its own share.
func (k kit) used(stage Stage, need Need) int {
	total := 0
	for _, u := range k.sheet.Used {
		if u.PartID == need.PartID && u.StageID == stage.ID {
			total += u.Quantity
		}
	}
	for _, n := range k.sheet.Needs {
		if n.StageID == need.StageID && n.PartID == need.PartID && n.ID < need.ID {
			total -= n.Quantity
		}
	}
	return max(0, min(total, need.Quantity))
}

// onHand takes pieces out of the bins for a need, those in the job's own box first.
func (k kit) onHand(need Need, want int) []KitSource {
	order := orderFor(k.stock, need)
	if box := k.sheet.KitBin; box != nil {
		slices.SortStableFunc(order, func(a, b int) int {
			return cmp.Compare(outside(k.stock[a].BinID, box.ID), outside(k.stock[b].BinID, box.ID))
		})
	}
	var sources []KitSource
	for _, i := range order {
		s := &k.stock[i]
		n := min(want, s.Quantity)
		if n == 0 {
			continue
		}
		s.Quantity -= n
		want -= n
		source := KitSource{Place: KitOnHand, Quantity: n, Bin: find(k.sheet.Bins, func(b Bin) bool { return b.ID == s.BinID })}
		if s.LotID != nil {
			source.Lot = find(k.sheet.Lots, func(l LotRow) bool { return l.ID == *s.LotID })
		}
		source.Checked = k.sheet.checked(need.PartID, source.Lot)
		sources = append(sources, source)
	}
	return sources
}

func outside(bin, box BinID) int {
	if bin == box {
		return 0
	}
	return 1
}

// checked says whether pieces of a part were held against the car of the job, or others of it were.
func (s JobSheet) checked(part PartID, lot LotRow) bool {
	if lot.CheckedCarID != nil && *lot.CheckedCarID == s.Job.CarID {
		return true
	}
	return slices.ContainsFunc(s.Fits, func(f PartFit) bool { return f.PartID == part && f.Known == FitChecked })
}

// ToGather is what lies on hand for the job outside its box; what is measured out stays in its can.
func (s JobSheet) ToGather(lines []KitLine) []Stock {
	var stock []Stock
	for _, l := range lines {
		for _, source := range l.Sources {
			if s.KitBin == nil || source.Place != KitOnHand || source.Bin.ID == s.KitBin.ID || l.Part.Measured() {
				continue
			}
			lies := Stock{PartID: l.Part.ID, BinID: source.Bin.ID, Quantity: source.Quantity}
			if source.Lot.ID != 0 {
				lies.LotID = &source.Lot.ID
			}
			stock = append(stock, lies)
		}
	}
	return stock
}

// PartIDs are the parts that the job needs.
func (s JobSheet) PartIDs() []PartID {
	var ids []PartID
	for _, n := range s.Needs {
		if !slices.Contains(ids, n.PartID) {
			ids = append(ids, n.PartID)
		}
	}
	return ids
}

// KitState sums a kit up.
type KitState struct {
	Complete  bool // all that would stop the job is on hand, and no other job gets it
	Lacks     int  // needs that would stop it and are not met from the bins
	Unchecked int  // needs that are, with pieces nobody held against the car
	Gathered  bool // all of that lies in the job's box
}

// KitState sums up the needs of stages that are still to be done.
func (s JobSheet) KitState(lines []KitLine) KitState {
	state := KitState{Gathered: s.KitBin != nil}
	for _, l := range lines {
		if l.Stage.DoneAt != nil || !l.Need.Stops {
			continue
		}
		unchecked := false
		have := 0
		for _, source := range l.Sources {
			if source.Place != KitOnHand {
				continue
			}
			have += source.Quantity
			unchecked = unchecked || !source.Checked
			state.Gathered = state.Gathered && (l.Part.Measured() || source.Bin.ID == s.KitBin.ID)
		}
		switch {
		case have < l.Need.Quantity:
			state.Lacks++
			state.Gathered = false
		case unchecked:
			state.Unchecked++
		}
	}
	state.Complete = state.Lacks == 0
	return state
}

func (k kit) arrivals(part PartID) []Arrival {
	arrivals := keep(k.sheet.Arrivals, func(a Arrival) bool { return a.PartID == part })
	slices.SortStableFunc(arrivals, func(a, b Arrival) int {
		return cmp.Or(a.Likely.Compare(b.Likely), cmp.Compare(a.ID, b.ID))
	})
	return arrivals
}

// takenOff says whether an open job takes the part off its donor.
func (k kit) takenOff(d DonorPart) bool {
	return d.HarvestJobID != nil && slices.ContainsFunc(k.sheet.Harvests, func(j JobLink) bool {
		return j.ID == *d.HarvestJobID && j.ClosedAt == nil
	})
}

// find is the first that fits, or the zero value.
func find[T any](list []T, fits func(T) bool) T {
	if i := slices.IndexFunc(list, fits); i >= 0 {
		return list[i]
	}
	var none T
	return none
}

// keep is those that fit, in a list of its own.
func keep[T any](list []T, fits func(T) bool) []T {
	var kept []T
	for _, v := range list {
		if fits(v) {
			kept = append(kept, v)
		}
	}
	return kept
}
