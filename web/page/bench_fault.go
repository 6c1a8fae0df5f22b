package page

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"axlestand/internal/trade/obd"
	"axlestand/internal/trade/vin"
	"axlestand/web/ui"
)

var faultCalculators = []calculator{
	vinBench, codeBench, readinessBench, trimBench, compressionBench, wetBench, chargeBench, runningBench, dropBench, quiescentBench,
}

const readingsLimits = "Common practice, no source: the maker's own limits go before these."

var vinBench = calculator{
	Name: "vin", Title: "Identification number",
	Sub: "Whether it can be right, and what it says of the maker's part of the world and the model year.",
	Fields: []benchField{
		{Name: "vin", Label: "VIN", Hint: "As on the car. Blanks and hyphens may be left in.", Example: "0DEM44A16HA000017", Kind: aText},
		{Name: "market", Label: "Made for", Kind: aChoice, Options: []ui.Option{
			{Value: string(vin.UnknownMarket), Text: "not known"},
			{Value: string(vin.UnitedStates), Text: "United States"},
			{Value: string(vin.Canada), Text: "Canada"},
			{Value: string(vin.China), Text: "China"},
			{Value: string(vin.OtherMarket), Text: "elsewhere"},
		}},
		{Name: "vehicle", Label: "Vehicle", Kind: aChoice, Options: []ui.Option{
			{Value: string(vin.UnknownVehicle), Text: "not known"}, {Value: string(vin.LightVehicle), Text: "car or light truck"}, {Value: string(vin.HeavyVehicle), Text: "heavy truck"},
		}},
	},
	About: benchAbout{
		Formula: "Each character has a value, the values are weighted and summed; the sum modulo 11 is the digit in place 9, 10 is X.",
		Source:  "49 CFR 565.15; ISO 3779 and 3780 from memory.",
		Range:   "Numbers of 17 characters, in use since 1981.",
		Limits:  "Whether the number was ever given out, makers' names, and what they put into places 4 to 8.",
	},
	Work: workVIN,
}

func workVIN(in *benchTyped) (a BenchAnswer) {
	typed, market, vehicle := in.text("vin"), vin.Market(in.choice("market")), vin.Vehicle(in.choice("vehicle"))
	if !in.ok() {
		return a
	}
	v, err := vin.Parse(typed)
	if short, ok := errors.AsType[*vin.LengthError](err); ok {
		a.look(short.Error())
		return a
	}
	if err != nil {
		in.wrong("vin", err.Error())
		return a
	}
	switch check := v.Check(market); check.Verdict {
	case vin.Fits:
		a.good("fits", check.Sentence)
	case vin.DoesNotFit:
		a.bad("look again", check.Sentence)
	default:
		a.look(check.Sentence)
	}
	a.row("Maker", v.Maker(), "")
	if region := string(v.Region()); region != "" {
		a.row("Part of the world", region, "")
	} else {
		a.row("Part of the world", "none", "A number that begins with 0 is no real car's.")
	}
	a.row("Model year", v.ModelYears(vehicle, market).Sentence, "")
	a.row("Serial", v.Serial(), "")
	return a
}

var codeBench = calculator{
	Name: "trouble-code", Title: "Trouble code",
	Sub: "What a code is about, who defines it, and what to rule out before it is taken at its word.",
	Fields: []benchField{
		{Name: "code", Label: "Code", Example: "P0420", Kind: aText},
	},
	About: benchAbout{
		Formula: "A letter for the system, a digit 0 to 3, three hexadecimal digits.",
		Source:  "SAE J2012 and ISO 15031-6, from memory; texts in our own words after the open code table of python-OBD.",
		Range:   "Codes that the standards define have a text; a maker's own have none here.",
		Limits:  "What to replace. A code names what was seen, not what is broken.",
	},
	Work: func(in *benchTyped) (a BenchAnswer) {
		typed := in.text("code")
		if !in.ok() {
			return a
		}
		c, err := obd.ParseCode(typed)
		if in.refused(err, "code", "code") {
			return a
		}
		a.row("Code", c.String(), "")
		a.row("System", codeSystems[c.System()], "")
		a.row("Defined by", string(c.Control()), "")
		if area := c.Area(); area != "" {
			a.row("About", area, "")
		}
		if text, known := c.Text(); known {
			a.row("Says", text, "")
		} else {
			a.look("No text here: look it up in the maker's service information.")
		}
		if first := c.ExcludeFirst(); len(first) > 0 {
			a.look("Rule out first: " + strings.Join(first, ", ") + ".")
		}
		a.look(obd.ClearingWarning)
		return a
	},
}

var codeSystems = map[obd.System]string{obd.Powertrain: "powertrain", obd.Chassis: "chassis", obd.Body: "body", obd.Network: "network"}

func readinessFields() []benchField {
	fields := []benchField{{Name: "year", Label: "Model year", Example: "2004"}}
	states := []ui.Option{{Value: "ready", Text: "complete"}, {Value: "not", Text: "not complete"}, {Value: "none", Text: "not fitted"}}
	for i, m := range obd.Monitors() {
		if !m.Continuous() {
			fields = append(fields, benchField{Name: monitorField(i), Label: capital(string(m)), Kind: aChoice, Options: states, Set: "Monitors"})
		}
	}
	return fields
}

func monitorField(i int) string { return "monitor" + strconv.Itoa(i) }

var readinessBench = calculator{
	Name: "readiness", Title: "Readiness",
	Sub:    "Whether enough of the car's own tests are complete for an inspection.",
	Fields: readinessFields(),
	About: benchAbout{
		Formula: "The tests that run once in a drive and are not complete are counted; those that run all the time are not.",
		Source:  "SAE J1979 and US EPA's guidance, from memory: two may be open up to model year 2000, one after it.",
		Range:   "Model years from 1996 on.", Limits: "Your inspection's own rule, which decides. " + obd.ClearingWarning,
	},
	Work: func(in *benchTyped) (a BenchAnswer) {
		year := in.whole("year")
		var states []obd.State
		for i, m := range obd.Monitors() {
			if !m.Continuous() {
				state := in.choice(monitorField(i))
				states = append(states, obd.State{Monitor: m, Supported: state != "none", Complete: state == "ready"})
			}
		}
		if !in.ok() {
			return a
		}
		r, err := obd.JudgeReadiness(year, states)
		if in.refused(err) {
			return a
		}
		open := countWords(len(r.NotReady), "test is", "tests are") + " not complete; up to " + strconv.Itoa(r.Allowed) + " usually may be."
		if r.Enough {
			a.good("enough", open)
		} else {
			a.bad("not enough", open)
		}
		for _, m := range r.NotReady {
			a.row(capital(string(m)), "not complete", "")
		}
		a.look(obd.ClearingWarning)
		return a
	},
}

var wetBench = calculator{
	Name: "wet-compression", Title: "Compression with oil",
	Sub: "What a little oil in a low cylinder tells.",
	Fields: []benchField{
		{Name: "dry", Label: "Without oil", Hint: "Both in one unit.", Example: "8.5"},
		{Name: "wet", Label: "With oil", Hint: obd.WetOil, Example: "11"},
	},
	About: benchAbout{
		Formula: "A rise of a tenth or more counts.", Source: "Common practice, no source.",
		Range: "One cylinder, measured twice the same way.", Limits: readingsLimits + " " + obd.CompressionHow,
	},
	Work: func(in *benchTyped) (a BenchAnswer) {
		dry, wet := in.number("dry"), in.number("wet")
		if !in.ok() {
			return a
		}
		result, err := obd.JudgeWet(dry, wet)
		if in.refused(err) {
			return a
		}
		a.Figures = []BenchFigure{{Label: "With oil", Value: signed(100*(wet/dry-1), 0), Unit: "%"}}
		a.look(capital(string(result)) + ".")
		return a
	},
}

var runningBench = calculator{
	Name: "charging", Title: "Charging and cranking",
	Sub: "The battery's voltage while the engine runs, or while the starter turns it.",
	Fields: []benchField{
		{Name: "while", Label: "Measured while", Kind: aChoice, Options: []ui.Option{
			{Value: "running", Text: "the engine runs"}, {Value: "smart", Text: "it runs, with a smart alternator"}, {Value: "cranking", Text: "the starter turns"},
		}},
		{Name: "voltage", Label: "Voltage", Hint: "At the battery's posts.", Example: "14.2", Unit: "V"},
	},
	About: benchAbout{
		Formula: "Read off the meter.",
		Source:  "Running 13.7 to 14.7 V, with a smart alternator 12.5 to 15 V, cranking 9.6 V at 20 °C: common practice, no source.",
		Range:   "12 V systems.", Limits: readingsLimits,
	},
	Work: func(in *benchTyped) (a BenchAnswer) {
		while, v := in.choice("while"), obd.Volts(in.number("voltage"))
		if !in.ok() {
			return a
		}
		verdict, err := obd.JudgeCharging(v, while == "smart")
		limits := fmt.Sprintf("%v to %v V is usual.", obd.ChargingFrom, obd.ChargingTo)
		switch while {
		case "smart":
			limits = fmt.Sprintf("%v to %v V is usual.", obd.SmartChargingFrom, obd.SmartChargingTo)
		case "cranking":
			verdict, err = obd.JudgeCranking(v)
			limits = fmt.Sprintf("At least %v V is usual.", obd.CrankingFrom)
		}
		if !in.refused(err) {
			a.verdict(string(verdict), limits)
		}
		return a
	},
}

var trimBench = calculator{
	Name: "fuel-trim", Title: "Fuel trim",
	Sub: "Short and long term trim together, at idle and at 2500 rpm, and what the pattern points to.",
	Fields: []benchField{
		{Name: "shortIdle", Label: "Short term", Example: "8", Unit: "%", Set: "At idle"},
		{Name: "longIdle", Label: "Long term", Example: "12", Unit: "%", Set: "At idle"},
		{Name: "shortFast", Label: "Short term", Example: "1", Unit: "%", Set: "At 2500 rpm"},
		{Name: "longFast", Label: "Long term", Example: "3", Unit: "%", Set: "At 2500 rpm"},
		{Name: "short2Idle", Label: "Short term", Unit: "%", Optional: true, Set: "Second bank, at idle"},
		{Name: "long2Idle", Label: "Long term", Unit: "%", Optional: true, Set: "Second bank, at idle"},
		{Name: "short2Fast", Label: "Short term", Unit: "%", Optional: true, Set: "Second bank, at 2500 rpm"},
		{Name: "long2Fast", Label: "Long term", Unit: "%", Optional: true, Set: "Second bank, at 2500 rpm"},
	},
	About: benchAbout{
		Formula: "(1 + short)·(1 + long) − 1.", Source: "Computed. Limits of 8 and 10 %: common practice, no source.",
		Range: "One bank or two, from −100 to 100 %.", Limits: readingsLimits + " Which of the causes it is: that takes a test.",
	},
	Work: workTrim,
}

func workTrim(in *benchTyped) (a BenchAnswer) {
	banks := []obd.TrimPattern{in.bank(&a, "", "")}
	if slices.ContainsFunc([]string{"short2Idle", "long2Idle", "short2Fast", "long2Fast"}, func(name string) bool { return in.text(name) != "" }) {
		banks = append(banks, in.bank(&a, "2", ", second bank"))
	}
	if !in.ok() {
		return a
	}
	causes, err := obd.Points(banks...)
	if in.refused(err) {
		return a
	}
	if len(causes) > 0 {
		a.look("It points to " + strings.Join(causes, ", ") + ".")
	}
	return a
}

// bank reads the trims of a bank and judges them.
func (in *benchTyped) bank(a *BenchAnswer, number, which string) (p obd.TrimPattern) {
	for _, at := range []struct {
		label, suffix string
		total         *obd.Trim
	}{{"At idle" + which, "Idle", &p.Idle}, {"At 2500 rpm" + which, "Fast", &p.Fast}} {
		short, long := "short"+number+at.suffix, "long"+number+at.suffix
		total, err := obd.TotalTrim(obd.Trim(in.number(short)), obd.Trim(in.number(long)))
		if !in.ok() || in.refused(err, "short", short, "long", long) {
			continue
		}
		*at.total = total
		a.Figures = append(a.Figures, BenchFigure{Label: at.label, Value: signed(float64(total), 1), Unit: "%"})
		a.verdict(string(obd.JudgeTrim(total)), at.label+".")
	}
	return p
}

var compressionBench = calculator{
	Name: "compression", Title: "Compression",
	Sub: "The cylinders of a bank beside each other.",
	Fields: []benchField{
		{Name: "readings", Label: "Readings", Hint: "Of all cylinders of a bank in the order in which they stand, in one unit.", Example: "12.0 12.2 8.5 8.7", Kind: aText},
	},
	About: benchAbout{
		Formula: "The lowest over the highest.", Source: "Limits of 0.90 and 0.75: common practice, no source; 0.70 to 0.90 are published.",
		Range: "Two cylinders or more.", Limits: readingsLimits + " The absolute figure does not compare across engines. " + obd.CompressionHow,
	},
	Work: func(in *benchTyped) (a BenchAnswer) {
		readings := in.numbers("readings")
		if !in.ok() {
			return a
		}
		c, err := obd.JudgeCompression(readings, obd.DefaultCompression)
		if in.refused(err) {
			return a
		}
		a.Figures = []BenchFigure{{Label: "Lowest over highest", Value: fixed(100*c.Ratio, 0), Unit: "%"}}
		a.verdict(string(c.Verdict), "As a ratio, whatever the unit.")
		for _, i := range c.Low {
			a.row(fmt.Sprintf("Cylinder %d", i+1), "low", "A little oil in it tells rings from valves: compare again.")
		}
		for _, n := range c.Neighbours {
			a.look(fmt.Sprintf("Cylinders %d and %d are low side by side: think of the gasket between them.", n[0]+1, n[1]+1))
		}
		a.row("How", obd.CompressionHow, "")
		return a
	},
}

var chargeBench = calculator{
	Name: "battery", Title: "Battery at rest",
	Sub: "The state of charge by the voltage without load.",
	Fields: []benchField{
		{Name: "battery", Label: "Battery", Kind: aChoice, Options: []ui.Option{{Value: string(obd.Flooded), Text: "flooded"}, {Value: string(obd.AGM), Text: "AGM"}}},
		{Name: "voltage", Label: "Voltage", Example: "12.40", Unit: "V"},
		{Name: "rest", Label: "At rest for", Hint: "Neither charged nor used.", Example: "6", Unit: "h"},
	},
	About: benchAbout{
		Formula: "On a straight line between 11.89, 12.06, 12.24, 12.45 and 12.65 V.", Source: "Common practice, no source.",
		Range: "12 V batteries at 25 °C after 4 hours of rest.", Limits: readingsLimits + " Whether the battery still holds what it takes.",
	},
	Work: func(in *benchTyped) (a BenchAnswer) {
		kind, v, rest := obd.Battery(in.choice("battery")), in.number("voltage"), in.number("rest")
		if !in.ok() {
			return a
		}
		c, err := obd.JudgeCharge(kind, obd.Volts(v), rest)
		switch {
		case in.refused(err):
		case !c.Known:
			a.look("Not full. How much an AGM battery holds in between, its voltage does not tell reliably.")
		case c.Full:
			a.good("full", "Charged.")
		default:
			a.Figures = []BenchFigure{{Label: "Charge", Value: "≈ " + fixed(c.Percent, 0), Unit: "%"}}
			a.look("Charge it before anything else is measured.")
		}
		return a
	},
}

var dropBench = calculator{
	Name: "voltage-drop", Title: "Voltage drop",
	Sub: "What a cable and its joints lose under load.",
	Fields: []benchField{
		{Name: "circuit", Label: "Circuit", Kind: aChoice, Options: []ui.Option{
			{Value: string(obd.Earth), Text: "earth"}, {Value: string(obd.Positive), Text: "positive"}, {Value: string(obd.Starter), Text: "starter, while it cranks"},
		}},
		{Name: "voltage", Label: "Drop", Hint: "Measured along the cable while the current flows.", Example: "0.15", Unit: "V"},
	},
	About: benchAbout{
		Formula: "Read off the meter.", Source: "Good up to 0.1 V on earth, 0.2 V on positive, 0.5 V on a starter; to watch up to 0.2 and 0.3 V, a starter not at all: common practice, no source.",
		Range: "12 V circuits under their load.", Limits: readingsLimits + " Resistance without load says nothing.",
	},
	Work: func(in *benchTyped) (a BenchAnswer) {
		where, v := obd.Circuit(in.choice("circuit")), in.number("voltage")
		if !in.ok() {
			return a
		}
		verdict, err := obd.JudgeDrop(where, obd.Volts(v))
		if !in.refused(err, "circuit", "circuit", "voltage", "voltage") {
			a.verdict(string(verdict), "Halve the length that you measure over until the joint is found.")
		}
		return a
	},
}

var quiescentBench = calculator{
	Name: "quiescent-current", Title: "Current at rest",
	Sub: "What a car draws asleep, and how long its battery lasts.",
	Fields: []benchField{
		{Name: "current", Label: "Current", Example: "120", Unit: "mA"},
		{Name: "asleep", Label: "Asleep for", Hint: "Doors shut, key away, no fuse pulled meanwhile.", Example: "45", Unit: "min"},
		{Name: "capacity", Label: "Battery", Example: "60", Unit: "Ah"},
	},
	About: benchAbout{
		Formula: "Days to half flat: 0.5·Ah·1000/(mA·24).", Source: "Computed. 50 mA after 20 to 60 minutes: common practice, no source.",
		Range: "A battery that was full.", Limits: readingsLimits + " Which circuit it is: measure drops across the fuses, pulling one wakes modules.",
	},
	Work: func(in *benchTyped) (a BenchAnswer) {
		current, asleep, capacity := in.number("current"), in.number("asleep"), in.number("capacity")
		if !in.ok() {
			return a
		}
		verdict, err := obd.JudgeQuiescent(current, asleep)
		if in.refused(err) {
			return a
		}
		if current > 0 { // else it never is
			days, err := obd.DaysToHalf(capacity, current)
			if in.refused(err) {
				return a
			}
			a.Figures = []BenchFigure{{Label: "Half flat after", Value: "≈ " + fixed(days, 0), Unit: "days"}}
		}
		a.verdict(string(verdict), fmt.Sprintf("Up to %d mA is usual.", obd.QuiescentMost))
		return a
	},
}
