package wheel

import (
	"axlestand/internal/trade/input"
	"axlestand/internal/trade/unit"
)

const (
	firstIndex = 60
	lastIndex  = firstIndex + len(loads) - 1
)

// loads are kg by load index from 60 on, UN Regulation 30, annex 4 (from memory).
var loads = [...]float64{
	250, 257, 265, 272, 280, 290, 300, 307, 315, 325, // 60
	335, 345, 355, 365, 375, 387, 400, 412, 425, 437, // 70
	450, 462, 475, 487, 500, 515, 530, 545, 560, 580, // 80
	600, 615, 630, 650, 670, 690, 710, 730, 750, 775, // 90
	800, 825, 850, 875, 900, 925, 950, 975, 1000, 1030, // 100
	1060, 1090, 1120, 1150, 1180, 1215, 1250, 1285, 1320, 1360, // 110
	1400, 1450, 1500, 1550, 1600, 1650, 1700, // 120
}

// LoadOf is what one tyre with a load index carries.
func LoadOf(index int) (unit.Mass, error) {
	if index < firstIndex || index > lastIndex {
		return unit.Mass{}, input.Wrong("load index", "%d is no load index of a car's tyre: %d to %d.", index, firstIndex, lastIndex)
	}
	return unit.Kilogram.Of(loads[index-firstIndex]), nil
}

// IndexFor is the least load index whose tyres carry an axle, half of its load each.
func IndexFor(axle unit.Mass) (int, error) {
	each := axle.In(unit.Kilogram) / 2
	if !(each > 0) {
		return 0, input.Wrong("axle load", "Give the axle's greatest load from the car's papers.")
	}
	for i, kg := range loads {
		if kg >= each {
			return firstIndex + i, nil
		}
	}
	return 0, input.Wrong("axle load", "No car's tyre carries %.0f kg.", each)
}

// symbols are km/h by speed symbol, UN Regulation 30 (from memory). H stands between U and V.
var symbols = []struct {
	symbol string
	kmh    float64
}{
	{"A1", 5},
	{"A2", 10},
	{"A3", 15},
	{"A4", 20},
	{"A5", 25},
	{"A6", 30},
	{"A7", 35},
	{"A8", 40},
	{"B", 50},
	{"C", 60},
	{"D", 65},
	{"E", 70},
	{"F", 80},
	{"G", 90},
	{"J", 100},
	{"K", 110},
	{"L", 120},
	{"M", 130},
	{"N", 140},
	{"P", 150},
	{"Q", 160},
	{"R", 170},
	{"S", 180},
	{"T", 190},
	{"U", 200},
	{"H", 210},
	{"V", 240},
	{"W", 270},
	{"Y", 300},
}

// SpeedOf is the highest speed of a speed symbol.
func SpeedOf(symbol string) (unit.Speed, error) {
	for _, s := range symbols {
		if s.symbol == symbol {
			return unit.KmPerHour.Of(s.kmh), nil
		}
	}
	return unit.Speed{}, input.Wrong("speed symbol", "%.10q is no speed symbol: a letter like H, V or W.", symbol)
}

// Top is the highest speed of the tyre; more says that it is good for more than that: ZR without a symbol and (Y).
func (z Size) Top() (speed unit.Speed, more bool, err error) {
	switch {
	case z.Speed == "" && z.Build == "ZR":
		return unit.KmPerHour.Of(240), true, nil
	case z.Speed == "":
		return unit.Speed{}, false, input.Wrong("size", "%s does not say its speed symbol.", z)
	}
	speed, err = SpeedOf(z.Speed)
	return speed, z.Over, err
}

// LoadAt is what one tyre carries at a speed. V carries all up to 210 km/h and 91 % at 240, W all up to 240 and 85 % at 270,
// evenly between (UN Regulation 30, from memory). Faster than the symbol is refused, and so is Y over 270, for which the
// tyre's maker has the figure.
func LoadAt(index int, symbol string, speed unit.Speed) (unit.Mass, error) {
	full, err := LoadOf(index)
	if err != nil {
		return unit.Mass{}, err
	}
	top, err := SpeedOf(symbol)
	if err != nil {
		return unit.Mass{}, err
	}
	kmh := speed.In(unit.KmPerHour)
	if !(kmh >= 0 && kmh <= top.In(unit.KmPerHour)) {
		return unit.Mass{}, input.Wrong("speed", "A tyre with the symbol %s is for at most %s.", symbol, top)
	}
	share := 1.0
	switch {
	case symbol == "V" && kmh > 210:
		share = 1 - 0.09*(kmh-210)/30
	case symbol == "W" && kmh > 240:
		share = 1 - 0.15*(kmh-240)/30
	case symbol == "Y" && kmh > 270:
		return unit.Mass{}, input.Wrong("speed", "What a Y tyre carries over 270 km/h, its maker says.")
	}
	return unit.Kilogram.Of(full.In(unit.Kilogram) * share), nil
}
