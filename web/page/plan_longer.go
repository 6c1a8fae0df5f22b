package page

import (
	"fmt"

	"axlestand/internal/planner"
	"axlestand/web/ui"
)

// PlanLongerView is a plan that was looked for longer, beside the plan.
type PlanLongerView struct {
	Base
	Sub     string
	Changed bool   // the garage changed between looking and taking
	Found   string // names the better plan; empty when there is none
	Nothing string // then: what was found instead
	Gains   []string
	Totals  ui.TableData
	Change  PlanChange
}

// NewPlanLonger sets a plan that was looked for longer beside the plan p, under the name by which it can be taken.
func NewPlanLonger(base Base, p Planned, l planner.Longer, name string) PlanLongerView {
	v := PlanLongerView{Base: base, Sub: "The plan is made in an instant. Here some forty times as much was tried, starting afresh."}
	if !l.Better {
		v.Nothing = "Nothing was found that is worth moving jobs for."
		if l.Plan.Totals.Optimal {
			v.Nothing = "No order of the work is better by enough to move jobs for: all were gone through."
		}
		return v
	}
	v.Found = name
	if was := p.Answer.Totals.WeightedCompletion; len(l.Gain.Frees) == 0 && was > 0 {
		if sooner := 100 * (1 - l.Plan.Totals.WeightedCompletion/was); sooner >= 0.5 {
			v.Gains = append(v.Gains, fmt.Sprintf("Its jobs end %.0f\u00a0%% sooner, weighed by how much they matter", sooner))
		}
	}
	v.Gains = append(v.Gains, p.gainWords(l.Gain)...)
	v.Totals, v.Change = beside(p, NewPlanned(p.Shot, p.Problem, l.Plan, p.Now), "Longer look")
	return v
}
