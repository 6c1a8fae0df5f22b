package unit_test

import (
	"math/rand/v2"
	"strings"
	"testing"

	"axlestand/internal/trade/unit"
)

// readsBack says whether a text is refused with a sentence, or read as a quantity that reads back as itself.
func readsBack[K unit.Kind](t *testing.T, typed string) (ok bool) {
	t.Helper()
	q, err := unit.Parse[K](typed)
	if err != nil {
		if e, is := err.(*unit.Error); !is || len(e.Text) < 10 || !q.IsZero() {
			t.Errorf("%q: refused with %#v and %q", typed, err, q)
		}
		return false
	}
	if again, err := unit.Parse[K](q.String()); err != nil || again != q {
		t.Errorf("%q is read as %q, which is read as %q, %v", typed, q, again, err)
	}
	return true
}

func allKinds(t *testing.T, typed string) (ok bool) {
	t.Helper()
	for _, read := range []func(*testing.T, string) bool{
		readsBack[unit.TorqueKind], readsBack[unit.LengthKind], readsBack[unit.DistanceKind], readsBack[unit.VolumeKind],
		readsBack[unit.PressureKind], readsBack[unit.TemperatureKind], readsBack[unit.SpeedKind], readsBack[unit.MassKind],
		readsBack[unit.ForceKind], readsBack[unit.AngleKind], readsBack[unit.PowerKind],
	} {
		ok = read(t, typed) || ok
	}
	return ok
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{
		"45 Nm", "0,9 l", "33 lbf ft", "1 1/2 in", "120 000 km", "1,250 l", "120.000 km", "-40 °F", "90°", "1½ turn", "\u22126.65 mm",
		"12345678901234567890 Nm", "0.00000000000000000001 l", ".5 bar", "3/0 in", "1.5 US fl oz", "4 kg/cm²", "-0 K", "999999999.5 km", "1 '",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, typed string) { allKinds(t, typed) })
}

// The pieces are what amounts are written with; strung together at random they reach every branch of the grammar.
var pieces = []string{
	"0", "1", "9", "12", "375", "000", "1234567", "4.5 ", "2,25", "1 000", ".", ",", " ", "-", "+", "\u2212", "/", "½", "'", "\"", "°", "e", "\u00a0", "\xff",
	"Nm", "N·m", "lbf ft", "ft-lb", "in", "kgf m", "mm", "l", "US", "imp", "gal", "qt", "fl oz", "bar", "psi", "°C", "F", "km", "miles", "km/h", "kg", "lb", "turn", "kW", "hp", "kN",
}

func TestParse_random_texts(t *testing.T) {
	t.Parallel()
	random := rand.New(rand.NewPCG(1, 2))
	readers := []func(*testing.T, string) bool{
		readsBack[unit.TorqueKind], readsBack[unit.LengthKind], readsBack[unit.DistanceKind], readsBack[unit.VolumeKind],
	}
	read := 0
	for range 100_000 {
		var b strings.Builder
		if random.IntN(2) == 0 {
			b.WriteString([]string{"12", "4.5", "2,25 ", "3/8", "1 000.5"}[random.IntN(5)])
		}
		for range 1 + random.IntN(4) {
			b.WriteString(pieces[random.IntN(len(pieces))])
		}
		if readers[random.IntN(len(readers))](t, b.String()) {
			read++
		}
	}
	if read < 1000 {
		t.Errorf("only %d texts were amounts: the test reaches too little", read)
	}
}

func TestOf_reads_back(t *testing.T) {
	t.Parallel()
	random := rand.New(rand.NewPCG(3, 4))
	for range 20_000 {
		v := random.Float64() * pow10(random.IntN(14)-5)
		for _, q := range []unit.Torque{unit.LbfFt.Of(v), unit.LbfFt.Of(v).To(unit.Nm), unit.LbfFt.Of(v).Readable()} {
			if again, err := unit.Parse[unit.TorqueKind](q.String()); err != nil || again != q {
				t.Fatalf("%q reads back as %q, %v", q, again, err)
			}
		}
		d := unit.Mile.Of(v).To(unit.Km).Round(0.001)
		if again, err := unit.Parse[unit.DistanceKind](d.String()); err != nil || again != d {
			t.Fatalf("%q reads back as %q, %v", d, again, err)
		}
	}
}

func pow10(n int) float64 {
	p := 1.0
	for range max(n, -n) {
		p *= 10
	}
	if n < 0 {
		return 1 / p
	}
	return p
}
