package server

import (
	"bytes"
	"errors"
	"io"
	"mime/multipart"
	"net/http"
	"net/url"
	"strings"

	"axlestand/internal/exchange"
	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

func (s *Server) partsExport(w http.ResponseWriter, r *http.Request) error {
	parts, err := s.store.AllParts(r.Context())
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := exchange.WriteParts(&b, parts); err != nil {
		return err
	}
	return sendCSV(w, "parts.csv", b.Bytes())
}

// sendCSV sends a file to be kept.
func sendCSV(w http.ResponseWriter, name string, content []byte) error {
	w.Header().Set("Content-Type", "text/csv; charset=utf-8")
	w.Header().Set("Content-Disposition", `attachment; filename="`+name+`"`)
	w.Header().Set("Cache-Control", "no-store")
	_, err := w.Write(content)
	return err
}

func (s *Server) partImportNew(w http.ResponseWriter, r *http.Request) error {
	return s.partImportForm(w, r, http.StatusOK, page.PartImportForm{})
}

func (s *Server) partImportForm(w http.ResponseWriter, r *http.Request, status int, form page.PartImportForm) error {
	return s.render(w, r, status, page.PartImportNew(page.PartImportNewView{Base: s.base(r, "Import parts", ui.NavParts), Form: form}))
}

// maxCSV is several times what 20,000 lines of parts take.
const maxCSV = 16 << 20

// linesSent reads a form with lines: those of a file, or where it holds none those that were pasted (field lines).
func linesSent(w http.ResponseWriter, r *http.Request) (values url.Values, content []byte, err error) {
	if !strings.HasPrefix(r.Header.Get("Content-Type"), "multipart/form-data") {
		values, err = readForm(w, r)
		return values, []byte(values.Get("lines")), err
	}
	sent, err := readUpload(w, r)
	if err != nil {
		return nil, nil, err
	}
	values = url.Values{}
	for name := range sent.Value {
		values.Set(name, uploadValue(sent, name))
	}
	for _, head := range sent.File["file"] {
		if content, err = readCSV(head); err != nil || len(content) > 0 {
			return values, content, err
		}
	}
	return values, []byte(values.Get("lines")), nil
}

func readCSV(head *multipart.FileHeader) ([]byte, error) {
	if head.Size > maxCSV {
		return nil, statusError(http.StatusRequestEntityTooLarge)
	}
	file, err := head.Open()
	if err != nil {
		return nil, err
	}
	defer file.Close() //nolint:errcheck // read only
	return io.ReadAll(file)
}

func (s *Server) partImportCreate(w http.ResponseWriter, r *http.Request) error {
	values, content, err := linesSent(w, r)
	if err != nil {
		return err
	}
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	form := page.PartImportForm{Lines: values.Get("lines")}
	file, err := exchange.ReadParts(content, settings.Currency)
	switch {
	case len(bytes.TrimSpace(content)) == 0:
		form.Errors.Add("file", "Choose a file, or paste its lines below.")
	case err != nil:
		form.Errors.Add("file", "Not read: "+err.Error()+".")
	case len(file.Lines) == 0:
		form.Errors.Add("file", "There is nothing below the line with the names of the columns.")
	}
	if len(form.Errors) > 0 {
		return s.partImportForm(w, r, http.StatusUnprocessableEntity, form)
	}
	id, err := s.store.CreatePartImport(r.Context(), content, settings.Currency)
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.PartImport(id), ui.Flash{})
}

// partImportOf reads the import of the path and what it would do now.
func (s *Server) partImportOf(r *http.Request) (i garage.PartImport, f exchange.PartFile, changes []exchange.PartChange, err error) {
	id, err := pathID[garage.PartImportID](r, "id")
	if err != nil {
		return i, f, nil, err
	}
	if i, err = s.store.PartImport(r.Context(), id); err != nil {
		return i, f, nil, err
	}
	if f, err = exchange.ReadParts(i.Content, i.Currency); err != nil {
		return i, f, nil, err
	}
	parts, err := s.store.AllParts(r.Context())
	if err != nil {
		return i, f, nil, err
	}
	return i, f, f.Changes(parts), nil
}

func (s *Server) partImportShow(w http.ResponseWriter, r *http.Request) error {
	i, file, changes, err := s.partImportOf(r)
	if err != nil {
		return err
	}
	v := page.NewPartImport(s.base(r, "Import parts", ui.NavParts), i, file.Ignored, importLines(changes), r.URL.Query().Get("show"))
	return s.render(w, r, http.StatusOK, page.PartImport(v))
}

// importLines are the changes as the page shows them, which knows no files.
func importLines(changes []exchange.PartChange) []page.PartImportLine {
	var lines []page.PartImportLine
	for _, c := range changes {
		lines = append(lines, page.PartImportLine{
			Line: c.Line, Cells: c.Cells, Part: c.Part, New: c.New(), Same: c.Same(), Fields: c.Fields, Wrong: c.Wrong,
		})
	}
	return lines
}

func (s *Server) partImport(w http.ResponseWriter, r *http.Request) error {
	i, _, changes, err := s.partImportOf(r)
	if err != nil {
		return err
	}
	var parts []garage.Part
	for _, c := range changes {
		if c.Wrong == "" && !c.Same() {
			parts = append(parts, c.Part)
		}
	}
	err = s.store.ImportParts(r.Context(), i.ID, parts, s.now())
	if invalid, ok := errors.AsType[*garage.InvalidError](err); ok {
		return s.redirect(w, r, route.PartImport(i.ID), ui.Flash{Text: "Nothing was imported. " + sentences(invalid), Bad: true})
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.PartImport(i.ID), ui.Flash{Text: "Imported.", Undo: route.PartImportUndo(i.ID)})
}

func (s *Server) partImportUndo(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.PartImportID](r, "id")
	if err != nil {
		return err
	}
	err = s.store.UndoPartImport(r.Context(), id, s.now())
	if invalid, ok := errors.AsType[*garage.InvalidError](err); ok {
		return s.redirect(w, r, route.PartImport(id), ui.Flash{Text: "Nothing was undone. " + sentences(invalid), Bad: true})
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.PartImport(id), ui.Flash{Text: "Undone: the parts are as they were."})
}

func (s *Server) partImportBad(w http.ResponseWriter, r *http.Request) error {
	_, file, changes, err := s.partImportOf(r)
	if err != nil {
		return err
	}
	var wrong []exchange.PartChange
	for _, c := range changes {
		if c.Wrong != "" {
			wrong = append(wrong, c)
		}
	}
	var b bytes.Buffer
	if err := file.WriteLines(&b, wrong); err != nil {
		return err
	}
	return sendCSV(w, "wrong.csv", b.Bytes())
}
