package server

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"mime/multipart"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"axlestand/internal/garage"
	"axlestand/web/route"
)

// upload sends a form with a file.
func (s *site) upload(path, field, content string, fields map[string]string) answer {
	s.Helper()
	var b bytes.Buffer
	form := multipart.NewWriter(&b)
	for name, value := range fields {
		if err := form.WriteField(name, value); err != nil {
			s.Fatal(err)
		}
	}
	file, err := form.CreateFormFile(field, "parts.csv")
	if err != nil {
		s.Fatal(err)
	}
	if _, err := file.Write([]byte(content)); err != nil {
		s.Fatal(err)
	}
	if err := form.Close(); err != nil {
		s.Fatal(err)
	}
	req, err := http.NewRequestWithContext(s.Context(), http.MethodPost, s.url+path, &b)
	if err != nil {
		s.Fatal(err)
	}
	req.Header.Set("Content-Type", form.FormDataContentType())
	resp, err := s.client.Do(req)
	if err != nil {
		s.Fatal(err)
	}
	defer resp.Body.Close() //nolint:errcheck // read to its end
	var body bytes.Buffer
	if _, err := body.ReadFrom(resp.Body); err != nil {
		s.Fatal(err)
	}
	return answer{T: s.T, status: resp.StatusCode, location: resp.Header.Get("Location"), body: body.String(), header: resp.Header}
}

// manyLines are 2,000 lines of parts of which 37 are wrong.
func manyLines() string {
	var b strings.Builder
	b.WriteString("name;number;grade;price;days least;days likely;days most;notes\n")
	bad := 0
	for i := range 2000 {
		price, days := fmt.Sprintf("%d,%02d", i%400, i%100), "2;4;9"
		if i%54 == 7 && bad < 37 {
			bad++
			price, days = "cheap", "2;4;1"
		}
		fmt.Fprintf(&b, "Part %d;ZX %d-%d;aftermarket;%s;%s;note %d\n", i, i%97, i, price, days, i)
	}
	return b.String()
}

func TestPartImport(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.upload(route.PartImports(), "file", "", nil).is(http.StatusUnprocessableEntity).says("Choose a file, or paste its lines below.")
	s.upload(route.PartImports(), "file", "", map[string]string{"lines": "number\n5\n"}).is(http.StatusUnprocessableEntity).says("the first line must name the columns")

	start := time.Now()
	preview := s.upload(route.PartImports(), "file", manyLines(), nil).is(http.StatusSeeOther).location
	page := s.get(preview).is(http.StatusOK).says("1963 parts to add", "37 lines are wrong", "price: Write an amount like 12.50.", "Part 7").doc()
	if got := len(page.FindAll("table")[0].FindAll("tbody tr")); got != 37 {
		t.Errorf("%d wrong lines are shown, want 37", got)
	}
	s.post(preview, nil).to(preview)
	t.Logf("2,000 lines were shown and imported in %v", time.Since(start)) // a crowded machine is no fault of the code
	if parts := s.parts(); len(parts) != 1963 {
		t.Fatalf("%d parts are there", len(parts))
	}
	wrong, err := csv.NewReader(strings.NewReader(strings.ReplaceAll(s.get(preview+"/wrong.csv").body, ";", ","))).ReadAll()
	if err != nil || len(wrong) != 38 {
		t.Errorf("%d lines to mend, %v", len(wrong), err)
	}
	s.post(preview, nil).is(http.StatusConflict)
	s.post(preview+"/undo", nil).to(preview)
	if parts := s.parts(); len(parts) != 0 {
		t.Errorf("%d parts are left after the undo", len(parts))
	}
	s.get(preview).says("was done and undone")
}

func (s *site) parts() []garage.Part {
	s.Helper()
	parts, err := s.store.AllParts(s.Context())
	if err != nil {
		s.Fatal(err)
	}
	return parts
}

// TestPartImport_ofTheExport changes nothing; a cell changed by hand changes that alone, and the undo brings it back.
func TestPartImport_ofTheExport(t *testing.T) {
	t.Parallel()
	s := setup(t)
	for _, name := range []string{"=SUM(A1)", "Seal, 12", "Two\" pipe", "@ odd"} {
		s.addPart(func(p *garage.Part) { p.Name, p.Notes = name, "one\ntwo" })
	}
	was := s.parts()
	export := s.get(route.PartsExport())
	if kind := export.header.Get("Content-Type"); export.status != http.StatusOK || !strings.HasPrefix(kind, "text/csv") {
		t.Fatal(export.status, kind)
	}
	same := s.upload(route.PartImports(), "file", export.body, nil).is(http.StatusSeeOther).location
	if s.get(same).says("4 as they are").doc().Has(`form[action="` + same + `"]`) {
		t.Error("there is something to import")
	}
	s.post(same, nil).to(same)
	if diff := cmp.Diff(was, s.parts()); diff != "" {
		t.Errorf("changed by its own export:\n%s", diff)
	}
	changed := s.upload(route.PartImports(), "file", strings.Replace(export.body, "Quill & Lathe", "Reed & Hale", 1), nil).location
	s.get(changed).says("1 to change", "changes supplier")
	s.post(changed, nil).to(changed)
	if parts := s.parts(); parts[0].Supplier != "Reed & Hale" || parts[1].Supplier != "Quill & Lathe" {
		t.Errorf("suppliers are %s, %s", parts[0].Supplier, parts[1].Supplier)
	}
	s.undo(changed).to(changed)
	for i, p := range s.parts() {
		p.Version = was[i].Version
		if diff := cmp.Diff(was[i], p); diff != "" {
			t.Errorf("after the undo:\n%s", diff)
		}
	}
}

func TestPartImport_undoRefused(t *testing.T) {
	t.Parallel()
	s := setup(t)
	preview := s.upload(route.PartImports(), "file", "name\nBush\nNut\n", nil).location
	s.post(preview, nil).to(preview)
	parts := s.parts()
	if _, err := s.store.PutStock(t.Context(), garage.Movement{PartID: parts[1].ID, Quantity: 1, Kind: "bought"}, garage.BinPick{Name: "A1", New: true}); err != nil {
		t.Fatal(err)
	}
	s.post(preview+"/undo", nil).to(preview)
	s.get(preview).says("Nothing was undone. Nut: It is still in use: bin A1.")
	if left := s.parts(); len(left) != 2 {
		t.Errorf("%d parts are left", len(left))
	}
}
