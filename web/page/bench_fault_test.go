package page

import (
	"net/url"
	"testing"
)

func typed(pairs ...string) url.Values {
	v := url.Values{}
	for i := 0; i+1 < len(pairs); i += 2 {
		v.Set(pairs[i], pairs[i+1])
	}
	return v
}

// The figures are those of the tests of the packages that work them out; sources stand there.
func TestBench_vinAndFaults(t *testing.T) {
	t.Parallel()
	for _, c := range []benchCase{
		{calculator: "vin", says: []string{"The check digit fits", "no real car"}},
		{calculator: "vin", typed: typed("vin", "0DEM44A17HA000017"), says: []string{"should be 6"}},
		{calculator: "vin", typed: typed("vin", "0DEM44A17HA000017", "market", "another"), says: []string{"No check digit expected"}},
		{calculator: "vin", typed: typed("vin", "0m8gdm9a-kp042788"), says: []string{"it has 16"}},
		{calculator: "vin", typed: typed("vin", "0M8GDM9AXKPO42788"), wrong: map[string]string{"vin": "O"}},
		{calculator: "trouble-code", typed: typed("code", "p0420"), says: []string{"Rule out first: misfire", "P0420"}},
		{calculator: "trouble-code", typed: typed("code", "X0420"), wrong: map[string]string{"code": "P"}},
		{calculator: "fuel-trim", says: []string{"+21.0 %", "+4.0 %", "a vacuum leak"}}, // 1.08 · 1.12 = 1.2096
		{calculator: "fuel-trim", typed: typed("longFast", "300"), wrong: map[string]string{"longFast": "from"}},
		{calculator: "fuel-trim", typed: typed("short2Idle", "0", "long2Idle", "1", "short2Fast", "0", "long2Fast", "1"), says: []string{"an air leak on that bank"}},
		{calculator: "fuel-trim", typed: typed("short2Idle", "300"), wrong: map[string]string{"short2Idle": "from"}},
		{calculator: "readiness", typed: typed("monitor3", "not", "monitor5", "not"), says: []string{"not enough", "2 tests are not complete", "Catalyst"}},
		{calculator: "readiness", typed: typed("monitor3", "not", "monitor5", "none"), says: []string{"1 test is not complete"}},
		{calculator: "readiness", typed: typed("year", "1990"), wrong: map[string]string{"year": "1996"}},
		{calculator: "wet-compression", says: []string{"+29 %", "rings or bore"}}, // 11 / 8.5
		{calculator: "wet-compression", typed: typed("wet", "0"), wrong: map[string]string{"wet": "more than zero"}},
		{calculator: "charging", says: []string{"good", "13.7 to 14.7 V"}},
		{calculator: "charging", typed: typed("while", "cranking", "voltage", "9.1"), says: []string{"fault", "At least 9.6 V"}},
		{calculator: "quiescent-current", typed: typed("current", "0"), says: []string{"good"}},
		{calculator: "trouble-code", typed: typed("code", "u0100"), says: []string{"network"}},
		{calculator: "compression", says: []string{"70 %", "fault", "Cylinders 3 and 4"}}, // 8.5 / 12.2
		{calculator: "compression", typed: typed("readings", "12"), wrong: map[string]string{"readings": "two cylinders"}},
		{calculator: "battery", typed: typed("voltage", "12.45"), says: []string{"≈ 75 %"}},
		{calculator: "battery", typed: typed("rest", "1"), wrong: map[string]string{"rest": "4 hours"}},
		{calculator: "voltage-drop", says: []string{"watch"}},
		{calculator: "quiescent-current", says: []string{"≈ 10 days", "fault"}}, // 30000 / 2880
	} {
		c.run(t)
	}
}
