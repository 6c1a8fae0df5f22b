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
	Arrival  Arrival   // expected
	Donor    DonorPart // on a donor
}

// KitLine is a need with the places that meet it. Idle are donor parts that could, but that no open job takes off.
type KitLine struct {
	Need    Need
	Part    Part
	Stage   Stage
	Sources []KitSource
	Idle    []DonorPart
}

// Price is what a quantity of the part costs, rounded to the minor unit.
func (l KitLine) Price(quantity int) int64 {
	price := l.Part.Price * int64(quantity)
	if l.Part.Unit == "ml" || l.Part.Unit == "g" || l.Part.Unit == "cm" {
		return (price + 500) / 1000
	}
	return price
}

// Kit says for each need of a job where its pieces are: in the bins, expected, on a donor, to be ordered, missing. Pieces
// are counted on once within the job, in the order of its stages; what other jobs want of them is for the plan to say.
func (s JobSheet) Kit() []KitLine {
	k := kit{sheet: s, left: map[any]int{}}
	for _, stock := range s.Stock {
		k.left[stockKey{stock.PartID, stock.BinID}] += stock.Quantity
	}
	for _, a := range s.Arrivals {
		k.left[a.ID] += a.Quantity
	}
	for _, d := range s.DonorParts {
		k.left[d.ID] += d.Quantity
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

type stockKey struct {
	part PartID
	bin  BinID
}

// kit keeps what is left of each source while the needs are met one after another.
type kit struct {
	sheet JobSheet
	left  map[any]int
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
	for _, stock := range k.bins(need.PartID) {
		bin := find(k.sheet.Bins, func(b Bin) bool { return b.ID == stock.BinID })
		take(stockKey{stock.PartID, stock.BinID}, KitSource{Place: KitOnHand, Bin: bin})
	}
	for _, a := range k.arrivals(need.PartID) {
		take(a.ID, KitSource{Place: KitExpected, Arrival: a})
	}
	for _, d := range k.sheet.DonorParts {
		switch {
		case d.PartID != need.PartID:
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

// bins that hold a part, fullest first, as they are emptied.
func (k kit) bins(part PartID) []Stock {
	stock := keep(k.sheet.Stock, func(s Stock) bool { return s.PartID == part })
	slices.SortStableFunc(stock, func(a, b Stock) int {
		return cmp.Or(cmp.Compare(b.Quantity, a.Quantity), cmp.Compare(a.BinID, b.BinID))
	})
	return stock
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
