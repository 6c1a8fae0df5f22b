package server

import (
	"net/http"
	"net/url"

	"github.com/a-h/templ"

	"axlestand/internal/garage"
	"axlestand/internal/postgres"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

func (s *Server) followUpIndex(w http.ResponseWriter, r *http.Request) error {
	car, err := s.carOf(r)
	if err != nil {
		return err
	}
	rows, err := s.store.FollowUps(r.Context(), postgres.FollowUpFilter{CarID: car.ID, Done: true})
	if err != nil {
		return err
	}
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	odometer, err := s.store.Odometer(r.Context(), car.ID)
	if err != nil {
		return err
	}
	v := page.NewFollowUps(s.base(r, "Follow-ups of "+car.Name, ui.NavCars), car, rows, odometer, s.today(settings))
	return s.render(w, r, http.StatusOK, page.FollowUps(v))
}

// runOf is what a car had run at its last reading; nil when there is none.
func (s *Server) runOf(r *http.Request, car garage.CarID) (*garage.Standing, error) {
	odometer, err := s.store.Odometer(r.Context(), car)
	if err != nil {
		return nil, err
	}
	if last, ok := odometer.Last(); ok {
		return &last, nil
	}
	return nil, nil //nolint:nilnil // nobody read it
}

func (s *Server) followUps() *noun[garage.FollowUpID, garage.FollowUp, page.FollowUpForm] {
	return &noun[garage.FollowUpID, garage.FollowUp, page.FollowUpForm]{
		s: s,
		fresh: func(r *http.Request) (garage.FollowUp, page.FollowUpForm, error) {
			car, err := s.carOf(r)
			return garage.FollowUp{CarID: car.ID}, page.FollowUpForm{}, err
		},
		typed: func(r *http.Request, over garage.FollowUp, sent url.Values) (garage.FollowUp, page.FollowUpForm, error) {
			run, err := s.runOf(r, over.CarID)
			form := page.ReadFollowUpForm(sent)
			v := form.FollowUp(over.CarID, run)
			v.ID = over.ID
			return v, form, err
		},
		form: func(r *http.Request, of garage.FollowUp, form page.FollowUpForm) (templ.Component, error) {
			car, err := s.store.Car(r.Context(), of.CarID)
			if err != nil {
				return nil, err
			}
			run, err := s.runOf(r, car.ID)
			if err != nil {
				return nil, err
			}
			v := page.FollowUpFormView{
				Base: s.base(r, titled("Add a follow-up", of.ID, "Change a follow-up"), ui.NavCars), ID: of.ID, Car: car, Unit: "km", Form: form,
			}
			if run != nil {
				v.Unit = run.Segment.Unit
			}
			if of.ID != 0 && form.Version == "" {
				v.Form = page.NewFollowUpForm(of, run)
			}
			return page.FollowUpEdit(v), nil
		},
		// the distance that is left depends on the odometer, which only the page reads
		filled: func(garage.FollowUp) page.FollowUpForm { return page.FollowUpForm{} },
		errors: func(f *page.FollowUpForm) *garage.FieldErrors { return &f.Errors },
		conflict: func(r *http.Request, stored garage.FollowUp, f page.FollowUpForm) ([]page.ConflictRow, error) {
			run, err := s.runOf(r, stored.CarID)
			return f.Conflict(page.NewFollowUpForm(stored, run)), err
		},
		about: func(v garage.FollowUp) entry[garage.FollowUpID] {
			return entry[garage.FollowUpID]{v.ID, v.Version, v.What, route.FollowUps(v.CarID)}
		},
		added: " is noted.", gone: func(v garage.FollowUp) string { return route.FollowUps(v.CarID) }, restored: route.FollowUpRestore[garage.FollowUpID],
		get: s.store.FollowUp, create: s.store.CreateFollowUp, update: s.store.UpdateFollowUp,
		delete: s.store.DeleteFollowUp, restore: s.store.RestoreFollowUp,
	}
}

// followUpDone says that a follow-up is done, or with the field undo that it is not.
func (s *Server) followUpDone(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.FollowUpID](r, "id")
	if err != nil {
		return err
	}
	form, err := readForm(w, r)
	if err != nil {
		return err
	}
	v, err := s.store.FollowUp(r.Context(), id)
	if err != nil {
		return err
	}
	if form.Get("undo") != "" {
		err = s.store.FinishFollowUp(r.Context(), id, nil, "")
		if err != nil {
			return err
		}
		return s.redirect(w, r, route.FollowUps(v.CarID), ui.Flash{Text: "It is to be done again."})
	}
	now := s.now()
	if err := s.store.FinishFollowUp(r.Context(), id, &now, form.Get("note")); err != nil {
		return err
	}
	undo := []ui.KeyValue{{Name: "undo", Value: "yes"}}
	return s.redirect(w, r, route.FollowUps(v.CarID), ui.Flash{Text: "“" + v.What + "” is done.", Undo: route.FollowUpDone(id), Fields: undo})
}

// addCardNeeds puts cars left with something loose and follow-ups and look backs that are due on the first page.
func (s *Server) addCardNeeds(r *http.Request, v *page.TodayView, today garage.Date) error {
	loose, err := s.store.LooseLeft(r.Context())
	if err != nil {
		return err
	}
	due, err := s.store.FollowUps(r.Context(), postgres.FollowUpFilter{})
	if err != nil {
		return err
	}
	looks, err := s.store.DueLookBacks(r.Context(), today)
	if err != nil {
		return err
	}
	v.AddCardNeeds(loose, due, today)
	v.AddLookBacks(looks)
	return nil
}
