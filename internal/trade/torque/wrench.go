package torque

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"axlestand/internal/trade/input"
	"axlestand/internal/trade/unit"
)

// Wrench is a torque wrench as the owner knows it.
type Wrench struct {
	Key        int64 // the owner's, to tell two of one name apart
	Name       string
	Low, High  unit.Torque // the range that is marked; it starts at the lowest mark
	Mark       unit.Torque // from one mark to the next; none for one that shows tenths
	Length     unit.Length // from the centre of its drive to the mark of its grip; needed with an extension only
	Calibrated time.Time   // the day; zero when it is not known
	Clicks     int         // since then
	Off        float64     // how far off it may be by its certificate, as a share; 0 for [Accuracy]
}

// Calibration by ISO 6789-1:2017 (from memory): whichever comes first.
const (
	CalibrationMonths = 12
	CalibrationClicks = 5000
)

// Storing says how a wrench that clicks is kept; common practice, no source.
const Storing = "Wind it down to its lowest mark for storing, not below."

// Accuracy is what ISO 6789-1:2017 allows a type II class A wrench of a maximum torque to be off, as a share: 0.04 over 10 N m,
// 0.06 up to 10 N m (from memory).
func Accuracy(maximum unit.Torque) float64 {
	if maximum.In(unit.Nm) > 10 {
		return 0.04
	}
	return 0.06
}

// Band is the least and the most that a wrench in order gives at a setting.
func (w Wrench) Band(setting unit.Torque) (low, high unit.Torque) {
	u, off := setting.Unit(), cmp.Or(w.Off, Accuracy(w.High))
	return u.Of(setting.Value() * (1 - off)), u.Of(setting.Value() * (1 + off))
}

// Check refuses a wrench that cannot be. A refusal is an [*input.Error] for "low", "high", "mark", "clicks" or
// "accuracy".
func (w Wrench) Check() error {
	if err := input.First(
		input.Positive("low", w.Low.In(unit.Nm), "Give the lowest torque that is marked on the wrench."),
		input.Positive("high", w.High.In(unit.Nm), "Give the highest torque that is marked on the wrench."),
	); err != nil {
		return err
	}
	switch {
	case w.High.Compare(w.Low) <= 0:
		return input.Wrong("high", "The highest mark is more than the lowest.")
	case !w.Mark.IsZero() && (w.Mark.Value() <= 0 || w.Mark.In(unit.Nm) > w.High.In(unit.Nm)-w.Low.In(unit.Nm)):
		return input.Wrong("mark", "From one mark to the next is less than the whole range.")
	case w.Clicks < 0:
		return input.Wrong("clicks", "Clicks are counted from 0.")
	case !(w.Off >= 0 && w.Off <= 0.2):
		return input.Wrong("accuracy", "A wrench is off by more than 0 and at most 20 %.")
	}
	return nil
}

// Due is the day by which the wrench must be calibrated again, and whether that is known at all. Clicks are not in it.
func (w Wrench) Due() (day time.Time, known bool) {
	if w.Calibrated.IsZero() {
		return time.Time{}, false
	}
	y, m, d := w.Calibrated.Date()
	last := time.Date(y, m+CalibrationMonths+1, 0, 0, 0, 0, 0, time.UTC)
	return time.Date(last.Year(), last.Month(), min(d, last.Day()), 0, 0, 0, 0, time.UTC), true
}

// Overdue says why the wrench must be calibrated before its figure can be trusted; "" when it need not on that day.
func (w Wrench) Overdue(today time.Time) string {
	due, known := w.Due()
	y, m, d := today.Date()
	switch {
	case !known:
		return "It is not known when it was last calibrated."
	case w.Clicks >= CalibrationClicks:
		return fmt.Sprintf("It has clicked %d times since it was calibrated: after %d it is due.", w.Clicks, CalibrationClicks)
	case time.Date(y, m, d, 0, 0, 0, 0, time.UTC).After(due):
		return "Its calibration was due on " + due.Format("2 January 2006") + "."
	}
	return ""
}

// Offer is what one wrench can do for a torque.
type Offer struct {
	Wrench   Wrench
	Setting  unit.Torque // what to set it to, in the unit of its marks and on a mark
	AtBolt   unit.Torque // what the fastener then gets
	Reasons  []string    // what speaks for it
	Warnings []Warning
	Err      error // why it cannot be used; the setting is then what it would have to be
	share    float64
	miss     float64
}

// Choose ranks the owner's wrenches for a torque, the best first and those that cannot be used last: calibrated before
// overdue, above the bottom fifth of the range before in it, a mark on the spot before one beside it, then nearest to the
// upper middle of the range. The error, an [*input.Error] for "wrench", says that none of them can be used.
func Choose(wrenches []Wrench, want Figure[unit.TorqueKind], e Extension, today time.Time) ([]Offer, error) {
	if want.IsZero() {
		return nil, input.Wrong("torque", "Give the torque that the bolt is to get.")
	}
	offers := make([]Offer, len(wrenches))
	for i, w := range wrenches {
		offers[i] = offer(w, want, e, today)
	}
	slices.SortStableFunc(offers, func(a, b Offer) int {
		return cmp.Or(
			order(a.Err != nil, b.Err != nil),
			order(a.has("outside"), b.has("outside")),
			order(a.has("calibration"), b.has("calibration")),
			order(a.has("bottom"), b.has("bottom")),
			order(a.miss > 0.01, b.miss > 0.01),
			cmp.Compare(math.Abs(a.share-0.6), math.Abs(b.share-0.6)),
			cmp.Compare(a.Wrench.Name, b.Wrench.Name),
		)
	})
	if len(offers) == 0 || offers[0].Err != nil {
		return offers, input.Wrong("wrench", "None of your wrenches can be set to this. Choose another wrench, or another extension.")
	}
	return offers, nil
}

func order(a, b bool) int {
	switch {
	case a == b:
		return 0
	case b:
		return -1
	}
	return 1
}

func (o Offer) has(code string) bool {
	return slices.ContainsFunc(o.Warnings, func(w Warning) bool { return w.Code == code })
}

func offer(w Wrench, want Figure[unit.TorqueKind], e Extension, today time.Time) Offer {
	o := Offer{Wrench: w}
	if o.Err = w.Check(); o.Err != nil {
		return o
	}
	exact, err := Setting(want.Aim(), w.Length, e)
	if err != nil {
		o.Err = err
		return o
	}
	exact = exact.To(w.Low.Unit())
	o.Setting = onMark(exact, w)
	low, high := w.Low.In(exact.Unit()), w.High.In(exact.Unit())
	if v := exact.Value(); v < low*(1-1e-9) || v > high*(1+1e-9) {
		o.Err = input.Wrong("wrench", "It would have to be set to %s, outside its range of %s to %s: choose another wrench.", exact.Readable(), w.Low, w.High)
		return o
	}
	o.share = (o.Setting.Value() - low) / (high - low)
	o.miss = math.Abs(o.Setting.Value()/exact.Value() - 1)
	o.AtBolt, o.Err = AtBolt(o.Setting, w.Length, e)
	o.warn(want, exact, today)
	return o
}

// onMark is the setting on the nearest mark, counted from the lowest and never past the range's ends.
func onMark(exact unit.Torque, w Wrench) unit.Torque {
	u := exact.Unit()
	low, high := w.Low.In(u), w.High.In(u)
	if w.Mark.IsZero() {
		return u.Of(min(max(exact.Round(0.1).Value(), low), high))
	}
	mark := w.Mark.In(u)
	steps := min(math.Round((exact.Value()-low)/mark), math.Floor((high-low)/mark+1e-9))
	return u.Of(math.Round((low+max(steps, 0)*mark)*1e6) / 1e6)
}

func (o *Offer) warn(want Figure[unit.TorqueKind], exact unit.Torque, today time.Time) {
	w := o.Wrench
	say := func(code, text string, args ...any) {
		o.Warnings = append(o.Warnings, Warning{code, fmt.Sprintf(text, args...)})
	}
	if why := w.Overdue(today); why != "" {
		say("calibration", "%s", why)
	} else {
		due, _ := w.Due()
		o.Reasons = append(o.Reasons, "Calibrated, due again by "+due.Format("2 January 2006")+".")
	}
	if o.share < 0.2 {
		say("bottom", "%s is in the bottom fifth of its range, where a wrench is least exact.", o.Setting)
	} else {
		o.Reasons = append(o.Reasons, fmt.Sprintf("%s is at %.0f %% of its range.", o.Setting, 100*o.share))
	}
	const rounding = 1e-9
	switch bolt := o.AtBolt.In(unit.Nm); {
	case bolt < want.Low().In(unit.Nm)*(1-rounding) && !single(want), bolt > want.Top().In(unit.Nm)*(1+rounding) && !single(want):
		say("outside", "On its nearest mark the bolt gets %s, outside %s.", o.AtBolt.Readable(), want)
	case o.miss > 0.01:
		say("mark", "Its nearest mark is %.1f %% off %s.", 100*o.miss, exact.Readable())
	case o.miss < 1e-6:
		o.Reasons = append(o.Reasons, "It has a mark at "+o.Setting.String()+".")
	}
	low, high := w.Band(o.AtBolt)
	if !single(want) && (low.Compare(want.Low()) < 0 || high.Compare(want.Top()) > 0) {
		say("accuracy", "A wrench in order gives %s to %s here, which is wider than %s.", low.Readable(), high.Readable(), want)
	}
}

func single(f Figure[unit.TorqueKind]) bool { return f.High.IsZero() && f.Tol.IsZero() }
