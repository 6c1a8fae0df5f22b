package page

import (
	"cmp"
	"fmt"
	"strings"

	"axlestand/internal/trade/input"
	"axlestand/internal/trade/torque"
	"axlestand/internal/trade/unit"
	"axlestand/web/ui"
)

var (
	benchTorques = []string{"Nm", "lbf ft", "lbf in", "kgf m", "kgf cm"}
	benchLengths = []string{"mm", "cm", "in"}
)

const (
	practiceSource = "Common practice, no source."
	computed       = "Computed."
)

var torqueCalculators = []calculator{extensionBench, wrenchBench, stagesBench, boltBench, sequenceBench, unitsBench}

var extensionFields = []benchField{
	{Name: "wrench", Label: "Length of the wrench", Hint: "From the centre of its drive to the mark of its grip.", Example: "350", Units: benchLengths},
	{Name: "extension", Label: "Length of the extension", Hint: "From the centre of the drive to the centre of the bolt.", Example: "50", Units: benchLengths},
	{Name: "angle", Label: "Angle to the wrench", Hint: "0° straight ahead, 90° square to it, 180° pointing back.", Example: "0", Unit: "°"},
}

var extensionBench = calculator{
	Name: "extension", Title: "Wrench with an extension",
	Sub: "What to set when a crow-foot or other attachment moves the bolt away from the wrench's drive.",
	Fields: append([]benchField{
		{Name: "ask", Label: "What is asked", Kind: aChoice, Options: []ui.Option{{Value: "set", Text: "What to set on the wrench"}, {Value: "bolt", Text: "What the bolt gets"}}},
		{Name: "torque", Label: "Torque", Hint: "Of the bolt, or as set on the wrench.", Example: "90", Units: benchTorques},
	}, extensionFields...),
	About: benchAbout{
		Formula: "S = T·L/(L + E·cos θ): S set, T at the bolt, L wrench, E extension, θ the angle between them.",
		Source:  "The balance of moments about the bolt.",
		Range:   torque.ExtensionHolds,
		Limits:  "Extensions that bend or wobble, and a hand that is not at the mark of the grip.",
	},
	Work: workExtension,
}

func workExtension(in *benchTyped) (a BenchAnswer) {
	t, wrench, e := quantity[unit.TorqueKind](in, "torque"), quantity[unit.LengthKind](in, "wrench"), in.extension()
	ask := in.choice("ask")
	if !in.ok() {
		return a
	}
	label, work := "Set the wrench to", torque.Setting
	if ask == "bolt" {
		label, work = "The bolt gets", torque.AtBolt
	}
	q, err := work(t, wrench, e)
	if in.refused(err, "wrench length", "wrench") {
		return a
	}
	other := unit.LbfFt
	if t.Unit().Imperial() {
		other = unit.Nm
	}
	a.Figures = []BenchFigure{shown(label, q, other)}
	percent := 100 * (q.Value()/t.Value() - 1)
	switch way := e.Direction(); {
	case way == "same":
		a.row("Difference", "none", "An extension square to the wrench changes nothing.")
	default:
		a.row("Difference", signed(percent, 1)+"\u00a0%", "")
	}
	a.row("Not rounded", q.Round(0.01).String(), "Set the nearest mark.")
	a.row("Holds for", "a rigid attachment", torque.ExtensionHolds)
	return a
}

// extension reads the fields of that name; empty ones are none.
func (in *benchTyped) extension() torque.Extension {
	return torque.Extension{Length: quantity[unit.LengthKind](in, "extension"), Angle: quantity[unit.AngleKind](in, "angle")}
}

const wrenches = 3

// wrenchBench offers the best of up to three wrenches that are typed in; those that are kept are offered where they are used.
var wrenchBench = calculator{
	Name: "wrench", Title: "Which torque wrench",
	Sub:    "The best of up to three for a torque, the mark to set it to, and what speaks against each.",
	Fields: wrenchFields(),
	About: benchAbout{
		Formula: "Calibrated before overdue, above the bottom fifth of the range before in it, a mark on the spot before one beside it, then nearest to the upper middle of the range.",
		Source:  "Accuracy and calibration: ISO 6789-1:2017, type II class A, from memory. The order: common practice, no source.",
		Range:   "Wrenches that click at a setting: ±4 % over 10 Nm, ±6 % up to 10 Nm.",
		Limits:  "Wrenches that measure an angle. " + torque.Storing,
	},
	Work: workWrench,
}

func wrenchFields() []benchField {
	fields := []benchField{
		{Name: "torque", Label: "Torque for the bolt", Hint: "As printed: 90 Nm, 85–95 Nm or 90 ± 5 Nm.", Example: "90 Nm", Kind: aText},
		{Name: "extension", Label: "Length of the extension", Hint: "Empty without one.", Units: benchLengths, Optional: true},
		{Name: "angle", Label: "Angle of the extension", Unit: "°", Optional: true},
	}
	examples := [wrenches][6]string{{"Half inch", "40", "200", "5", "450", "2026-05-04"}, {"Three eighths", "10", "100", "1", "350", "2025-02-03"}}
	for i := range wrenches {
		n, optional := fmt.Sprint(i+1), i > 0
		set, x := "Wrench "+n, examples[i]
		fields = append(
			fields,
			benchField{Name: "name" + n, Label: "Name", Example: x[0], Kind: aText, Set: set, Optional: true},
			benchField{Name: "low" + n, Label: "Lowest mark", Example: x[1], Units: benchTorques, Set: set, Optional: optional},
			benchField{Name: "high" + n, Label: "Highest mark", Example: x[2], Units: benchTorques, Set: set, Optional: optional},
			benchField{Name: "mark" + n, Label: "From mark to mark", Hint: "Empty when it shows tenths.", Example: x[3], Units: benchTorques, Set: set, Optional: true},
			benchField{Name: "length" + n, Label: "Length", Hint: "With an extension only: drive to grip.", Example: x[4], Units: benchLengths, Set: set, Optional: true},
			benchField{Name: "calibrated" + n, Label: "Last calibrated", Example: x[5], Kind: aDate, Set: set, Optional: true},
		)
	}
	return fields
}

func workWrench(in *benchTyped) (a BenchAnswer) {
	want := in.figure("torque")
	e := in.extension()
	if !e.IsZero() && e.Angle.IsZero() {
		e.Angle = unit.Degree.Of(0)
	}
	var owned []torque.Wrench
	for i := range wrenches {
		if w, given := in.wrench(fmt.Sprint(i + 1)); given {
			owned = append(owned, w)
		}
	}
	if !in.ok() {
		return a
	}
	offers, err := torque.Choose(owned, want, e, in.today())
	if err != nil && len(offers) == 0 || err != nil && in.unusable(offers) {
		in.refused(err)
		return a
	}
	if err == nil {
		best := offers[0]
		a.Figures = []BenchFigure{shown("Set "+best.Wrench.Name+" to", best.Setting, otherTorque(best.Setting))}
		a.row("The bolt then gets", bothTorques(best.AtBolt), "")
		low, high := best.Wrench.Band(best.AtBolt)
		a.row("A wrench in order gives", low.Readable().String()+" to "+high.Readable().String(), "")
	} else {
		e, _ := err.(*input.Error)
		a.bad("none", e.Sentence)
	}
	a.Table = offerTable(offers)
	return a
}

// unusable notes at its field why the first wrench is none that can be, such as one whose highest mark is below its lowest.
func (in *benchTyped) unusable(offers []torque.Offer) bool {
	for i, o := range offers {
		if e, ok := o.Err.(*input.Error); ok && e.Field != "wrench" {
			n := fmt.Sprint(i + 1)
			for at := range wrenches {
				if in.nameOf(fmt.Sprint(at+1)) == o.Wrench.Name {
					n = fmt.Sprint(at + 1)
				}
			}
			in.refused(e, "low", "low"+n, "high", "high"+n, "mark", "mark"+n, "wrench length", "length"+n, "clicks", "name"+n)
		}
	}
	return !in.ok()
}

func otherTorque(t unit.Torque) unit.Unit[unit.TorqueKind] {
	if t.Unit().Imperial() {
		return unit.Nm
	}
	return unit.LbfFt
}

func offerTable(offers []torque.Offer) *ui.TableData {
	t := ui.TableData{Caption: "All of them, the best first", Columns: []ui.Column{{Head: "Wrench", Lead: true}, {Head: "Setting", Num: true}, {Head: "For and against"}}}
	for _, o := range offers {
		notes := append([]string{}, o.Reasons...)
		for _, w := range o.Warnings {
			notes = append(notes, w.Text)
		}
		if e, ok := o.Err.(*input.Error); ok {
			notes = []string{e.Sentence}
		}
		setting := ""
		if o.Err == nil {
			setting = o.Setting.String()
		}
		t.Rows = append(t.Rows, []ui.Cell{{Text: o.Wrench.Name}, {Text: setting}, {Text: strings.Join(notes, " ")}})
	}
	return &t
}

func (in *benchTyped) nameOf(n string) string { return cmp.Or(in.text("name"+n), "wrench "+n) }

// wrench reads one; given is false when its range is not filled in.
func (in *benchTyped) wrench(n string) (w torque.Wrench, given bool) {
	if in.text("low"+n) == "" && in.text("high"+n) == "" {
		return w, false
	}
	w = torque.Wrench{
		Name: in.nameOf(n), Low: quantity[unit.TorqueKind](in, "low"+n), High: quantity[unit.TorqueKind](in, "high"+n),
		Mark: quantity[unit.TorqueKind](in, "mark"+n), Length: quantity[unit.LengthKind](in, "length"+n),
	}
	if d := in.date("calibrated" + n); !d.IsZero() {
		w.Calibrated = dayTime(d)
	}
	return w, true
}

// figure reads one torque as printed, with its range or tolerance.
func (in *benchTyped) figure(name string) torque.Figure[unit.TorqueKind] {
	typed := in.text(name)
	if typed == "" {
		return torque.Figure[unit.TorqueKind]{}
	}
	stages, err := torque.ParseStages(typed)
	if in.refused(err, "stages", name) {
		return torque.Figure[unit.TorqueKind]{}
	}
	if len(stages) != 1 || stages[0].Act != torque.Tighten {
		in.wrong(name, "One torque at a time, like 90 Nm: each stage has a setting of its own.")
		return torque.Figure[unit.TorqueKind]{}
	}
	return stages[0].Torque
}

var stagesBench = calculator{
	Name: "stages", Title: "Torque as printed",
	Sub: "Takes a torque apart into its stages, in both units, and looks for a wrong unit or thread.",
	Fields: []benchField{
		{Name: "stages", Label: "Torque as printed", Hint: "30 Nm + 90° + 90°; 25 lbf ft, loosen 180°, 30 Nm; 38–42 Nm; hand tight + 1/2 turn.", Example: "40 Nm + 90° + 90°", Kind: someLines},
		{Name: "thread", Label: "Thread", Hint: "Empty when not known.", Example: "M12×1.5", Kind: aText, Optional: true},
		{Name: "class", Label: "Class", Hint: "From the bolt's head.", Example: "10.9", Kind: aText, Optional: true},
		{Name: "printed", Label: "Printed for a thread", Kind: aChoice, Options: threadConditions(), Optional: true},
		{Name: "made", Label: "This thread is", Kind: aChoice, Options: threadConditions(), Optional: true},
	},
	About: benchAbout{
		Formula: "The highest torque against the generic maximum of thread and class at friction 0.14: a question from 1.25 times on and below 0.15 times.",
		Source:  "The maximum: form of VDI 2230-1:2015. The bounds: common practice, no source.",
		Range:   "M5 to M16 of class 8.8, 10.9 or 12.9; without thread and class only the units are looked at.",
		Limits:  torque.Limits,
	},
	Work: workStages,
}

func threadConditions() (options []ui.Option) {
	for _, c := range torque.Conditions {
		options = append(options, ui.Option{Value: string(c), Text: cmp.Or(c.Words(), "not said")})
	}
	return options
}

func workStages(in *benchTyped) (a BenchAnswer) {
	var stages torque.Stages
	if typed := in.text("stages"); typed != "" {
		var err error
		stages, err = torque.ParseStages(typed)
		in.refused(err)
	}
	thread, class := in.thread("thread"), in.class("class")
	printed, made := torque.Condition(in.choice("printed")), torque.Condition(in.choice("made"))
	if !in.ok() {
		return a
	}
	t := ui.TableData{Caption: "All fasteners through one stage before the next begins", Columns: []ui.Column{{Head: "Stage", Lead: true}, {Head: "What to do"}, {Head: "In other units"}}}
	for i, s := range stages {
		t.Rows = append(t.Rows, []ui.Cell{{Text: fmt.Sprint(i + 1)}, {Text: tightenWords(s)}, {Text: stageInOther(s)}})
	}
	a.Table = &t
	a.row("Read as", stages.String(), "")
	warnings := append(torque.Plausible(stages, thread, class), torque.AgainstCondition(printed, made)...)
	for _, w := range warnings {
		a.look(w.Text)
	}
	generic, err := torque.GenericMax(thread, class, 0.14)
	switch {
	case err == nil:
		a.row("Generic maximum", bothTorques(generic.Torque), generic.String())
		a.Label = "The maximum is " + torque.Label + "."
		if len(warnings) == 0 {
			a.good("nothing odd", "The figure lies within the usual bounds for this thread and class. It may still be wrong: compare it with the page.")
		}
	case len(warnings) == 0:
		a.look("Only the units could be looked at: for more it takes a thread from M5 to M16 and the class 8.8, 10.9 or 12.9.")
	}
	return a
}

func tightenWords(s torque.Stage) string {
	switch s.Act {
	case torque.Tighten:
		return "tighten to " + s.String()
	case torque.Turn:
		return "turn further by " + s.String()
	case torque.Loosen:
		if s.Angle.IsZero() {
			return "loosen fully"
		}
	}
	return s.String()
}

func stageInOther(s torque.Stage) string {
	switch {
	case s.Act == torque.Tighten:
		other := otherTorque(s.Torque.Value)
		low, top := s.Torque.Low(), s.Torque.Top()
		if low == top {
			return low.Show(other)
		}
		return low.Show(other) + " to " + top.Show(other)
	case !s.Angle.IsZero():
		turn := s.Angle.Value.To(unit.Turn)
		return fixed(turn.Value(), 2) + "\u00a0turn"
	}
	return ""
}

func (in *benchTyped) thread(name string) torque.Thread {
	typed := in.text(name)
	if typed == "" {
		return torque.Thread{}
	}
	t, err := torque.ParseThread(typed)
	in.refused(err, "thread", name)
	return t
}

func (in *benchTyped) class(name string) torque.Class {
	typed := in.text(name)
	if typed == "" {
		return torque.Class{}
	}
	c, err := torque.ParseClass(typed)
	in.refused(err, "class", name)
	return c
}

var boltBench = calculator{
	Name: "bolt", Title: "Bolt: generic maximum",
	Sub: "The torque and preload at which a steel bolt comes near to yielding. It never stands in for the maker's figure.",
	Fields: []benchField{
		{Name: "thread", Label: "Thread", Example: "M10×1.5", Kind: aText},
		{Name: "class", Label: "Class", Hint: "From the bolt's head: 8.8, 10.9 or 12.9.", Example: "8.8", Kind: aText},
		{Name: "friction", Label: "Friction", Hint: "0.08 well oiled, 0.14 as delivered, 0.24 dry and rough.", Example: "0.14"},
		{Name: "angle", Label: "Angle to turn", Hint: "To see how far a turn draws the bolt out.", Example: "90", Unit: "°", Optional: true},
	},
	About: benchAbout{
		Formula: "F = 0.9·Rp0.2·A0/√(1 + 3·(1.5·(d2/d0)·(P/(π·d2) + 1.155·µ))²); M = F·(0.16·P + 0.58·d2·µ + µ·D/2); stretch P·α/360.",
		Source:  "Form of VDI 2230-1:2015 at 90 % of yield; strengths of ISO 898-1:2013; head and hole of ISO 4014 and ISO 273 medium, from memory.",
		Range:   "M5 to M16, steel in steel, friction 0.08 to 0.24.",
		Limits:  torque.Limits,
	},
	Work: workBolt,
}

func workBolt(in *benchTyped) (a BenchAnswer) {
	thread, class, friction := in.thread("thread"), in.class("class"), in.number("friction")
	angle := quantity[unit.AngleKind](in, "angle")
	if !in.ok() {
		return a
	}
	g, err := torque.GenericMax(thread, class, friction)
	if in.refused(err) {
		return a
	}
	a.Figures = []BenchFigure{shown("At most", g.Torque, unit.LbfFt), shown("Preload then", g.Preload.To(unit.Kilonewton), unit.PoundForce)}
	a.Label = capital(torque.Label) + "."
	a.row("Stress area", fixed(thread.StressArea(), 1)+"\u00a0mm²", "")
	if loads, err := torque.BoltLoads(thread, class); err == nil {
		a.row("Springs back up to", loads.Proof.To(unit.Kilonewton).Readable().String(), "Proof load.")
		a.row("May break from", loads.Ultimate.To(unit.Kilonewton).Readable().String(), "Least ultimate load.")
	}
	if reused, err := torque.ReusablePreload(thread, class); err == nil {
		a.row("Usual preload when opened again", reused.To(unit.Kilonewton).Readable().String(), "Three quarters of the proof load.")
	}
	if !angle.IsZero() {
		a.row("A turn of "+angle.String()+" draws out", bothLengths(thread.Stretch(angle)), "In a rigid joint.")
	}
	a.look(torque.Scatter)
	a.look(torque.Limits)
	return a
}

var sequenceBench = calculator{
	Name: "sequence", Title: "Order of tightening",
	Sub: "Star across a circle, or spiral from the centre of rows outwards; and backwards for loosening.",
	Fields: []benchField{
		{Name: "pattern", Label: "Pattern", Kind: aChoice, Options: []ui.Option{{Value: "star", Text: "Star: bolts on a circle"}, {Value: "spiral", Text: "Spiral: bolts in rows"}}},
		{Name: "bolts", Label: "Bolts", Hint: "On the circle, or in each row.", Example: "5"},
		{Name: "rows", Label: "Rows", Hint: "Of a spiral only.", Optional: true},
	},
	About: benchAbout{
		Formula: "Star: opposite pairs for even numbers, the longest step that reaches all for odd ones. Spiral: by the distance from the centre, the farthest from the last first among equals.",
		Source:  practiceSource,
		Range:   "Stars of 3 to 60 bolts, up to 10 rows and 60 bolts.",
		Limits:  "Joints for which the maker prints a diagram: the diagram wins.",
	},
	Work: workSequence,
}

func workSequence(in *benchTyped) (a BenchAnswer) {
	bolts, rows, pattern := in.whole("bolts"), in.whole("rows"), in.choice("pattern")
	if pattern == "spiral" && in.text("rows") == "" {
		in.wrong("rows", "How many rows, like 2?")
	}
	if !in.ok() {
		return a
	}
	order, err := torque.NewStar(bolts)
	if pattern == "spiral" {
		order, err = torque.NewSpiral(rows, bolts)
	}
	if in.refused(err, "sequence", "bolts") {
		return a
	}
	a.Figures = []BenchFigure{{Label: "Tighten in this order", Value: order.OrderText()}}
	loosen := torque.Sequence{Order: order.Loosening()}
	if pattern == "spiral" {
		a.row("Loosen in this order", loosen.OrderText(), "From the outside in.")
		a.row("Numbers", "row by row", fmt.Sprintf("The first row is 1 to %d, from left to right; each further row goes on counting.", bolts))
	} else {
		a.row("Numbers", "around the circle", "Start at any bolt and count on in one direction.")
		a.row("Passes", "two or three", "Snug, half, then the full torque.")
		a.row("Wheels", "50 km later once more", torque.WheelRetorqueHow)
	}
	a.look("The maker's diagram wins where there is one.")
	return a
}

var unitsBench = calculator{
	Name: "units", Title: "Units",
	Sub: "A figure with its unit in every other unit of its kind.",
	Fields: []benchField{
		{Name: "value", Label: "Figure and unit", Hint: "33 lbf ft, 0.9 l, 3/8 in, 2.4 bar, 68 °F.", Example: "33 lbf ft", Kind: aText},
	},
	About: benchAbout{
		Formula: "Every unit is a factor times the one in which its kind is reckoned; °C = (°F − 32)/1.8.",
		Source:  "Exact definitions: 1 in = 25.4 mm, 1 lb = 0.45359237 kg, g = 9.80665 m/s², 1 US gal = 231 in³, 1 imp gal = 4.54609 l (NIST SP 811, appendix B, from memory).",
		Range:   "Torque, length, distance, volume, pressure, temperature, speed, mass, force, angle and power, up to 1,000,000,000.",
		Limits:  "Figures to keep: keep the one that is printed, with its unit.",
	},
	Work: workUnits,
}

func workUnits(in *benchTyped) (a BenchAnswer) {
	typed := in.text("value")
	if typed == "" {
		return a
	}
	var questions []string
	known := false
	for _, k := range unitKinds {
		rows, err := k.rows(typed)
		if e, ok := err.(*unit.Error); ok {
			if e.Code == unit.Ambiguous || e.Code == unit.NotANumber || e.Code == unit.TooLarge {
				questions = append(questions, k.name+": "+e.Text)
			}
			continue
		}
		known = true
		a.Rows = append(a.Rows, rows...)
	}
	switch {
	case known:
		for _, q := range questions {
			a.look(q)
		}
	case len(questions) == len(unitKinds):
		in.wrong("value", "Write a number and a unit, like 33 lbf ft, 0.9 l or 3/8 in. Set no thousands apart.")
	case len(questions) > 0:
		in.wrong("value", strings.Join(questions, " "))
	default:
		in.wrong("value", "Write the unit too, as printed: 33 lbf ft, 0.9 l, 3/8 in, 2.4 bar, 68 °F.")
	}
	return a
}

// unitKind reads a text as a quantity of one kind.
type unitKind struct {
	name string
	rows func(typed string) ([]BenchRow, error)
}

var unitKinds = []unitKind{
	{"Torque", unitRows[unit.TorqueKind]},
	{"Length", unitRows[unit.LengthKind]},
	{"Distance", unitRows[unit.DistanceKind]},
	{"Volume", unitRows[unit.VolumeKind]},
	{"Pressure", unitRows[unit.PressureKind]},
	{"Temperature", unitRows[unit.TemperatureKind]},
	{"Speed", unitRows[unit.SpeedKind]},
	{"Mass", unitRows[unit.MassKind]},
	{"Force", unitRows[unit.ForceKind]},
	{"Angle", unitRows[unit.AngleKind]},
	{"Power", unitRows[unit.PowerKind]},
}

func unitRows[K unit.Kind](typed string) (rows []BenchRow, err error) {
	q, err := unit.Parse[K](typed)
	if err != nil {
		return nil, err
	}
	for _, u := range unit.Units[K]() {
		if u != q.Unit() {
			rows = append(rows, BenchRow{Label: u.String(), Value: q.Show(u), Note: exactNote(q.To(u))})
		}
	}
	return rows, nil
}

// exactNote has more digits than a tool shows, for who wants to go on reckoning.
func exactNote[K unit.Kind](q unit.Quantity[K]) string {
	return strings.Replace(fmt.Sprintf("%.6g", q.Value()), "-", "\u2212", 1)
}
