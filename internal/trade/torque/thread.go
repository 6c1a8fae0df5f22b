package torque

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"axlestand/internal/trade/input"
	"axlestand/internal/trade/unit"
)

// Thread is a fastener's thread: metric by diameter and pitch, or a unified inch thread by size and threads to the inch.
type Thread struct {
	Diameter float64 // mm
	Pitch    float64 // mm
	Inch     string  // the size as written, "3/8"; empty for a metric thread
	PerInch  int     // threads to the inch; 0 for a metric thread
	Series   string  // UNC, UNF, UNEF, UN or empty
	Left     bool    // left-hand: tightens against the clock
}

// coarse are the pitches that go without saying, ISO 261 (from memory).
var coarse = map[float64]float64{
	3: 0.5, 4: 0.7, 5: 0.8, 6: 1, 7: 1, 8: 1.25, 10: 1.5, 12: 1.75, 14: 2, 16: 2, 18: 2.5, 20: 2.5, 22: 2.5, 24: 3, 27: 3, 30: 3.5,
}

var (
	metricThread = regexp.MustCompile(`^M ?([0-9]{1,2}(?:\.[0-9])?)(?: ?[X×*] ?([0-9](?:\.[0-9]{1,2})?))?( LH)?$`)
	inchThread   = regexp.MustCompile(`^(?:([1-3])(?:[ -]([0-9]{1,2})/([0-9]{1,2}))?|([0-9]{1,2})/([0-9]{1,2}))"? ?(?:-| X ) ?([0-9]{1,2})(?: ?(UNC|UNF|UNEF|UN))?( LH)?$`)
	leftHand     = regexp.MustCompile(`[- ]*(?:LH|LEFT[- ]HAND(?:ED)?)$`)
)

// ParseThread reads "M10×1.25", "M10" (coarse), "m8x1 LH", "3/8-16 UNC". A refusal is an [*input.Error] for "thread".
func ParseThread(typed string) (Thread, error) {
	s := strings.ToUpper(strings.TrimSpace(spaces.ReplaceAllString(typed, " ")))
	s = strings.ReplaceAll(s, ",", ".")
	if len(s) > 40 {
		s = ""
	}
	s = leftHand.ReplaceAllString(s, " LH")
	if m := metricThread.FindStringSubmatch(s); m != nil {
		return metric(m[1], m[2], m[3] != "")
	}
	if m := inchThread.FindStringSubmatch(s); m != nil {
		return inch(m)
	}
	return Thread{}, input.Wrong("thread", "Write the thread like M10×1.25, M10 for the coarse one, or 3/8-16 UNC.")
}

func metric(diameter, pitch string, left bool) (Thread, error) {
	d, _ := strconv.ParseFloat(diameter, 64)
	p, given := coarse[d], pitch != ""
	if given {
		p, _ = strconv.ParseFloat(pitch, 64)
	}
	switch {
	case d < 1 || d > 64:
		return Thread{}, input.Wrong("thread", "M%s is not a thread of a car: M1 to M64.", diameter)
	case p == 0 && !given:
		return Thread{}, input.Wrong("thread", "Write the pitch too, like M%s×1.5.", diameter)
	case p < 0.2 || p > 6 || p > 0.3*d:
		return Thread{}, input.Wrong("thread", "A pitch of %s mm does not go with M%s.", pitch, diameter)
	}
	return Thread{Diameter: d, Pitch: p, Left: left}, nil
}

func inch(m []string) (Thread, error) {
	size, value := "", 0.0
	whole, over, under := m[1], m[2]+m[4], m[3]+m[5]
	if whole != "" {
		size, value = whole, float64(whole[0]-'0')
	}
	if over != "" {
		o, _ := strconv.Atoi(over)
		u, _ := strconv.Atoi(under)
		if o == 0 || u == 0 || o >= u {
			return Thread{}, input.Wrong("thread", "%s/%s is not a size in inches.", over, under)
		}
		size = strings.TrimSpace(size + " " + strconv.Itoa(o) + "/" + strconv.Itoa(u))
		value += float64(o) / float64(u)
	}
	n, _ := strconv.Atoi(m[6])
	t := Thread{Diameter: value * 25.4, Inch: size, PerInch: n, Series: m[7], Left: m[8] != ""}
	if n < 4 || 1/float64(n) > 0.3*value {
		return Thread{}, input.Wrong("thread", "%d threads to the inch do not go with %s in.", n, size)
	}
	t.Pitch = 25.4 / float64(n)
	return t, nil
}

// String is the thread as [ParseThread] reads it.
func (t Thread) String() string {
	var s string
	if t.PerInch > 0 {
		s = strings.TrimSpace(fmt.Sprintf("%s-%d %s", t.Inch, t.PerInch, t.Series))
	} else {
		s = "M" + plain(t.Diameter) + "×" + plain(t.Pitch)
	}
	if t.Left {
		s += " LH"
	}
	return s
}

func plain(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// Metric says that it is a metric thread.
func (t Thread) Metric() bool { return t.PerInch == 0 && t.Diameter > 0 }

// IsZero says that there is no thread.
func (t Thread) IsZero() bool { return t == Thread{} }

// StressArea is the area in mm² on which a thread's strength is reckoned.
func (t Thread) StressArea() float64 {
	d := t.Diameter - 0.9382*t.Pitch
	if t.PerInch > 0 {
		d = t.Diameter - 0.9743*t.Pitch
	}
	return math.Pi / 4 * d * d
}

// Stretch is how far a fastener in a rigid joint is drawn out by a turn of so many degrees.
func (t Thread) Stretch(angle unit.Angle) unit.Length {
	return unit.Mm.Of(t.Pitch * angle.In(unit.Degree) / 360)
}

// AngleFor is the angle by which a fastener in a rigid joint must be turned to be drawn out by so much.
func (t Thread) AngleFor(stretch unit.Length) unit.Angle {
	if t.Pitch <= 0 {
		return unit.Angle{}
	}
	return unit.Degree.Of(stretch.In(unit.Mm) / t.Pitch * 360)
}
