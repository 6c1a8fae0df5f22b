package garage

import "time"

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
	return s.OffsetM + int64(float64(shown)*metresPer[s.Unit]+0.5)
}
