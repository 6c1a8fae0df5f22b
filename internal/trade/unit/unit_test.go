package unit_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"axlestand/internal/trade/unit"
)

// near fails the test when got is more than half a unit of the last printed digit of want away.
func near(t *testing.T, what string, got, want, lastDigit float64) {
	t.Helper()
	if !(math.Abs(got-want) <= lastDigit/2*(1+1e-9)) {
		t.Errorf("%s = %.10g, want %v", what, got, want)
	}
}

// Exact, computed from 1 in = 0.0254 m, 1 ft = 0.3048 m, 1 lb = 0.45359237 kg, g_n = 9.80665 m/s². NIST SP 811, appendix B.8
// (from memory), prints 1.355 818 for lbf·ft, 0.112 984 8 for lbf·in and 9.806 65 for kgf·m.
func TestTorque_factors(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		of   unit.Unit[unit.TorqueKind]
		want float64
	}{
		{unit.LbfFt, 3389544870828501.0 / 2500000000000000},
		{unit.LbfFt, 1.3558179483314004},
		{unit.LbfIn, 0.1129848290276167},
		{unit.LbfIn, 1.3558179483314004 / 12},
		{unit.OzfIn, 0.00706155181422604},
		{unit.KgfM, 9.80665},
		{unit.KgfCm, 0.0980665},
	} {
		if got := c.of.Of(1).In(unit.Nm); math.Abs(got/c.want-1) > 1e-15 {
			t.Errorf("1 %s = %.17g Nm, want %.17g", c.of, got, c.want)
		}
	}
	near(t, "lbf ft, printed", unit.LbfFt.Of(1).In(unit.Nm), 1.355818, 1e-6)
	near(t, "lbf in, printed", unit.LbfIn.Of(1).In(unit.Nm), 0.1129848, 1e-7)
}

// Computed from the exact definitions.
func TestTorque_conversions(t *testing.T) {
	t.Parallel()
	near(t, "100 Nm in lbf ft", unit.Nm.Of(100).In(unit.LbfFt), 73.756, 1e-3)
	near(t, "100 Nm in lbf in", unit.Nm.Of(100).In(unit.LbfIn), 885.07, 1e-2)
	near(t, "100 Nm in kgf m", unit.Nm.Of(100).In(unit.KgfM), 10.197, 1e-3)
	near(t, "80 lbf ft", unit.LbfFt.Of(80).In(unit.Nm), 108.4654, 1e-4)
	near(t, "50 lbf ft", unit.LbfFt.Of(50).In(unit.Nm), 67.7909, 1e-4)
	near(t, "100 lbf in", unit.LbfIn.Of(100).In(unit.Nm), 11.2985, 1e-4)
	near(t, "13 kgf m", unit.KgfM.Of(13).In(unit.Nm), 127.486, 1e-3)
	near(t, "200 Nm in kgf m", unit.Nm.Of(200).In(unit.KgfM), 20.394, 1e-3)
}

// Computed from the exact definitions.
func TestOther_factors(t *testing.T) {
	t.Parallel()
	near(t, "psi", unit.Psi.Of(1).In(unit.Kilopascal), 6.894757293168, 1e-12)
	near(t, "bar", unit.Bar.Of(1).In(unit.Psi), 14.50377, 1e-5)
	near(t, "inHg", unit.InHg.Of(1).In(unit.Kilopascal), 3.386389, 1e-6)
	near(t, "US gal", unit.USGallon.Of(1).In(unit.Litre), 3.785411784, 1e-15)
	near(t, "US qt", unit.USQuart.Of(1).In(unit.Litre), 0.946352946, 1e-15)
	near(t, "imp gal", unit.ImpGallon.Of(1).In(unit.Litre), 4.54609, 1e-15)
	near(t, "imp pint", unit.ImpPint.Of(1).In(unit.Litre), 0.56826125, 1e-15)
	near(t, "US fl oz", unit.USFluidOunce.Of(1).In(unit.Millilitre), 29.5735295625, 1e-13)
	near(t, "mile", unit.Mile.Of(1).In(unit.Km), 1.609344, 1e-15)
	near(t, "metric hp", unit.MetricHorsepower.Of(1).In(unit.Watt), 735.49875, 1e-12)
	near(t, "hp", unit.Horsepower.Of(1).In(unit.Watt), 745.69987, 1e-5)
	near(t, "212 °F", unit.Fahrenheit.Of(212).In(unit.Celsius), 100, 1e-12)
	near(t, "32 °F", unit.Fahrenheit.Of(32).In(unit.Celsius), 0, 1e-12)
	near(t, "-40 °C", unit.Celsius.Of(-40).In(unit.Fahrenheit), -40, 1e-12)
	near(t, "20 °C in K", unit.Celsius.Of(20).In(unit.Kelvin), 293.15, 1e-12)
	near(t, "32 psi", unit.Psi.Of(32).In(unit.Bar), 2.206, 1e-3)
	near(t, "2.4 bar", unit.Bar.Of(2.4).In(unit.Psi), 34.81, 1e-2)
	near(t, "30 mpg(US)", unit.PerHundredFromMPGUS(30), 7.840, 1e-3)
	near(t, "30 mpg(UK)", unit.PerHundredFromMPGImp(30), 9.416, 1e-3)
	near(t, "14 inH2O", unit.InH2O.Of(14).In(unit.Kilopascal), 3.5, 1e-1) // printed beside each other for smoke testers; common practice, no source
	if got := unit.PerHundredFromMPGUS(0); got != 0 {
		t.Errorf("0 mpg gives %v l/100 km", got)
	}
}

// The temperatures stand beside each other in 49 CFR 571.116 S5.1.1 and S5.1.2.
func TestTemperature_as_printed_in_a_regulation(t *testing.T) {
	t.Parallel()
	for c, f := range map[float64]float64{205: 401, 140: 284, 230: 446, 155: 311, 260: 500, 180: 356} {
		near(t, "°F", unit.Celsius.Of(c).In(unit.Fahrenheit), f, 1e-12)
	}
}

func parsed[K unit.Kind](t *testing.T, typed string, want unit.Quantity[K], text string) {
	t.Helper()
	got, err := unit.Parse[K](typed)
	if err != nil {
		t.Errorf("%q: %v", typed, err)
		return
	}
	if got.Compare(want) != 0 || got.Unit() != want.Unit() || got.String() != text {
		t.Errorf("%q is %q, want %q", typed, got, text)
	}
}

func TestParse_as_an_owner_types_it(t *testing.T) {
	t.Parallel()
	for _, s := range []string{"45 Nm", "45Nm", "45 N·m", "45 N m", "45 n.m", "  45 newton metres", "45\u00a0Nm", "+45 Nm"} {
		parsed(t, s, unit.Nm.Of(45), "45 Nm")
	}
	for _, s := range []string{"33 lbf ft", "33 ft-lb", "33 lb-ft", "33 lb ft", "33 ft·lbf", "33 FT LBS", "33 foot-pounds", "33 ft.lb."} {
		parsed(t, s, unit.LbfFt.Of(33), "33 lbf ft")
	}
	for _, s := range []string{"90 lbf in", "90 in-lb", "90 in.lbs", "90 inch pounds"} {
		parsed(t, s, unit.LbfIn.Of(90), "90 lbf in")
	}
	// The kg·m of old manuals is kgf·m (common practice, no source).
	for _, s := range []string{"4,5 kg m", "4.5 mkg", "4.5 kgf·m", "4.5 m-kg", "4.5 kpm"} {
		parsed(t, s, unit.KgfM.Of(4.5), "4.5 kgf m")
	}
	parsed(t, "0,9 l", unit.Litre.Of(0.9), "0.9 l")
	parsed(t, "0.90 L", unit.Litre.Of(0.9), "0.90 l")
	parsed(t, "1.250 l", unit.Litre.Of(1.25), "1.250 l")
	parsed(t, "950 cc", unit.CubicCentimetre.Of(950), "950 cm³")
	parsed(t, "4 US quarts", unit.USQuart.Of(4), "4 US qt")
	parsed(t, "3/8 in", unit.Inch.Of(0.375), "0.375 in")
	parsed(t, `1 1/2"`, unit.Inch.Of(1.5), "1.5 in")
	parsed(t, "1½ turns", unit.Turn.Of(1.5), "1.5 turn")
	parsed(t, "−6.65 mm", unit.Mm.Of(-6.65), "-6.65 mm")
	parsed(t, "120 000 km", unit.Km.Of(120000), "120000 km")
	parsed(t, "75'000 mi", unit.Mile.Of(75000), "75000 miles")
	parsed(t, "-40 °F", unit.Fahrenheit.Of(-40), "-40 °F")
	parsed(t, "20 C", unit.Celsius.Of(20), "20 °C")
	parsed(t, "-0 °C", unit.Celsius.Of(0), "0 °C")
	parsed(t, "90°", unit.Degree.Of(90), "90°")
	parsed(t, "90 deg", unit.Degree.Of(90), "90°")
	parsed(t, ",5 bar", unit.Bar.Of(0.5), "0.5 bar")
	parsed(t, "2.4 kg/cm²", unit.KgfPerCm2.Of(2.4), "2.4 kgf/cm²")
}

func refused[K unit.Kind](t *testing.T, typed string, code unit.Code, says string) {
	t.Helper()
	q, err := unit.Parse[K](typed)
	e, ok := errors.AsType[*unit.Error](err)
	if !ok || e.Code != code || !strings.Contains(e.Text, says) {
		t.Errorf("%q is %v, %v, want %s: …%s…", typed, q, err, code, says)
	}
}

func TestParse_refuses(t *testing.T) {
	t.Parallel()
	refused[unit.TorqueKind](t, "", unit.NotANumber, "like 45 Nm")
	refused[unit.TorqueKind](t, "Nm", unit.NotANumber, "like 45 Nm")
	refused[unit.TorqueKind](t, "45.", unit.NotANumber, "number")
	refused[unit.TorqueKind](t, "45", unit.NoUnit, "unit too")
	refused[unit.TorqueKind](t, "45 blobs", unit.UnknownUnit, "blobs")
	refused[unit.TorqueKind](t, "45 mm", unit.WrongKind, "a length")
	refused[unit.TorqueKind](t, "45 lb", unit.Ambiguous, "lbf ft or lbf in")
	refused[unit.TorqueKind](t, "4 kg", unit.Ambiguous, "kgf m or kgf cm")
	refused[unit.TorqueKind](t, "-45 Nm", unit.Negative, "below zero")
	refused[unit.TorqueKind](t, "1e9 Nm", unit.UnknownUnit, "e9")
	refused[unit.TorqueKind](t, "99999999999 Nm", unit.TooLarge, "more than")
	refused[unit.TorqueKind](t, strings.Repeat("9", 500)+" Nm", unit.NotANumber, "too long")
	refused[unit.TorqueKind](t, "1,234.5 Nm", unit.NotANumber, "thousands")
	refused[unit.VolumeKind](t, "3 gal", unit.Ambiguous, "US gal or imp gal")
	refused[unit.VolumeKind](t, "3 pt", unit.Ambiguous, "US pt or imp pt")
	refused[unit.VolumeKind](t, "1,250 l", unit.Ambiguous, "1250 or 1.250")
	refused[unit.DistanceKind](t, "120.000 km", unit.Ambiguous, "120000 or 120.0000")
	refused[unit.DistanceKind](t, "120 m", unit.Ambiguous, "km or miles")
	refused[unit.TemperatureKind](t, "205°", unit.Ambiguous, "°C or °F")
	refused[unit.LengthKind](t, "3/0 in", unit.UnknownUnit, "")
}

func TestParseIn_takes_the_unit_beside_the_field(t *testing.T) {
	t.Parallel()
	if q, err := unit.ParseIn("45,5", unit.Nm); err != nil || q.String() != "45.5 Nm" {
		t.Errorf("got %v, %v", q, err)
	}
	if q, err := unit.ParseIn("33 lbf ft", unit.Nm); err != nil || q.Unit() != unit.LbfFt {
		t.Errorf("a typed unit must win: %v, %v", q, err)
	}
}

// Common practice, no source: 1 N m from 10 N m on, 0.1 N m below.
func TestShow_what_a_wrench_can_show(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		q    unit.Torque
		in   unit.Unit[unit.TorqueKind]
		want string
	}{
		{unit.LbfFt.Of(80), unit.Nm, "108 Nm"},
		{unit.LbfIn.Of(80), unit.Nm, "9.0 Nm"},
		{unit.Nm.Of(100), unit.LbfFt, "74 lbf ft"},
		{unit.Nm.Of(10), unit.LbfFt, "7.4 lbf ft"},
		{unit.Nm.Of(100), unit.KgfM, "10.2 kgf m"},
		{unit.Nm.Of(45.25), unit.Nm, "45.25 Nm"}, // as written: not rounded
	} {
		if got := c.q.Show(c.in); got != c.want {
			t.Errorf("%s in %s is shown as %q, want %q", c.q, c.in, got, c.want)
		}
	}
	if got := unit.USQuart.Of(4.8).Show(unit.Litre); got != "4.54 l" {
		t.Errorf("4.8 US qt is shown as %q", got)
	}
	if got := unit.Bar.Of(2.4).Show(unit.Psi); got != "35 psi" {
		t.Errorf("2.4 bar is shown as %q", got)
	}
}

func TestQuantity_zero_is_none(t *testing.T) {
	t.Parallel()
	var none unit.Torque
	if !none.IsZero() || none.String() != "" || none.In(unit.Nm) != 0 || !none.Readable().IsZero() || none.Show(unit.Nm) != "" {
		t.Errorf("no torque is %q, %v", none, none.In(unit.Nm))
	}
	if unit.Nm.Of(0).IsZero() {
		t.Error("0 Nm is a torque")
	}
	if unit.Inch.Imperial() == unit.Mm.Imperial() {
		t.Error("inch and mm are of one system")
	}
}

func TestUnits_have_symbols_of_their_own(t *testing.T) {
	t.Parallel()
	for _, u := range unit.Units[unit.TorqueKind]() {
		got, err := unit.ParseUnit[unit.TorqueKind](u.String())
		if err != nil || got != u {
			t.Errorf("%s reads back as %v, %v", u, got, err)
		}
	}
	for _, u := range unit.Units[unit.VolumeKind]() {
		if got, err := unit.ParseUnit[unit.VolumeKind](u.String()); err != nil || got != u {
			t.Errorf("%s reads back as %v, %v", u, got, err)
		}
	}
}
