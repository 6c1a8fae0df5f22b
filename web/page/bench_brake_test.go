package page

import "testing"

// Figures worked by hand.
func TestBench_brakes(t *testing.T) {
	t.Parallel()
	for _, c := range []benchCase{
		// 54² mm² once against 40² mm² twice, radius 110 against 125: 3200·125/(2916·110) = 1.247.
		{calculator: "stopping-distance", says: []string{"44 m", "143 ft"}}, // (100/3.6)²/(2·0.9·9.80665) = 43.7 m
		{calculator: "stopping-distance", typed: typed("deceleration", "1.2"), wrong: map[string]string{"deceleration": "slows no car"}},
		{calculator: "brake-comparison", says: []string{"+25 %", "0 %", "Pedal travel", "can spin", "Before, ", "does not show that the car is road legal or safe"}},
		{calculator: "brake-comparison", typed: typed("newFrontpistons", "40 40 38"), wrong: map[string]string{"newFrontpistons": "pairs"}},
		{calculator: "brake-comparison", typed: typed("newRearfriction", "0.9"), wrong: map[string]string{"newRearfriction": "0.2 to 0.8"}},
		{calculator: "brake-comparison", typed: typed("oldFrontradius", "220"), wrong: map[string]string{"oldFrontradius": "radius"}},
		{calculator: "brake-comparison", typed: typed("front", "20"), wrong: map[string]string{"front": "30 to 75 %"}},
		{calculator: "brake-disc", typed: typed("readings", "20.3 20.5"), says: []string{"replace"}},
		{calculator: "brake-disc", typed: typed("readings", "2"), wrong: map[string]string{"readings": "3 to 60"}},
	} {
		c.run(t)
	}
}
