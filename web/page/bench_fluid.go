package page

import (
	"cmp"
	"errors"
	"fmt"
	"strings"

	safety "axlestand/internal/trade/caution"
	"axlestand/internal/trade/fluid"
	"axlestand/internal/trade/input"
	"axlestand/internal/trade/unit"
	"axlestand/web/ui"
)

var (
	benchVolumes = []string{"l", "ml", "US qt", "US gal", "imp qt", "imp gal"}
	benchDoses   = []string{"ml", "l", "US fl oz", "imp fl oz"}
)

var fluidCalculators = []calculator{
	coolantBench, freezeBench, coolantMixBench, dilutionBench, additiveBench, brakeFluidBench, oilBench,
}

// volume reads litres in any unit; an empty optional field is none.
func (in *benchTyped) volume(name string) fluid.Litres {
	return fluid.Litres(quantity[unit.VolumeKind](in, name).In(unit.Litre))
}

func (in *benchTyped) share(name string) fluid.Share { return fluid.Percent(in.number(name)) }

func percentText(s fluid.Share, places int) string { return fixed(s.Percent(), places) + "\u00a0%" }

func celsiusText(c fluid.Celsius) string {
	q := unit.Celsius.Of(float64(c))
	text := fixed(q.Round(1).Value(), 0) + "\u00a0°C"
	return text + " (" + fixed(q.To(unit.Fahrenheit).Round(1).Value(), 0) + "\u00a0°F)"
}

// litresFigure is a volume in the unit of the field that it answers, and in litres or quarts beside it.
func (in *benchTyped) litresFigure(label, field string, v fluid.Litres) BenchFigure {
	own, err := unit.ParseUnit[unit.VolumeKind](in.unitOf(in.field(field)))
	if err != nil {
		own = unit.Litre
	}
	others := []unit.Unit[unit.VolumeKind]{unit.Litre, unit.USQuart}
	if own == unit.Millilitre {
		others = []unit.Unit[unit.VolumeKind]{unit.USFluidOunce}
	}
	return shown(label, unit.Litre.Of(float64(v)).To(own), others...)
}

var glycols = []ui.Option{{Value: "ethylene", Text: "Ethylene glycol"}, {Value: "propylene", Text: "Propylene glycol"}}

// freezing is the freezing point of a share by volume of the glycol chosen.
func freezing(glycol string, s fluid.Share) (fluid.Celsius, error) {
	if glycol == "propylene" {
		return fluid.FreezePropyleneVolume(s)
	}
	return fluid.FreezeEthyleneVolume(s)
}

const (
	freezeFormula = "Ethylene glycol: T = exp(Σ a·(x − 0.35)^i) − 273.15 °C. Propylene glycol: a straight line between the table's values."
	freezeSource  = "ASHRAE's data as fitted in CoolProp (AEG, by volume); Lange's Handbook, 15th edition, table 5.13."
	freezeRange   = "Ethylene glycol from 10 to 60 %, propylene glycol from 10 to 50 % by volume. Above that the curve turns back."
)

var coolantBench = calculator{
	Name: "coolant", Title: "Coolant: drain and refill",
	Sub:      "How much to drain and to fill in so that the concentration comes to what is wanted.",
	Cautions: []safety.Topic{safety.Cooling},
	Fields: []benchField{
		{Name: "volume", Label: "Whole system", Hint: "Filled from dry.", Example: "8", Units: benchVolumes},
		{Name: "drainable", Label: "Comes out when drained", Hint: "What stays in block and heater is not in it.", Example: "5", Units: benchVolumes},
		{Name: "now", Label: "Concentration now", Example: "30", Unit: "%"},
		{Name: "wanted", Label: "Concentration wanted", Example: "50", Unit: "%"},
		{Name: "fill", Label: "Concentration of what is filled in", Hint: "100 % for concentrate, 0 % for water.", Example: "100", Unit: "%"},
		{Name: "glycol", Label: "Base", Kind: aChoice, Options: glycols},
	},
	About: benchAbout{
		Formula: "x = V·(wanted − now)/(fill − now). " + freezeFormula,
		Source:  "Computed; freezing points: " + freezeSource + " Concentration in use from 40 to 60 %: ASTM D3306.",
		Range:   freezeRange,
		Limits:  "The boiling point, and coolants without glycol. " + fluid.FreezingLabel,
	},
	Work: workCoolant,
}

func workCoolant(in *benchTyped) (a BenchAnswer) {
	v, drainable := in.volume("volume"), in.volume("drainable")
	now, wanted, fill := in.share("now"), in.share("wanted"), in.share("fill")
	glycol := in.choice("glycol")
	if !in.ok() {
		return a
	}
	x, err := fluid.Correct(v, drainable, now, wanted, fill)
	if rounds, ok := errors.AsType[*fluid.RoundsError](err); ok {
		a.look(rounds.Error())
		for i, r := range rounds.Rounds {
			a.Figures = append(a.Figures, in.litresFigure(fmt.Sprintf("Round %d: drain and refill", i+1), "volume", r))
		}
	} else if in.refused(err) {
		return a
	} else {
		a.Figures = []BenchFigure{in.litresFigure("Drain and refill", "volume", x)}
	}
	for _, s := range []struct {
		label string
		share fluid.Share
	}{{"Freezes now at", now}, {"Freezes then at", wanted}} {
		t, err := freezing(glycol, s.share)
		if e, ok := errors.AsType[*input.Error](err); ok {
			a.row(s.label, "not known", e.Sentence)
			continue
		}
		a.row(s.label, celsiusText(t), "")
	}
	if wanted < fluid.CoolantUseFrom || wanted > fluid.CoolantUseTo {
		a.look("Coolant is made to be used at 40 to 60 %: below that it protects less against corrosion, above that it carries less heat and freezes earlier again.")
	}
	a.look(fluid.FreezingLabel)
	a.row("Thin it with", fluid.CoolantWater, "")
	a.row("Afterwards", "run it warm and measure", "The heater open, so that it mixes.")
	return a
}

var freezeBench = calculator{
	Name: "freezing", Title: "Coolant: freezing point",
	Sub: "What a concentration protects against, or what a temperature asks for.",
	Fields: []benchField{
		{Name: "ask", Label: "What is asked", Kind: aChoice, Options: []ui.Option{{Value: "point", Text: "Freezing point of a concentration"}, {Value: "share", Text: "Concentration for a temperature"}}},
		{Name: "share", Label: "Concentration", Hint: "By volume.", Example: "50", Unit: "%", Optional: true},
		{Name: "temperature", Label: "Temperature", Units: []string{"°C", "°F"}, Optional: true},
		{Name: "glycol", Label: "Base", Kind: aChoice, Options: glycols, Hint: "For a temperature: ethylene glycol only."},
	},
	About: benchAbout{Formula: freezeFormula, Source: freezeSource, Range: freezeRange, Limits: "The boiling point, and shares by mass. " + fluid.FreezingLabel},
	Work:  workFreezing,
}

func workFreezing(in *benchTyped) (a BenchAnswer) {
	glycol := in.choice("glycol")
	if in.choice("ask") == "share" {
		return in.shareAgainst(glycol)
	}
	share := in.share("share")
	if in.text("share") == "" {
		in.wrong("share", "Which concentration, like 50?")
	}
	if !in.ok() {
		return a
	}
	t, err := freezing(glycol, share)
	if in.refused(err) {
		return a
	}
	q := unit.Celsius.Of(float64(t)).Round(1)
	f := q.To(unit.Fahrenheit).Round(1)
	a.Figures = []BenchFigure{{Label: "Freezes at", Value: fixed(q.Value(), 0), Unit: "°C", Also: fixed(f.Value(), 0) + "\u00a0°F"}}
	a.look(fluid.FreezingLabel)
	return a
}

func (in *benchTyped) shareAgainst(glycol string) (a BenchAnswer) {
	t := quantity[unit.TemperatureKind](in, "temperature")
	if in.text("temperature") == "" {
		in.wrong("temperature", "Which temperature, like -30?")
	}
	if glycol != "ethylene" {
		in.wrong("glycol", "The way back is known for ethylene glycol only.")
	}
	if !in.ok() {
		return a
	}
	share, err := fluid.ShareAgainst(fluid.Celsius(t.In(unit.Celsius)))
	if in.refused(err) {
		return a
	}
	a.Figures = []BenchFigure{{Label: "At least", Value: fixed(share.Percent()+0.49999, 0), Unit: "%"}}
	a.row("Not rounded", percentText(share, 1), "By volume of ethylene glycol.")
	a.look(fluid.FreezingLabel)
	return a
}

var inhibitors = []ui.Option{
	{Value: "", Text: "not known"},
	{Value: string(fluid.IAT), Text: "IAT, inorganic"},
	{Value: string(fluid.OAT), Text: "OAT, organic acids"},
	{Value: string(fluid.HOAT), Text: "HOAT, organic with silicate or phosphate"},
	{Value: string(fluid.SiOAT), Text: "Si-OAT, organic with silicate"},
}

var coolantMixBench = calculator{
	Name: "coolant-mix", Title: "Coolant: may these two meet",
	Sub:      "Two coolants may be mixed only when kind and specification are known to be the same. Colour tells nothing.",
	Cautions: []safety.Topic{safety.Cooling},
	Fields: []benchField{
		{Name: "kind1", Label: "Kind", Kind: aChoice, Options: inhibitors, Example: "OAT", Set: "In the car"},
		{Name: "spec1", Label: "Specification", Hint: "As on the bottle or in the book.", Example: "D3306 type I", Kind: aText, Set: "In the car", Optional: true},
		{Name: "kind2", Label: "Kind", Kind: aChoice, Options: inhibitors, Example: "OAT", Set: "In the bottle"},
		{Name: "spec2", Label: "Specification", Hint: "As on the bottle.", Example: "D3306 type I", Kind: aText, Set: "In the bottle", Optional: true},
	},
	About: benchAbout{Formula: "Kind and specification are both known, and both the same.", Source: practiceSource, Limits: "A maker's own approval, which goes before it."},
	Work: func(in *benchTyped) (a BenchAnswer) {
		first := fluid.Coolant{Inhibitor: fluid.Inhibitor(in.choice("kind1")), Specification: in.text("spec1")}
		second := fluid.Coolant{Inhibitor: fluid.Inhibitor(in.choice("kind2")), Specification: in.text("spec2")}
		a.refusal(fluid.MixCoolant(first, second), "may meet", "Kind and specification are the same.")
		return a
	},
}

// refusal says that two things must not come together, or that they may.
func (a *BenchAnswer) refusal(err error, word, text string) {
	if refused, ok := errors.AsType[*fluid.Refusal](err); ok {
		a.bad("no", refused.Reason)
		return
	}
	a.good(word, text)
}

var dilutionBench = calculator{
	Name: "dilution", Title: "Partial changes",
	Sub: "How much of the old is left after changing a part again and again, and how often it takes.",
	Fields: []benchField{
		{Name: "dry", Label: "Whole system", Hint: "Filled from dry; the service fill is less.", Example: "9", Units: benchVolumes},
		{Name: "drained", Label: "Drained each time", Example: "4", Units: benchVolumes},
		{Name: "share", Label: "Old that may stay", Example: "10", Unit: "%"},
	},
	About: benchAbout{
		Formula: "Left of the old after n changes of d out of V: (1 − d/V)^n.",
		Source:  computed, Range: "The engine, or whatever moves the fluid, runs between the changes so that it mixes.",
		Limits: "Systems that hold some of the old back without mixing.",
	},
	Work: workDilution,
}

func workDilution(in *benchTyped) (a BenchAnswer) {
	c, d, share := fluid.Capacity{Dry: in.volume("dry")}, in.volume("drained"), in.share("share")
	if !in.ok() {
		return a
	}
	n, err := fluid.Rounds(c, d, share)
	if in.refused(err) {
		return a
	}
	if n > 100 {
		in.wrong("drained", "That takes more than 100 changes: drain more each time.")
		return a
	}
	a.Figures = []BenchFigure{
		{Label: "Changes", Value: fmt.Sprint(n)},
		in.litresFigure("New fluid altogether", "dry", d*fluid.Litres(n)),
	}
	t := ui.TableData{Caption: "What is left of the old", Columns: []ui.Column{{Head: "After change", Lead: true}, {Head: "Old", Num: true}}}
	for i := 1; i <= min(n, 12); i++ {
		left, err := fluid.OldShare(c, d, i)
		if in.refused(err) {
			return a
		}
		t.Rows = append(t.Rows, []ui.Cell{{Text: fmt.Sprint(i)}, {Text: percentText(left, 1)}})
	}
	a.Table = &t
	return a
}

var additiveBench = calculator{
	Name: "additive", Title: "Room for an additive",
	Sub: "What to draw off first, so that a dose does not bring the level over its mark.",
	Fields: []benchField{
		{Name: "dry", Label: "Whole system", Example: "5", Units: benchVolumes},
		{Name: "dose", Label: "Dose", Example: "300", Units: benchDoses},
		{Name: "room", Label: "Room up to the mark", Hint: "0 when it is full.", Example: "100", Units: benchDoses},
	},
	About: benchAbout{
		Formula: "Draw off: dose − room. Left of what was in it: (V − room − drawn off)/(V − room).",
		Source:  computed, Limits: "Whether the additive does any good, or whether the maker allows it.",
	},
	Work: workAdditive,
}

func workAdditive(in *benchTyped) (a BenchAnswer) {
	c, dose, room := fluid.Capacity{Dry: in.volume("dry")}, in.volume("dose"), in.volume("room")
	if !in.ok() {
		return a
	}
	d, err := fluid.Additive(c, dose, room)
	if in.refused(err) {
		return a
	}
	a.Figures = []BenchFigure{in.litresFigure("Draw off first", "dose", d.DrawOff)}
	a.row("Stays of what was in it", percentText(d.Leaves, 1), "")
	return a
}

func brakeFluidOptions(empty string) (options []ui.Option) {
	if empty != "" {
		options = append(options, ui.Option{Text: empty})
	}
	for _, f := range fluid.BrakeFluids() {
		options = append(options, ui.Option{Value: f.Name, Text: f.Name})
	}
	return options
}

var brakeFluidBench = calculator{
	Name: "brake-fluid", Title: "Brake fluid",
	Sub:      "Whether a fluid may go into a system, what the mixture promises, and whether it is time to change.",
	Cautions: []safety.Topic{safety.Chassis},
	Fields: []benchField{
		{Name: "asked", Label: "The car asks for", Hint: "See the cap or the book.", Kind: aChoice, Options: brakeFluidOptions(""), Example: "DOT 4"},
		{Name: "offered", Label: "In the bottle", Kind: aChoice, Options: brakeFluidOptions(""), Example: "DOT 5.1"},
		{Name: "inside", Label: "In the system now", Kind: aChoice, Options: brakeFluidOptions("not known"), Example: "DOT 4"},
		{Name: "abs", Label: "ABS", Kind: aChoice, Options: []ui.Option{{Value: "yes", Text: "with ABS"}, {Value: "no", Text: "without ABS"}}},
		{Name: "water", Label: "Water measured", Hint: "By a tester; empty when not measured.", Example: "2.5", Unit: "%", Optional: true},
	},
	About: benchAbout{
		Formula: "Never another base, never a lower boiling point, never a thicker fluid where a low-viscosity class is asked for. A mixture promises the worse of each limit.",
		Source:  "Limits: 49 CFR 571.116 (FMVSS 116); ISO 4925 from memory. Rules and water: common practice, no source.",
		Limits:  "The maker's own word, which goes before it.",
	},
	Work: workBrakeFluid,
}

func workBrakeFluid(in *benchTyped) (a BenchAnswer) {
	asked, offered, inside := in.brakeFluid("asked"), in.brakeFluid("offered"), in.brakeFluid("inside")
	abs, water := in.choice("abs") == "yes", in.share("water")
	if !in.ok() {
		return a
	}
	a.refusal(fluid.FillBrake(asked, offered, abs), "may go in", offered.Name+" holds what "+asked.Name+" has to.")
	if inside.Name != "" {
		mix, err := fluid.MixBrake(inside, offered)
		if err != nil {
			a.refusal(err, "", "")
		} else {
			a.row("The mixture counts as", mix.Grade, "Until all of the old is out.")
			a.row("It boils at least at", limitText(mix.Dry)+" new, "+limitText(mix.Wet)+" with 3.7 % of water", "")
		}
	}
	if in.text("water") != "" {
		judged, err := fluid.JudgeWater(water)
		if in.refused(err) {
			return a
		}
		words := map[fluid.Water]string{fluid.WaterLow: "good", fluid.WaterMarginal: "watch", fluid.WaterHigh: "fault"}
		a.verdict(words[judged], "Water "+percentText(water, 1)+": "+string(judged)+".")
	}
	a.Table = brakeFluidTable(asked, offered)
	a.row("Bleed", fluid.BleedOrder, "")
	return a
}

func (in *benchTyped) brakeFluid(name string) fluid.BrakeFluid {
	chosen := in.choice(name)
	if chosen == "" || in.Errors[name] != "" {
		return fluid.BrakeFluid{}
	}
	f, err := fluid.ParseBrakeFluid(chosen)
	in.refused(err, "fluid", name)
	return f
}

func limitText(c fluid.Celsius) string {
	if c == 0 {
		return "not given"
	}
	return celsiusText(c)
}

func brakeFluidTable(list ...fluid.BrakeFluid) *ui.TableData {
	t := ui.TableData{Caption: "What the standards ask for at least", Columns: []ui.Column{{Head: "Fluid", Lead: true}, {Head: "Base"}, {Head: "Boils new"}, {Head: "Boils wet"}, {Head: "Source"}}}
	for i, f := range list {
		if i > 0 && f.Name == list[0].Name {
			continue
		}
		source := f.Standard
		if f.Memory {
			source += ", from memory"
		}
		t.Rows = append(t.Rows, []ui.Cell{{Text: f.Name, Sub: f.Colour}, {Text: string(f.Base)}, {Text: limitText(f.Dry)}, {Text: limitText(f.Wet)}, {Text: source}})
	}
	return &t
}

var oilBench = calculator{
	Name: "oil", Title: "Engine oil",
	Sub: "What a viscosity grade promises, and whether a sequence or class may stand in for another.",
	Fields: []benchField{
		{Name: "viscosity", Label: "Viscosity grade", Example: "5W-30", Kind: aText},
		{Name: "acea_asked", Label: "ACEA asked for", Example: "C3", Kind: aText, Optional: true, Set: "ACEA and API, where they are known"},
		{Name: "acea", Label: "ACEA on the bottle", Example: "C3-21", Kind: aText, Optional: true, Set: "ACEA and API, where they are known"},
		{Name: "api_asked", Label: "API asked for", Example: "SL", Kind: aText, Optional: true, Set: "ACEA and API, where they are known"},
		{Name: "api", Label: "API on the bottle", Example: "SN", Kind: aText, Optional: true, Set: "ACEA and API, where they are known"},
	},
	About: benchAbout{
		Formula: "The limits of the grade; a sequence replaces only itself, and not in an earlier issue; a later API class usually covers an earlier one.",
		Source:  "SAE J300 (2015). ACEA: no interchange between sequences. API: common practice, no source.",
		Limits:  "A maker's own approval, gear oil, and transmission fluid. " + fluid.OilLevelHow,
	},
	Work: workOil,
}

func workOil(in *benchTyped) (a BenchAnswer) {
	v := in.viscosity("viscosity")
	in.bothOrNone("acea_asked", "acea")
	in.bothOrNone("api_asked", "api")
	if !in.ok() {
		return a
	}
	a.row("Grade", v.String(), "")
	if w, ok := v.WinterLimits(); ok {
		a.row("Cranks down to", celsiusText(w.CrankAt), fmt.Sprintf("At most %d mPa·s there.", w.CrankMax))
		a.row("Pumps down to", celsiusText(w.PumpAt), fmt.Sprintf("At most %d mPa·s there.", w.PumpMax))
	}
	if h, ok := v.HotLimits(); ok {
		a.row("At 100 °C", fmt.Sprintf("%.1f to below %.1f mm²/s", h.KV100Min, h.KV100Below), "")
		a.row("At 150 °C and high shear", fmt.Sprintf("at least %.1f mPa·s", h.HTHSMin), "")
	}
	in.compareACEA(&a)
	in.compareAPI(&a)
	return a
}

func (in *benchTyped) viscosity(name string) fluid.Viscosity {
	typed := in.text(name)
	if typed == "" {
		return fluid.Viscosity{}
	}
	v, err := fluid.ParseViscosity(typed)
	in.refused(err, "viscosity", name)
	return v
}

// bothOrNone wants the second of two fields when the first is there, and the other way round.
func (in *benchTyped) bothOrNone(one, other string) {
	for _, pair := range [][2]string{{one, other}, {other, one}} {
		if in.text(pair[0]) == "" && in.text(pair[1]) != "" {
			in.wrong(pair[0], "To compare, this one is needed too"+like(in.field(pair[0]))+".")
		}
	}
}

func (in *benchTyped) compareACEA(a *BenchAnswer) {
	if in.text("acea") == "" {
		return
	}
	asked, err := fluid.ParseACEA(in.text("acea_asked"))
	in.refused(err, "acea", "acea_asked")
	offered, err := fluid.ParseACEA(in.text("acea"))
	in.refused(err, "acea", "acea")
	if !in.ok() {
		return
	}
	a.refusal(offered.Replaces(asked), "serves", offered.String()+" is what is asked for.")
	for _, sequence := range []fluid.ACEA{asked, offered} {
		if !sequence.InIssue() {
			a.look(sequence.String() + ": as far as known, that issue has no such sequence.")
		}
	}
}

func (in *benchTyped) compareAPI(a *BenchAnswer) {
	if in.text("api") == "" {
		return
	}
	covers, sentence, err := fluid.APICovers(in.text("api"), in.text("api_asked"))
	if in.refused(err, "offered", "api", "asked", "api_asked") {
		return
	}
	if covers {
		a.good("serves", cmp.Or(sentence, "The class is what is asked for."))
		return
	}
	a.bad("no", strings.TrimSpace(sentence))
}
