package garage

// Records are all that a garage holds, to be written into an empty database as they are, ids included. Stock on hand is not
// among them: it follows from the movements.
type Records struct {
	Snapshot
	Segments  []OdometerSegment
	Readings  []OdometerReading
	Movements []Movement
}
