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

func (s *Server) carIndex(w http.ResponseWriter, r *http.Request) error {
	cars, err := s.store.CarSummaries(r.Context())
	if err != nil {
		return err
	}
	planned, err := s.planned(r.Context())
	if err != nil {
		return err
	}
	return s.render(w, r, http.StatusOK, page.CarIndex(page.NewCarIndex(s.base(r, "Cars", ui.NavCars), cars, planned)))
}

func (s *Server) carShow(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.CarID](r, "id")
	if err != nil {
		return err
	}
	car, err := s.store.Car(r.Context(), id)
	if err != nil {
		return err
	}
	planned, err := s.planned(r.Context())
	if err != nil {
		return err
	}
	parts, err := s.carParts(r.Context(), id)
	if err != nil {
		return err
	}
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	v := page.NewCarShow(s.base(r, car.Name, ui.NavCars), car, parts, planned)
	of := garage.PhotoSubject{Kind: garage.PhotoOfCar, ID: int64(id)}
	if v.Photos, err = s.photoStrip(r.Context(), of, settings.Location()); err != nil {
		return err
	}
	return s.render(w, r, http.StatusOK, page.CarShow(v))
}

// carParts reads what belongs to a car.
func (s *Server) carParts(ctx context.Context, id garage.CarID) (parts page.CarParts, err error) {
	if parts.Jobs, err = s.store.CarJobs(ctx, id); err != nil {
		return parts, err
	}
	if parts.Phases, err = s.store.Phases(ctx, id); err != nil {
		return parts, err
	}
	if parts.Odometer, err = s.store.Odometer(ctx, id); err != nil {
		return parts, err
	}
	if parts.RoadNeeds, err = s.store.RoadNeeds(ctx, id); err != nil {
		return parts, err
	}
	if parts.Access, err = s.store.Accesses(ctx, id); err != nil {
		return parts, err
	}
	if parts.Closing, err = s.store.ClosingWorks(ctx, id); err != nil {
		return parts, err
	}
	if parts.OnDonor, err = s.store.DonorParts(ctx, id); err != nil {
		return parts, err
	}
	if parts.Torque, err = s.store.TorqueSpecs(ctx, id); err != nil {
		return parts, err
	}
	if parts.Fluids, err = s.store.FluidSpecs(ctx, id); err != nil {
		return parts, err
	}
	parts.WheelSets, err = s.store.WheelSets(ctx, id)
	return parts, err
}

func (s *Server) carNew(w http.ResponseWriter, r *http.Request) error {
	form := page.CarForm{Role: string(garage.Project), Stands: string(garage.Outside)}
	return s.carForm(w, r, http.StatusOK, form, "")
}

func (s *Server) carForm(w http.ResponseWriter, r *http.Request, status int, form page.CarForm, name string) error {
	title := "Add a car"
	if form.ID != 0 {
		title = name
	}
	return s.render(w, r, status, page.CarEdit(page.NewCarFormView(s.base(r, title, ui.NavCars), form, name)))
}

func (s *Server) carCreate(w http.ResponseWriter, r *http.Request) error {
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	form := page.ReadCarForm(values)
	car := form.Car()
	if len(form.Errors) > 0 {
		return s.carForm(w, r, http.StatusUnprocessableEntity, form, "")
	}
	id, err := s.store.CreateCar(r.Context(), car)
	if refused(err, &form.Errors) {
		return s.carForm(w, r, http.StatusUnprocessableEntity, form, "")
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Car(id), ui.Flash{Text: car.Name + " added."})
}

func (s *Server) carEdit(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.CarID](r, "id")
	if err != nil {
		return err
	}
	car, err := s.store.Car(r.Context(), id)
	if err != nil {
		return err
	}
	return s.carForm(w, r, http.StatusOK, page.NewCarForm(car), car.Name)
}

func (s *Server) carUpdate(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.CarID](r, "id")
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	stored, err := s.store.Car(r.Context(), id)
	if err != nil {
		return err
	}
	form := page.ReadCarForm(values)
	form.ID = id
	car := form.Car()
	if len(form.Errors) > 0 {
		return s.carForm(w, r, http.StatusUnprocessableEntity, form, stored.Name)
	}
	err = s.store.UpdateCar(r.Context(), car)
	if errors.Is(err, garage.ErrConflict) {
		return s.carConflict(w, r, form)
	}
	if refused(err, &form.Errors) {
		return s.carForm(w, r, http.StatusUnprocessableEntity, form, stored.Name)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Car(id), ui.Flash{Text: car.Name + " saved."})
}

// carConflict reads the car anew: it was changed between the form and the save.
func (s *Server) carConflict(w http.ResponseWriter, r *http.Request, form page.CarForm) error {
	stored, err := s.store.Car(r.Context(), form.ID)
	if err != nil {
		return err
	}
	return s.conflict(w, r, stored.Name, stored.Version, route.Car(form.ID), form.Conflict(page.NewCarForm(stored)))
}

// carMove moves a car; the flash offers the way back.
func (s *Server) carMove(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.CarID](r, "id")
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	to := garage.Stands(values.Get("stands"))
	before, err := s.store.MoveCar(r.Context(), id, to)
	if invalid, ok := errors.AsType[*garage.InvalidError](err); ok {
		return s.redirect(w, r, route.Car(id), ui.Flash{Text: sentences(invalid), Bad: true})
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Car(id), ui.Flash{
		Text: page.MovedText(before, to),
		Undo: route.CarMove(id), Fields: []ui.KeyValue{{Name: "stands", Value: string(before.Stands)}},
	})
}

// carVIN takes the reading of the VIN that was suggested, when it is still the one that would be.
func (s *Server) carVIN(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.CarID](r, "id")
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	car, err := s.store.Car(r.Context(), id)
	if err != nil {
		return err
	}
	likely, ok := garage.VINSuggestion(car.VIN)
	if !ok || likely != values.Get("vin") {
		return garage.ErrConflict
	}
	car.VIN = likely
	if err := s.store.UpdateCar(r.Context(), car); err != nil {
		return err
	}
	return s.redirect(w, r, route.Car(id), ui.Flash{Text: "The VIN is now " + likely + "."})
}

func (s *Server) carDelete(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.CarID](r, "id")
	if err != nil {
		return err
	}
	car, err := s.store.Car(r.Context(), id)
	if err != nil {
		return err
	}
	if err := s.store.DeleteCar(r.Context(), id); err != nil {
		return err
	}
	return s.redirect(w, r, route.Cars(), ui.Flash{Text: car.Name + " deleted.", Undo: route.CarRestore(id)})
}

func (s *Server) carRestore(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.CarID](r, "id")
	if err != nil {
		return err
	}
	if err := s.store.RestoreCar(r.Context(), id); err != nil {
		return err
	}
	return s.redirect(w, r, route.Car(id), ui.Flash{Text: "It is back."})
}
