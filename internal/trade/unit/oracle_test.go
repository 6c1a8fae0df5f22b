package unit_test

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"axlestand/internal/trade/unit"
)

// question is one conversion to be asked of both.
type question struct {
	have, want string // in the words of GNU units
	value, got float64
	scale      float64 // the amount that a relative error is relative to
}

// ask makes a random conversion between two units of a kind. names are what GNU units calls them, in the order of
// [unit.Units]; a unit that it has no name for is left out as "".
func ask[K unit.Kind](names ...string) func(*rand.Rand) question {
	units := unit.Units[K]()
	if len(units) != len(names) {
		panic(fmt.Sprintf("%d names for %v", len(names), units))
	}
	return func(random *rand.Rand) question {
		from, to := random.IntN(len(units)), random.IntN(len(units))
		value, _ := strconv.ParseFloat(strconv.FormatFloat(random.Float64()*pow10(random.IntN(8)-3), 'g', 9, 64), 64)
		got := units[from].Of(value).In(units[to])
		q := question{have: names[from], want: names[to], value: value, got: got, scale: math.Abs(got)}
		if strings.HasPrefix(names[to], "temp") {
			q.scale = max(q.scale, 273.15) // at the zero of °C and °F the difference of two large numbers is left
		}
		return q
	}
}

// GNU units 2.22 as packaged by Debian is the reference from outside: its own table of units, its own arithmetic. It prints
// at most 15 significant digits, 5e-16 to 5e-15 of the value, which leaves room to the 1e-12 asked for. It has the
// conventional mercury and water as Hg and H2O at 9.80665 m/s².
var asks = []func(*rand.Rand) question{
	ask[unit.TorqueKind]("N m", "lbf ft", "lbf in", "kgf m", "kgf cm", "oz force in", "daN m", "N cm"),
	ask[unit.LengthKind]("mm", "cm", "m", "micron", "inch", "foot", "mil"),
	ask[unit.DistanceKind]("km", "mile"),
	ask[unit.VolumeKind]("l", "ml", "cm^3", "usgallon", "usquart", "uspint", "usfloz", "brgallon", "brquart", "brpint", "brfloz", "in^3"),
	ask[unit.PressureKind]("bar", "psi", "kPa", "MPa", "Pa", "mbar", "kgf/cm^2", "inHg", "inch H2O"),
	ask[unit.TemperatureKind]("tempC", "tempF", "tempK"),
	ask[unit.SpeedKind]("km/hr", "mph", "m/s"),
	ask[unit.MassKind]("kg", "g", "tonne", "lb", "oz"),
	ask[unit.ForceKind]("N", "kN", "lbf", "kgf"),
	ask[unit.AngleKind]("degree", "turn", "radian"),
	ask[unit.PowerKind]("kW", "W", "hp", "metrichorsepower"),
}

func TestConversions_against_GNU_units(t *testing.T) {
	t.Parallel()
	program, err := exec.LookPath("units")
	if err != nil {
		missing(t)
	}
	random := rand.New(rand.NewPCG(5, 6))
	questions := make([]question, 10_000)
	var in bytes.Buffer
	for i := range questions {
		q := asks[i%len(asks)](random)
		questions[i] = q
		if strings.HasPrefix(q.have, "temp") {
			fmt.Fprintf(&in, "%s(%v)\n%s\n", q.have, q.value, q.want)
		} else {
			fmt.Fprintf(&in, "%v %s\n%s\n", q.value, q.have, q.want)
		}
	}
	cmd := exec.Command(program, "--terse", "--quiet", "--digits", "15")
	cmd.Stdin = &in
	cmd.Env = append(os.Environ(), "LC_ALL=C")
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("units: %v\n%.500s", err, out)
	}
	check(t, questions, strings.Fields(string(out)))
}

func check(t *testing.T, questions []question, answers []string) {
	t.Helper()
	if len(answers) != len(questions) {
		t.Fatalf("%d answers to %d questions; the first: %.200q", len(answers), len(questions), strings.Join(answers, " "))
	}
	worst := 0.0
	for i, q := range questions {
		answer, err := strconv.ParseFloat(answers[i], 64)
		if err != nil {
			t.Fatalf("%v %s in %s: %v", q.value, q.have, q.want, err)
		}
		off := math.Abs(answer-q.got) / q.scale
		if !(off <= 1e-12) {
			t.Errorf("%v %s = %.16g %s, GNU units says %s", q.value, q.have, q.got, q.want, answers[i])
		}
		worst = max(worst, off)
	}
	t.Logf("%d conversions, the worst is %.1e off", len(questions), worst)
}

// missing skips a test loudly where GNU units is not installed, and fails it under continuous integration.
func missing(t *testing.T) {
	t.Helper()
	const advice = "NOT CHECKED against GNU units, which is not installed (Debian: apt-get install units)"
	if os.Getenv("CI") != "" {
		t.Fatal(advice)
	}
	t.Skip(advice)
}
