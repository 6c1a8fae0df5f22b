package planner

import (
	"cmp"
	"maps"
	"slices"
	"strconv"

	"axlestand/internal/garage"
)

// A garage's part is one part of the problem as long as all its pieces serve all its needs. Where some needs ask for a better
// grade than others, or the owner keeps pieces for one, its pieces are laid apart into pools, each a part of the problem for
// itself: what serves the strictest needs, what serves only the next ones, and so on. Each need draws on pools that serve it,
// the least that will do first, so that no piece is promised twice or to a need that it does not meet.

// pools are the parts of a problem and what each stage takes of them.
type pools struct {
	in     *input
	parts  []Part
	stages map[garage.StageID]map[string]int
}

// poolRef names a pool of a part; the first bears the part's own name.
func poolRef(part garage.PartID, suffix string) string {
	if suffix == "" {
		return PartRef(part)
	}
	return PartRef(part) + "." + suffix
}

// newPools lays the parts of a garage apart.
func newPools(in *input) *pools {
	p := &pools{in: in, stages: map[garage.StageID]map[string]int{}}
	needs := map[garage.PartID][]garage.Need{}
	for _, n := range in.shot.Needs {
		needs[n.PartID] = append(needs[n.PartID], n)
	}
	stock := map[garage.PartID][]garage.Stock{}
	for _, s := range in.shot.Stock {
		stock[s.PartID] = append(stock[s.PartID], s)
	}
	for _, part := range in.shot.Parts {
		if len(needs[part.ID]) > 0 {
			p.part(part, needs[part.ID], stock[part.ID])
		}
	}
	return p
}

// part lays one part apart.
func (p *pools) part(part garage.Part, needs []garage.Need, stock []garage.Stock) {
	stock = slices.Clone(stock)
	needs = p.keep(part, needs, stock)
	var classes []string // least grades, the strictest first
	for _, n := range needs {
		if n.Stops {
			classes = append(classes, n.LeastGrade)
		}
	}
	slices.SortFunc(classes, func(a, b string) int { return cmp.Compare(strictness(a), strictness(b)) })
	classes = slices.Compact(classes)
	if len(classes) == 0 {
		classes = []string{""}
	}
	made := make([]*pool, len(classes))
	for i := range classes {
		made[i] = &pool{}
		if i < len(classes)-1 {
			made[i].suffix = strconv.Itoa(i + 1)
		}
	}
	p.supply(part, classes, made, stock)
	p.assign(part, classes, made, needs)
	for _, one := range made {
		p.parts = append(p.parts, Part{ID: poolRef(part.ID, one.suffix), OnHand: one.onHand, Arrivals: one.arrivals, OrderLeadDays: one.lead})
	}
}

// pool is pieces that serve the same needs, and how many of them are not given to a need yet.
type pool struct {
	suffix   string
	onHand   int
	arrivals []Arrival
	lead     *Range
	free     int
	coming   int
}

func strictness(least string) int {
	if least == "" {
		return len(garage.Grades)
	}
	return slices.Index(garage.Grades, least)
}

// keep lays what the owner keeps for a need into a pool of its own, and returns what needs still want.
func (p *pools) keep(part garage.Part, needs []garage.Need, stock []garage.Stock) []garage.Need {
	left := slices.Clone(needs)
	slices.SortStableFunc(left, func(a, b garage.Need) int {
		return cmp.Or(cmp.Compare(strictness(a.LeastGrade), strictness(b.LeastGrade)), comparePinned(a, b))
	})
	for i := range left {
		n := &left[i]
		if n.PinnedAt == nil {
			continue
		}
		kept := garage.TakeFor(stock, *n, n.Quantity)
		if kept == 0 || !n.Stops {
			continue
		}
		ref := poolRef(part.ID, "n"+strconv.FormatInt(int64(n.ID), 10))
		p.parts = append(p.parts, Part{ID: ref, OnHand: kept})
		p.take(n.StageID, ref, kept)
		n.Quantity -= kept
	}
	return left
}

func comparePinned(a, b garage.Need) int {
	if a.PinnedAt != nil && b.PinnedAt != nil {
		return cmp.Or(a.PinnedAt.Compare(*b.PinnedAt), cmp.Compare(a.ID, b.ID))
	}
	return cmp.Compare(a.ID, b.ID)
}

// supply puts what there is and what comes into the pool of the strictest needs that it serves.
func (p *pools) supply(part garage.Part, classes []string, made []*pool, stock []garage.Stock) {
	serves := func(grade, condition string) *pool {
		for i, least := range classes {
			if (garage.Need{LeastGrade: least}).Meets(grade, condition) {
				return made[i]
			}
		}
		return nil
	}
	for _, s := range stock {
		if to := serves(s.Grade, s.Condition); to != nil {
			to.onHand += s.Quantity
		}
	}
	if to := serves(part.Grade, ""); to != nil {
		to.arrivals = p.in.arrivals(part.ID)
		if part.LeadLow != nil {
			to.lead = &Range{*part.LeadLow, *part.LeadLikely, *part.LeadHigh}
		}
	}
	if to := serves("used", ""); to != nil {
		to.arrivals = append(to.arrivals, p.in.harvested(part.ID)...)
	}
	for _, one := range made {
		one.free = one.onHand
		for _, a := range one.arrivals {
			one.coming += a.Qty
		}
	}
}

// assign gives each need the pools that it draws on, the strictest needs first.
func (p *pools) assign(part garage.Part, classes []string, made []*pool, needs []garage.Need) {
	needs = slices.DeleteFunc(slices.Clone(needs), func(n garage.Need) bool { return !n.Stops || n.Quantity == 0 })
	slices.SortStableFunc(needs, func(a, b garage.Need) int {
		return cmp.Or(cmp.Compare(strictness(a.LeastGrade), strictness(b.LeastGrade)), cmp.Compare(a.ID, b.ID))
	})
	for _, n := range needs {
		class := slices.Index(classes, n.LeastGrade)
		left := n.Quantity
		draw := func(from *pool, most int) {
			if most = min(most, left); most > 0 {
				p.take(n.StageID, poolRef(part.ID, from.suffix), most)
				left -= most
			}
		}
		if len(made) > 1 {
			for i := class; i >= 0; i-- {
				taken := min(made[i].free, left)
				draw(made[i], taken)
				made[i].free -= taken
			}
			for i := class; i >= 0; i-- {
				taken := min(made[i].coming, left)
				draw(made[i], taken)
				made[i].coming -= taken
			}
		}
		rest := made[class]
		for i := class; i >= 0; i-- {
			if made[i].lead != nil {
				rest = made[i]
				break
			}
		}
		draw(rest, left)
	}
}

func (p *pools) take(stage garage.StageID, ref string, quantity int) {
	if p.stages[stage] == nil {
		p.stages[stage] = map[string]int{}
	}
	p.stages[stage][ref] += quantity
}

// of is what a stage takes.
func (p *pools) of(stage garage.StageID) []Need {
	var needs []Need
	for _, ref := range slices.Sorted(maps.Keys(p.stages[stage])) {
		needs = append(needs, Need{Part: ref, Qty: p.stages[stage][ref]})
	}
	return needs
}
