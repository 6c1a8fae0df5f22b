package torque

import (
	"fmt"
	"math"

	"axlestand/internal/trade/input"
	"axlestand/internal/trade/unit"
)

// Generic is a reckoned upper limit. It never stands in for the maker's figure, and [Generic.String] says so.
type Generic struct {
	Thread   Thread
	Class    Class
	Friction float64
	Preload  unit.Force
	Torque   unit.Torque
}

// String is the limit with its label and the name of its table.
func (g Generic) String() string {
	return fmt.Sprintf("at most %s for %s %s (%s; form of VDI 2230-1:2015, 90 %% of yield, friction %.2f)",
		g.Torque.Readable(), g.Thread, g.Class, Label, g.Friction)
}

// head is the bearing face of a hexagon head (ISO 4014) and the medium hole under it (ISO 273), in mm, from memory.
type head struct{ face, hole float64 }

var heads = map[float64]head{
	5: {6.88, 5.5}, 6: {8.88, 6.6}, 8: {11.63, 9}, 10: {14.63, 11}, 12: {16.63, 13.5}, 14: {19.64, 15.5}, 16: {22.49, 17.5},
}

// GenericMax is the preload and torque at which a steel bolt in steel reaches 90 % of its yield strength, with the friction
// given for thread and head alike:
//
//	d2 = d − 0.649519·P, d3 = d − 1.226869·P, d0 = (d2 + d3)/2
//	F = 0.9·R_p0.2·π/4·d0² / √(1 + 3·(1.5·(d2/d0)·(P/(π·d2) + 1.155·µ))²)
//	M = F·(0.16·P + 0.58·d2·µ + µ·D_Km/2), D_Km = (d_w + d_h)/2
//
// A refusal is an [*input.Error] for "thread", "class" or "friction".
func GenericMax(t Thread, c Class, friction float64) (Generic, error) {
	h, known := heads[t.Diameter]
	if !t.Metric() || !known {
		return Generic{}, input.Wrong("thread", "There is no generic maximum for this thread, only for M5, M6, M8, M10, M12, M14 and M16.")
	}
	s, err := c.strength(t.Diameter)
	if err != nil {
		return Generic{}, err
	}
	if err := input.Within("friction", friction, 0.08, 0.24, "Friction between oiled and dry steel is from 0.08 to 0.24."); err != nil {
		return Generic{}, err
	}
	d2 := t.Diameter - 0.649519*t.Pitch
	d3 := t.Diameter - 1.226869*t.Pitch
	d0 := (d2 + d3) / 2
	twist := 1.5 * d2 / d0 * (t.Pitch/(math.Pi*d2) + 1.155*friction)
	force := 0.9 * s.yield * math.Pi / 4 * d0 * d0 / math.Sqrt(1+3*twist*twist)
	arm := 0.16*t.Pitch + 0.58*d2*friction + friction*(h.face+h.hole)/4
	return Generic{Thread: t, Class: c, Friction: friction, Preload: unit.Newton.Of(force), Torque: unit.Nm.Of(force * arm / 1000)}, nil
}
