package page

import (
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/planner"
)

// PartPromises is what the plan gives the needs of a part.
func (p Planned) PartPromises(part garage.PartID, needs []garage.PartNeed) []Promise {
	type given struct {
		onHand, coming, order int
		last                  time.Time
		by                    garage.Date
	}
	stages := map[string]*given{}
	for _, promise := range p.Answer.Promises {
		if planner.RefNumber[garage.PartID](promise.Part) != part {
			continue
		}
		g := stages[promise.Stage]
		if g == nil {
			g = &given{}
			stages[promise.Stage] = g
		}
		switch promise.Source {
		case planner.FromOnHand:
			g.onHand += promise.Qty
		case planner.FromOrder:
			g.order += promise.Qty
			if by := promise.OrderBy; !by.IsZero() && (g.by.IsZero() || garage.DateOf(by.Time).Before(g.by)) {
				g.by = garage.DateOf(by.Time)
			}
		default:
			g.coming += promise.Qty
			if promise.At.After(g.last) {
				g.last = promise.At
			}
		}
	}
	var all []Promise
	for _, n := range needs {
		pr := Promise{Need: n}
		if g := stages[planner.StageRef(n.StageID)]; g != nil {
			pr.OnHand = min(n.Quantity, g.onHand)
			pr.Coming = min(n.Quantity-pr.OnHand, g.coming)
			pr.ToOrder = min(n.Quantity-pr.OnHand-pr.Coming, g.order)
			g.onHand, g.coming, g.order = g.onHand-pr.OnHand, g.coming-pr.Coming, g.order-pr.ToOrder
			if pr.Coming > 0 {
				pr.When = p.untilText(g.last)
			}
			if pr.ToOrder > 0 && !g.by.IsZero() {
				pr.OrderBy = p.dayText(g.by.In(p.Now.Location()))
			}
		}
		pr.Lacks = n.Quantity - pr.OnHand - pr.Coming - pr.ToOrder
		all = append(all, pr)
	}
	return all
}

// PromisedElsewhere is what of the pieces on hand other jobs than this one get: by the plan, or because the owner keeps them.
func (p Planned) PromisedElsewhere(job garage.JobID) []garage.Promised {
	var all []garage.Promised
	promised := map[string]bool{}
	for _, promise := range p.Answer.Promises {
		if promise.Job == planner.JobRef(job) || promise.Source != planner.FromOnHand {
			continue
		}
		promised[promise.Stage] = true
		all = append(all, garage.Promised{
			PartID: planner.RefNumber[garage.PartID](promise.Part), JobID: p.jobs[promise.Job].ID, JobTitle: p.jobs[promise.Job].Title,
			Quantity: promise.Qty,
		})
	}
	for _, n := range p.Shot.Needs {
		stage := p.stages[planner.StageRef(n.StageID)]
		if n.PinnedAt != nil && stage.JobID != job && !promised[planner.StageRef(n.StageID)] {
			all = append(all, garage.Promised{
				PartID: n.PartID, JobID: stage.JobID, JobTitle: p.jobs[planner.JobRef(stage.JobID)].Title, Quantity: n.Quantity, Kept: true,
			})
		}
	}
	return all
}
