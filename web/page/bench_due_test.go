package page

import "testing"

// Days counted on a calendar; figures of the brakes are worked by hand.
func TestBench_dueCoresAndBrakes(t *testing.T) {
	t.Parallel()
	for _, c := range []benchCase{
		{calculator: "next-due", typed: typed("every", ""), says: []string{"Sun 20 Jun 2027", "By time"}},
		{calculator: "next-due", typed: typed("every", "10000"), says: []string{"By distance", "1000 km"}},
		{calculator: "next-due", typed: typed("every", "", "months", ""), wrong: map[string]string{"every": "."}},
		{calculator: "next-due", typed: typed("nowAt", "100000"), wrong: map[string]string{"nowAt": "less"}},
		{calculator: "core-deposit", says: []string{"Wed 31 Mar 2027", "26 days left"}}, // 1 March + 30 days
		{calculator: "core-deposit", typed: typed("count", "business days", "window", "5"), says: []string{"Mon 8 Mar 2027", "3 days left", "too late"}},
		{calculator: "core-deposit", typed: typed("window", "many"), wrong: map[string]string{"window": "whole number"}},
		// 54² mm² once against 40² mm² twice, radius 110 against 125: 3200·125/(2916·110) = 1.247.
		{calculator: "brake-comparison", says: []string{"+25 %", "0 %", "does not show that the car is road legal or safe"}},
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
