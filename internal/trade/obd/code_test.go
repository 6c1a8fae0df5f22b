package obd

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"axlestand/internal/trade/input"
)

// field is the name of the value that an error is about.
func field(err error) string {
	if e, ok := errors.AsType[*input.Error](err); ok && e.Sentence != "" && !strings.Contains(e.Sentence, "%!") {
		return e.Field
	}
	return ""
}

func second[T any](_ T, err error) error { return err }

func code(t *testing.T, s string) Code {
	t.Helper()
	c, err := ParseCode(s)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// Computed from the layout of the two bytes: SAE J2012 and ISO 15031-6, from memory.
func TestCode_bytes(t *testing.T) {
	t.Parallel()
	for s, want := range map[string]uint16{"P0171": 0x0171, "P0420": 0x0420, "C0035": 0x4035, "B1234": 0x9234, "U0100": 0xC100, "U3FFF": 0xFFFF} {
		c := code(t, s)
		if c.Number != want || FromBytes(byte(want>>8), byte(want)) != c || c.String() != s {
			t.Errorf("%s: %04X, want %04X", s, c.Number, want)
		}
	}
}

func TestParseCode(t *testing.T) {
	t.Parallel()
	for typed, want := range map[string]string{"p0171": "P0171", " C 1234-1f ": "C1234-1F", "U0100-00": "U0100-00", "P2BAD": "P2BAD"} {
		if got := code(t, typed); got.String() != want || got.HasFailure != strings.Contains(want, "-") {
			t.Errorf("%q: %q, want %q", typed, got, want)
		}
	}
	for _, typed := range []string{"", "P", "P017", "P01711", "P4171", "X0171", "P017G", "0171", "P0171-", "P0171-1", "P0171-123", "P0171 P0172", "P-0171"} {
		if got, err := ParseCode(typed); field(err) != "code" {
			t.Errorf("%q: %v, %v", typed, got, err)
		}
	}
}

// Who defines which codes: SAE J2012, from memory. P2 is not the maker's.
func TestCode_Control(t *testing.T) {
	t.Parallel()
	for s, want := range map[string]Control{
		"P0171": Standard, "P2BAD": Standard, "P2187": Standard, "P3400": Standard, "P3FFF": Standard,
		"P1234": Maker, "P3000": Maker, "P33FF": Maker,
		"C0035": Standard, "B0001": Standard, "U0100": Standard,
		"C1234": Maker, "C2234": Maker, "B1234": Maker, "B2234": Maker, "U1000": Maker, "U2000": Maker,
		"C3000": Reserved, "B3000": Reserved, "U3000": Reserved,
	} {
		if got := code(t, s).Control(); got != want {
			t.Errorf("%s: %s, want %s", s, got, want)
		}
	}
}

// SAE J2012, from memory.
func TestCode_Area(t *testing.T) {
	t.Parallel()
	for s, want := range map[string]string{
		"P0010": "fuel and air", "P0171": "fuel and air", "P0201": "fuel and air, injectors", "P0300": "ignition and misfire", "P2300": "ignition and misfire",
		"P0420": "auxiliary emission control", "P0500": "speed, idle and other inputs", "P0601": "computer and outputs", "P0700": "transmission", "P0999": "transmission",
		"P0A00": "hybrid drive", "P0C00": "hybrid drive", "P0D00": "", "P1300": "", "P3400": "", "C0300": "", "U0300": "",
	} {
		if got := code(t, s).Area(); got != want {
			t.Errorf("%s: %q, want %q", s, got, want)
		}
	}
}

// Numbers as in the open code table of python-OBD (published); P0601 to P0606, P0700 and U0100 from memory. The texts are our own.
func TestCode_Text(t *testing.T) {
	t.Parallel()
	for span, word := range map[string]string{
		"P0010-0014": "cam timing", "P0016": "out of step", "P0030-0032": "heater", "P0036-0038": "heater", "P0068": "throttle", "P0087-0088": "fuel pressure",
		"P0100-0104": "air-mass meter", "P0105-0109": "manifold pressure", "P0110-0114": "intake air temperature", "P0115-0119": "coolant temperature",
		"P0120-0124": "throttle", "P0125": "closed loop", "P0128": "thermostat", "P0130-0135": "oxygen sensor 1, bank 1", "P0136-0141": "oxygen sensor 2, bank 1",
		"P0150-0155": "oxygen sensor 1, bank 2", "P0156-0161": "oxygen sensor 2, bank 2", "P0171": "lean, bank 1", "P0174": "lean, bank 2", "P0172": "rich, bank 1",
		"P0175": "rich, bank 2", "P0201-0212": "injector, cylinder", "P0217": "hot", "P0221": "sensor B", "P0230": "fuel pump", "P0234": "too much boost",
		"P0299": "too little boost", "P0300": "misfire", "P0301-0312": "misfire, cylinder", "P0313": "little fuel", "P0316": "after the start",
		"P0325-0329": "knock sensor 1", "P0330-0334": "knock sensor 2", "P0335-0339": "crankshaft sensor", "P0340-0344": "camshaft sensor A, bank 1",
		"P0345-0349": "camshaft sensor A, bank 2", "P0351-0362": "ignition coil", "P0380": "glow plugs", "P0401": "too little exhaust gas",
		"P0402": "too much exhaust gas", "P0410-0411": "secondary air", "P0420": "catalyst works too little, bank 1", "P0430": "catalyst works too little, bank 2",
		"P0440-0442": "fuel vapour", "P0443-0445": "purge valve", "P0446": "vent", "P0455": "large", "P0456": "very small", "P0457": "cap", "P0460": "fuel level",
		"P0480": "fan 1", "P0500": "vehicle speed", "P0505": "idle", "P0506": "idle too low", "P0507": "idle too high", "P0520-0523": "oil pressure sensor",
		"P0524": "oil pressure too low", "P0560-0563": "system voltage", "P0601-0606": "control module", "P0700": "asks for the lamp", "U0100": "engine control module",
	} {
		first, last, many := strings.Cut(span, "-")
		if !many {
			last = first[1:]
		}
		var from, to int
		if _, err := fmt.Sscanf(first[1:]+" "+last, "%d %d", &from, &to); err != nil {
			t.Fatal(err)
		}
		for n := from; n <= to; n++ {
			s := fmt.Sprintf("%c%04d", first[0], n)
			if text, known := code(t, s).Text(); !known || !strings.Contains(text, word) {
				t.Errorf("%s: %q, want %q in it", s, text, word)
			}
		}
	}
	for s, want := range map[string]string{
		"P0102": "air-mass meter: signal low", "P0113": "intake air temperature sensor: signal high", "P0133": "oxygen sensor 1, bank 1: slow",
		"P0141": "oxygen sensor 2, bank 1: heater", "P0303": "misfire, cylinder 3", "P0312": "misfire, cylinder 12", "P0351": "ignition coil A: circuit",
		"P0362": "ignition coil L: circuit", "P0212": "injector, cylinder 12: circuit", "P0171-1F": "too lean, bank 1",
	} {
		if got, _ := code(t, s).Text(); got != want {
			t.Errorf("%s: %q, want %q", s, got, want)
		}
	}
}

// A generic text under a maker's code would be wrong: P1171 is not P0171.
func TestCode_Text_of_a_makers_code_is_not_known(t *testing.T) {
	t.Parallel()
	for n := range 0x10000 {
		c := FromBytes(byte(n>>8), byte(n))
		text, known := c.Text()
		if known && (c.Control() != Standard || text == "" || c.digit() != 0) {
			t.Fatalf("%s: %q", c, text)
		}
		if c.Control() != Standard && c.Area() != "" {
			t.Fatalf("%s is said to be about %s", c, c.Area())
		}
	}
	if _, known := code(t, "P0999").Text(); known {
		t.Error("P0999 is not in the list")
	}
}

func TestCode_ExcludeFirst(t *testing.T) {
	t.Parallel()
	if len(code(t, "P0420").ExcludeFirst()) != 4 || len(code(t, "P0430-00").ExcludeFirst()) != 4 || code(t, "P0421").ExcludeFirst() != nil {
		t.Error("P0420 and P0430 are symptoms, others are taken at their word")
	}
}

func FuzzParseCode(f *testing.F) {
	for _, s := range []string{"P0171", "u3fff-ff", "P0171-1F", "\xff", "Ｐ0171"} {
		f.Add(s)
	}
	f.Fuzz(checkCode)
}

// checkCode holds of every input: what is read prints in a form that reads the same.
func checkCode(t *testing.T, typed string) {
	c, err := ParseCode(typed)
	if err != nil {
		if field(err) != "code" {
			t.Errorf("%q: %v", typed, err)
		}
		return
	}
	again, err := ParseCode(c.String())
	if err != nil || again != c || c.Control() == "" {
		t.Errorf("%q: read %v, again %v, %v", typed, c, again, err)
	}
}

func TestParseCode_of_100_000_random_inputs(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(2012, 6))
	const alphabet = "PCBUpcbu0123456789ABCDEFabcdef-- GX\xff"
	read := 0
	for range 100_000 {
		var b strings.Builder
		if r.IntN(2) == 0 {
			fmt.Fprintf(&b, "%c%d%03x", alphabet[r.IntN(8)], r.IntN(5), r.IntN(4096))
		}
		for range r.IntN(5) {
			b.WriteByte(alphabet[r.IntN(len(alphabet))])
		}
		checkCode(t, b.String())
		if _, err := ParseCode(b.String()); err == nil {
			read++
		}
	}
	if read < 1000 {
		t.Errorf("only %d of 100,000 were codes: the inputs try too little", read)
	}
}

// Every code of two bytes prints in a form that reads as the same two bytes.
func TestCode_of_all_bytes(t *testing.T) {
	t.Parallel()
	for n := range 0x10000 {
		c := FromBytes(byte(n>>8), byte(n))
		if again, err := ParseCode(c.String()); err != nil || again != c {
			t.Fatalf("%04X: %s reads as %v, %v", n, c, again, err)
		}
	}
}
