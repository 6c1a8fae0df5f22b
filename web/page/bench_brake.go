package page

import (
	safety "axlestand/internal/trade/caution"

	"axlestand/internal/trade/brake"
	"axlestand/internal/trade/unit"
	"axlestand/web/ui"
)

var brakeCalculators = []calculator{brakeBench, stoppingBench, discBench}

var mountings = []ui.Option{{Value: string(brake.Floating), Text: "floating"}, {Value: string(brake.Fixed), Text: "fixed"}}

// axleFields asks for the brakes of one axle; prefix tells it from the others.
func axleFields(prefix, set, pistons, mounting, radius string) []benchField {
	return []benchField{
		{Name: prefix + "mounting", Label: "Caliper", Kind: aChoice, Options: mountings, Example: mounting, Set: set},
		{Name: prefix + "pistons", Label: "Pistons", Hint: "Diameters in mm, all of one caliper.", Example: pistons, Kind: aText, Set: set},
		{Name: prefix + "radius", Label: "Effective radius", Hint: "From the hub's centre to the middle of the pads.", Example: radius, Units: []string{"mm", "in"}, Set: set},
		{Name: prefix + "friction", Label: "Friction of the pads", Example: "0.4", Set: set},
	}
}

func brakeFields() []benchField {
	fields := []benchField{
		{Name: "mass", Label: "Mass with load", Example: "1400", Units: []string{"kg", "lb"}, Set: "Car"},
		{Name: "wheelbase", Label: "Wheelbase", Example: "2600", Units: []string{"mm", "in"}, Set: "Car"},
		{Name: "height", Label: "Height of the centre of gravity", Example: "550", Units: []string{"mm", "in"}, Set: "Car"},
		{Name: "front", Label: "On the front axle at rest", Example: "60", Unit: "%", Set: "Car"},
		{Name: "tyre", Label: "Rolling radius of the tyres", Example: "300", Units: []string{"mm", "in"}, Set: "Car"},
		{Name: "road", Label: "Grip of the road", Hint: "About 0.9 dry, 0.5 wet, 0.2 snow.", Example: "0.9", Set: "Car"},
		{Name: "bore", Label: "Master cylinder", Hint: "Its bore; empty when not known.", Example: "22", Units: []string{"mm", "in"}, Set: "Car", Optional: true},
	}
	fields = append(fields, axleFields("oldFront", "Front, as it is", "54", "floating", "110")...)
	fields = append(fields, axleFields("oldRear", "Rear, as it is", "34", "floating", "105")...)
	fields = append(fields, axleFields("newFront", "Front, as it would be", "40 40 40 40", "fixed", "125")...)
	return append(fields, axleFields("newRear", "Rear, as it would be", "34", "floating", "105")...)
}

var brakeBench = calculator{
	Name: "brake-comparison", Title: "Brakes: two set-ups",
	Sub:      "How other calipers, discs or pads change torque, balance, which axle locks first, and the pedal.",
	Cautions: []safety.Topic{safety.Chassis, safety.Other, safety.Road},
	Fields:   brakeFields(),
	About: benchAbout{
		Formula: "Torque of a wheel: 2·friction·area·pressure·radius. Balance: the front's share of the braking force. Order of locking: the shares against the axle loads under braking.",
		Source:  "Statics; UN Regulation 13-H, annex 5, for the axle loads (from memory); Limpert, Brake Design and Safety, for the effective radius (from memory).",
		Range:   "Two axles with disc brakes, both sides alike, one pressure for all.",
		Limits:  brake.Disclaimer,
	},
	Work: workBrakes,
}

// axle reads the brakes of one axle.
func (in *benchTyped) axle(prefix string, tyre unit.Length) brake.Axle {
	a := brake.Axle{Tyre: tyre, Friction: in.number(prefix + "friction"), Radius: quantity[unit.LengthKind](in, prefix+"radius")}
	a.Caliper.Mounting = brake.Mounting(in.choice(prefix + "mounting"))
	for _, mm := range in.numbers(prefix + "pistons") {
		a.Caliper.Pistons = append(a.Caliper.Pistons, unit.Mm.Of(mm))
	}
	if _, err := a.WheelTorque(unit.Bar.Of(50)); in.ok() { // any pressure will do to have the axle checked
		in.refused(err, "pistons", prefix+"pistons", "mounting", prefix+"mounting", "friction", prefix+"friction", "radius", prefix+"radius")
	}
	return a
}

func workBrakes(in *benchTyped) (a BenchAnswer) {
	tyre := quantity[unit.LengthKind](in, "tyre")
	car := brake.Car{
		Weight: brake.WeightOf(quantity[unit.MassKind](in, "mass")), Wheelbase: quantity[unit.LengthKind](in, "wheelbase"),
		Height: quantity[unit.LengthKind](in, "height"), Front: in.number("front") / 100,
	}
	road, bore := in.number("road"), quantity[unit.LengthKind](in, "bore")
	was := brake.Setup{Front: in.axle("oldFront", tyre), Rear: in.axle("oldRear", tyre)}
	would := brake.Setup{Front: in.axle("newFront", tyre), Rear: in.axle("newRear", tyre)}
	if car.Front < 0.3 || car.Front > 0.75 {
		in.wrong("front", "The front axle carries from 30 to 75 % of the car at rest.")
	}
	if !in.ok() {
		return a
	}
	change, err := brake.Compare(car, was, would, bore, road)
	if in.refused(err, "weight", "mass") {
		return a
	}
	a.Label = change.Note
	a.Figures = []BenchFigure{
		{Label: "Braking torque, front", Value: signed(100*(change.FrontTorque-1), 0), Unit: "%"},
		{Label: "Braking torque, rear", Value: signed(100*(change.RearTorque-1), 0), Unit: "%"},
	}
	share := func(v float64) string { return fixed(100*v, 0) + "\u00a0%" }
	a.row("Front's share of the braking", share(change.FrontShareNew), "Before, "+share(change.FrontShareOld)+".")
	a.row("Pedal travel", signed(100*(change.Volume-1), 0)+"\u00a0%", "With the same master cylinder.")
	if !change.Bore.IsZero() {
		a.row("Bore for the same travel", bothLengths(change.Bore), "It changes the foot's force instead.")
	}
	locks := func(l brake.Locking) string {
		if l.RearFirst {
			return "the rear axle locks first"
		}
		return "the front axle locks first"
	}
	text := "On this road " + locks(change.LocksNew) + "; before, " + locks(change.LocksOld) + ". Harder than " + fixed(change.LocksNew.Critical, 2) +
		"\u00a0g it is always the rear; before, than " + fixed(change.LocksOld.Critical, 2) + "\u00a0g."
	if change.LocksNew.RearFirst {
		a.bad("can spin", text)
	} else {
		a.good("front first", text)
	}
	return a
}

var stoppingBench = calculator{
	Name: "stopping-distance", Title: "Way to a stop",
	Sub:      "From a speed to rest at a deceleration, without the time to react.",
	Cautions: []safety.Topic{safety.Road},
	Fields: []benchField{
		{Name: "speed", Label: "Speed", Example: "100", Units: benchSpeeds},
		{Name: "deceleration", Label: "Deceleration", Hint: "In times gravity.", Example: "0.9", Unit: "g"},
		{Name: "road", Label: "Grip of the road", Hint: "About 0.9 dry, 0.5 wet, 0.2 snow.", Example: "0.9"},
	},
	About: benchAbout{
		Formula: "v²/(2·z·g).", Source: computed, Range: "Up to the grip of the road.",
		Limits: "The time to react, fading, slopes, and ABS. " + brake.Disclaimer,
	},
	Work: func(in *benchTyped) (a BenchAnswer) {
		v, z, road := quantity[unit.SpeedKind](in, "speed"), in.number("deceleration"), in.number("road")
		if !in.ok() {
			return a
		}
		way, err := brake.StoppingDistance(v, z, road)
		if in.refused(err) {
			return a
		}
		a.Figures = []BenchFigure{{Label: "Way", Value: fixed(way.In(unit.Metre), 0), Unit: "m", Also: fixed(way.In(unit.Foot), 0) + "\u00a0ft"}}
		a.Label = brake.Disclaimer
		return a
	},
}

var discBench = calculator{
	Name: "brake-disc", Title: "Brake disc",
	Sub:      "Thickness and run-out against what is cast on the disc.",
	Cautions: []safety.Topic{safety.Chassis},
	Fields: []benchField{
		{Name: "readings", Label: "Thickness", Hint: "In mm, at several places round the disc.", Example: "21.8 21.82 21.79 21.81", Kind: aText},
		{Name: "least", Label: "Least thickness", Hint: "MIN TH on the disc.", Example: "20.4", Units: []string{"mm", "in"}},
		{Name: "runout", Label: "Run-out", Hint: "Empty when not measured.", Example: "0.05", Units: []string{"mm", "in"}, Optional: true},
	},
	About: benchAbout{
		Formula: "The smallest reading counts; the spread is the largest less the smallest.", Source: "Common practice, no source; the figure on the disc wins.",
		Range: "Discs from 3 to 60 mm.", Limits: "Cracks, heat spots and rust, which are looked for. " + brake.HowDiscs,
	},
	Work: func(in *benchTyped) (a BenchAnswer) {
		d := brake.Disc{Least: quantity[unit.LengthKind](in, "least"), RunOut: quantity[unit.LengthKind](in, "runout")}
		for _, mm := range in.numbers("readings") {
			d.Readings = append(d.Readings, unit.Mm.Of(mm))
		}
		if !in.ok() {
			return a
		}
		found, err := d.Check()
		if in.refused(err) {
			return a
		}
		for _, f := range found {
			if f.Bad {
				a.bad("replace", f.Text)
			} else {
				a.look(f.Text)
			}
		}
		if len(found) == 0 {
			a.good("within limits", "By its thickness and run-out.")
		}
		a.row("How", brake.HowDiscs, "")
		a.row("Afterwards", brake.HowBedding, "")
		return a
	},
}
