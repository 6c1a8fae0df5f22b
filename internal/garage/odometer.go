package garage

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"time"

	"axlestand/internal/trade/interval"
)

// SegmentID names a stretch of one odometer.
type SegmentID int64

// OdometerSegment is a stretch of one odometer; a swapped cluster or a rolled-over counter starts the next.
type OdometerSegment struct {
	ID      SegmentID
	CarID   CarID
	Number  int
	Unit    string // km or mi
	OffsetM int64  // what the car had run, in metres, when this odometer showed zero; negative for a used cluster
	Reason  string // first, cluster swapped, rolled over
}

// Why a segment starts.
const (
	FirstOdometer  = "first"
	ClusterSwapped = "cluster swapped"
	RolledOver     = "rolled over"
)

// ReadingID names an odometer reading.
type ReadingID int64

// OdometerReading is what the odometer showed on a day. Readings are never changed; one that Reverses another undoes it.
type OdometerReading struct {
	ID        ReadingID
	SegmentID SegmentID
	ReadOn    Date
	Shown     int
	Note      string
	Reverses  *ReadingID
	CreatedAt time.Time
}

// metresPer is exact: the international mile.
var metresPer = map[string]float64{"km": 1000, "mi": 1609.344}

// TotalMetres is what the car has run when the segment's odometer shows that figure, rounded to the metre.
func (s OdometerSegment) TotalMetres(shown int) int64 {
	return s.OffsetM + metres(shown, s.Unit)
}

func metres(shown int, unit string) int64 {
	return int64(math.Round(float64(shown) * metresPer[unit]))
}

// DistanceFigure is a distance in a unit, rounded to a whole one, thousands set apart.
func DistanceFigure(metres int64, unit string) string {
	whole := int64(math.Round(float64(metres) / metresPer[unit]))
	if whole < 0 {
		return "\u2212" + Grouped(strconv.FormatInt(-whole, 10))
	}
	return Grouped(strconv.FormatInt(whole, 10))
}

// DistanceText is a distance with its unit.
func DistanceText(metres int64, unit string) string {
	return DistanceFigure(metres, unit) + "\u00a0" + unit
}

// Odometer is all that is known of how far a car has run.
type Odometer struct {
	Segments []OdometerSegment
	Readings []OdometerReading
}

// Standing is a reading that holds, with what the car had run by then.
type Standing struct {
	OdometerReading
	Segment OdometerSegment
	Metres  int64
}

// Standing lists the readings that are not reversed and reverse nothing, in the order in which the car ran them.
func (o Odometer) Standing() []Standing {
	reversed := map[ReadingID]bool{}
	for _, r := range o.Readings {
		if r.Reverses != nil {
			reversed[*r.Reverses] = true
		}
	}
	var standing []Standing
	for _, r := range o.Readings {
		if r.Reverses != nil || reversed[r.ID] {
			continue
		}
		segment := o.Segment(r.SegmentID)
		standing = append(standing, Standing{OdometerReading: r, Segment: segment, Metres: segment.TotalMetres(r.Shown)})
	}
	slices.SortFunc(standing, func(a, b Standing) int {
		return cmp.Or(a.ReadOn.Compare(b.ReadOn), cmp.Compare(a.Metres, b.Metres), cmp.Compare(a.ID, b.ID))
	})
	return standing
}

// Segment is the segment of that id.
func (o Odometer) Segment(id SegmentID) OdometerSegment {
	for _, s := range o.Segments {
		if s.ID == id {
			return s
		}
	}
	return OdometerSegment{}
}

// Last is the newest reading that holds.
func (o Odometer) Last() (Standing, bool) {
	standing := o.Standing()
	if len(standing) == 0 {
		return Standing{}, false
	}
	return standing[len(standing)-1], true
}

// Reaches is the day on which the car will have run so many metres, at the rate of its readings of the last year; false when they
// tell no rate. What it has run already was reached on the day of its last reading.
func (o Odometer) Reaches(metres int64) (Date, bool) {
	standing := o.Standing()
	if len(standing) == 0 {
		return Date{}, false
	}
	var readings []interval.Reading
	for _, s := range standing {
		readings = append(readings, interval.Reading{On: interval.Date(s.ReadOn), Metres: s.Metres})
	}
	last := readings[len(readings)-1]
	if metres <= last.Metres {
		return Date(last.On), true
	}
	rate, err := interval.DailyRate(readings, nil)
	if err != nil || rate == 0 {
		return Date{}, false
	}
	due, err := interval.NextDue(interval.Rule{Metres: metres - last.Metres}, last, last, rate, nil)
	return Date(due.Distance), err == nil && !due.Distance.IsZero()
}

// ReadingEntry is a reading as the owner enters it. Change says that the odometer is another one than before: the cluster
// was swapped when the old one showed OldShown and the new one NewShown, or the counter rolled over. Unit matters for the
// first reading and a swapped cluster. Fast confirms a distance that is more than a day's driving.
type ReadingEntry struct {
	ReadOn   Date
	Shown    int
	Note     string
	Unit     string
	Change   string // empty, cluster swapped or rolled over
	OldShown int
	NewShown int
	Fast     bool
}

// maxShown is more than any odometer shows.
const maxShown = 9_999_999

// fastDay is what nobody drives in a day: a mistyped figure, most likely. Common practice, no source.
const fastDay = 1_500_000 // metres

// Place finds the segment that a reading belongs to and checks the reading against its neighbours. A segment with ID 0 is a
// new one. What does not hold is an *InvalidError; under the field "change" it asks whether the odometer is another one,
// under "fast" whether so much was driven.
func (o Odometer) Place(entry ReadingEntry, today Date) (OdometerSegment, error) {
	var e FieldErrors
	e.text("note", entry.Note)
	if entry.ReadOn.IsZero() {
		e.Add("read_on", "Give the date.")
	} else if today.Before(entry.ReadOn) {
		e.Add("read_on", "That day has not come yet.")
	}
	if entry.Shown < 0 || entry.Shown > maxShown {
		e.Add("shown", "From 0 to 9,999,999.")
	}
	if err := e.Err(); err != nil {
		return OdometerSegment{}, err
	}
	before, after := o.neighbours(entry)
	segment := o.segmentFor(&e, entry, before, after)
	if e.Err() == nil {
		o.compare(&e, entry, segment, before, after)
	}
	return segment, e.Err()
}

// neighbours are the last reading up to an entry's day and the first one after it. A reading of that very day that shows
// more comes after, where that does not run backwards.
func (o Odometer) neighbours(entry ReadingEntry) (before, after *Standing) {
	for _, s := range o.Standing() {
		laterThatDay := s.ReadOn == entry.ReadOn && s.Shown > entry.Shown && entry.Change == "" &&
			(before == nil || before.SegmentID == s.SegmentID && before.Shown <= entry.Shown)
		if entry.ReadOn.Before(s.ReadOn) || laterThatDay {
			return before, &s
		}
		before = &s
	}
	return before, nil
}

func (o Odometer) segmentFor(e *FieldErrors, entry ReadingEntry, before, after *Standing) OdometerSegment {
	next := OdometerSegment{Unit: entry.Unit, Reason: cmp.Or(entry.Change, FirstOdometer)}
	for _, s := range o.Segments {
		next.Number = max(next.Number, s.Number)
	}
	next.Number++
	switch entry.Change {
	case "":
		return o.sameOdometer(e, entry, before, after, next)
	case ClusterSwapped, RolledOver:
	default:
		e.Add("change", "Choose one of the list.")
		return next
	}
	switch {
	case before == nil:
		e.Add("change", "There is no reading before it: enter that one first.")
	case after != nil:
		e.Add("change", "There are later readings already: reverse them first.")
	case entry.Change == RolledOver:
		next.Unit = before.Segment.Unit
		next.OffsetM = before.Segment.OffsetM + metres(rollsAt(before.Shown), next.Unit)
	default:
		next.OffsetM = swapOffset(e, entry, *before)
	}
	return next
}

func (o Odometer) sameOdometer(e *FieldErrors, entry ReadingEntry, before, after *Standing, next OdometerSegment) OdometerSegment {
	switch {
	case before != nil:
		return before.Segment
	case after != nil:
		return after.Segment
	}
	oneOf(e, "unit", entry.Unit, []string{"km", "mi"})
	// all readings were reversed: the first odometer is still the same one, unless its unit was mistaken
	for _, s := range o.Segments {
		if s.Reason == FirstOdometer && s.Unit == entry.Unit {
			return s
		}
	}
	return next
}

// rollsAt is where the counter that shows a figure starts again from zero: after five digits or more.
func rollsAt(shown int) int {
	at := 100_000
	for at <= shown {
		at *= 10
	}
	return at
}

func swapOffset(e *FieldErrors, entry ReadingEntry, before Standing) int64 {
	oneOf(e, "unit", entry.Unit, []string{"km", "mi"})
	if entry.OldShown < before.Shown || entry.OldShown > maxShown {
		e.Add("old_shown", fmt.Sprintf("The old one showed %s already.", DistanceText(metres(before.Shown, before.Segment.Unit), before.Segment.Unit)))
	}
	if entry.NewShown < 0 || entry.NewShown > entry.Shown {
		e.Add("new_shown", "Not more than it shows now.")
	}
	return before.Segment.TotalMetres(entry.OldShown) - metres(entry.NewShown, entry.Unit)
}

func (o Odometer) compare(e *FieldErrors, entry ReadingEntry, segment OdometerSegment, before, after *Standing) {
	total := segment.TotalMetres(entry.Shown)
	seen := func(s *Standing) string {
		return DistanceText(metres(s.Shown, s.Segment.Unit), s.Segment.Unit) + " on " + s.ReadOn.words()
	}
	switch {
	case before != nil && before.SegmentID == segment.ID && before.ReadOn == entry.ReadOn && before.Shown == entry.Shown:
		e.Add("shown", "That reading is noted already.")
	case before != nil && total < before.Metres && after == nil:
		e.Add("change", "It showed "+seen(before)+" and cannot run backwards. Was the cluster swapped, or did it roll over?")
		e.Add("shown", "Less than "+seen(before)+".")
	case before != nil && total < before.Metres:
		e.Add("shown", "Less than "+seen(before)+".")
	case after != nil && total > after.Metres:
		e.Add("shown", "More than it showed later: "+seen(after)+".")
	case entry.Fast:
	default:
		e.fast(entry.ReadOn, total, before)
		if after != nil {
			e.fast(after.ReadOn, after.Metres, &Standing{OdometerReading: OdometerReading{ReadOn: entry.ReadOn}, Metres: total, Segment: segment})
		}
	}
}

func (e *FieldErrors) fast(day Date, total int64, before *Standing) {
	if before == nil {
		return
	}
	days := int64(max(1, daysBetween(before.ReadOn, day)))
	if perDay := (total - before.Metres) / days; perDay > fastDay {
		e.Add("fast", fmt.Sprintf("That is %s a day since %s. Tick to keep it, or correct the figure or its unit.",
			DistanceText(perDay, before.Segment.Unit), before.ReadOn.words()))
	}
}

func daysBetween(from, to Date) int {
	return int(to.In(time.UTC).Sub(from.In(time.UTC)).Hours() / 24)
}

// words is the day as said in a sentence.
func (d Date) words() string { return d.In(time.UTC).Format("2 Jan 2006") }
