package server

import (
	"errors"
	"net/http"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// carOf reads the car that the path names.
func (s *Server) carOf(r *http.Request) (garage.Car, error) {
	id, err := pathID[garage.CarID](r, "id")
	if err != nil {
		return garage.Car{}, err
	}
	return s.store.Car(r.Context(), id)
}

func (s *Server) torqueSpecIndex(w http.ResponseWriter, r *http.Request) error {
	car, err := s.carOf(r)
	if err != nil {
		return err
	}
	specs, err := s.store.TorqueSpecs(r.Context(), car.ID)
	if err != nil {
		return err
	}
	wrenches, err := s.store.Wrenches(r.Context())
	if err != nil {
		return err
	}
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	base := s.base(r, "Specs of "+car.Name, ui.NavCars)
	v := page.NewSpecs(base, car, specs, wrenches, r.URL.Query().Get("q"), s.today(settings))
	return s.render(w, r, http.StatusOK, page.Specs(v))
}

// torqueSpecShow is the page of a spec, with the setting of the wrench and extension that the address names.
func (s *Server) torqueSpecShow(w http.ResponseWriter, r *http.Request) error {
	spec, err := s.torqueSpec(r)
	if err != nil {
		return err
	}
	car, err := s.store.Car(r.Context(), spec.CarID)
	if err != nil {
		return err
	}
	wrenches, err := s.store.Wrenches(r.Context())
	if err != nil {
		return err
	}
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	base, pick := s.base(r, spec.Joint, ui.NavCars), page.ReadWrenchPick(r.URL.Query())
	v := page.NewTorqueSpec(base, spec, car, wrenches, pick, settings, s.today(settings))
	status := http.StatusOK
	if len(v.Pick.Errors) > 0 {
		status = http.StatusUnprocessableEntity
	}
	return s.render(w, r, status, page.TorqueSpecShow(v))
}

func (s *Server) torqueSpec(r *http.Request) (garage.TorqueSpecRow, error) {
	id, err := pathID[garage.TorqueSpecID](r, "id")
	if err != nil {
		return garage.TorqueSpecRow{}, err
	}
	return s.store.TorqueSpec(r.Context(), id)
}

func (s *Server) torqueSpecNew(w http.ResponseWriter, r *http.Request) error {
	car, err := s.carOf(r)
	if err != nil {
		return err
	}
	return s.torqueSpecForm(w, r, http.StatusOK, garage.TorqueSpec{CarID: car.ID}, page.TorqueSpecForm{Stage: r.URL.Query().Get("stage")})
}

// torqueSpecForm shows the form of a spec that is stored or, with id 0, new.
func (s *Server) torqueSpecForm(w http.ResponseWriter, r *http.Request, status int, spec garage.TorqueSpec, form page.TorqueSpecForm) error {
	car, err := s.store.Car(r.Context(), spec.CarID)
	if err != nil {
		return err
	}
	stages, err := s.store.SpecStages(r.Context(), car.ID, spec.StageID)
	if err != nil {
		return err
	}
	title := "Add a torque spec"
	if spec.ID != 0 {
		title = spec.Joint
	}
	v := page.TorqueSpecFormView{Base: s.base(r, title, ui.NavCars), ID: spec.ID, Car: car, Stages: stages, Form: form}
	return s.render(w, r, status, page.TorqueSpecEdit(v))
}

func (s *Server) torqueSpecCreate(w http.ResponseWriter, r *http.Request) error {
	car, err := s.carOf(r)
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	form := page.ReadTorqueSpecForm(values)
	spec := form.TorqueSpec()
	spec.CarID = car.ID
	blank := garage.TorqueSpec{CarID: car.ID}
	if len(form.Errors) > 0 {
		return s.torqueSpecForm(w, r, http.StatusUnprocessableEntity, blank, form)
	}
	id, err := s.store.CreateTorqueSpec(r.Context(), spec)
	if refused(err, &form.Errors) {
		return s.torqueSpecForm(w, r, http.StatusUnprocessableEntity, blank, form)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.TorqueSpec(id), ui.Flash{Text: spec.Joint + " added."})
}

func (s *Server) torqueSpecEdit(w http.ResponseWriter, r *http.Request) error {
	spec, err := s.torqueSpec(r)
	if err != nil {
		return err
	}
	return s.torqueSpecForm(w, r, http.StatusOK, spec.TorqueSpec, page.NewTorqueSpecForm(spec.TorqueSpec))
}

func (s *Server) torqueSpecUpdate(w http.ResponseWriter, r *http.Request) error {
	stored, err := s.torqueSpec(r)
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	form := page.ReadTorqueSpecForm(values)
	spec := form.TorqueSpec()
	spec.ID, spec.CarID = stored.ID, stored.CarID
	if len(form.Errors) > 0 {
		return s.torqueSpecForm(w, r, http.StatusUnprocessableEntity, stored.TorqueSpec, form)
	}
	err = s.store.UpdateTorqueSpec(r.Context(), spec)
	if errors.Is(err, garage.ErrConflict) {
		return s.torqueSpecConflict(w, r, form)
	}
	if refused(err, &form.Errors) {
		return s.torqueSpecForm(w, r, http.StatusUnprocessableEntity, stored.TorqueSpec, form)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.TorqueSpec(spec.ID), ui.Flash{Text: spec.Joint + " saved."})
}

func (s *Server) torqueSpecConflict(w http.ResponseWriter, r *http.Request, form page.TorqueSpecForm) error {
	stored, err := s.torqueSpec(r)
	if err != nil {
		return err
	}
	stages, err := s.store.SpecStages(r.Context(), stored.CarID, stored.StageID)
	if err != nil {
		return err
	}
	rows := form.Conflict(page.NewTorqueSpecForm(stored.TorqueSpec), stages)
	return s.conflict(w, r, stored.Joint, stored.Version, route.TorqueSpec(stored.ID), rows)
}

func (s *Server) torqueSpecDelete(w http.ResponseWriter, r *http.Request) error {
	spec, err := s.torqueSpec(r)
	if err != nil {
		return err
	}
	if err := s.store.DeleteTorqueSpec(r.Context(), spec.ID); err != nil {
		return err
	}
	flash := ui.Flash{Text: spec.Joint + " deleted.", Undo: route.TorqueSpecRestore(spec.ID)}
	return s.redirect(w, r, route.Specs(spec.CarID), flash)
}

func (s *Server) torqueSpecRestore(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.TorqueSpecID](r, "id")
	if err != nil {
		return err
	}
	if err := s.store.RestoreTorqueSpec(r.Context(), id); err != nil {
		return err
	}
	spec, err := s.store.TorqueSpec(r.Context(), id)
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Specs(spec.CarID), ui.Flash{Text: spec.Joint + " is back."})
}
