package server

import (
	"errors"
	"net/http"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

func (s *Server) roadNeedNew(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.CarID](r, "id")
	if err != nil {
		return err
	}
	return s.roadNeedForm(w, r, http.StatusOK, page.NewRoadNeedForm(garage.RoadNeed{CarID: id}, nil))
}

func (s *Server) roadNeedForm(w http.ResponseWriter, r *http.Request, status int, form page.RoadNeedForm) error {
	car, err := s.store.Car(r.Context(), form.CarID)
	if err != nil {
		return err
	}
	v := page.RoadNeedView{Base: s.base(r, "Road need of "+car.Name, ui.NavCars), CarID: car.ID, CarName: car.Name, Form: form}
	return s.render(w, r, status, page.RoadNeedEdit(v))
}

func (s *Server) roadNeedCreate(w http.ResponseWriter, r *http.Request) error {
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
	form := page.ReadRoadNeedForm(values)
	form.CarID = id
	need := form.RoadNeed(settings.Location())
	if len(form.Errors) > 0 {
		return s.roadNeedForm(w, r, http.StatusUnprocessableEntity, form)
	}
	_, err = s.store.CreateRoadNeed(r.Context(), need)
	if refused(err, &form.Errors) {
		return s.roadNeedForm(w, r, http.StatusUnprocessableEntity, form)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Car(id), ui.Flash{Text: "Road need added."})
}

func (s *Server) roadNeedEdit(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.RoadNeedID](r, "id")
	if err != nil {
		return err
	}
	need, err := s.store.RoadNeed(r.Context(), id)
	if err != nil {
		return err
	}
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	return s.roadNeedForm(w, r, http.StatusOK, page.NewRoadNeedForm(need, settings.Location()))
}

func (s *Server) roadNeedUpdate(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.RoadNeedID](r, "id")
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
	stored, err := s.store.RoadNeed(r.Context(), id)
	if err != nil {
		return err
	}
	form := page.ReadRoadNeedForm(values)
	form.ID, form.CarID = id, stored.CarID
	need := form.RoadNeed(settings.Location())
	if len(form.Errors) > 0 {
		return s.roadNeedForm(w, r, http.StatusUnprocessableEntity, form)
	}
	err = s.store.UpdateRoadNeed(r.Context(), need)
	if errors.Is(err, garage.ErrConflict) {
		now := page.NewRoadNeedForm(stored, settings.Location())
		return s.conflict(w, r, "The road need", stored.Version, route.Car(stored.CarID), form.Conflict(now))
	}
	if refused(err, &form.Errors) {
		return s.roadNeedForm(w, r, http.StatusUnprocessableEntity, form)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Car(stored.CarID), ui.Flash{Text: "Road need saved."})
}

func (s *Server) roadNeedDelete(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.RoadNeedID](r, "id")
	if err != nil {
		return err
	}
	need, err := s.store.RoadNeed(r.Context(), id)
	if err != nil {
		return err
	}
	if err := s.store.DeleteRoadNeed(r.Context(), id); err != nil {
		return err
	}
	return s.redirect(w, r, route.Car(need.CarID), ui.Flash{Text: "Road need deleted.", Undo: route.RoadNeedRestore(id)})
}

func (s *Server) roadNeedRestore(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.RoadNeedID](r, "id")
	if err != nil {
		return err
	}
	if err := s.store.RestoreRoadNeed(r.Context(), id); err != nil {
		return err
	}
	need, err := s.store.RoadNeed(r.Context(), id)
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Car(need.CarID), ui.Flash{Text: "The road need is back."})
}
