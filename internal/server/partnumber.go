package server

import (
	"errors"
	"net/http"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// partOf reads the part that the path names.
func (s *Server) partOf(r *http.Request) (garage.Part, error) {
	id, err := pathID[garage.PartID](r, "id")
	if err != nil {
		return garage.Part{}, err
	}
	return s.store.Part(r.Context(), id)
}

func (s *Server) partTwinShow(w http.ResponseWriter, r *http.Request) error {
	part, err := s.partOf(r)
	if err != nil {
		return err
	}
	return s.partTwinForm(w, r, http.StatusOK, part, page.PartTwinForm{})
}

func (s *Server) partTwinForm(w http.ResponseWriter, r *http.Request, status int, part garage.Part, form page.PartTwinForm) error {
	labels, err := s.store.PartLabels(r.Context(), labelsOffered)
	if err != nil {
		return err
	}
	return s.render(w, r, status, page.PartTwin(page.NewPartTwin(s.base(r, "Twin of "+part.Name, ui.NavParts), part, form, labels)))
}

func (s *Server) partTwin(w http.ResponseWriter, r *http.Request) error {
	part, err := s.partOf(r)
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	form := page.ReadPartTwinForm(values)
	_, err = s.store.SetTwin(r.Context(), part.ID, form.Pick())
	if refused(err, &form.Errors) {
		return s.partTwinForm(w, r, http.StatusUnprocessableEntity, part, form)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Part(part.ID), ui.Flash{Text: part.Name + ": left and right lead to each other now.", Undo: route.PartTwinDelete(part.ID)})
}

func (s *Server) partTwinDelete(w http.ResponseWriter, r *http.Request) error {
	part, err := s.partOf(r)
	if err != nil {
		return err
	}
	twin, err := s.store.Twin(r.Context(), part.ID)
	if err != nil {
		return err
	}
	if err := s.store.ClearTwin(r.Context(), part.ID); err != nil {
		return err
	}
	flash := ui.Flash{
		Text: part.Name + " and " + twin.Label() + " are no twins.", Undo: route.PartTwin(part.ID),
		Fields: []ui.KeyValue{{Name: "part", Value: twin.Label()}},
	}
	return s.redirect(w, r, route.Part(part.ID), flash)
}

func (s *Server) partFitShow(w http.ResponseWriter, r *http.Request) error {
	part, err := s.partOf(r)
	if err != nil {
		return err
	}
	return s.partFitForm(w, r, http.StatusOK, part, page.PartFitForm{Car: r.URL.Query().Get("car")})
}

func (s *Server) partFitForm(w http.ResponseWriter, r *http.Request, status int, part garage.Part, form page.PartFitForm) error {
	cars, err := s.store.Cars(r.Context())
	if err != nil {
		return err
	}
	fits, err := s.store.PartFits(r.Context(), part.ID)
	if err != nil {
		return err
	}
	return s.render(w, r, status, page.PartFit(page.NewPartFit(s.base(r, "Fits: "+part.Name, ui.NavParts), part, form, fits, cars)))
}

func (s *Server) partFit(w http.ResponseWriter, r *http.Request) error {
	part, err := s.partOf(r)
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	form := page.ReadPartFitForm(values)
	fit := form.Fit(part.ID)
	if len(form.Errors) > 0 {
		return s.partFitForm(w, r, http.StatusUnprocessableEntity, part, form)
	}
	id, err := s.store.SetPartFit(r.Context(), fit)
	if refused(err, &form.Errors) {
		return s.partFitForm(w, r, http.StatusUnprocessableEntity, part, form)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Part(part.ID), ui.Flash{Text: part.Name + ": " + fit.Known + ".", Undo: route.PartFitDelete(id)})
}

func (s *Server) partFitDelete(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.PartFitID](r, "id")
	if err != nil {
		return err
	}
	part, err := s.store.DeletePartFit(r.Context(), id)
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Part(part), ui.Flash{Text: "Whether it fits is open again.", Undo: route.PartFitRestore(id)})
}

func (s *Server) partFitRestore(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.PartFitID](r, "id")
	if err != nil {
		return err
	}
	part, err := s.store.RestorePartFit(r.Context(), id)
	if invalid, ok := errors.AsType[*garage.InvalidError](err); ok {
		return s.redirect(w, r, route.Parts(), ui.Flash{Text: "Not brought back. " + sentences(invalid), Bad: true})
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Part(part), ui.Flash{Text: "It is known again."})
}
