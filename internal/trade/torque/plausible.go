package torque

import (
	"fmt"
	"strings"

	"axlestand/internal/trade/unit"
)

// Bounds of what passes without a question, common practice, no source.
const (
	above      = 1.25 // times the generic maximum
	below      = 0.15
	mostLbfIn  = 250
	leastLbfFt = 3
	usualDry   = 0.14 // the friction of the usual tables
)

// Plausible looks for a wrong unit or thread in a spec as typed. Thread and class may be none. It warns and never refuses: the
// maker may have reasons, and a figure within the bounds may still be wrong, as when lbf ft were read as N m.
func Plausible(s Stages, t Thread, c Class) (warnings []Warning) {
	for _, stage := range s {
		aim := stage.Torque.Aim()
		if aim.Unit() == unit.LbfIn && aim.Value() > mostLbfIn {
			warnings = append(warnings, Warning{"twelve", fmt.Sprintf("%s is unusually much for lbf in: does the page say lbf ft?", aim)})
		}
		if aim.Unit() == unit.LbfFt && aim.Value() < leastLbfFt {
			warnings = append(warnings, Warning{"twelve", fmt.Sprintf("%s is unusually little for lbf ft: does the page say lbf in?", aim)})
		}
	}
	return append(warnings, againstGeneric(s, t, c)...)
}

func againstGeneric(s Stages, t Thread, c Class) []Warning {
	highest := s.Highest()
	generic, err := GenericMax(t, c, usualDry)
	if err != nil || highest.IsZero() {
		return nil
	}
	ratio := highest.In(unit.Nm) / generic.Torque.In(unit.Nm)
	var code, how string
	switch {
	case ratio > above:
		code, how = "high", fmt.Sprintf("%.1f times", ratio)
	case ratio < below && !s.Turns(): // a turn that follows does the tightening
		code, how = "low", fmt.Sprintf("only %.0f %% of", 100*ratio)
	default:
		return nil
	}
	text := fmt.Sprintf("%s is %s the maximum of %s for %s %s (%s). Wrong unit or thread?", highest, how, generic.Torque.Readable(), t, c, Label)
	if units := fitting(highest, generic.Torque); units != "" {
		text += " The same number would fit in " + units + "."
	}
	return []Warning{{code, text}}
}

// fitting lists the other units in which the number typed would be a usual torque for the thread.
func fitting(typed, most unit.Torque) string {
	var names []string
	for _, u := range []unit.Unit[unit.TorqueKind]{unit.Nm, unit.LbfFt, unit.LbfIn, unit.KgfM, unit.KgfCm} {
		ratio := u.Of(typed.Value()).In(unit.Nm) / most.In(unit.Nm)
		if u != typed.Unit() && ratio >= 0.3 && ratio <= 1.05 {
			names = append(names, u.String())
		}
	}
	return strings.Join(names, " or ")
}
