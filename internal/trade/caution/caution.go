// Package caution holds what is shown before work that can hurt someone or harm more than the car. It warns; it advises
// nothing and replaces neither the manufacturer's service information nor the law of the place.
//
// Each caution names its source: a published one, one from memory, or common practice without one. Where makers differ, as in
// the wait before work on airbags, there is no default: the owner writes down what the maker says, and where.
//
// Out of scope: how the work is done.
package caution

import (
	"fmt"

	"axlestand/internal/trade/input"
	"axlestand/internal/trade/unit"
)

// Standing is the text that stands wherever work or figures are shown.
const Standing = "Follow the manufacturer's service information, local law and, where required, qualified people. Generic tables are not for safety-critical joints."

const practice = "common practice, no source"

// Topic is what a caution is about.
type Topic string

// Topics, in the order in which they are shown.
const (
	Jacks       Topic = "jacks and stands"
	Lift        Topic = "lift"
	Airbags     Topic = "airbags and belt tensioners"
	HighVoltage Topic = "high voltage"
	Chassis     Topic = "brakes, steering, suspension, tyres"
	Asbestos    Topic = "old linings"
	Fuel        Topic = "fuel"
	Cooling     Topic = "cooling"
	Refrigerant Topic = "refrigerant"
	UsedOil     Topic = "used oil"
	Other       Topic = "springs, starter, fumes, dust"
	Road        Topic = "on the road"
)

// Caution is what to mind, in sentences.
type Caution struct {
	Topic  Topic
	Text   string
	Source string
	// Before is what the owner must have written down before the step can be ticked; empty mostly.
	Before string
}

var all = []Caution{
	{Jacks, "Hard, level ground, wheels chocked. Stands in pairs, rated for the axle's mass; never a jack alone. Push the car before you crawl under it, and lay a wheel under the sill.", practice + "; jacks and stands are rated by ASME PASE", ""},
	{Lift, "Maker's lifting points only, and onto the locks. Nobody in the car. The balance moves when an engine or an axle comes out. Car and load within the lift's rating, each axle within that of its arms. Have the lift inspected at least once a year.", practice + "; inspection: ANSI/ALI ALOIM:2020 (from memory)", ""},
	{Airbags, "Battery off, then wait as long as the maker says. Never measure an igniter. Store a module face up.", practice, "The wait that the maker gives for this car, and where it is written."},
	{HighVoltage, "Over 60 V DC or 30 V AC is work for qualified people: plug out, wait, prove it dead, insulating gloves within their date. Give it to a vendor if you are not one.", "limits: UN Regulation 100 (from memory); the rest is " + practice, ""},
	{Chassis, "Have it looked at a second time, and test it at low speed before anything else. Brake fluid attacks paint and eyes.", practice, ""},
	{Asbestos, "Old linings may hold asbestos: no compressed air. An enclosure with a fine filter, or wet at low pressure; plain wetting only for up to five brake jobs a week.", "29 CFR 1910.1001, appendix F", ""},
	{Fuel, "Take the pressure off, engine cold, air moving, no sparks, extinguisher at hand, never in a pit.", practice, ""},
	{Cooling, "Never open a hot system. Coolant is sweet and poisons pets: mop up every drop.", practice, ""},
	{Refrigerant, "It must not be let out into the air, and the work is for certified people.", "US Clean Air Act, sections 608 and 609; in the EU Regulation (EU) 2024/573 and for training Implementing Regulation (EU) 2025/1893", ""},
	{UsedOil, "One gallon can spoil a million gallons of water. Keep it unmixed and take it to a collection point.", "US EPA, 530-F-94-008", ""},
	{Other, "Springs store a blow. The starter's cable is live. Exhaust holds carbon monoxide. Zinc and lead make dust that harms. Keep used oil off the skin.", practice, ""},
	{Road, "Changed brakes, wheels, suspension, lights or exhaust may need an approval, and an unsafe modification fails an inspection. Write down the document and its date.", "Directive 2014/45/EU, annex I", "The document and its date; until then the car is not cleared for the road."},
}

// All lists every caution in the order of the topics.
func All() []Caution { return append([]Caution(nil), all...) }

// For is the caution for a topic, and whether there is one.
func For(topic Topic) (Caution, bool) {
	for _, c := range all {
		if c.Topic == topic {
			return c, true
		}
	}
	return Caution{}, false
}

// CheckAirbagWait refuses to go on without the wait that the maker of this car gives, and where it is written. There is no
// usual value: 1, 10 and 30 minutes are all in print. A refusal is an [*input.Error] for "wait" or "source".
func CheckAirbagWait(minutes int, source string) error {
	switch {
	case minutes <= 0 || minutes > 24*60:
		return input.Wrong("wait", "Write down how many minutes the maker of this car says to wait. There is no usual value.")
	case source == "":
		return input.Wrong("source", "Write down where the maker says so.")
	}
	return nil
}

// CheckStands refuses stands whose rating as a pair is less than the axle's mass. Common practice, no source.
func CheckStands(pair, axle unit.Mass) error {
	if err := input.First(
		input.Positive("rating", pair.In(unit.Kilogram), "Give the rating of the pair of stands."),
		input.Positive("axle", axle.In(unit.Kilogram), "Give the mass on the axle."),
	); err != nil {
		return err
	}
	if pair.Compare(axle) < 0 {
		return input.Wrong("rating", "The stands are rated for %s as a pair and the axle has %s: take stronger ones.", pair, axle.Show(pair.Unit()))
	}
	return nil
}

// OnLift is a car on a lift.
type OnLift struct {
	Rating, Arms unit.Mass // of the lift, and of the pair of arms under one axle
	Kerb, Load   unit.Mass // of the car, and of what is in it; no load is none
	Front        float64   // share of the front axle
}

// Check refuses a car that is too heavy for the lift, or an axle for its arms. Common practice, no source. A refusal is an
// [*input.Error] for "rating", "arms", "kerb mass", "load" or "front share".
func (l OnLift) Check() error {
	kg := func(m unit.Mass) float64 { return m.In(unit.Kilogram) }
	if err := input.First(
		input.Positive("rating", kg(l.Rating), "Give the lift's rating from its plate."),
		input.Positive("arms", kg(l.Arms), "Give the rating of a pair of arms."),
		input.Positive("kerb mass", kg(l.Kerb), "Give the car's kerb mass from its papers."),
		input.Within("load", kg(l.Load), 0, 1e5, "Give the mass of what is in the car, or nothing."),
		input.Within("front share", l.Front, 0.2, 0.8, "The front axle carries from 0.2 to 0.8 of the car."),
	); err != nil {
		return err
	}
	total := kg(l.Kerb) + kg(l.Load)
	heavier := total * max(l.Front, 1-l.Front)
	switch {
	case total > kg(l.Rating):
		return input.Wrong("rating", "Car and load have %.0f kg, the lift is rated for %.0f kg.", total, kg(l.Rating))
	case heavier > kg(l.Arms):
		return input.Wrong("arms", "The heavier axle has %.0f kg, its arms are rated for %.0f kg.", heavier, kg(l.Arms))
	}
	return nil
}

// String is the caution with its source, as printed on a card.
func (c Caution) String() string { return fmt.Sprintf("%s: %s (%s)", c.Topic, c.Text, c.Source) }
