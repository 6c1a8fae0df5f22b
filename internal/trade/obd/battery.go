package obd

import (
	"axlestand/internal/trade/input"
)

// Volts is a voltage.
type Volts float64

// restedHours is how long a battery rests before its voltage says anything. Common practice, no source.
const restedHours = 4

// chargeTable is the charge in percent of a rested flooded battery at 25 °C. Common practice, no source.
var chargeTable = [][2]float64{{11.89, 0}, {12.06, 25}, {12.24, 50}, {12.45, 75}, {12.65, 100}}

// Battery is the kind of battery.
type Battery string

// The kinds.
const (
	Flooded Battery = "flooded"
	AGM     Battery = "AGM"
)

// agmFull is what a full AGM battery shows at least. Between full and flat no figures are given: tables in circulation contradict
// themselves. Common practice, no source.
const agmFull Volts = 12.8

// Charge is what a rested battery's voltage says.
type Charge struct {
	Percent float64 // of flooded batteries, from 0 to 100
	Known   bool    // false for an AGM battery that is not full
	Full    bool
}

// JudgeCharge reads the state of charge off the voltage at rest, at 25 °C, without load. Common practice, no source. A voltage that a 12 V
// battery does not have is refused for "voltage", less than four hours of rest for "rest", another kind for "battery".
func JudgeCharge(kind Battery, v Volts, restHours float64) (Charge, error) {
	err := input.First(
		input.Within("voltage", v, 0, 13.5, "Give the voltage of a 12 V battery at rest, from 0 to 13.5 V; above that it is being charged."),
		input.Within("rest", restHours, restedHours, 1e6, "The voltage says something after %d hours without charge or load.", restedHours),
	)
	switch {
	case err != nil:
		return Charge{}, err
	case kind == AGM:
		return Charge{Percent: 100, Known: v >= agmFull, Full: v >= agmFull}, nil
	case kind != Flooded:
		return Charge{}, input.Wrong("battery", "Figures are known for flooded batteries, and for AGM whether it is full.")
	}
	return Charge{Percent: charge(float64(v)), Known: true, Full: float64(v) >= chargeTable[len(chargeTable)-1][0]}, nil
}

func charge(v float64) float64 {
	if v <= chargeTable[0][0] {
		return 0
	}
	for i, high := range chargeTable[1:] {
		if low := chargeTable[i]; v <= high[0] {
			return low[1] + (v-low[0])/(high[0]-low[0])*(high[1]-low[1])
		}
	}
	return 100
}

// The limits of charging and cranking. Common practice, no source.
const (
	ChargingFrom, ChargingTo           Volts = 13.7, 14.7
	SmartChargingFrom, SmartChargingTo Volts = 12.5, 15
	CrankingFrom                       Volts = 9.6 // at 20 °C
)

// JudgeCharging judges the voltage with the engine running; a smart alternator may go further both ways. Common practice, no source. What is
// no voltage is refused for "voltage".
func JudgeCharging(v Volts, smart bool) (Verdict, error) {
	if err := voltage(v); err != nil {
		return "", err
	}
	from, to := ChargingFrom, ChargingTo
	if smart {
		from, to = SmartChargingFrom, SmartChargingTo
	}
	if v < from || v > to {
		return Fault, nil
	}
	return Good, nil
}

// JudgeCranking judges the voltage while the starter turns, at 20 °C. Common practice, no source. What is no voltage is refused for "voltage".
func JudgeCranking(v Volts) (Verdict, error) {
	if err := voltage(v); err != nil {
		return "", err
	}
	if v < CrankingFrom {
		return Fault, nil
	}
	return Good, nil
}

func voltage(v Volts) error {
	return input.Within("voltage", v, 0, 36, "Give the voltage, from 0 to 36 V.")
}

// Circuit is where a voltage drop is measured.
type Circuit string

// The circuits.
const (
	Earth    Circuit = "earth"
	Positive Circuit = "positive"
	Starter  Circuit = "starter"
)

// drops are the voltages up to which a drop is good and up to which to watch it. Common practice, no source.
var drops = map[Circuit][2]Volts{Earth: {.1, .2}, Positive: {.2, .3}, Starter: {.5, .5}}

// JudgeDrop judges a voltage drop under load; resistance without load says nothing. Common practice, no source. A circuit that there is not
// is refused for "circuit", what is no voltage for "voltage".
func JudgeDrop(where Circuit, v Volts) (Verdict, error) {
	limits, known := drops[where]
	if !known {
		return "", input.Wrong("circuit", "Choose earth, positive or starter.")
	}
	if err := voltage(v); err != nil {
		return "", err
	}
	switch {
	case v <= limits[0]:
		return Good, nil
	case v <= limits[1]:
		return Watch, nil
	}
	return Fault, nil
}

// QuiescentMost is the current in mA that a car at rest stays below, 20 to 60 minutes after it went to sleep. Common practice, no source.
const QuiescentMost = 50

// JudgeQuiescent judges the current of a car at rest in mA. Common practice, no source. Less than 20 minutes of sleep are refused for
// "asleep", what is no current for "current".
func JudgeQuiescent(mA, asleepMinutes float64) (Verdict, error) {
	err := input.First(
		input.Within("current", mA, 0, 1e6, "Give the current in mA, zero or more."),
		input.Within("asleep", asleepMinutes, 20, 1e6, "Modules take 20 to 60 minutes to go to sleep: wait, and do not open a door or pull a fuse meanwhile."),
	)
	switch {
	case err != nil:
		return "", err
	case mA < QuiescentMost:
		return Good, nil
	}
	return Fault, nil
}

// DaysToHalf is the number of days until a quiescent current has drawn half of a full battery: 0.5·Ah·1000/(mA·24). A capacity or
// current of none is refused for "capacity" and "current".
func DaysToHalf(ampHours, mA float64) (float64, error) {
	err := input.First(
		input.Positive("capacity", ampHours, "Give the battery's capacity in Ah, more than zero."),
		input.Positive("current", mA, "Give the current in mA, more than zero."),
	)
	if err != nil {
		return 0, err
	}
	return .5 * ampHours * 1000 / (mA * 24), nil
}
