package page

import (
	"cmp"
	"strconv"
	"time"

	"github.com/a-h/templ"

	"axlestand/internal/garage"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// photoTypes are those that the server takes; a phone that keeps its photos in another turns them into the first.
const photoTypes = "image/jpeg,image/png,image/webp"

// PhotoStripView is the photos of a thing in a row, with the way to add one.
type PhotoStripView struct {
	Photos []PhotoView
	Action string // takes another photo; empty when none is to be added
	id     string // tells the strips of one page apart
}

// PhotoView is a photo as it is shown.
type PhotoView struct {
	ID            garage.PhotoUseID
	Full, Small   string
	Width, Height string // of the small version
	Note          string
	When          string
	Alt           string
}

// NewPhotoStrip is the photos of a thing as a row; step, part and so on have one each on their page.
func NewPhotoStrip(of garage.PhotoSubject, photos []garage.PhotoUse, zone *time.Location) PhotoStripView {
	v := PhotoStripView{Action: PhotosOf(of), id: string(of.Kind) + "-" + idText(of.ID)}
	for _, p := range photos {
		v.Photos = append(v.Photos, newPhotoView(p, zone))
	}
	return v
}

// Kept is the strip where nothing is added any more.
func (v PhotoStripView) Kept() PhotoStripView {
	v.Action = ""
	return v
}

// smallSide is the longest side of the small version.
const smallSide = 480

func newPhotoView(p garage.PhotoUse, zone *time.Location) PhotoView {
	w, h := p.Width, p.Height
	if side := max(w, h); side > smallSide {
		w, h = max(1, (w*smallSide+side/2)/side), max(1, (h*smallSide+side/2)/side)
	}
	v := PhotoView{
		ID: p.ID, Full: route.PhotoFile(p.PhotoID), Small: route.PhotoSmall(p.PhotoID),
		Width: strconv.Itoa(w), Height: strconv.Itoa(h), Note: p.Note, When: InstantWords(p.At.In(zone)),
	}
	v.Alt = cmp.Or(v.Note, "Photo of "+v.When)
	return v
}

// PhotosOf is where the photos of a thing are.
func PhotosOf(of garage.PhotoSubject) string {
	switch of.Kind {
	case garage.PhotoOfStep:
		return route.PhotosOfStep(of.ID)
	case garage.PhotoOfArrival:
		return route.PhotosOfArrival(of.ID)
	case garage.PhotoOfRound:
		return route.PhotosOfRound(of.ID)
	}
	return route.Photos(PhotosBack(garage.PhotoSubjectName{PhotoSubject: of}))
}

// PhotosBack is the page of a thing that has photos.
func PhotosBack(of garage.PhotoSubjectName) string {
	switch of.Kind {
	case garage.PhotoOfJob:
		return route.Job(of.ID)
	case garage.PhotoOfCar:
		return route.Car(of.ID)
	case garage.PhotoOfStep:
		return route.Job(of.On) + "/card"
	case garage.PhotoOfRound:
		return route.Rounds(of.On)
	case garage.PhotoOfArrival:
		return route.Part(of.On)
	case garage.PhotoOfOrder:
		return route.Order(of.ID)
	}
	return route.Part(of.ID)
}

func (v PhotoStripView) input() ui.Input { return cameraInput(v.id) }

// cameraInput takes one photo with the phone's camera; id tells those of one page apart.
func cameraInput(id string) ui.Input {
	return ui.Input{
		Name: "photo", ID: "f-photo-" + id, Label: "Take a photo",
		Attrs: templ.Attributes{"accept": photoTypes, "capture": "environment", "required": true},
	}
}

// PhotoForm is what is typed with photos. The files themselves are chosen anew each time: no browser gives them back.
type PhotoForm struct {
	Note   string
	Errors garage.FieldErrors
}

// PhotosView is the page of all photos of a thing.
type PhotosView struct {
	Base
	Strip PhotoStripView
	Form  PhotoForm
	Name  string
	Back  string
}

// NewPhotos is the page of the photos of a thing.
func NewPhotos(b Base, of garage.PhotoSubjectName, photos []garage.PhotoUse, form PhotoForm, zone *time.Location) PhotosView {
	return PhotosView{Base: b, Strip: NewPhotoStrip(of.PhotoSubject, photos, zone), Form: form, Name: of.Name, Back: PhotosBack(of)}
}
