package garage

import (
	"strconv"
	"time"
)

// PhotoID names a photo, and PhotoUseID a use of one.
type (
	PhotoID    int64
	PhotoUseID int64
)

// PhotoKind is what a photo can show.
type PhotoKind string

// What photos show.
const (
	PhotoOfJob     PhotoKind = "job"
	PhotoOfCar     PhotoKind = "car"
	PhotoOfPart    PhotoKind = "part"
	PhotoOfStep    PhotoKind = "step"
	PhotoOfArrival PhotoKind = "arrival"
	PhotoOfOrder   PhotoKind = "order"
	PhotoOfRound   PhotoKind = "round"
)

// PhotoSubject is the thing that photos show.
type PhotoSubject struct {
	Kind PhotoKind
	ID   int64
}

// PhotoSubjectName is a thing as it is named above its photos.
type PhotoSubjectName struct {
	PhotoSubject
	Name string
	On   int64 // the job that a step or a round is of, the part that an arrival is of
}

// NewPhoto is a photo to be kept, with what it shows.
type NewPhoto struct {
	Of     PhotoSubject
	Hash   []byte // SHA-256 of Full
	Width  int
	Height int
	Full   []byte
	Small  []byte
	Note   string
	At     time.Time
	Key    string // of the form that brought it; empty when there is none
}

// maxPhotoNote is more than a line under a photo has use for.
const maxPhotoNote = 500

// Validate says which fields do not hold.
func (p NewPhoto) Validate() error {
	var e FieldErrors
	if len([]rune(p.Note)) > maxPhotoNote {
		e.Add("note", "At most "+strconv.Itoa(maxPhotoNote)+" characters.")
	}
	return e.Err()
}

// PhotoUse is a photo of a thing.
type PhotoUse struct {
	ID      PhotoUseID
	PhotoID PhotoID
	Width   int
	Height  int
	Note    string
	At      time.Time
}

// PhotoFile is a photo's JPEG.
type PhotoFile struct {
	Hash []byte
	JPEG []byte
}
