package garage

import (
	"regexp"
	"strconv"
	"strings"

	"axlestand/internal/trade/torque"
	"axlestand/internal/trade/unit"
)

// ReadSteps reads the lines of a text as steps, one a line. A line that ends in a figure becomes a step of its kind: a torque,
// a volume, a time, limits. "Pause: …" says what holds after the step before, "Caution: …" what to mind before the step that
// follows. What was read is to be confirmed by who pasted it.
func ReadSteps(text string) []Step {
	var steps []Step
	caution := ""
	for line := range strings.Lines(text) {
		line = bareLine(line)
		rest, isPause := afterWord(line, "pause")
		warn, isCaution := afterWord(line, "caution")
		switch {
		case line == "":
		case isPause && len(steps) > 0:
			steps[len(steps)-1].PauseAfter = rest
		case isCaution:
			caution = strings.TrimSpace(caution + " " + warn)
		default:
			step := ReadStep(line)
			step.CautionOwn, caution = caution, ""
			steps = append(steps, step)
		}
	}
	if caution != "" {
		steps = append(steps, Step{Kind: DoStep, Text: caution})
	}
	return steps
}

var lineMark = regexp.MustCompile(`^(?:[-*•·–☐□]+|\(?[0-9]{1,3}[.)])\s+`)

// bareLine is a line without blanks and what lists put before their entries.
func bareLine(line string) string {
	line = strings.Join(strings.Fields(line), " ")
	return strings.TrimSpace(lineMark.ReplaceAllString(line, ""))
}

// afterWord is what follows a word and a colon.
func afterWord(line, word string) (string, bool) {
	head, rest, found := strings.Cut(line, ":")
	rest = strings.TrimSpace(rest)
	return rest, found && rest != "" && strings.EqualFold(strings.TrimSpace(head), word)
}

// ReadStep reads one line. The longest end of it that is a figure is its figure.
func ReadStep(line string) Step {
	words := strings.Fields(line)
	for i := range words {
		text := strings.Join(words[:i], " ")
		step, ok := figureStep(strings.Join(words[i:], " "))
		if !ok {
			continue
		}
		if step.Text = trimJoint(text); step.Text == "" {
			if i > 0 || step.Kind == MeasureStep {
				step.Text = line
			} else {
				step.Text = bareWords[step.Kind]
			}
		}
		return step
	}
	return Step{Kind: wordKind(line), Text: line}
}

// bareWords are what a line says that holds nothing but a figure.
var bareWords = map[StepKind]string{TorqueStep: "Tighten", FluidStep: "Fill in", WaitStep: "Wait"}

// figureStep reads a text that is nothing but a figure.
func figureStep(figure string) (Step, bool) {
	if _, ok := ParseWait(figure); ok {
		return Step{Kind: WaitStep, Figure: figure}, true
	}
	if stages, err := torque.ParseStages(figure); err == nil && !stages.Highest().IsZero() {
		return Step{Kind: TorqueStep, Figure: figure}, true
	}
	if _, err := unit.Parse[unit.VolumeKind](figure); err == nil {
		return Step{Kind: FluidStep, Figure: figure}, true
	}
	return limitStep(figure)
}

var (
	atLeast = regexp.MustCompile(`(?i)^(?:min\.?|at least|≥|>=)\s*([0-9]+(?:[.,][0-9]+)?)\s*(\S{1,12})$`)
	atMost  = regexp.MustCompile(`(?i)^(?:max\.?|at most|≤|<=)\s*([0-9]+(?:[.,][0-9]+)?)\s*(\S{1,12})$`)
	between = regexp.MustCompile(`(?i)^([0-9]+(?:[.,][0-9]+)?)\s*(?:-|–|to)\s*([0-9]+(?:[.,][0-9]+)?)\s*(\S{1,12})$`)
)

// limitStep reads limits: min 22 mm, at most 0.05 mm, 1.2–1.6 mm. Only units of length and pressure, volts and degrees are limits;
// anything else is a word.
func limitStep(figure string) (Step, bool) {
	step := Step{Kind: MeasureStep}
	number := func(s string) *float64 {
		n, err := strconv.ParseFloat(strings.Replace(s, ",", ".", 1), 64)
		if err != nil {
			return nil
		}
		return &n
	}
	if m := atLeast.FindStringSubmatch(figure); m != nil {
		step.LimitLow, step.LimitUnit = number(m[1]), m[2]
	} else if m := atMost.FindStringSubmatch(figure); m != nil {
		step.LimitHigh, step.LimitUnit = number(m[1]), m[2]
	} else if m := between.FindStringSubmatch(figure); m != nil {
		step.LimitLow, step.LimitHigh, step.LimitUnit = number(m[1]), number(m[2]), m[3]
	}
	ordered := step.LimitLow == nil || step.LimitHigh == nil || *step.LimitLow <= *step.LimitHigh
	return step, limitUnit(step.LimitUnit) && ordered
}

func limitUnit(name string) bool {
	_, length := unit.ParseUnit[unit.LengthKind](name)
	_, pressure := unit.ParseUnit[unit.PressureKind](name)
	_, degrees := unit.ParseUnit[unit.AngleKind](name)
	_, warmth := unit.ParseUnit[unit.TemperatureKind](name)
	return name != "" && (length == nil || pressure == nil || degrees == nil || warmth == nil || name == "V" || name == "Ω" || name == "A")
}

var jointWords = []string{"to", "with", "for"}

// trimJoint takes off what joins a text to its figure.
func trimJoint(text string) string {
	for {
		before := text
		text = strings.TrimRight(text, " :,;=–—-(")
		for _, word := range jointWords {
			if rest, found := strings.CutSuffix(text, " "+word); found {
				text = rest
			}
		}
		if text == before {
			return text
		}
	}
}

// wordKind guesses the kind of a step from its first word.
func wordKind(line string) StepKind {
	first, _, _ := strings.Cut(strings.ToLower(line), " ")
	switch strings.Trim(first, ",:;.") {
	case "check", "look", "verify":
		return CheckStep
	case "photo", "photograph", "picture":
		return PhotoStep
	}
	return DoStep
}
