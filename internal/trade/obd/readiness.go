package obd

import (
	"slices"

	"axlestand/internal/trade/input"
)

// Monitor is one of the car's own tests of its emission control: SAE J1979, from memory.
type Monitor string

// The monitors. The first three run all the time, the others once in a drive.
const (
	Misfire        Monitor = "misfire"
	FuelSystem     Monitor = "fuel system"
	Components     Monitor = "comprehensive components"
	Catalyst       Monitor = "catalyst"
	HeatedCatalyst Monitor = "heated catalyst"
	Vapour         Monitor = "fuel vapour system"
	SecondaryAir   Monitor = "secondary air"
	AirCondition   Monitor = "air conditioning refrigerant"
	OxygenSensor   Monitor = "oxygen sensor"
	OxygenHeater   Monitor = "oxygen sensor heater"
	Recirculation  Monitor = "exhaust gas recirculation or valve timing"
)

var monitors = []Monitor{Misfire, FuelSystem, Components, Catalyst, HeatedCatalyst, Vapour, SecondaryAir, AirCondition, OxygenSensor, OxygenHeater, Recirculation}

// Monitors lists them; the continuous ones come first.
func Monitors() []Monitor { return slices.Clone(monitors) }

// Continuous says that the monitor runs all the time.
func (m Monitor) Continuous() bool { return m == Misfire || m == FuelSystem || m == Components }

// ClearingWarning belongs before clearing codes or taking the battery off.
const ClearingWarning = "Clearing codes or taking the battery off sets the readiness back: note the freeze frame first, and do not do it shortly before an inspection."

// State is what the car says of a monitor.
type State struct {
	Monitor   Monitor
	Supported bool
	Complete  bool
}

// Readiness is what an inspection would find.
type Readiness struct {
	NotReady []Monitor // supported and not complete, without the continuous ones
	Allowed  int       // how many of them usually may be
	Enough   bool
}

// JudgeReadiness counts the monitors that are not ready. Inspections in the United States usually allow two on cars of model years 1996 to
// 2000 and one from 2001 on: US EPA's guidance, from memory. An earlier car has none of this and is refused for "year", a
// monitor that there is not or that is named twice for "monitor".
func JudgeReadiness(modelYear int, states []State) (Readiness, error) {
	if modelYear < 1996 || modelYear > 2100 {
		return Readiness{}, input.Wrong("year", "Readiness is known of cars from model year 1996 on.")
	}
	r := Readiness{Allowed: 1}
	if modelYear <= 2000 {
		r.Allowed = 2
	}
	seen := map[Monitor]bool{}
	for _, s := range states {
		if !slices.Contains(monitors, s.Monitor) || seen[s.Monitor] {
			return Readiness{}, input.Wrong("monitor", "There is no such monitor, or it is named twice: %s.", s.Monitor)
		}
		seen[s.Monitor] = true
		if s.Supported && !s.Complete && !s.Monitor.Continuous() {
			r.NotReady = append(r.NotReady, s.Monitor)
		}
	}
	r.Enough = len(r.NotReady) <= r.Allowed
	return r, nil
}
