package torque

import (
	"math"
	"regexp"
	"strconv"
	"strings"

	"axlestand/internal/trade/input"
	"axlestand/internal/trade/unit"
)

// maxStages is more than any maker prints.
const maxStages = 12

// ParseStages reads a torque spec as printed: "40 Nm", "30 Nm + 90° + 90°", "25 lbf ft, loosen 180°, 30 Nm", "38–42 Nm",
// "40 ± 4 Nm", "45 Nm (33 lbf ft)", "hand tight + 1/2 turn", "40 Nm, wait 10 min, loosen, 40 Nm", "60 Nm, retighten at 1000 km".
// A refusal is an [*input.Error] for the field "stages".
func ParseStages(printed string) (Stages, error) {
	if len(printed) > 400 {
		return nil, wrong("That is too long for a torque.")
	}
	var stages Stages
	for piece := range strings.SplitSeq(split(printed), cut) {
		plus := strings.HasPrefix(piece, "+")
		text := tidy(strings.ReplaceAll(strings.TrimPrefix(piece, "+"), comma, ","))
		if text == "" && !plus {
			continue
		}
		stage, err := parseStage(text, plus)
		if err != nil {
			return nil, err
		}
		if stages = append(stages, stage); len(stages) > maxStages {
			return nil, wrong("That is more stages than one spec has.")
		}
	}
	if err := stages.check(); err != nil {
		return nil, err
	}
	return stages, nil
}

func wrong(sentence string, args ...any) error { return input.Wrong("stages", sentence, args...) }

// What stands for the end of a stage and for a comma before decimals while the text is taken apart.
const (
	cut   = "\x00"
	comma = "\x01"
)

var (
	plusMinus = regexp.MustCompile(`\+ ?/? ?[-\x{2212}]`)
	decimal   = regexp.MustCompile(`([0-9]),([0-9])`)
	between   = regexp.MustCompile(`(?i)[,;\n\r\x{2192}]|->|\bthen\b|\bfollowed by\b`)
	plus      = regexp.MustCompile(`(?i)\+|\bplus\b`)
	prefix    = regexp.MustCompile(`(?i)^(?:(?:stage|step|pass) ?[0-9]{1,2} ?[:.)]? |[0-9]{1,2} ?[:)] ?)`)
	spaces    = regexp.MustCompile(`[\s\x{a0}\x{202f}]+`)
)

// split puts a cut where one stage ends and the next begins. A comma between two digits stands before decimals.
func split(s string) string {
	s = strings.NewReplacer(cut, " ", comma, " ").Replace(s)
	s = plusMinus.ReplaceAllString(s, "±")
	for range 2 { // one match may take the digit that the next one needs
		s = decimal.ReplaceAllString(s, "$1"+comma+"$2")
	}
	s = between.ReplaceAllString(s, cut)
	return plus.ReplaceAllString(s, cut+"+")
}

func tidy(s string) string {
	s = strings.TrimSpace(spaces.ReplaceAllString(s, " "))
	return strings.TrimSpace(prefix.ReplaceAllString(s, ""))
}

var (
	handTight = regexp.MustCompile(`(?i)^(?:hand|finger)[- ]?tight$`)
	loosen    = regexp.MustCompile(`(?i)^(?:loosen|slacken|back off|undo)(?: (?:fully|completely|by))?(?: (.*))?$`)
	wait      = regexp.MustCompile(`(?i)^wait ([0-9]{1,4}) ?(min|mins|minutes|minute|h|hours|hour)\.?$`)
	retighten = regexp.MustCompile(`(?i)^(?:retighten|re-tighten|retorque|re-torque) (?:at|after) (.+)$`)
	filler    = regexp.MustCompile(`(?i)^(?:tighten to|tighten|torque to|turn by|turn|angle|a further|further|another) `)
	bracket   = regexp.MustCompile(`^([^()]*[^() ]) ?\(([^()]+)\)$`)
)

func parseStage(text string, plus bool) (Stage, error) {
	if m := loosen.FindStringSubmatch(text); m != nil && !plus {
		return parseLoosen(m[1])
	}
	if m := wait.FindStringSubmatch(text); m != nil && !plus {
		return parseWait(m[1], m[2])
	}
	if m := retighten.FindStringSubmatch(text); m != nil && !plus {
		return parseRetighten(m[1])
	}
	if handTight.MatchString(text) && !plus {
		return Stage{Act: HandTight}, nil
	}
	text = filler.ReplaceAllString(text, "")
	angle, err := parseFigure[unit.AngleKind](text)
	if err == nil {
		return Stage{Act: Turn, Angle: angle}, nil
	}
	if plus {
		return Stage{}, wrong("After + comes an angle, like + 90°. %s", err)
	}
	return parseTighten(text)
}

func parseTighten(text string) (Stage, error) {
	also := ""
	if m := bracket.FindStringSubmatch(text); m != nil {
		text, also = m[1], m[2]
	}
	s := Stage{Act: Tighten}
	var err error
	if s.Torque, err = parseFigure[unit.TorqueKind](text); err != nil {
		return Stage{}, wrong("%s", err)
	}
	if also == "" {
		return s, nil
	}
	if s.Also, err = parseFigure[unit.TorqueKind](also); err != nil {
		return Stage{}, wrong("%s", err)
	}
	if s.Also.Value.Unit() == s.Torque.Value.Unit() {
		return Stage{}, wrong("%s and %s have the same unit.", s.Torque, s.Also)
	}
	for _, pair := range [][2]unit.Torque{{s.Torque.Low(), s.Also.Low()}, {s.Torque.Top(), s.Also.Top()}} {
		if !agree(pair[0], pair[1]) {
			return Stage{}, wrong("%s is %s, not %s. Look at the page again.", pair[0], pair[0].Show(pair[1].Unit()), pair[1])
		}
	}
	return s, nil
}

// agree says that two prints of one torque differ by no more than makers round: 6 %, or one in the last digit.
func agree(a, b unit.Torque) bool {
	inB := a.In(b.Unit())
	_, decimals, _ := strings.Cut(b.Number(), ".")
	return math.Abs(inB-b.Value()) <= max(0.06*math.Abs(b.Value()), math.Pow10(-len(decimals)))
}

func parseLoosen(rest string) (Stage, error) {
	if rest == "" {
		return Stage{Act: Loosen}, nil
	}
	angle, err := parseFigure[unit.AngleKind](rest)
	if err != nil {
		return Stage{}, wrong("Loosen is followed by an angle or by nothing. %s", err)
	}
	return Stage{Act: Loosen, Angle: angle}, nil
}

func parseWait(number, of string) (Stage, error) {
	n, _ := strconv.Atoi(number)
	if of[0] == 'h' || of[0] == 'H' {
		n *= 60
	}
	if n < 1 || n > 7*24*60 {
		return Stage{}, wrong("A wait takes from 1 minute to 7 days.")
	}
	return Stage{Act: Wait, Minutes: n}, nil
}

func parseRetighten(when string) (Stage, error) {
	if len(when) > 60 {
		return Stage{}, wrong("Say in a few words when to retighten, like: retighten at 1000 km.")
	}
	return Stage{Act: Retighten, When: when}, nil
}

var (
	tolerance = regexp.MustCompile(`^(.*[^ ]) ?± ?(.+)$`)
	span      = regexp.MustCompile(`(?i)^([0-9.,].*?) ?(?:–|—|-|\x{2212}|…|\.\.\.| to ) ?([0-9.,].*)$`)
)

// parseFigure reads a value, a range or a value with its tolerance. Where one of two numbers has no unit, it has the other's.
func parseFigure[K unit.Kind](text string) (f Figure[K], err error) {
	if m := tolerance.FindStringSubmatch(text); m != nil {
		f.Value, f.Tol, err = pair[K](m[1], m[2])
		return f, err
	}
	if m := span.FindStringSubmatch(text); m != nil {
		f.Value, f.High, err = pair[K](m[1], m[2])
		return f, err
	}
	f.Value, err = unit.Parse[K](text)
	return f, err
}

func pair[K unit.Kind](first, second string) (a, b unit.Quantity[K], err error) {
	if b, err = unit.Parse[K](second); err == nil {
		a, err = unit.ParseIn(first, b.Unit())
		return a, b, err
	}
	var first2 error
	if a, first2 = unit.Parse[K](first); first2 != nil {
		return a, b, err
	}
	b, err = unit.ParseIn(second, a.Unit())
	return a, b, err
}

// check refuses stages that cannot be meant.
func (s Stages) check() error {
	if len(s) == 0 {
		return wrong("Write the torque as printed, like 40 Nm or 30 Nm + 90°.")
	}
	var reached unit.Torque // since the fastener was last loose
	snug := false
	for i, stage := range s {
		if err := stage.check(); err != nil {
			return err
		}
		switch stage.Act {
		case Tighten:
			if !reached.IsZero() && stage.Torque.Aim().Compare(reached) < 0 {
				return wrong("%s comes after %s and is less: the fastener would not move. Is a loosening stage missing?", stage.Torque, reached)
			}
			reached, snug = stage.Torque.Aim(), true
		case HandTight:
			snug = true
		case Loosen:
			reached, snug = unit.Torque{}, false
		case Turn:
			if !snug {
				return wrong("An angle counts from a torque: which one comes before %s?", stage.Angle)
			}
		case Wait, Retighten:
			if i == 0 {
				return wrong("Which torque comes before %q?", stage)
			}
		}
	}
	return nil
}

func (s Stage) check() error {
	if err := checkFigure(s.Torque); err != nil {
		return err
	}
	if err := checkFigure(s.Also); err != nil {
		return err
	}
	if err := checkFigure(s.Angle); err != nil {
		return err
	}
	if s.Angle.Top().In(unit.Degree) > 360 {
		return wrong("%s is more than one turn in one stage. Write two stages if the page does.", s.Angle)
	}
	return nil
}

func checkFigure[K unit.Kind](f Figure[K]) error {
	switch {
	case f.IsZero():
		return nil
	case f.Value.Value() <= 0:
		return wrong("%s is no stage: a torque or an angle is more than 0.", f)
	case !f.High.IsZero() && f.High.Compare(f.Value) <= 0:
		return wrong("In %s the second figure is not the larger one.", f)
	case !f.Tol.IsZero() && (f.Tol.Value() <= 0 || f.Tol.Compare(f.Value) >= 0):
		return wrong("In %s the tolerance does not fit the figure.", f)
	}
	return nil
}
