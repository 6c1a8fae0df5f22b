package garage

import (
	"regexp"
	"slices"
	"strings"
)

// ByStage groups steps by the stage that they come from, in their order.
func ByStage(steps []Step) [][]Step {
	var groups [][]Step
	for i, s := range steps {
		if i == 0 || s.StageID != steps[i-1].StageID {
			groups = append(groups, nil)
		}
		groups[len(groups)-1] = append(groups[len(groups)-1], s)
	}
	return groups
}

// fresh is a step as written, without what became of it on its card.
func (s Step) fresh() Step {
	s.ID, s.Version, s.Position, s.Revision, s.Changed, s.DeletedAt = 0, 0, 0, 0, "", nil
	s.Cautions = slices.Clone(s.Cautions)
	return s
}

// ForAnotherCar are steps without what is printed for their own car alone: sources, stored figures of the car, and the wait
// that its maker gives before work on airbags.
func ForAnotherCar(steps []Step) []Step {
	out := make([]Step, len(steps))
	for i, s := range steps {
		s = s.fresh()
		s.TorqueSpecID, s.FluidSpecID, s.Source, s.Page = nil, nil, "", ""
		if s.waitsForMaker() {
			s.Figure = ""
		}
		out[i] = s
	}
	return out
}

// ForPattern are steps as a pattern keeps them: for any car, and without parts, since those are of one car too.
func ForPattern(steps []Step) []Step {
	out := ForAnotherCar(steps)
	for i := range out {
		out[i].WrenchID, out[i].Extension, out[i].ExtensionAngle = nil, "", ""
		out[i].PartID, out[i].Quantity = nil, 0
	}
	return out
}

// Mirror are the steps of one side for the other: the words for the sides swapped, handed parts swapped for their twins. It
// says which handed parts have none; those steps are left without a part. twins are those that the owner named; without such,
// it is the part of the same name.
func Mirror(steps []Step, parts []Part, twins map[PartID]PartID) (mirrored []Step, without []Part) {
	for _, s := range steps {
		s = s.fresh()
		s.Side = OtherSide(s.Side)
		s.Text, s.PauseAfter, s.CautionOwn = swapSides(s.Text), swapSides(s.PauseAfter), swapSides(s.CautionOwn)
		if s.PartID != nil {
			if part := find(parts, func(p Part) bool { return p.ID == *s.PartID }); part.Side != "" {
				s.PartID = nil
				if id, named := twins[part.ID]; named {
					s.PartID = &id
				} else if twin, ok := Twin(part, parts); ok {
					s.PartID = &twin.ID
				} else {
					s.Quantity = 0
					without = append(without, part)
				}
			}
		}
		mirrored = append(mirrored, s)
	}
	return mirrored, without
}

// OtherSide is right for left and left for right; what has no side keeps none.
func OtherSide(side string) string {
	switch side {
	case "left":
		return "right"
	case "right":
		return "left"
	}
	return side
}

var sideWord = regexp.MustCompile(`(?i)\b(left|right)\b`)

// swapSides swaps the words left and right, as they are written.
func swapSides(text string) string {
	return sideWord.ReplaceAllStringFunc(text, func(word string) string {
		other := OtherSide(strings.ToLower(word))
		switch {
		case word == strings.ToUpper(word):
			return strings.ToUpper(other)
		case word[0] < 'a':
			return strings.ToUpper(other[:1]) + other[1:]
		}
		return other
	})
}

// Twin is the part for the other side: the one of the same name but for the word of the side. false when there is none, or
// more than one.
func Twin(part Part, parts []Part) (Part, bool) {
	bare := func(name string) string {
		return strings.Join(strings.Fields(sideWord.ReplaceAllString(strings.ToLower(name), " ")), " ")
	}
	twins := keep(parts, func(p Part) bool {
		return p.ID != part.ID && p.Side == OtherSide(part.Side) && bare(p.Name) == bare(part.Name)
	})
	if len(twins) != 1 {
		return Part{}, false
	}
	return twins[0], true
}
