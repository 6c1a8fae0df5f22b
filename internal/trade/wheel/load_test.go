package wheel

import (
	"math"
	"testing"

	"axlestand/internal/trade/unit"
)

// UN Regulation 30, annex 4, from memory; each row is the index of its first value, then one step each.
func TestLoadOf_UN_R30(t *testing.T) {
	t.Parallel()
	for first, row := range map[int][]float64{
		60:  {250, 257, 265, 272, 280, 290, 300, 307, 315, 325},
		70:  {335, 345, 355, 365, 375, 387, 400, 412, 425, 437},
		80:  {450, 462, 475, 487, 500, 515, 530, 545, 560, 580},
		90:  {600, 615, 630, 650, 670, 690, 710, 730, 750, 775},
		100: {800, 825, 850, 875, 900, 925, 950, 975, 1000, 1030},
		110: {1060, 1090, 1120, 1150, 1180, 1215, 1250, 1285, 1320, 1360},
		120: {1400, 1450, 1500, 1550, 1600, 1650, 1700},
	} {
		for i, want := range row {
			if got, err := LoadOf(first + i); err != nil || got.In(unit.Kilogram) != want {
				t.Errorf("load index %d is %v, %v, want %v kg", first+i, got, err, want)
			}
		}
	}
	for _, index := range []int{0, 59, 127, -1} {
		_, err := LoadOf(index)
		refused(t, "index", err, "load index", "60 to 126")
	}
}

// Computed: the table rises, stays within 1.8 % of 45·10^(LI/80), and gives 1355.8 lb for 91 and 1763.7 lb for 100.
func TestLoadOf_cross_check(t *testing.T) {
	t.Parallel()
	worst, last := 0.0, 0.0
	for index := firstIndex; index <= lastIndex; index++ {
		m, err := LoadOf(index)
		if err != nil {
			t.Fatal(err)
		}
		kg := m.In(unit.Kilogram)
		if kg <= last {
			t.Errorf("load index %d carries no more than %d", index, index-1)
		}
		last = kg
		worst = max(worst, math.Abs(kg/(45*math.Pow(10, float64(index)/80))-1))
	}
	if worst > 0.018 {
		t.Errorf("the table is up to %.2f %% off the geometric series", 100*worst)
	}
	near(t, "91", unit.Kilogram.Of(615).In(unit.Pound), 1355.8, 0.1)
	for index, lb := range map[int]float64{91: 1355.8, 100: 1763.7} {
		m, _ := LoadOf(index)
		near(t, "in lb", m.In(unit.Pound), lb, 0.1)
	}
}

// 478 kg for 83 and 265 kg for 61 are in circulation and wrong.
func TestLoadOf_wrong_values_in_circulation(t *testing.T) {
	t.Parallel()
	for index, c := range map[int]struct{ wrong, right float64 }{83: {478, 487}, 61: {265, 257}} {
		m, err := LoadOf(index)
		if kg := m.In(unit.Kilogram); err != nil || kg == c.wrong || kg != c.right {
			t.Errorf("load index %d carries %v, %v, want %v kg", index, m, err, c.right)
		}
	}
}

// UN Regulation 30, from memory. H stands between U and V.
func TestSpeedOf_UN_R30(t *testing.T) {
	t.Parallel()
	want := map[string]float64{
		"A1": 5, "A2": 10, "A3": 15, "A4": 20, "A5": 25, "A6": 30, "A7": 35, "A8": 40, "B": 50, "C": 60, "D": 65, "E": 70, "F": 80, "G": 90,
		"J": 100, "K": 110, "L": 120, "M": 130, "N": 140, "P": 150, "Q": 160, "R": 170, "S": 180, "T": 190, "U": 200, "H": 210, "V": 240,
		"W": 270, "Y": 300,
	}
	for symbol, kmh := range want {
		if got, err := SpeedOf(symbol); err != nil || got.In(unit.KmPerHour) != kmh {
			t.Errorf("%s is %v, %v, want %v km/h", symbol, got, err, kmh)
		}
	}
	if len(symbols) != len(want) {
		t.Errorf("%d symbols, want %d", len(symbols), len(want))
	}
	for i := 1; i < len(symbols); i++ {
		if symbols[i].kmh <= symbols[i-1].kmh {
			t.Errorf("%s is not faster than %s", symbols[i].symbol, symbols[i-1].symbol)
		}
	}
	for _, symbol := range []string{"", "I", "O", "X", "Z", "A9", "v"} {
		_, err := SpeedOf(symbol)
		refused(t, symbol, err, "speed symbol", "no speed symbol")
	}
	for typed, more := range map[string]bool{"225/45 ZR17": true, "225/45 ZR17 (94Y)": true, "225/45 ZR17 94Y": false} {
		if top, got, err := size(t, typed).Top(); err != nil || got != more || top.In(unit.KmPerHour) < 240 {
			t.Errorf("%s is for %v, more: %t, %v", typed, top, got, err)
		}
	}
}

// V 100 % at 210 and 91 % at 240 km/h, W 100 % at 240 and 85 % at 270, linear between: UN Regulation 30, from memory.
func TestLoadAt_falls_with_speed(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		symbol string
		kmh    float64
		share  float64
	}{
		{"V", 100, 1}, {"V", 210, 1}, {"V", 225, 0.955}, {"V", 240, 0.91}, {"W", 240, 1}, {"W", 255, 0.925}, {"W", 270, 0.85}, {"H", 210, 1}, {"Y", 270, 1},
	} {
		got, err := LoadAt(91, c.symbol, unit.KmPerHour.Of(c.kmh))
		if err != nil {
			t.Fatal(err)
		}
		near(t, c.symbol, got.In(unit.Kilogram), 615*c.share, 1e-6)
	}
	_, err := LoadAt(91, "V", unit.KmPerHour.Of(241))
	refused(t, "too fast", err, "speed", "at most 240 km/h")
	_, err = LoadAt(91, "Y", unit.KmPerHour.Of(280))
	refused(t, "Y over 270", err, "speed", "maker")
	_, err = LoadAt(9, "V", unit.KmPerHour.Of(100))
	refused(t, "no index", err, "load index", "60 to 126")
	_, err = LoadAt(91, "v", unit.KmPerHour.Of(100))
	refused(t, "no symbol", err, "speed symbol", "no speed symbol")
}

func TestIndexFor_an_axle(t *testing.T) {
	t.Parallel()
	for kg, want := range map[float64]int{1230: 91, 1231: 92, 100: 60, 3400: 126} {
		if got, err := IndexFor(unit.Kilogram.Of(kg)); err != nil || got != want {
			t.Errorf("an axle of %v kg needs %d, %v, want %d", kg, got, err, want)
		}
	}
	_, err := IndexFor(unit.Kilogram.Of(3401))
	refused(t, "a lorry", err, "axle load", "No car's tyre")
	_, err = IndexFor(unit.Mass{})
	refused(t, "nothing", err, "axle load", "papers")
}

func TestFitTyre(t *testing.T) {
	t.Parallel()
	need, now := Required{91, "V"}, size(t, "205/55 R16 91V")
	for typed, want := range map[string]string{
		"205/55 R16 91V": "", "205/55 R16 94W": "", "225/45 R17 91Y": "diameter", "205/55 R16 89V": "load!", "205/55 R16 91H": "speed!",
		"205/55 R16 89T": "load! speed!", "205/55 R16": "load! speed!", "205/50 R16 91V": "diameter", "225/45 ZR17 (94Y)": "diameter", "225/45 ZR17": "load! diameter",
	} {
		found, err := FitTyre(size(t, typed), need, now)
		if err != nil || codes(found) != want {
			t.Errorf("%s: %v, %v, want %q", typed, found, err, want)
		}
	}
	if found, err := FitTyre(now, need, Size{}); err != nil || len(found) > 0 {
		t.Errorf("nothing to compare with: %v, %v", found, err)
	}
	_, err := FitTyre(now, Required{}, Size{})
	refused(t, "nothing required", err, "load index", "60 to 126")
	_, err = FitTyre(now, Required{Load: 91}, Size{})
	refused(t, "no symbol required", err, "speed symbol", "no speed symbol")
	_, err = FitTyre(now, need, size(t, "165 R13"))
	refused(t, "old size", err, "aspect", "82 % or 80 %")
}
