package server

import (
	"context"
	"errors"
	"net/http"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// Movements and labels beyond these are more than a page is good for.
const (
	movementsShown = 100
	labelsOffered  = 1000
)

func (s *Server) partIndex(w http.ResponseWriter, r *http.Request) error {
	filter := page.ReadPartFilter(r.URL.Query())
	parts, err := s.store.Parts(r.Context(), filter)
	if err != nil {
		return err
	}
	return s.render(w, r, http.StatusOK, page.PartIndex(page.NewPartIndex(s.base(r, "Parts", ui.NavParts), filter, parts)))
}

func (s *Server) partShow(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.PartID](r, "id")
	if err != nil {
		return err
	}
	part, err := s.store.Part(r.Context(), id)
	if err != nil {
		return err
	}
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	planned, err := s.planned(r.Context())
	if err != nil {
		return err
	}
	parts, err := s.partParts(r.Context(), id, planned)
	if err != nil {
		return err
	}
	if parts.Supplier, err = s.store.SupplierNamed(r.Context(), part.Supplier); err != nil && !errors.Is(err, garage.ErrNotFound) {
		return err
	}
	v := page.NewPartShow(s.base(r, part.Name, ui.NavParts), part, parts, settings, s.today(settings))
	of := garage.PhotoSubject{Kind: garage.PhotoOfPart, ID: int64(id)}
	if v.Photos, err = s.photoStrip(r.Context(), of, settings.Location()); err != nil {
		return err
	}
	return s.render(w, r, http.StatusOK, page.PartShow(v))
}

// partParts reads what belongs to a part.
func (s *Server) partParts(ctx context.Context, id garage.PartID, planned page.Planned) (parts page.PartStockParts, err error) {
	if parts.Stock, err = s.store.StockOf(ctx, id); err != nil {
		return parts, err
	}
	if parts.Movements, err = s.store.Movements(ctx, id, movementsShown); err != nil {
		return parts, err
	}
	if parts.Arrivals, err = s.store.Arrivals(ctx, id); err != nil {
		return parts, err
	}
	if parts.Donors, err = s.store.PartOnDonors(ctx, id); err != nil {
		return parts, err
	}
	needs, err := s.store.PartNeeds(ctx, id)
	if err != nil {
		return parts, err
	}
	parts.Promises = planned.PartPromises(id, needs)
	if parts.Fits, err = s.store.PartFits(ctx, id); err != nil {
		return parts, err
	}
	if parts.ByNumber, err = s.store.PartsByNumber(ctx, id); err != nil {
		return parts, err
	}
	if parts.Fitted, err = s.store.FittedAlike(ctx, id); err != nil {
		return parts, err
	}
	twin, err := s.store.Twin(ctx, id)
	if errors.Is(err, garage.ErrNotFound) {
		return parts, nil
	}
	parts.Twin = &twin
	return parts, err
}

func (s *Server) partNew(w http.ResponseWriter, r *http.Request) error {
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	return s.partForm(w, r, http.StatusOK, page.PartForm{Unit: "piece", Currency: settings.Currency}, "")
}

func (s *Server) partForm(w http.ResponseWriter, r *http.Request, status int, form page.PartForm, name string) error {
	title := "Add a part"
	if form.ID != 0 {
		title = name
	}
	return s.render(w, r, status, page.PartEdit(page.NewPartFormView(s.base(r, title, ui.NavParts), form, name)))
}

func (s *Server) partCreate(w http.ResponseWriter, r *http.Request) error {
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	form := page.ReadPartForm(values)
	form.Currency = settings.Currency
	part := form.Part()
	if len(form.Errors) > 0 {
		return s.partForm(w, r, http.StatusUnprocessableEntity, form, "")
	}
	id, err := s.store.CreatePart(r.Context(), part)
	if refused(err, &form.Errors) {
		return s.partForm(w, r, http.StatusUnprocessableEntity, form, "")
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Part(id), ui.Flash{Text: part.Name + " added."})
}

func (s *Server) partEdit(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.PartID](r, "id")
	if err != nil {
		return err
	}
	part, err := s.store.Part(r.Context(), id)
	if err != nil {
		return err
	}
	return s.partForm(w, r, http.StatusOK, page.NewPartForm(part), part.Name)
}

func (s *Server) partUpdate(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.PartID](r, "id")
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	stored, err := s.store.Part(r.Context(), id)
	if err != nil {
		return err
	}
	form := page.ReadPartForm(values)
	form.ID, form.Currency = id, stored.Currency
	part := form.Part()
	if len(form.Errors) > 0 {
		return s.partForm(w, r, http.StatusUnprocessableEntity, form, stored.Name)
	}
	err = s.store.UpdatePart(r.Context(), part)
	if errors.Is(err, garage.ErrConflict) {
		return s.partConflict(w, r, form)
	}
	if refused(err, &form.Errors) {
		return s.partForm(w, r, http.StatusUnprocessableEntity, form, stored.Name)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Part(id), ui.Flash{Text: part.Name + " saved."})
}

func (s *Server) partConflict(w http.ResponseWriter, r *http.Request, form page.PartForm) error {
	stored, err := s.store.Part(r.Context(), form.ID)
	if err != nil {
		return err
	}
	return s.conflict(w, r, stored.Name, stored.Version, route.Part(form.ID), form.Conflict(page.NewPartForm(stored)))
}

func (s *Server) partDelete(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.PartID](r, "id")
	if err != nil {
		return err
	}
	part, err := s.store.Part(r.Context(), id)
	if err != nil {
		return err
	}
	err = s.store.DeletePart(r.Context(), id)
	if invalid, ok := errors.AsType[*garage.InvalidError](err); ok {
		return s.redirect(w, r, route.Part(id), ui.Flash{Text: part.Name + " was not deleted. " + sentences(invalid), Bad: true})
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Parts(), ui.Flash{Text: part.Name + " deleted.", Undo: route.PartRestore(id)})
}

func (s *Server) partRestore(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.PartID](r, "id")
	if err != nil {
		return err
	}
	if err := s.store.RestorePart(r.Context(), id); err != nil {
		return err
	}
	return s.redirect(w, r, route.Part(id), ui.Flash{Text: "The part is back."})
}
