package brake

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"axlestand/internal/trade/input"
	"axlestand/internal/trade/unit"
)

// near fails the test when got is more than half a unit of the last printed digit of want away.
func near(t *testing.T, what string, got, want, lastDigit float64) {
	t.Helper()
	if !(math.Abs(got-want) <= lastDigit/2*(1+1e-9)) {
		t.Errorf("%s = %.10g, want %v", what, got, want)
	}
}

func refused(t *testing.T, what string, err error, field, says string) {
	t.Helper()
	e, ok := errors.AsType[*input.Error](err)
	if !ok || e.Field != field || !strings.Contains(e.Sentence, says) {
		t.Errorf("%s: got %v, want %s: …%s…", what, err, field, says)
	}
}

func pistons(mm ...float64) (list []unit.Length) {
	for _, d := range mm {
		list = append(list, unit.Mm.Of(d))
	}
	return list
}

func floating(mm ...float64) Caliper { return Caliper{Floating, pistons(mm...)} }

func axle(c Caliper, radius float64) Axle {
	return Axle{Caliper: c, Friction: 0.38, Radius: unit.Mm.Of(radius), Tyre: unit.Mm.Of(300)}
}

// The car of the check values: L 2.55 m, h 0.54 m, 56 % on the front axle.
var car = Car{Weight: WeightOf(unit.Kilogram.Of(1200)), Wheelbase: unit.Metre.Of(2.55), Height: unit.Metre.Of(0.54), Front: 0.56}

// Front one piston of 54 mm at 110 mm, rear 34 mm at 118 mm.
var original = Setup{Front: axle(floating(54), 110), Rear: axle(floating(34), 118)}

// Computed; UN Regulation 13-H, annex 5, for the formula (from memory).
func TestAxleLoads(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ g, front, rear float64 }{{9.80665, 1569.64, 882.02}, {9.81, 1570.18, 882.32}} {
		trike := Car{unit.Newton.Of(250 * c.g), unit.Metre.Of(1.53), unit.Metre.Of(0.592), 0.577 / 1.53}
		front, rear, err := trike.AxleLoads(0.68)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "front", front.In(unit.Newton), c.front, 0.01)
		near(t, "rear", rear.In(unit.Newton), c.rear, 0.01)
		share, err := trike.IdealFront(0.68)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "front share in %", 100*share, 64.02, 0.01)
	}
	near(t, "weight", WeightOf(unit.Kilogram.Of(250)).In(unit.Newton), 2451.6625, 1e-9)
}

// Computed.
func TestIdealFront(t *testing.T) {
	t.Parallel()
	for z, want := range map[float64]float64{0.3: 62.35, 0.6: 68.71, 0.9: 75.06} {
		share, err := car.IdealFront(z)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "front share in %", 100*share, want, 0.01)
	}
}

// Computed; Shigley and Limpert for the formulas (from memory).
func TestEffectiveRadius(t *testing.T) {
	t.Parallel()
	r, err := EffectiveRadius(unit.Mm.Of(130), unit.Mm.Of(80))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "uniform pressure", r.Pressure.In(unit.Mm), 106.98, 0.01)
	near(t, "uniform wear", r.Wear.In(unit.Mm), 105.0, 0.1)
	_, err = EffectiveRadius(unit.Mm.Of(260), unit.Mm.Of(160))
	refused(t, "diameters", err, "outer", "Is it a diameter?")
	_, err = EffectiveRadius(unit.Mm.Of(130), unit.Mm.Of(130))
	refused(t, "no face", err, "inner", "less than the outer")
}

// Computed by statics.
func TestPressure_clamp_and_torque(t *testing.T) {
	t.Parallel()
	p, err := Pedal{unit.Newton.Of(300), 4.5, 1, unit.Mm.Of(22.2)}.Pressure()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "pressure", p.In(unit.Megapascal), 3.488, 0.001)
	near(t, "area of 22.2 mm", 300*4.5/p.In(unit.Megapascal), 387.08, 0.01)

	six := unit.Megapascal.Of(6)
	clamp, err := floating(54).Clamp(six)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "clamp", clamp.In(unit.Newton), 13741, 1)
	torque, err := axle(floating(54), 105).WheelTorque(six)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "torque", torque.In(unit.Nm), 1096.6, 0.1)

	// A fixed caliper with 38 and 42 mm on each side: all four are given, one side clamps.
	fixed := Caliper{Fixed, pistons(38, 42, 38, 42)}
	area, err := fixed.Area()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "area", area, 2519.6, 0.1)
	a := axle(fixed, 120)
	a.Friction = 0.40
	if torque, err = a.WheelTorque(six); err != nil {
		t.Fatal(err)
	}
	near(t, "torque", torque.In(unit.Nm), 1451.3, 0.1)
}

// 100 lbf at 6:1 and 1000 psi: √(4·600/(π·1000)) = 0.874 in; 0.92 in is in circulation and wrong.
func TestBoreFor(t *testing.T) {
	t.Parallel()
	bore, err := Pedal{Force: unit.PoundForce.Of(100), Ratio: 6}.BoreFor(unit.Psi.Of(1000))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "bore", bore.In(unit.Inch), 0.874, 0.001)
	if math.Abs(bore.In(unit.Inch)-0.92) < 0.01 {
		t.Errorf("the bore is %v", bore.To(unit.Inch))
	}
}

// Computed.
func TestLocks(t *testing.T) {
	t.Parallel()
	share, err := original.FrontShare()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "front share", share, 0.7016, 0.0001)
	for mu, want := range map[float64]struct {
		front, rear float64
		rearFirst   bool
	}{0.8: {.8418, .7525, true}, 0.6: {.5848, .6205, false}} {
		l, err := car.Locks(share, mu)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "critical", l.Critical, 0.6688, 0.0001)
		near(t, "front locks at", l.Front, want.front, 0.0001)
		near(t, "rear locks at", l.Rear, want.rear, 0.0001)
		if l.RearFirst != want.rearFirst || l.Note != Disclaimer {
			t.Errorf("on %v: %+v", mu, l)
		}
	}
	// A front brake so weak that the front never locks.
	if l, err := car.Locks(0.1, 0.8); err != nil || !math.IsInf(l.Front, 1) || !l.RearFirst {
		t.Errorf("a weak front: %+v, %v", l, err)
	}
}

// A larger tyre takes braking force off its axle: at the same torque in the ratio of the radii.
func TestFrontShare_of_unlike_tyres(t *testing.T) {
	t.Parallel()
	s := original
	s.Rear.Tyre = unit.Mm.Of(330)
	share, err := s.FrontShare()
	if err != nil {
		t.Fatal(err)
	}
	front, rear := 54.0*54*110/300, 34.0*34*118/330
	near(t, "front share", share, front/(front+rear), 1e-12)
}

// Below the critical deceleration the front needs more of the road, above it the rear: two ways to the same answer.
func TestLocks_agrees_with_adhesion(t *testing.T) {
	t.Parallel()
	random := rand.New(rand.NewPCG(1, 2))
	for range 10_000 {
		c := Car{unit.Newton.Of(10_000), unit.Metre.Of(2 + random.Float64()), unit.Metre.Of(0.4 + 0.3*random.Float64()), 0.3 + 0.45*random.Float64()}
		share, z := 0.4+0.5*random.Float64(), 0.05+0.7*random.Float64()
		front, rear, err := c.AdhesionUsed(share, z, 1.5)
		if err != nil {
			t.Fatal(err)
		}
		l, err := c.Locks(share, min(max(front, rear), 1.5))
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(l.Critical-z) < 1e-6 || max(front, rear) > 1.5 {
			continue
		}
		if got := min(l.Front, l.Rear); math.Abs(got-z) > 1e-9 {
			t.Fatalf("%+v, share %v: needs %v and %v at %v, but locks at %v", c, share, front, rear, z, got)
		}
		if (rear > front) != (z > l.Critical) || (rear > front) != l.RearFirst {
			t.Fatalf("%+v, share %v at %v: front needs %v, rear %v, %+v", c, share, z, front, rear, l)
		}
	}
}

// The two conditions are those of UN Regulation 13-H, from memory.
func TestAdhesion(t *testing.T) {
	t.Parallel()
	// By hand: the rear reaches 0.52 at k 0.8 from a share of 0.4925 on; the rear needs no more than the front up to 0.8 from
	// 0.56 + 0.8·h/L = 0.7294 on.
	for share, want := range map[float64][2]bool{
		0.7016: {true, false}, 0.4: {false, false}, 0.492: {false, false}, 0.493: {true, false}, 0.729: {true, false}, 0.7295: {true, true}, 0.95: {true, true},
	} {
		a, err := car.Adhesion(share)
		if err != nil || a.UsesRoad != want[0] || a.FrontFirst != want[1] || a.Note != Disclaimer {
			t.Errorf("front share %v: %+v, %v, want %v", share, a, err, want)
		}
	}
}

// Computed.
func TestCompare_another_piston(t *testing.T) {
	t.Parallel()
	other := original
	other.Front.Caliper = floating(57)
	ch, err := Compare(car, original, other, unit.Mm.Of(22.2), 0.8)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "area and torque", ch.FrontTorque, 1.1142, 0.0001)
	near(t, "rear", ch.RearTorque, 1, 1e-12)
	near(t, "volume", ch.Volume, 1.0818, 0.0001)
	near(t, "bore", ch.Bore.In(unit.Mm), 23.09, 0.01)
	near(t, "pressure for the same torque", ch.FrontPressure, 1/1.1142, 0.0001)
	near(t, "share before", ch.FrontShareOld, 0.7016, 0.0001)
	if !(ch.FrontShareNew > ch.FrontShareOld) || !(ch.LocksNew.Critical > ch.LocksOld.Critical) {
		t.Errorf("a larger front piston gives %+v", ch)
	}
	if ch.Note != Disclaimer {
		t.Errorf("a change comes with %q", ch.Note)
	}
	if !strings.Contains(Disclaimer, "does not show that the car is road legal or safe") || !strings.Contains(Disclaimer, "ABS/ESP") {
		t.Error("the disclaimer lost its words")
	}
}

// What changes from one set-up to another and back comes out even.
func TestCompare_there_and_back(t *testing.T) {
	t.Parallel()
	random := rand.New(rand.NewPCG(3, 4))
	some := func() Setup {
		one := func() Axle {
			c := floating(25 + 40*random.Float64())
			if random.IntN(2) == 0 {
				d := 25 + 30*random.Float64()
				c = Caliper{Fixed, pistons(d, d)}
			}
			return Axle{c, 0.25 + 0.5*random.Float64(), unit.Mm.Of(80 + 80*random.Float64()), unit.Mm.Of(300)}
		}
		return Setup{one(), one()}
	}
	for range 2000 {
		a, b := some(), some()
		there, err := Compare(car, a, b, unit.Length{}, 0.8)
		if err != nil {
			t.Fatal(err)
		}
		back, err := Compare(car, b, a, unit.Length{}, 0.8)
		if err != nil {
			t.Fatal(err)
		}
		for _, product := range []float64{there.FrontTorque * back.FrontTorque, there.RearTorque * back.RearTorque, there.Volume * back.Volume, there.FrontTorque * there.FrontPressure} {
			if math.Abs(product-1) > 1e-12 {
				t.Fatalf("there and back makes %v", product)
			}
		}
		if there.FrontShareOld != back.FrontShareNew || there.LocksNew != back.LocksOld || !there.Bore.IsZero() {
			t.Fatalf("there %+v and back %+v", there, back)
		}
	}
}

// Computed: 100 km/h at 0.9 g.
func TestStoppingDistance(t *testing.T) {
	t.Parallel()
	d, err := StoppingDistance(unit.KmPerHour.Of(100), 0.9, 1)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "way to rest", d.In(unit.Metre), 43.71, 0.01)
	_, err = StoppingDistance(unit.KmPerHour.Of(100), 0.9, 0.8)
	refused(t, "more than the road has", err, "deceleration", "slows no car")
	_, err = StoppingDistance(unit.KmPerHour.Of(100), 0, 0.8)
	refused(t, "no deceleration", err, "deceleration", "times gravity")
}

func TestSetup_refuses(t *testing.T) {
	t.Parallel()
	six := unit.Megapascal.Of(6)
	with := func(change func(*Axle)) error {
		a := axle(floating(54), 110)
		change(&a)
		_, err := a.WheelTorque(six)
		return err
	}
	for name, c := range map[string]struct {
		change      func(*Axle)
		field, says string
	}{
		"one side of a fixed caliper":    {func(a *Axle) { a.Caliper = Caliper{Fixed, pistons(38, 42)} }, "pistons", "both sides"},
		"half a pair":                    {func(a *Axle) { a.Caliper = Caliper{Fixed, pistons(38, 42, 38)} }, "pistons", "both sides"},
		"four pistons that float":        {func(a *Axle) { a.Caliper = floating(38, 38, 42, 42) }, "pistons", "up to three"},
		"no pistons":                     {func(a *Axle) { a.Caliper.Pistons = nil }, "pistons", "Give the diameters"},
		"no mounting":                    {func(a *Axle) { a.Caliper.Mounting = "" }, "mounting", "fixed or floating"},
		"a radius for a piston":          {func(a *Axle) { a.Caliper = floating(17) }, "pistons", "radius"},
		"inches as millimetres":          {func(a *Axle) { a.Caliper = floating(2.125) }, "pistons", "inches"},
		"millimetres as inches":          {func(a *Axle) { a.Caliper.Pistons = []unit.Length{unit.Inch.Of(54)} }, "pistons", "inches"},
		"a diameter for the disc":        {func(a *Axle) { a.Radius = unit.Mm.Of(220) }, "radius", "diameter"},
		"a diameter for the tyre":        {func(a *Axle) { a.Tyre = unit.Mm.Of(632) }, "tyre", "diameter"},
		"friction that no pad has":       {func(a *Axle) { a.Friction = 0.81 }, "friction", "0.2 to 0.8"},
		"friction that is not a number°": {func(a *Axle) { a.Friction = math.NaN() }, "friction", "0.2 to 0.8"},
	} {
		refused(t, name, with(c.change), c.field, c.says)
	}
	for field, p := range map[string]Pedal{
		"force": {unit.Newton.Of(5000), 4.5, 1, unit.Mm.Of(22)}, "ratio": {unit.Newton.Of(300), 0, 1, unit.Mm.Of(22)},
		"servo": {unit.Newton.Of(300), 4.5, 0, unit.Mm.Of(22)}, "bore": {unit.Newton.Of(300), 4.5, 1, unit.Mm.Of(0.874)},
	} {
		_, err := p.Pressure()
		refused(t, field, err, field, "")
	}
	_, err := Pedal{Force: unit.Newton.Of(300), Ratio: 4.5}.BoreFor(unit.Megapascal.Of(0))
	refused(t, "no pressure", err, "pressure", "20 MPa")
	_, err = SameTravelBore(unit.Mm.Of(22), 0)
	refused(t, "no volume", err, "volume ratio", "0.1 to 10")
	_, err = VolumeRatio(nil, []Caliper{floating(54)})
	refused(t, "no circuit", err, "pistons", "circuit")
}

func TestCar_refuses(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		change      func(*Car)
		field, says string
	}{
		"no weight":         {func(c *Car) { c.Weight = unit.Force{} }, "weight", "Give"},
		"no wheelbase":      {func(c *Car) { c.Wheelbase = unit.Length{} }, "wheelbase", "Give"},
		"no height":         {func(c *Car) { c.Height = unit.Length{} }, "height", "Give"},
		"too high":          {func(c *Car) { c.Height = unit.Metre.Of(1.03) }, "height", "0.4 of the wheelbase"},
		"front share small": {func(c *Car) { c.Front = 0.29 }, "front share", "0.3 to 0.75"},
		"front share large": {func(c *Car) { c.Front = 0.76 }, "front share", "0.3 to 0.75"},
	} {
		spoilt := car
		c.change(&spoilt)
		_, err := spoilt.Locks(0.7, 0.8)
		refused(t, name, err, c.field, c.says)
		_, _, err = spoilt.AxleLoads(0.5)
		refused(t, name, err, c.field, c.says)
		_, err = spoilt.IdealFront(0.5)
		refused(t, name, err, c.field, c.says)
		_, err = spoilt.Adhesion(0.7)
		refused(t, name, err, c.field, c.says)
	}
	_, _, err := car.AdhesionUsed(0.7, 0.81, 0.8)
	refused(t, "more than the road has", err, "deceleration", "slows no car")
	_, _, err = car.AxleLoads(-0.1)
	refused(t, "speeding up", err, "deceleration", "0 to 1.5")
	_, err = car.Locks(1, 0.8)
	refused(t, "no rear brake", err, "front share of braking", "0.99")
	for _, mu := range []float64{0, 0.049, 1.51} {
		_, err = car.Locks(0.7, mu)
		refused(t, "no road", err, "road", "0.05 to 1.5")
	}
	if _, err := car.Locks(0.7, 0.05); err != nil {
		t.Errorf("ice is a road: %v", err)
	}
	_, err = Compare(Car{}, original, original, unit.Length{}, 0.8)
	refused(t, "no car", err, "weight", "Give")
}

func disc(least, runOut float64, mm ...float64) Disc {
	return Disc{pistons(mm...), unit.Mm.Of(least), unit.Mm.Of(runOut)}
}

// Limits of common practice, no source; the smallest of at least eight readings counts.
func TestDisc_Check(t *testing.T) {
	t.Parallel()
	even := slices.Repeat([]float64{24}, 8)
	for _, c := range []struct {
		disc Disc
		want string
	}{
		{disc(22, 0.05, even...), ""},
		{disc(24, 0.05, even...), "worn"},
		{disc(22, 0.11, even...), "run-out"},
		{disc(22, 0.05, 24, 24, 24), "points"},
		{disc(22, 0.05, append(even, 23.985)...), ""},
		{disc(22, 0.05, append(even, 23.98)...), "variation"},
		{disc(22, 0.05, append(even, 21.9)...), "worn variation"},
	} {
		found, err := c.disc.Check()
		var codes []string
		for _, f := range found {
			codes = append(codes, f.Code)
		}
		if got := strings.Join(codes, " "); err != nil || got != c.want {
			t.Errorf("%v: %q, %v, want %q", c.disc, got, err, c.want)
		}
	}
	_, err := disc(22, 0).Check()
	refused(t, "nothing measured", err, "readings", "micrometer")
	_, err = disc(22, 0, 0.9).Check()
	refused(t, "inches", err, "readings", "3 to 60")
	_, err = Disc{Readings: pistons(24)}.Check()
	refused(t, "no limit", err, "least", "cast")
}

func TestDistanceLeft(t *testing.T) {
	t.Parallel()
	at := func(mm, km float64) Measured { return Measured{unit.Mm.Of(mm), unit.Km.Of(km)} }
	// 0.4 mm in 20 000 km, 1.2 mm left.
	if left, err := DistanceLeft(at(24, 100_000), at(23.6, 120_000), unit.Mm.Of(22.4)); err != nil || math.Abs(left.In(unit.Km)-60_000) > 1e-6 {
		t.Errorf("%v is left, %v, want 60000 km", left, err)
	}
	if left, err := DistanceLeft(at(24, 100_000), at(22, 120_000), unit.Mm.Of(22.4)); err != nil || left.In(unit.Km) != 0 {
		t.Errorf("%v is left of a worn disc, %v", left, err)
	}
	_, err := DistanceLeft(at(24, 100_000), at(23.95, 120_000), unit.Mm.Of(22))
	refused(t, "too near", err, "wear", "Unknown")
	_, err = DistanceLeft(at(24, 100_000), at(23, 100_000), unit.Mm.Of(22))
	refused(t, "not driven", err, "wear", "after the first")
	_, err = DistanceLeft(at(24, 100_000), at(23, 120_000), unit.Length{})
	refused(t, "no limit", err, "least", "least thickness")
}
