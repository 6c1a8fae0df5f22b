package server

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"mime/multipart"
	"net/http"
	"strconv"
	"strings"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/photo"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

const (
	// uploadTime is how long a form with files may take to arrive: the far end of the workshop has slow Wi-Fi.
	uploadTime = 5 * time.Minute
	// uploadsAtOnce is how many forms with files are read at a time: all of each is in memory.
	uploadsAtOnce = 4
	// drained is how much of a form that is too large is read and forgotten, so that the browser gets to read the answer.
	drained = 256 << 20
)

// uploads lets forms with files take their time, a few at once.
func (s *Server) uploads(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Method != http.MethodPost || !strings.HasPrefix(r.Header.Get("Content-Type"), "multipart/form-data") {
			next.ServeHTTP(w, r)
			return
		}
		select {
		case s.uploading <- struct{}{}:
		case <-r.Context().Done():
			return
		}
		defer func() { <-s.uploading }()
		// What cannot be set has no limit of its own.
		c := http.NewResponseController(w)
		_ = c.SetReadDeadline(time.Now().Add(uploadTime))
		_ = c.SetWriteDeadline(time.Now().Add(uploadTime + time.Minute))
		next.ServeHTTP(w, r)
	})
}

// readUpload reads a form with files into memory, unless that was done before.
func readUpload(w http.ResponseWriter, r *http.Request) (*multipart.Form, error) {
	if r.MultipartForm != nil {
		return r.MultipartForm, nil
	}
	body := r.Body
	r.Body = http.MaxBytesReader(w, body, maxUpload)
	err := r.ParseMultipartForm(maxUpload)
	if _, large := errors.AsType[*http.MaxBytesError](err); large {
		_, _ = io.CopyN(io.Discard, body, drained)
		return nil, err
	}
	if err != nil {
		return nil, fmt.Errorf("%w: %w", statusError(http.StatusBadRequest), err)
	}
	return r.MultipartForm, nil
}

// photoSubject is the thing whose photos an address is about. Adding needs it; looking at what was taken does too.
func (s *Server) photoSubject(r *http.Request, kind garage.PhotoKind) (garage.PhotoSubjectName, error) {
	id, err := pathID[int64](r, "id")
	if err != nil {
		return garage.PhotoSubjectName{}, err
	}
	return s.store.PhotoSubjectName(r.Context(), garage.PhotoSubject{Kind: kind, ID: id})
}

// photoIndex shows the photos of a thing.
func (s *Server) photoIndex(kind garage.PhotoKind) func(http.ResponseWriter, *http.Request) error {
	return func(w http.ResponseWriter, r *http.Request) error {
		of, err := s.photoSubject(r, kind)
		if err != nil {
			return err
		}
		return s.photoPage(w, r, http.StatusOK, of, page.PhotoForm{})
	}
}

func (s *Server) photoPage(w http.ResponseWriter, r *http.Request, status int, of garage.PhotoSubjectName, form page.PhotoForm) error {
	photos, err := s.store.Photos(r.Context(), of.PhotoSubject)
	if err != nil {
		return err
	}
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	nav := ui.NavCars
	if of.Kind == garage.PhotoOfPart || of.Kind == garage.PhotoOfArrival || of.Kind == garage.PhotoOfOrder {
		nav = ui.NavParts
	}
	v := page.NewPhotos(s.base(r, "Photos of "+of.Name, nav), of, photos, form, settings.Location())
	return s.render(w, r, status, page.Photos(v))
}

// photoStrip is the photos of a thing for its own page.
func (s *Server) photoStrip(ctx context.Context, of garage.PhotoSubject, zone *time.Location) (page.PhotoStripView, error) {
	photos, err := s.store.Photos(ctx, of)
	return page.NewPhotoStrip(of, photos, zone), err
}

// photoCreate keeps the photos that a form brings. Those that can be kept are, whatever is wrong with the others; the same form
// sent again adds nothing.
func (s *Server) photoCreate(kind garage.PhotoKind) func(http.ResponseWriter, *http.Request) error {
	return func(w http.ResponseWriter, r *http.Request) error {
		of, err := s.photoSubject(r, kind)
		if err != nil {
			return err
		}
		sent, err := readUpload(w, r)
		if err != nil {
			return err
		}
		form := page.PhotoForm{Note: strings.TrimSpace(uploadValue(sent, "note"))}
		kept, status, err := s.keepPhotos(r, of, sent, &form)
		if err != nil {
			return err
		}
		if len(form.Errors) > 0 {
			return s.photoPage(w, r, status, of, form)
		}
		to := page.PhotosBack(of)
		if uploadValue(sent, "then") == "all" {
			to = r.URL.Path
		}
		return s.redirect(w, r, to, ui.Flash{Text: photosKept(kept)})
	}
}

func photosKept(n int) string {
	if n == 1 {
		return "The photo is kept."
	}
	return strconv.Itoa(n) + " photos are kept."
}

// keepPhotos keeps the files of a form one by one, and says in the form what is wrong with those that are not taken.
func (s *Server) keepPhotos(r *http.Request, of garage.PhotoSubjectName, sent *multipart.Form, form *page.PhotoForm) (kept, status int, err error) {
	files := sent.File["photo"]
	status = http.StatusUnprocessableEntity
	if len(files) == 0 {
		form.Errors.Add("photo", "Take or choose a photo first.")
	}
	key := uploadValue(sent, ui.OnceField)
	if named := r.Header.Get(keyHeader); named != "" {
		key = named
	}
	v := garage.NewPhoto{Of: of.PhotoSubject, Note: form.Note, At: s.happened(uploadValue(sent, "at"))}
	refused(v.Validate(), &form.Errors)
	if len(form.Errors) > 0 {
		return 0, status, nil
	}
	var wrong []string
	for i, file := range files {
		v.Key = ""
		if key != "" {
			v.Key = key + "/" + strconv.Itoa(i)
		}
		err := s.keepPhoto(r.Context(), v, file)
		switch {
		case err == nil:
			kept++
			continue
		case errors.Is(err, photo.ErrTooLarge):
			status = http.StatusRequestEntityTooLarge
		case !photo.IsRefused(err):
			return kept, status, err
		}
		wrong = append(wrong, fileWords(file, len(files))+err.Error())
	}
	if len(wrong) > 0 {
		switch {
		case kept > 0 && r.Header.Get(keyHeader) != "": // all of it is one operation
			wrong = append(wrong, "None is kept: send the others without it.")
		case kept > 0:
			wrong = append(wrong, "The others are kept.")
		}
		form.Errors.Add("photo", strings.Join(wrong, " "))
	}
	return kept, status, nil
}

// fileWords names a file before what is wrong with it, where there are several.
func fileWords(file *multipart.FileHeader, of int) string {
	if of == 1 {
		return ""
	}
	name := []rune(strings.ToValidUTF8(file.Filename, "�"))
	return string(name[:min(len(name), 80)]) + ": "
}

// keepPhoto makes a photo of a file and keeps it, unless that was done before.
func (s *Server) keepPhoto(ctx context.Context, v garage.NewPhoto, file *multipart.FileHeader) error {
	if file.Size > photo.MaxBytes {
		return photo.ErrTooLarge
	}
	if v.Key != "" {
		if has, err := s.store.HasPhoto(ctx, v.Key); err != nil || has {
			return err
		}
	}
	f, err := file.Open()
	if err != nil {
		return err
	}
	defer f.Close()
	content, err := io.ReadAll(f)
	if err != nil {
		return err
	}
	made, err := s.photos.Make(ctx, content)
	if err != nil {
		return err
	}
	sum := sha256.Sum256(made.Full)
	v.Hash, v.Width, v.Height, v.Full, v.Small = sum[:], made.Width, made.Height, made.Full, made.Small
	return s.store.AddPhoto(ctx, v)
}

// happened is when something was done, as a phone says that could not send it at once; never later than now.
func (s *Server) happened(at string) time.Time {
	now := s.now()
	if t, err := time.Parse(time.RFC3339, at); err == nil && t.Before(now) {
		return t
	}
	return now
}

// uploadValue is a field of a form with files, as readForm gives those of others. Postgres stores no zero bytes.
func uploadValue(form *multipart.Form, name string) string {
	values := form.Value[name]
	if len(values) == 0 {
		return ""
	}
	return strings.ToValidUTF8(strings.NewReplacer("\r\n", "\n", "\x00", "").Replace(values[0]), "\uFFFD")
}

// photoFile sends a photo. It never changes, so that the browser keeps it; only the owner's own, since it is the owner's.
func (s *Server) photoFile(small bool) func(http.ResponseWriter, *http.Request) error {
	return func(w http.ResponseWriter, r *http.Request) error {
		id, err := pathID[garage.PhotoID](r, "id")
		if err != nil {
			return err
		}
		file, err := s.store.PhotoFile(r.Context(), id, small)
		if err != nil {
			return err
		}
		size := "full"
		if small {
			size = "small"
		}
		h := w.Header()
		h.Set("Content-Type", "image/jpeg")
		h.Set("Cache-Control", "private, max-age=31536000, immutable")
		h.Set("ETag", `"`+hex.EncodeToString(file.Hash[:12])+"-"+size+`"`)
		http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(file.JPEG))
		return nil
	}
}

func (s *Server) photoUseDelete(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.PhotoUseID](r, "id")
	if err != nil {
		return err
	}
	of, err := s.store.PhotoUseOf(r.Context(), id)
	if err != nil {
		return err
	}
	if err := s.store.DeletePhotoUse(r.Context(), id); err != nil {
		return err
	}
	return s.redirect(w, r, page.PhotosOf(of), ui.Flash{Text: "Photo deleted.", Undo: route.PhotoUseRestore(id)})
}

func (s *Server) photoUseRestore(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.PhotoUseID](r, "id")
	if err != nil {
		return err
	}
	of, err := s.store.PhotoUseOf(r.Context(), id)
	if err != nil {
		return err
	}
	if err := s.store.RestorePhotoUse(r.Context(), id); err != nil {
		return err
	}
	return s.redirect(w, r, page.PhotosOf(of), ui.Flash{Text: "The photo is back."})
}
