package vin

import (
	"errors"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
)

const alphabet = "0123456789ABCDEFGHJKLMNPRSTUVWXYZ"

// Sums and digits computed by hand from the table and weights of 49 CFR 565.15(c). The first number is the sample printed in
// that paragraph (published), the second and third are public test strings, those that begin with 0 are made up.
func TestCheckDigit(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		vin   VIN
		sum   int
		digit byte
	}{
		{"1G4AH59H45G118341", 411, '4'},
		{"11111111111111111", 89, '1'},
		{"1M8GDM9AXKP042788", 351, 'X'},
		{"0DEM44A16HA000017", 215, '6'},
		{"0DEM55B12TA000204", 178, '2'},
		{"0TST12C31LX000031", 188, '1'},
	} {
		v, err := Parse(string(c.vin))
		if err != nil || v.Sum() != c.sum || v.CheckDigit() != c.digit {
			t.Errorf("%s: %v, sum %d, digit %c, want %d and %c", c.vin, err, v.Sum(), v.CheckDigit(), c.sum, c.digit)
		}
		if got := v.Check(UnitedStates); got.Verdict != Fits {
			t.Errorf("%s: %+v", c.vin, got)
		}
	}
}

// The regulation's sample leaves place 9 open; its text works the digit out as 4 (published: 49 CFR 565.15(c)).
func TestCheckDigit_of_the_regulations_sample_is_4_alone(t *testing.T) {
	t.Parallel()
	for _, d := range alphabet {
		v := VIN("1G4AH59H" + string(d) + "5G118341")
		if got := v.Check(UnitedStates).Verdict; (got == Fits) != (d == '4') {
			t.Errorf("%c: %s", d, got)
		}
	}
}

// The sum is taken modulo 11, not modulo 10, and 10 is written X (49 CFR 565.15(c), published).
func TestCheckDigit_is_not_taken_modulo_10(t *testing.T) {
	t.Parallel()
	v := VIN("1M8GDM9AXKP042788")
	if v.CheckDigit() != 'X' || VIN("1M8GDM9A1KP042788").Check(UnitedStates).Verdict != DoesNotFit {
		t.Errorf("sum %d, digit %c", v.Sum(), v.CheckDigit())
	}
}

func value(c byte) int {
	for i, group := range strings.Fields("0 1AJ 2BKS 3CLT 4DMU 5ENV 6FW 7GPX 8HY 9RZ") { // published: 49 CFR 565.15(c)
		if strings.IndexByte(group, c) >= 0 {
			return i
		}
	}
	return -1
}

func randomVIN(r *rand.Rand) VIN {
	b := make([]byte, Length)
	for i := range b {
		b[i] = alphabet[r.IntN(len(alphabet))]
		if i >= serialFrom {
			b[i] = byte('0' + r.IntN(10))
		}
	}
	b[digitPlace] = VIN(b).CheckDigit() // its own weight is 0
	return VIN(b)
}

// Every change of one character is caught, except between characters of one value; so is every swap of neighbours of
// different values that leaves place 9 alone. Computed: all weights and the differences of neighbouring ones are prime to 11.
func TestCheckDigit_catches_every_single_change(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(17, 9))
	for range 300 {
		v := randomVIN(r)
		for place := range Length {
			for _, c := range []byte(alphabet) {
				changed := []byte(v)
				changed[place] = c
				if _, err := Parse(string(changed)); err != nil || c == v[place] {
					continue
				}
				same := place != digitPlace && value(c) == value(v[place])
				if got := VIN(changed).Check(UnitedStates).Verdict; (got == Fits) != same {
					t.Fatalf("%s -> %s (place %d): %s", v, changed, place+1, got)
				}
			}
		}
		for place := range Length - 1 {
			swapped := []byte(v)
			swapped[place], swapped[place+1] = swapped[place+1], swapped[place]
			if place == digitPlace || place+1 == digitPlace || value(v[place]) == value(v[place+1]) {
				continue
			}
			if VIN(swapped).Check(UnitedStates).Verdict == Fits {
				t.Fatalf("%s -> %s: the swap passes", v, swapped)
			}
		}
	}
}

// Look-alikes, computed from the table of values: some pass, some are caught.
func TestCheckDigit_of_lookalikes(t *testing.T) {
	t.Parallel()
	for pair, passes := range map[string]bool{"B2": true, "S2": true, "Z9": true, "G7": true, "5S": false, "8B": false, "2Z": false, "6G": false} {
		v := []byte("0TST1" + pair[:1] + "C30LX000031")
		v[digitPlace] = VIN(v).CheckDigit()
		v[5] = pair[1]
		if got := VIN(v).Check(UnitedStates).Verdict == Fits; got != passes {
			t.Errorf("%s: passes %v, want %v", pair, got, passes)
		}
	}
}

// Practice by market: mandatory in the United States, practice in Canada and China, none asked for in Europe (ISO 3779, from memory).
func TestCheck_is_asked_for_only_where_it_is_used(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		vin    VIN
		market Market
		want   Verdict
	}{
		{"0DEM44A17HA000017", UnitedStates, DoesNotFit},
		{"0DEM44A17HA000017", Canada, DoesNotFit},
		{"0DEM44A17HA000017", China, DoesNotFit},
		{"0DEM44A17HA000017", OtherMarket, NotExpected},
		{"0DEM44A17HA000017", UnknownMarket, DoesNotFit},
		{"0DEM44AZ7HA000017", OtherMarket, NotExpected},
		{"SZZZZZZZZZZZZ0000", UnknownMarket, NotExpected},
		{"LZZZZZZZZZZZZ0000", UnknownMarket, DoesNotFit},
		{"2ZZZZZZZZZZZZ0000", UnknownMarket, DoesNotFit},
		{"JZZZZZZZZZZZZ0000", UnknownMarket, NotExpected},
	} {
		got := c.vin.Check(c.market)
		if got.Verdict != c.want {
			t.Errorf("%s in %q: %+v, want %s", c.vin, c.market, got, c.want)
		}
		if c.want == NotExpected && got.Sentence != "No check digit expected." {
			t.Errorf("%s is called %q", c.vin, got.Sentence)
		}
	}
}

// The order of the codes is published: 49 CFR 565.15(d), table VII.
func TestModelYears(t *testing.T) {
	t.Parallel()
	for code, years := range map[byte][]int{
		'A': {1980, 2010}, 'H': {1987, 2017}, 'J': {1988, 2018}, 'L': {1990, 2020}, 'T': {1996, 2026}, 'V': {1997, 2027}, 'Y': {2000, 2030},
		'1': {2001, 2031}, '9': {2009, 2039}, 'U': nil, 'Z': nil, '0': nil,
	} {
		v := VIN("0DEM44A16" + string(code) + "A000017")
		for _, vehicle := range []Vehicle{UnknownVehicle, HeavyVehicle} {
			if got := v.ModelYears(vehicle, UnitedStates); !slices.Equal(got.Years, years) {
				t.Errorf("%c: %v, want %v", code, got, years)
			}
		}
		for _, y := range years {
			if got, ok := YearCode(y); !ok || got != code {
				t.Errorf("%d: %c, want %c", y, got, code)
			}
		}
	}
	for _, y := range []int{1979, 2040} {
		if _, ok := YearCode(y); ok {
			t.Errorf("%d has a code", y)
		}
	}
}

// Published: 49 CFR 565.25(b) (place 7 a digit: until 2009) and 565.15(b) (a letter: from 2010).
func TestModelYears_of_light_vehicles_are_told_by_place_7(t *testing.T) {
	t.Parallel()
	for v, want := range map[VIN][]int{"0DEM44116HA000017": {1987}, "0DEM44A16HA000017": {2017}} {
		if got := v.ModelYears(LightVehicle, UnitedStates); !slices.Equal(got.Years, want) {
			t.Errorf("%s: %v, want %v", v, got, want)
		}
		if got := v.ModelYears(LightVehicle, OtherMarket); len(got.Years) != 2 || !strings.Contains(got.Sentence, "may mean nothing") {
			t.Errorf("%s outside the United States: %v", v, got)
		}
	}
}

// A table in circulation runs on after Y without skipping back: it gives 1 for 2027. Right is V for 2027 and 1 for 2031.
func TestModelYears_does_not_take_1_for_2027(t *testing.T) {
	t.Parallel()
	code, _ := YearCode(2027)
	got := VIN("0DEM44A161A000017").ModelYears(UnknownVehicle, UnitedStates).Years
	if code != 'V' || slices.Contains(got, 2027) || !slices.Contains(got, 2031) {
		t.Errorf("2027 is %c, 1 is %v", code, got)
	}
}

func TestParse(t *testing.T) {
	t.Parallel()
	for typed, want := range map[string]VIN{
		"0dem44a16ha000017":       "0DEM44A16HA000017",
		" 0DEM 44A1-6HA0\t00017 ": "0DEM44A16HA000017",
	} {
		if got, err := Parse(typed); err != nil || got != want {
			t.Errorf("%q: %q, %v", typed, got, err)
		}
	}
	for _, c := range []struct {
		typed, meant, says string
		place              int
	}{
		{"ODEM44AI6HAQ00017", "0DEM44A16HA000017", "no I, O or Q", 1},
		{"0DEM44A16HA00001O", "0DEM44A16HA000010", "no I, O or Q", 17},
		{"0DEM44A16HA00001S", "", "the last four are digits", 17},
		{"0DEM44A16HA00S017", "", "the last four are digits", 14},
		{"0DEM44A16Hä000017", "", "only digits and letters", 11},
	} {
		_, err := Parse(c.typed)
		e, ok := errors.AsType[*CharacterError](err)
		if !ok || e.Place != c.place || e.Meant != c.meant || !strings.Contains(e.Error(), c.says) || strings.Contains(e.Error(), "Perhaps") != (c.meant != "") {
			t.Errorf("%q: %v", c.typed, err)
		}
	}
}

// Cars from before 1981 and small series: kept, not refused as faulty.
func TestParse_of_an_older_number_says_that_it_is_no_VIN(t *testing.T) {
	t.Parallel()
	for _, typed := range []string{"", "123-4567", "0DEM44A16HA00001", "0DEM44A16HA0000177"} {
		_, err := Parse(typed)
		e, ok := errors.AsType[*LengthError](err)
		if !ok || e.Number != Normalise(typed) || !strings.HasPrefix(e.Error(), "This is not a 17-character VIN") {
			t.Errorf("%q: %v", typed, err)
		}
	}
}

// Third character 9: published, 49 CFR 565.15(a). Regions: ISO 3780, from memory.
func TestMaker_and_region(t *testing.T) {
	t.Parallel()
	few, many := VIN("0D9M44A16HAXY7017"), VIN("0DEM44A16HA000017")
	if !few.FewCars() || few.Maker() != "0D9XY7" || many.FewCars() || many.Maker() != "0DE" || many.Serial() != "0017" {
		t.Errorf("few %q, many %q, serial %q", few.Maker(), many.Maker(), many.Serial())
	}
	for first, want := range map[string]Region{
		"A": Africa, "H": Africa, "J": Asia, "R": Asia, "S": Europe, "Z": Europe,
		"1": NorthAmerica, "5": NorthAmerica, "6": Oceania, "7": Oceania, "8": SouthAmerica, "9": SouthAmerica, "0": Unassigned,
	} {
		if got := (VIN(first) + many[1:]).Region(); got != want {
			t.Errorf("%s: %q, want %q", first, got, want)
		}
	}
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"0DEM44A16HA000017", "odem 44a1-6ha00001O", "ä", "\xff\xfe", strings.Repeat("9", Length)} {
		f.Add(s)
	}
	f.Fuzz(checkParse)
}

// checkParse holds of every input: what is read prints as itself and every reading of it works; what is not says why.
func checkParse(t *testing.T, typed string) {
	v, err := Parse(typed)
	if err != nil {
		if e, ok := errors.AsType[*CharacterError](err); ok && e.Meant != "" {
			if _, err := Parse(e.Meant); err != nil {
				t.Errorf("%q: what is suggested is no VIN: %v", typed, err)
			}
		}
		if v != "" || err.Error() == "" {
			t.Errorf("%q: %q and %v", typed, v, err)
		}
		return
	}
	again, err := Parse(string(v))
	if err != nil || again != v || v.CheckDigit() == 0 || len(v.World()) != 3 || !strings.HasPrefix(v.Maker(), v.World()) {
		t.Errorf("%q: read %q, again %q, %v", typed, v, again, err)
	}
	if years := v.ModelYears(LightVehicle, UnitedStates).Years; len(years) > 1 {
		t.Errorf("%q: %v", typed, years)
	}
}

func TestParse_of_100_000_random_inputs(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(3779, 1))
	const noise = alphabet + "IOQ- abcxyz\u00e4\xff"
	read := 0
	for range 100_000 {
		b := []byte(randomVIN(r))
		for range r.IntN(3) {
			b[r.IntN(len(b))] = noise[r.IntN(len(noise))]
		}
		if r.IntN(8) == 0 {
			b = b[:r.IntN(len(b))]
		}
		checkParse(t, string(b))
		if _, err := Parse(string(b)); err == nil {
			read++
		}
	}
	if read < 10_000 || read > 90_000 {
		t.Errorf("%d of 100,000 were VINs: the inputs try too little", read)
	}
}
