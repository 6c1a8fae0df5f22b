package obd

import "fmt"

// texts are our own words for the codes of SAE and ISO that an old car mostly shows. Numbers: the open code table of python-OBD;
// P0601 to P0606, P0700 and U0100: from memory.
var texts = buildTexts()

// singles are the P0 codes that follow no pattern. None of the codes here has a letter among its digits.
var singles = map[int]string{
	10: "cam timing actuator, bank 1 intake: circuit", 11: "cam timing, bank 1 intake: too far advanced", 12: "cam timing, bank 1 intake: too far retarded",
	13: "cam timing actuator, bank 1 exhaust: circuit", 14: "cam timing, bank 1 exhaust: too far advanced", 16: "crankshaft and camshaft out of step, bank 1",
	30: "oxygen sensor 1, bank 1: heater", 31: "oxygen sensor 1, bank 1: heater signal low", 32: "oxygen sensor 1, bank 1: heater signal high",
	36: "oxygen sensor 2, bank 1: heater", 37: "oxygen sensor 2, bank 1: heater signal low", 38: "oxygen sensor 2, bank 1: heater signal high",
	68: "air mass or manifold pressure does not fit the throttle", 87: "fuel pressure too low", 88: "fuel pressure too high",
	125: "too cold for closed loop", 128: "engine stays too cold: thermostat",
	171: "too lean, bank 1", 172: "too rich, bank 1", 174: "too lean, bank 2", 175: "too rich, bank 2",
	217: "engine too hot", 221: "pedal or throttle sensor B: implausible", 230: "fuel pump: primary circuit",
	234: "too much boost", 299: "too little boost",
	300: "misfire, several cylinders or changing", 313: "misfire with little fuel in the tank", 316: "misfire just after the start",
	380: "glow plugs: circuit", 401: "too little exhaust gas recirculated", 402: "too much exhaust gas recirculated",
	410: "secondary air: fault", 411: "secondary air: wrong flow", 420: "catalyst works too little, bank 1", 430: "catalyst works too little, bank 2",
	440: "fuel vapour system: fault", 441: "fuel vapour system: wrong purge flow", 442: "fuel vapour system: small leak",
	443: "purge valve: circuit", 444: "purge valve: circuit open", 445: "purge valve: short circuit", 446: "vapour canister vent: circuit",
	455: "fuel vapour system: large leak", 456: "fuel vapour system: very small leak", 457: "fuel vapour system: leak, look at the filler cap",
	460: "fuel level sensor: circuit", 480: "radiator fan 1: circuit", 500: "vehicle speed sensor",
	505: "idle control: fault", 506: "idle too low", 507: "idle too high",
	520: "oil pressure sensor or switch: circuit", 521: "oil pressure sensor or switch: implausible", 522: "oil pressure sensor or switch: voltage low",
	523: "oil pressure sensor or switch: voltage high", 524: "oil pressure too low: stop the engine",
	560: "system voltage: fault", 561: "system voltage: unsteady", 562: "system voltage: low", 563: "system voltage: high",
	601: "control module: memory checksum", 602: "control module: not programmed", 603: "control module: lasting memory", 604: "control module: working memory",
	605: "control module: program memory", 606: "control module: processor", 700: "transmission asks for the lamp: read its own codes",
}

// signals are the sensors whose codes come in fives.
var signals = map[int]string{
	100: "air-mass meter", 105: "manifold pressure sensor", 110: "intake air temperature sensor", 115: "coolant temperature sensor", 120: "throttle or pedal sensor A",
	325: "knock sensor 1", 330: "knock sensor 2", 335: "crankshaft sensor A", 340: "camshaft sensor A, bank 1", 345: "camshaft sensor A, bank 2",
}

var signalFaults = [5]string{"circuit", "implausible", "signal low", "signal high", "comes and goes"}

// oxygen are the sensors whose codes come in sixes.
var oxygen = map[int]string{
	130: "oxygen sensor 1, bank 1", 136: "oxygen sensor 2, bank 1",
	150: "oxygen sensor 1, bank 2", 156: "oxygen sensor 2, bank 2",
}

var oxygenFaults = [6]string{"circuit", "voltage low", "voltage high", "slow", "inactive", "heater"}

func buildTexts() map[string]string {
	built := map[string]string{"U0100": "no contact with the engine control module"}
	for n, text := range singles {
		built[fmt.Sprintf("P0%03d", n)] = text
	}
	numbered := func(first, i int, text string) {
		built[fmt.Sprintf("P0%03d", first+i)] = text
	}
	for n, sensor := range signals {
		for i, fault := range signalFaults {
			numbered(n, i, sensor+": "+fault)
		}
	}
	for n, sensor := range oxygen {
		for i, fault := range oxygenFaults {
			numbered(n, i, sensor+": "+fault)
		}
	}
	for cylinder := 1; cylinder <= 12; cylinder++ {
		numbered(200, cylinder, fmt.Sprintf("injector, cylinder %d: circuit", cylinder))
		numbered(300, cylinder, fmt.Sprintf("misfire, cylinder %d", cylinder))
		numbered(350, cylinder, fmt.Sprintf("ignition coil %c: circuit", 'A'+cylinder-1))
	}
	return built
}
