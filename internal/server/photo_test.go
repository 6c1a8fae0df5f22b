package server

import (
	"bytes"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"io"
	"mime/multipart"
	"net/http"
	"strings"
	"testing"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/internal/photo"
	"axlestand/web/route"
)

// camera is a photo of one colour, as a phone sends it.
func camera(t *testing.T, shade uint8) []byte {
	t.Helper()
	img := image.NewRGBA(image.Rect(0, 0, 800, 600))
	draw.Draw(img, img.Rect, image.NewUniform(color.Gray{Y: shade}), image.Point{}, draw.Src)
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// sendPhotos sends a form with files.
func (s *site) sendPhotos(path string, fields map[string]string, files ...[]byte) answer {
	s.Helper()
	var body bytes.Buffer
	w := multipart.NewWriter(&body)
	for name, value := range fields {
		if err := w.WriteField(name, value); err != nil {
			s.Fatal(err)
		}
	}
	for i, file := range files {
		part, err := w.CreateFormFile("photo", "IMG_"+string(rune('1'+i))+".jpg")
		if err != nil {
			s.Fatal(err)
		}
		if _, err := part.Write(file); err != nil {
			s.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		s.Fatal(err)
	}
	req, err := http.NewRequestWithContext(s.Context(), http.MethodPost, s.url+path, &body)
	if err != nil {
		s.Fatal(err)
	}
	req.Header.Set("Content-Type", w.FormDataContentType())
	resp, err := s.client.Do(req)
	if err != nil {
		s.Fatal(err)
	}
	defer resp.Body.Close()
	answered, err := io.ReadAll(resp.Body)
	if err != nil {
		s.Fatal(err)
	}
	return answer{T: s.T, status: resp.StatusCode, location: resp.Header.Get("Location"), body: string(answered), header: resp.Header}
}

// photoRows counts the photos shown anywhere, and photos the pictures kept.
func (s *site) photoRows() (uses, photos int) {
	s.Helper()
	err := s.db.QueryRow(s.Context(), `select (select count(*) from photo_uses where deleted_at is null), (select count(*) from photos)`).Scan(&uses, &photos)
	if err != nil {
		s.Fatal(err)
	}
	return uses, photos
}

// photoPlaces enters a car, a part, a job and a step of it, and returns their addresses.
func (s *site) photoPlaces() []string {
	s.Helper()
	var car, part, job, stage, step string
	for _, q := range []struct {
		sql  string
		args []any
		id   *string
	}{
		{`insert into cars (name, role, stands) values ('Tern estate', 'project', 'inside') returning id::text`, nil, &car},
		{`insert into parts (name) values ('Brake hose') returning id::text`, nil, &part},
	} {
		if err := s.db.QueryRow(s.Context(), q.sql, q.args...).Scan(q.id); err != nil {
			s.Fatal(err)
		}
	}
	if err := s.db.QueryRow(s.Context(), `insert into jobs (car_id, kind, title) values ($1::text::bigint, 'repair', 'Rear brakes') returning id::text`, car).Scan(&job); err != nil {
		s.Fatal(err)
	}
	if err := s.db.QueryRow(s.Context(), `insert into stages (job_id, position, name, kind, low, likely, high) values ($1::text::bigint, 1, 'Fit', 'bench', 30, 60, 90) returning id::text`, job).Scan(&stage); err != nil {
		s.Fatal(err)
	}
	if err := s.db.QueryRow(s.Context(), `insert into steps (stage_id, position, kind, text) values ($1::text::bigint, 1, 'photo', 'The clips before they come off') returning id::text`, stage).Scan(&step); err != nil {
		s.Fatal(err)
	}
	supplier := s.addSupplier()
	order, err := s.store.CreateOrder(s.Context(), garagetest.Order(func(o *garage.Order) { o.SupplierID = supplier }))
	if err != nil {
		s.Fatal(err)
	}
	return []string{"/cars/" + car, "/parts/" + part, "/jobs/" + job, "/steps/" + step, route.Order(order)}
}

func TestPhotos_are_kept_shown_deleted_and_brought_back(t *testing.T) {
	t.Parallel()
	s := setup(t)
	for i, place := range s.photoPlaces() {
		a := s.sendPhotos(place+"/photos", map[string]string{"once": "word-" + place, "note": "Clip <left>", "then": "all"}, camera(t, 120))
		a.to(place + "/photos")
		page := s.get(place + "/photos").is(http.StatusOK).doc()
		if !strings.Contains(page.Find(".photogrid").Text(), "Clip <left>") {
			t.Errorf("%s does not show the note: %s", place, page.Find("main").Text())
		}
		small := page.Find(".photogrid img").Attr("src")
		file := s.get(small)
		if file.status != http.StatusOK || file.header.Get("Content-Type") != "image/jpeg" || !strings.Contains(file.header.Get("Cache-Control"), "immutable") {
			t.Errorf("%s is answered %d, %v", small, file.status, file.header)
		}
		img, err := jpeg.Decode(strings.NewReader(file.body))
		if err != nil || img.Bounds().Dx() != 480 {
			t.Error("the small one is", img, err)
		}
		if i < 3 && !strings.Contains(s.get(place).body, small) {
			t.Errorf("%s shows no photo", place)
		}
		gone := page.Find(".photogrid form").Attr("action")
		s.post(gone, nil).to(place + "/photos")
		if strings.Contains(s.get(place+"/photos").body, small) {
			t.Errorf("%s still shows what was deleted", place)
		}
		s.post(strings.Replace(gone, "/delete", "/restore", 1), nil).to(place + "/photos")
		if !strings.Contains(s.get(place+"/photos").body, small) {
			t.Errorf("%s does not show what was brought back", place)
		}
	}
	if uses, photos := s.photoRows(); uses != 5 || photos != 1 {
		t.Errorf("there are %d uses of %d pictures, want 5 of 1: the same one is kept once", uses, photos)
	}
}

func TestPhotos_sent_twice_are_kept_once(t *testing.T) {
	t.Parallel()
	s := setup(t)
	place := s.photoPlaces()[2] + "/photos"
	for range 2 {
		s.sendPhotos(place, map[string]string{"once": "the same word", "then": "all"}, camera(t, 10), camera(t, 200)).to(place)
	}
	if uses, _ := s.photoRows(); uses != 2 {
		t.Errorf("two photos sent twice are %d", uses)
	}
}

func TestPhotos_that_are_refused_say_why_and_keep_the_note(t *testing.T) {
	t.Parallel()
	s := setup(t)
	place := s.photoPlaces()[0] + "/photos"
	large := append(camera(t, 1), make([]byte, photo.MaxBytes)...)
	for name, c := range map[string]struct {
		files  [][]byte
		status int
		says   string
		kept   int
	}{
		"none":      {nil, 422, "Take or choose a photo first.", 0},
		"a drawing": {[][]byte{[]byte("<svg><script>alert(1)</script></svg>")}, 422, "drawing (SVG)", 0},
		"too large": {[][]byte{large}, 413, "larger than 32 MB", 0},
		"one of 2":  {[][]byte{camera(t, 77), []byte("GIF89a")}, 422, "IMG_2.jpg: GIF is not taken", 1},
	} {
		before, _ := s.photoRows()
		a := s.sendPhotos(place, map[string]string{"note": "behind the trim"}, c.files...)
		if a.status != c.status || !strings.Contains(a.body, c.says) || !strings.Contains(a.body, "behind the trim") {
			t.Errorf("%s: answered %d, want %d with %q and the note", name, a.status, c.status, c.says)
		}
		if after, _ := s.photoRows(); after-before != c.kept {
			t.Errorf("%s: %d were kept, want %d", name, after-before, c.kept)
		}
	}
	if a := s.sendPhotos(place, nil, make([]byte, maxUpload+1)); a.status != http.StatusRequestEntityTooLarge {
		t.Errorf("a form that is too large is answered %d", a.status)
	}
	for _, path := range []string{"/cars/999/photos", "/photos/999", "/photos/999/small"} {
		if a := s.get(path); a.status != http.StatusNotFound {
			t.Errorf("%s is answered %d", path, a.status)
		}
	}
}
