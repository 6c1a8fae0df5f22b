package server

import (
	"errors"
	"net/http"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

func (s *Server) binIndex(w http.ResponseWriter, r *http.Request) error {
	bins, err := s.store.Bins(r.Context())
	if err != nil {
		return err
	}
	return s.render(w, r, http.StatusOK, page.BinIndex(page.NewBinIndex(s.base(r, "Bins", ui.NavParts), bins)))
}

func (s *Server) binShow(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.BinID](r, "id")
	if err != nil {
		return err
	}
	bin, err := s.store.Bin(r.Context(), id)
	if err != nil {
		return err
	}
	parts, err := s.store.StockIn(r.Context(), id)
	if err != nil {
		return err
	}
	kits, err := s.store.BinKits(r.Context(), id)
	if err != nil {
		return err
	}
	return s.render(w, r, http.StatusOK, page.BinShow(page.NewBinShow(s.base(r, bin.Name, ui.NavParts), bin, parts, kits)))
}

func (s *Server) binNew(w http.ResponseWriter, r *http.Request) error {
	return s.binForm(w, r, http.StatusOK, page.BinForm{})
}

func (s *Server) binForm(w http.ResponseWriter, r *http.Request, status int, form page.BinForm) error {
	return s.render(w, r, status, page.BinEdit(page.BinFormView{Base: s.base(r, "Bin", ui.NavParts), Form: form}))
}

func (s *Server) binCreate(w http.ResponseWriter, r *http.Request) error {
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	form := page.ReadBinForm(values)
	bin := form.Bin()
	if len(form.Errors) > 0 {
		return s.binForm(w, r, http.StatusUnprocessableEntity, form)
	}
	id, err := s.store.CreateBin(r.Context(), bin)
	if refused(err, &form.Errors) {
		return s.binForm(w, r, http.StatusUnprocessableEntity, form)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Bin(id), ui.Flash{Text: bin.Name + " added."})
}

func (s *Server) binEdit(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.BinID](r, "id")
	if err != nil {
		return err
	}
	bin, err := s.store.Bin(r.Context(), id)
	if err != nil {
		return err
	}
	return s.binForm(w, r, http.StatusOK, page.NewBinForm(bin))
}

func (s *Server) binUpdate(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.BinID](r, "id")
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	form := page.ReadBinForm(values)
	form.ID = id
	bin := form.Bin()
	if len(form.Errors) > 0 {
		return s.binForm(w, r, http.StatusUnprocessableEntity, form)
	}
	err = s.store.UpdateBin(r.Context(), bin)
	if errors.Is(err, garage.ErrConflict) {
		return s.binConflict(w, r, form)
	}
	if refused(err, &form.Errors) {
		return s.binForm(w, r, http.StatusUnprocessableEntity, form)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Bin(id), ui.Flash{Text: bin.Name + " saved."})
}

func (s *Server) binConflict(w http.ResponseWriter, r *http.Request, form page.BinForm) error {
	stored, err := s.store.Bin(r.Context(), form.ID)
	if err != nil {
		return err
	}
	return s.conflict(w, r, stored.Name, stored.Version, route.Bin(form.ID), form.Conflict(page.NewBinForm(stored)))
}

func (s *Server) binDelete(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.BinID](r, "id")
	if err != nil {
		return err
	}
	bin, err := s.store.Bin(r.Context(), id)
	if err != nil {
		return err
	}
	err = s.store.DeleteBin(r.Context(), id)
	if invalid, ok := errors.AsType[*garage.InvalidError](err); ok {
		return s.redirect(w, r, route.Bin(id), ui.Flash{Text: bin.Name + " was not deleted. " + sentences(invalid), Bad: true})
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Bins(), ui.Flash{Text: bin.Name + " deleted.", Undo: route.BinRestore(id)})
}

func (s *Server) binRestore(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.BinID](r, "id")
	if err != nil {
		return err
	}
	err = s.store.RestoreBin(r.Context(), id)
	if invalid, ok := errors.AsType[*garage.InvalidError](err); ok {
		return s.redirect(w, r, route.Bins(), ui.Flash{Text: "Not brought back. " + sentences(invalid), Bad: true})
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Bin(id), ui.Flash{Text: "The bin is back."})
}

// binLabels is the sheet of labels; its codes lead to the address by which it was asked for.
func (s *Server) binLabels(w http.ResponseWriter, r *http.Request) error {
	bins, err := s.store.Bins(r.Context())
	if err != nil {
		return err
	}
	kits, err := s.store.Kits(r.Context())
	if err != nil {
		return err
	}
	v := page.NewBinLabels(s.base(r, "Labels", ui.NavParts), originOf(r), bins, kits, r.URL.Query()["bin"])
	return s.render(w, r, http.StatusOK, page.BinLabels(v))
}
