package page

import (
	"cmp"
	"fmt"
	"math"
	"strings"

	safety "axlestand/internal/trade/caution"
	"axlestand/internal/trade/unit"
	"axlestand/internal/trade/wheel"
	"axlestand/web/ui"
)

var (
	benchSpeeds    = []string{"km/h", "mph"}
	benchDistances = []string{"km", "miles"}
)

var wheelCalculators = []calculator{tyreBench, fitBench, speedometerBench, gearingBench, offsetBench, dateCodeBench}

// size reads a tyre's size; one written the old way has the aspect taken that is chosen in another field.
func (in *benchTyped) size(name, aspect string) wheel.Size {
	typed := in.text(name)
	if typed == "" {
		return wheel.Size{}
	}
	z, err := wheel.ParseSize(typed)
	if in.refused(err, "size", name) || z.Aspect > 0 || in.choice(aspect) == "" {
		return z
	}
	taken := map[string]int{"82": 82, "80": 80}[in.choice(aspect)]
	z, err = z.WithAspect(taken)
	in.refused(err)
	return z
}

var aspectField = benchField{
	Name: "aspect", Label: "Sizes without a height", Hint: "Like 165 R13: say which height is meant.", Kind: aChoice, Optional: true,
	Options: []ui.Option{{Text: "none of these"}, {Value: "82", Text: "82 %"}, {Value: "80", Text: "80 %"}},
}

const tyreFormula = "D = 2·W·A/100 + 25.4·R; circle π·D; rolling 3.05·D for radial and 2.99·D for diagonal tyres."

var tyreBench = calculator{
	Name: "tyre", Title: "Tyre size",
	Sub: "Diameter, circumference, and what another size does to speedometer, distance and height.",
	Fields: []benchField{
		{Name: "old", Label: "Size now", Hint: "From the sidewall.", Example: "195/65 R15 91V", Kind: aText},
		{Name: "new", Label: "Other size", Example: "205/55 R16 91V", Kind: aText},
		{Name: "shown", Label: "At a speed of", Hint: "As the speedometer shows it.", Example: "100", Units: benchSpeeds},
		aspectField,
	},
	About: benchAbout{
		Formula: tyreFormula + " True speed = shown · D new/D old.",
		Source:  "UN Regulation 30; rolling circumference: ETRTO and DIN 75020-5; all from memory.",
		Range:   "Widths 105 to 355 mm, heights 20 to 85 %, rims 10 to 24 in, 16.5 in and 390 mm. The rolling circumference is an estimate.",
		Limits:  "Sizes in inches of width, motorcycles, lorries, pressures. " + wheel.Legal,
	},
	Work: workTyre,
}

func workTyre(in *benchTyped) (a BenchAnswer) {
	old, other := in.size("old", "aspect"), in.size("new", "aspect")
	speed := quantity[unit.SpeedKind](in, "shown")
	if !in.ok() {
		return a
	}
	var d [2]unit.Length
	var c [2]wheel.Circumferences
	for i, z := range []wheel.Size{old, other} {
		var err error
		if d[i], err = z.Diameter(); in.refused(err) {
			return a
		}
		if c[i], err = z.Circumference(); in.refused(err) {
			return a
		}
	}
	percent, err := other.Larger(old)
	if in.refused(err) {
		return a
	}
	a.Figures = []BenchFigure{{Label: "Diameter of the other size", Value: signed(percent, 1), Unit: "%", Also: signed(d[1].In(unit.Mm)-d[0].In(unit.Mm), 1) + "\u00a0mm"}}
	a.trueSpeed(in, speed, d)
	a.Table = &ui.TableData{
		Caption: "Both sizes", Columns: []ui.Column{{Head: "", Lead: true}, {Head: old.String()}, {Head: other.String()}},
		Rows: [][]ui.Cell{
			{{Text: "Diameter"}, {Text: bothLengths(d[0])}, {Text: bothLengths(d[1])}},
			{{Text: "Circle"}, {Text: bothLengths(c[0].Circle)}, {Text: bothLengths(c[1].Circle)}},
			{{Text: "Rolling", Sub: wheel.Estimate}, {Text: bothLengths(c[0].Rolling)}, {Text: bothLengths(c[1].Rolling)}},
			{{Text: "Turns in 1 km", Sub: wheel.Estimate}, {Text: fixed(wheel.TurnsPerKm(c[0].Rolling), 0)}, {Text: fixed(wheel.TurnsPerKm(c[1].Rolling), 0)}},
		},
	}
	a.row("The car stands", bothLengths(unit.Mm.Of((d[1].In(unit.Mm)-d[0].In(unit.Mm))/2)), "Higher, or lower when it is less than zero.")
	a.look(wheel.Legal)
	return a
}

func (a *BenchAnswer) trueSpeed(in *benchTyped, speed unit.Speed, d [2]unit.Length) {
	changed, err := wheel.OtherTyres([]wheel.Reading{{Shown: speed, True: speed}}, d[0], d[1])
	if in.refused(err) {
		return
	}
	other := unit.MilePerHour
	if speed.Unit().Imperial() {
		other = unit.KmPerHour
	}
	a.Figures = append(a.Figures, shown("True speed at "+speed.String()+" shown", changed[0].True, other))
	driven, err := wheel.TrueDistance(unit.Km.Of(1000), d[0], d[1])
	if !in.refused(err) {
		a.row("1000 km on the odometer are", driven.Readable().String(), "If both gauges are right on the size now.")
	}
	switch {
	case d[1].Compare(d[0]) > 0:
		a.look("Speedometer and odometer read less than is true. A speedometer must never show less than the true speed: check it against a satellite receiver.")
	case d[1].Compare(d[0]) < 0:
		a.look("Speedometer and odometer read more than is true.")
	}
}

func speedSymbols() (options []ui.Option) {
	for _, symbol := range []string{"Q", "R", "S", "T", "U", "H", "V", "W", "Y", "P", "N", "M", "L", "K", "J"} {
		if speed, err := wheel.SpeedOf(symbol); err == nil {
			options = append(options, ui.Option{Value: symbol, Text: symbol + ", up to " + speed.String()})
		}
	}
	return options
}

var fitBench = calculator{
	Name: "tyre-fit", Title: "Tyre against what the car requires",
	Sub:      "Load index and speed symbol of a tyre, held against the car's papers.",
	Cautions: []safety.Topic{safety.Road},
	Fields: []benchField{
		{Name: "size", Label: "Size of the tyre", Hint: "With load index and speed symbol.", Example: "205/55 R16 91V", Kind: aText},
		{Name: "load", Label: "Load index required", Hint: "From the papers; or give the axle's load.", Example: "88", Optional: true},
		{Name: "axle", Label: "Axle's greatest load", Units: []string{"kg", "lb"}, Optional: true},
		{Name: "speed", Label: "Speed symbol required", Kind: aChoice, Options: speedSymbols(), Example: "H"},
		{Name: "now", Label: "Size now", Hint: "To compare the diameters.", Example: "195/65 R15 88H", Kind: aText, Optional: true},
		aspectField,
	},
	About: benchAbout{
		Formula: "Load index and speed symbol are not lower than required; an axle's load is half on each tyre.",
		Source:  "UN Regulation 30, annex 4, from memory.",
		Range:   "Load index 60 to 126.",
		Limits:  "Pressures, and winter tyres, for which some countries allow a lower symbol. " + wheel.Legal,
	},
	Work: workFit,
}

func workFit(in *benchTyped) (a BenchAnswer) {
	z, now := in.size("size", "aspect"), in.size("now", "aspect")
	need := wheel.Required{Load: in.whole("load"), Speed: in.choice("speed")}
	axle := quantity[unit.MassKind](in, "axle")
	if in.text("load") == "" && in.text("axle") == "" {
		in.wrong("load", "Give the load index required, like 88, or the axle's load.")
	}
	if !in.ok() {
		return a
	}
	if in.text("axle") != "" {
		least, err := wheel.IndexFor(axle)
		if in.refused(err, "axle load", "axle") {
			return a
		}
		a.row("The axle's load asks for", fmt.Sprintf("load index %d", least), "")
		need.Load = max(need.Load, least)
	}
	found, err := wheel.FitTyre(z, need, now)
	if in.refused(err, "load index", "load", "speed symbol", "speed", "size", "size") {
		return a
	}
	a.findings("fits", "The tyre carries the load and is good for the speed.", found)
	if load, err := wheel.LoadOf(z.Load); err == nil {
		a.row("One tyre carries", both(load, unit.Kilogram, unit.Pound), "")
	}
	if top, more, err := z.Top(); err == nil {
		text := both(top, unit.KmPerHour, unit.MilePerHour)
		if more {
			text = "more than " + text
		}
		a.row("It is good for", text, "")
	}
	a.look(wheel.Legal)
	return a
}

// findings lists what a check found; where nothing does not fit, it says that first.
func (a *BenchAnswer) findings(word, text string, found []wheel.Finding) {
	bad := false
	for _, f := range found {
		bad = bad || f.Bad
	}
	if !bad {
		a.good(word, text)
	}
	for _, f := range found {
		if f.Bad {
			a.bad("does not fit", f.Text)
		} else {
			a.look(f.Text)
		}
	}
}

const readings = 3

var speedometerBench = calculator{
	Name: "speedometer", Title: "Speedometer",
	Sub:    "What it shows against the true speed, now and with tyres of another size.",
	Fields: speedometerFields(),
	About: benchAbout{
		Formula: "0 ≤ V1 − V2 ≤ 0.1·V2 + 4 km/h, V1 shown and V2 true. With other tyres the same is shown at V true · D new/D old.",
		Source:  "UN Regulation 39, 5.3.",
		Range:   "Readings beside a satellite receiver, on a level road at a steady speed.",
		Limits:  "A verdict without readings: how far the speedometer was off before is not known. " + wheel.Legal,
	},
	Work: workSpeedometer,
}

func speedometerFields() (fields []benchField) {
	examples := [readings][2]string{{"40", "38"}, {"80", "76"}, {"120", "113"}}
	for i := range readings {
		n := fmt.Sprint(i + 1)
		set := "Reading " + n
		fields = append(
			fields,
			benchField{Name: "shown" + n, Label: "Shown", Example: examples[i][0], Units: benchSpeeds, Set: set, Optional: i > 0},
			benchField{Name: "true" + n, Label: "True", Example: examples[i][1], Units: benchSpeeds, Set: set, Optional: i > 0},
		)
	}
	return append(
		fields,
		benchField{Name: "old", Label: "Size then", Example: "195/65 R15", Kind: aText, Optional: true, Set: "With other tyres"},
		benchField{Name: "new", Label: "Other size", Example: "205/55 R16", Kind: aText, Optional: true, Set: "With other tyres"},
		benchField{Name: "aspect", Label: aspectField.Label, Hint: aspectField.Hint, Kind: aChoice, Options: aspectField.Options, Optional: true, Set: "With other tyres"},
	)
}

func workSpeedometer(in *benchTyped) (a BenchAnswer) {
	var taken []wheel.Reading
	for i := range readings {
		n := fmt.Sprint(i + 1)
		in.bothOrNone("shown"+n, "true"+n)
		if in.text("shown"+n) != "" && in.text("true"+n) != "" {
			taken = append(taken, wheel.Reading{Shown: quantity[unit.SpeedKind](in, "shown"+n), True: quantity[unit.SpeedKind](in, "true"+n)})
		}
	}
	in.bothOrNone("old", "new")
	old, other := in.size("old", "aspect"), in.size("new", "aspect")
	if !in.ok() {
		return a
	}
	found, err := wheel.CheckSpeedometer(taken)
	if in.refused(err, "readings", "shown1") {
		return a
	}
	a.findings("within", "On the tyres of these readings it shows neither less than is true nor too much.", found)
	if old != (wheel.Size{}) {
		in.otherTyres(&a, taken, old, other)
	}
	a.look(wheel.Legal)
	return a
}

func (in *benchTyped) otherTyres(a *BenchAnswer, taken []wheel.Reading, old, other wheel.Size) {
	from, err := old.Diameter()
	in.refused(err)
	to, err := other.Diameter()
	if in.refused(err) || !in.ok() {
		return
	}
	changed, err := wheel.OtherTyres(taken, from, to)
	if in.refused(err) {
		return
	}
	t := ui.TableData{Caption: "With " + other.String(), Columns: []ui.Column{{Head: "Shown", Lead: true}, {Head: "True then"}, {Head: "May show at most"}}}
	for _, r := range changed {
		t.Rows = append(t.Rows, []ui.Cell{
			{Text: r.Shown.String()},
			{Text: both(r.True, unit.KmPerHour, unit.MilePerHour)},
			{Text: both(wheel.ShownAtMost(r.True), unit.KmPerHour, unit.MilePerHour)},
		})
	}
	a.Table = &t
	found, err := wheel.CheckSpeedometer(changed)
	if !in.refused(err) {
		a.findings("within", "With "+other.String()+" it would too.", found)
	}
}

var gearingBench = calculator{
	Name: "gearing", Title: "Gearing",
	Sub: "Engine speed at a road speed, and the road speed at 1000 revolutions.",
	Fields: []benchField{
		{Name: "size", Label: "Tyre size", Example: "205/55 R16", Kind: aText},
		{Name: "speed", Label: "Road speed", Example: "130", Units: benchSpeeds},
		{Name: "gear", Label: "Ratio of the gear", Example: "0.85"},
		{Name: "transfer", Label: "Ratio of a transfer box or hub", Hint: "1 without one.", Example: "1"},
		{Name: "final", Label: "Ratio of the final drive", Example: "4.06"},
		aspectField,
	},
	About: benchAbout{
		Formula: "n = v/3.6·60·i gear·i transfer·i final/U. U is the rolling circumference, an estimate.",
		Source:  "Computed; circumference: ETRTO and DIN 75020-5, from memory.",
		Range:   "No slip of clutch, converter or tyre.",
		Limits:  "Continuously variable transmissions.",
	},
	Work: workGearing,
}

func workGearing(in *benchTyped) (a BenchAnswer) {
	z, v := in.size("size", "aspect"), quantity[unit.SpeedKind](in, "speed")
	g := wheel.Gearing{Gear: in.number("gear"), Transfer: in.number("transfer"), Final: in.number("final")}
	if !in.ok() {
		return a
	}
	c, err := z.Circumference()
	if in.refused(err) {
		return a
	}
	n, err := wheel.EngineSpeed(v, g, c.Rolling)
	if in.refused(err, "final drive", "final") {
		return a
	}
	one, err := wheel.EngineSpeed(unit.KmPerHour.Of(1), g, c.Rolling)
	if in.refused(err, "final drive", "final") {
		return a
	}
	a.Figures = []BenchFigure{{Label: "Engine speed", Value: fixed(math.Round(n/10)*10, 0), Unit: "1/min"}}
	if per := 1000 / one; !math.IsInf(per, 0) && per < 1e6 {
		q := unit.KmPerHour.Of(per)
		a.row("At 1000 1/min", fixed(per, 1)+"\u00a0km/h ("+fixed(q.In(unit.MilePerHour), 1)+"\u00a0mph)", "")
	}
	a.row("Whole ratio", fixed(g.Gear*g.Transfer*g.Final, 3)+" : 1", "")
	a.row("Rolling circumference", bothLengths(c.Rolling), "An "+wheel.Estimate+".")
	return a
}

var offsetBench = calculator{
	Name: "offset", Title: "Offset and spacers",
	Sub:      "How much further in and out another wheel reaches, and what it does to the track.",
	Cautions: []safety.Topic{safety.Road},
	Fields: []benchField{
		{Name: "old", Label: "Wheel", Hint: "As stamped: 7J×16 ET45, and more of it.", Example: "6.5J×15 ET43", Kind: aText, Set: "Now"},
		{Name: "old_spacer", Label: "Spacer", Hint: "Empty without one.", Units: benchLengths, Optional: true, Set: "Now"},
		{Name: "new", Label: "Wheel", Example: "7.5J×17 ET38", Kind: aText, Set: "Other"},
		{Name: "new_spacer", Label: "Spacer", Hint: "Empty without one.", Example: "5", Units: benchLengths, Optional: true, Set: "Other"},
	},
	About: benchAbout{
		Formula: "Inwards 25.4·J/2 + ET, outwards 25.4·J/2 − ET, ET less the spacer; track 2·(ET old − ET new).",
		Source:  computed,
		Range:   "Widths 3 to 14 in, offsets −120 to 120 mm, spacers up to 100 mm.",
		Limits:  wheel.Lips + " " + wheel.Legal,
	},
	Work: workOffset,
}

func workOffset(in *benchTyped) (a BenchAnswer) {
	old, other := in.mounted("old"), in.mounted("new")
	if !in.ok() {
		return a
	}
	moved, err := wheel.Swap(old, other)
	if in.refused(err) {
		return a
	}
	a.Figures = []BenchFigure{
		millimetres("Further out", moved.Outer), millimetres("Further in", moved.Inner), millimetres("Track of the axle", moved.Track),
	}
	a.Table = &ui.TableData{
		Caption: "From the hub's face to the rim", Columns: []ui.Column{{Head: "Wheel", Lead: true}, {Head: "Inwards", Num: true}, {Head: "Outwards", Num: true}},
	}
	for _, m := range []wheel.Mounted{old, other} {
		name := m.Rim.String()
		if !m.Spacer.IsZero() {
			name += " with " + m.Spacer.String()
		}
		a.Table.Rows = append(a.Table.Rows, []ui.Cell{{Text: name}, {Text: m.Inner().Round(0.1).String()}, {Text: m.Outer().Round(0.1).String()}})
	}
	if !other.Spacer.IsZero() {
		a.look("A spacer takes thread from the bolts: count at least 6.5 turns, or take longer ones. It may need an approval.")
	}
	a.look(wheel.Lips)
	a.look(wheel.Legal)
	return a
}

func millimetres(label string, l unit.Length) BenchFigure {
	return BenchFigure{Label: label, Value: signed(l.In(unit.Mm), 1), Unit: "mm", Also: signed(l.In(unit.Inch), 2) + "\u00a0in"}
}

func (in *benchTyped) mounted(name string) wheel.Mounted {
	m := wheel.Mounted{Spacer: quantity[unit.LengthKind](in, name+"_spacer")}
	typed := in.text(name)
	if typed == "" {
		return m
	}
	var err error
	if m.Rim, err = wheel.ParseRim(typed); in.refused(err, "rim", name) {
		return m
	}
	if !m.Rim.HasET {
		in.wrong(name, "Write the offset too, like 7J×16 ET45.")
	}
	if mm := m.Spacer.In(unit.Mm); mm < 0 || mm > 100 {
		in.wrong(name+"_spacer", "A spacer is from 0 to 100 mm thick.")
	}
	return m
}

var dateCodeBench = calculator{
	Name: "date-code", Title: "Age of a tyre",
	Sub: "Week and year from the last digits after DOT, and what the age asks for.",
	Fields: []benchField{
		{Name: "code", Label: "Date code", Hint: "The last four digits after DOT.", Example: "2319", Kind: aText},
		{Name: "tread", Label: "Tread", Hint: "Where it is least; empty when not measured.", Example: "4", Units: []string{"mm", "in"}, Optional: true},
	},
	About: benchAbout{
		Formula: "Two digits for the week, two for the year; week 1 is the first full week from Sunday to Saturday.",
		Source:  "49 CFR 574.5, the week's beginning from memory. Least tread 1.6 mm: Directive 89/459/EEC, from memory. Ages of 5 and 10 years: common practice, no source.",
		Range:   "Four digits, in use since 2000; three digits mean before 2000.",
		Limits:  "How the tyre was kept and what it went through: look at it.",
	},
	Work: workDateCode,
}

func workDateCode(in *benchTyped) (a BenchAnswer) {
	typed := in.text("code")
	tread := quantity[unit.LengthKind](in, "tread")
	if !in.ok() {
		return a
	}
	c, err := wheel.ParseDateCode(typed, in.today())
	if in.refused(err, "date code", "code") {
		return a
	}
	if months, known := c.Months(in.today()); known {
		a.Figures = []BenchFigure{{Label: "Age", Value: fixed(math.Floor(float64(months)/12), 0), Unit: "years", Also: cmp.Or(monthsOver(months), "")}}
		a.row("Made in the week from", dateWords(c.Sunday.Year(), c.Sunday.Month(), c.Sunday.Day()), fmt.Sprintf("Week %d of %d.", c.Week, c.Year))
	}
	if c.Note != "" {
		a.look(c.Note)
	}
	found := c.CheckAge(in.today())
	if in.text("tread") != "" {
		worn, err := wheel.CheckTread(tread)
		if in.refused(err) {
			return a
		}
		found = append(found, worn...)
	}
	if len(found) == 0 {
		a.good("young enough", "By its age it asks for nothing yet.")
	}
	for _, f := range found {
		if f.Bad {
			a.bad("replace", strings.TrimSpace(f.Text))
		} else {
			a.look(f.Text)
		}
	}
	return a
}

func monthsOver(months int) string {
	if months%12 == 0 {
		return ""
	}
	return "and " + countWords(months%12, "month", "months")
}
