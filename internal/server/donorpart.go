package server

import (
	"errors"
	"net/http"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

func (s *Server) donorPartNew(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.CarID](r, "id")
	if err != nil {
		return err
	}
	return s.donorPartForm(w, r, http.StatusOK, page.BlankDonorPartForm(id))
}

func (s *Server) donorPartForm(w http.ResponseWriter, r *http.Request, status int, form page.DonorPartForm) error {
	car, err := s.store.Car(r.Context(), form.CarID)
	if err != nil {
		return err
	}
	labels, err := s.store.PartLabels(r.Context(), labelsOffered)
	if err != nil {
		return err
	}
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	v := page.DonorPartView{
		Base: s.base(r, "Part on "+car.Name, ui.NavCars), CarID: car.ID, CarName: car.Name, Form: form, Parts: labels, Currency: settings.Currency,
	}
	return s.render(w, r, status, page.DonorPartEdit(v))
}

func (s *Server) donorPartCreate(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.CarID](r, "id")
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	form := page.ReadDonorPartForm(values)
	form.CarID, form.Currency = id, settings.Currency
	part := form.DonorPart()
	if len(form.Errors) > 0 {
		return s.donorPartForm(w, r, http.StatusUnprocessableEntity, form)
	}
	_, err = s.store.CreateDonorPart(r.Context(), part, form.Pick())
	if refused(err, &form.Errors) {
		return s.donorPartForm(w, r, http.StatusUnprocessableEntity, form)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Car(id), ui.Flash{Text: form.Part + " noted."})
}

// onDonor reads a part of the path that is still on its donor.
func (s *Server) onDonor(r *http.Request) (garage.DonorPartRow, error) {
	id, err := pathID[garage.DonorPartID](r, "id")
	if err != nil {
		return garage.DonorPartRow{}, err
	}
	part, err := s.store.DonorPart(r.Context(), id)
	if err == nil && part.TakenAt != nil {
		err = garage.ErrConflict
	}
	return part, err
}

func (s *Server) donorPartEdit(w http.ResponseWriter, r *http.Request) error {
	part, err := s.onDonor(r)
	if err != nil {
		return err
	}
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	return s.donorPartForm(w, r, http.StatusOK, page.NewDonorPartForm(part, settings.Currency))
}

func (s *Server) donorPartUpdate(w http.ResponseWriter, r *http.Request) error {
	stored, err := s.onDonor(r)
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	form := page.ReadDonorPartForm(values)
	form.Currency = settings.Currency
	form.ID, form.CarID, form.PartID, form.Part = stored.ID, stored.CarID, stored.PartID, stored.Part().Label()
	part := form.DonorPart()
	if len(form.Errors) > 0 {
		return s.donorPartForm(w, r, http.StatusUnprocessableEntity, form)
	}
	err = s.store.UpdateDonorPart(r.Context(), part)
	if errors.Is(err, garage.ErrConflict) {
		return s.conflict(w, r, form.Part, stored.Version, route.Car(stored.CarID), form.Conflict(page.NewDonorPartForm(stored, settings.Currency)))
	}
	if refused(err, &form.Errors) {
		return s.donorPartForm(w, r, http.StatusUnprocessableEntity, form)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Car(stored.CarID), ui.Flash{Text: form.Part + " saved."})
}

func (s *Server) donorPartDelete(w http.ResponseWriter, r *http.Request) error {
	part, err := s.onDonor(r)
	if err != nil {
		return err
	}
	if err := s.store.DeleteDonorPart(r.Context(), part.ID); err != nil {
		return err
	}
	return s.redirect(w, r, route.Car(part.CarID), ui.Flash{Text: part.PartName + " deleted.", Undo: route.DonorPartRestore(part.ID)})
}

func (s *Server) donorPartRestore(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.DonorPartID](r, "id")
	if err != nil {
		return err
	}
	if err := s.store.RestoreDonorPart(r.Context(), id); err != nil {
		return err
	}
	part, err := s.store.DonorPart(r.Context(), id)
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Car(part.CarID), ui.Flash{Text: part.PartName + " is back."})
}

func (s *Server) donorPartOffShow(w http.ResponseWriter, r *http.Request) error {
	part, err := s.onDonor(r)
	if err != nil {
		return err
	}
	stock, err := s.store.StockOf(r.Context(), part.PartID)
	if err != nil {
		return err
	}
	return s.donorPartOffForm(w, r, http.StatusOK, part, page.NewDonorPartOffForm(part, stock))
}

func (s *Server) donorPartOffForm(w http.ResponseWriter, r *http.Request, status int, part garage.DonorPartRow, form page.PlaceForm) error {
	bins, err := s.store.Bins(r.Context())
	if err != nil {
		return err
	}
	return s.render(w, r, status, page.Place(page.NewDonorPartOff(s.base(r, "Taken off: "+part.PartName, ui.NavCars), part, form, bins)))
}

// donorPartOff puts what was taken off a donor into a bin; the flash offers to reverse it.
func (s *Server) donorPartOff(w http.ResponseWriter, r *http.Request) error {
	part, err := s.onDonor(r)
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	form := page.ReadPlaceForm(values)
	quantity, pick, _ := form.Place()
	if len(form.Errors) > 0 {
		return s.donorPartOffForm(w, r, http.StatusUnprocessableEntity, part, form)
	}
	movement, err := s.store.TakeOffDonorPart(r.Context(), part.ID, quantity, pick, s.now())
	if refused(err, &form.Errors) {
		return s.donorPartOffForm(w, r, http.StatusUnprocessableEntity, part, form)
	}
	if err != nil {
		return err
	}
	flash := ui.Flash{Text: part.PartName + " is in " + form.Bin + " now.", Undo: route.MovementReverse(movement)}
	return s.redirect(w, r, route.Car(part.CarID), flash)
}

func (s *Server) harvestNew(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.CarID](r, "id")
	if err != nil {
		return err
	}
	return s.harvestForm(w, r, http.StatusOK, page.HarvestForm{CarID: id})
}

func (s *Server) harvestForm(w http.ResponseWriter, r *http.Request, status int, form page.HarvestForm) error {
	car, err := s.store.Car(r.Context(), form.CarID)
	if err != nil {
		return err
	}
	parts, err := s.store.DonorParts(r.Context(), form.CarID)
	if err != nil {
		return err
	}
	return s.render(w, r, status, page.HarvestNew(page.NewHarvestNew(s.base(r, "Harvest of "+car.Name, ui.NavCars), car, form, parts)))
}

func (s *Server) harvestCreate(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.CarID](r, "id")
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	form := page.ReadHarvestForm(values)
	form.CarID = id
	rows, err := s.store.DonorParts(r.Context(), id)
	if err != nil {
		return err
	}
	form.FillMinutes(rows)
	plan := form.Plan(settings.Currency)
	if len(form.Errors) > 0 {
		return s.harvestForm(w, r, http.StatusUnprocessableEntity, form)
	}
	job, err := s.store.CreateHarvest(r.Context(), plan)
	if refused(err, &form.Errors) {
		return s.harvestForm(w, r, http.StatusUnprocessableEntity, form)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Job(job), ui.Flash{Text: plan.Title + " added."})
}
