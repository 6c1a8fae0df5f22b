package server

import (
	"errors"
	"net/http"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

func (s *Server) arrivalNew(w http.ResponseWriter, r *http.Request) error {
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
	return s.arrivalForm(w, r, http.StatusOK, page.BlankArrivalForm(part, s.today(settings)))
}

func (s *Server) arrivalForm(w http.ResponseWriter, r *http.Request, status int, form page.ArrivalForm) error {
	part, err := s.store.Part(r.Context(), form.PartID)
	if err != nil {
		return err
	}
	return s.render(w, r, status, page.ArrivalEdit(page.NewArrivalView(s.base(r, "Arrival of "+part.Name, ui.NavParts), part, form)))
}

func (s *Server) arrivalCreate(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.PartID](r, "id")
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	form := page.ReadArrivalForm(values)
	form.PartID = id
	arrival := form.Arrival()
	if len(form.Errors) > 0 {
		return s.arrivalForm(w, r, http.StatusUnprocessableEntity, form)
	}
	_, err = s.store.CreateArrival(r.Context(), arrival)
	if refused(err, &form.Errors) {
		return s.arrivalForm(w, r, http.StatusUnprocessableEntity, form)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Part(id), ui.Flash{Text: "Arrival added."})
}

// expected reads an arrival of the path that has not been received yet.
func (s *Server) expected(r *http.Request) (garage.Arrival, error) {
	id, err := pathID[garage.ArrivalID](r, "id")
	if err != nil {
		return garage.Arrival{}, err
	}
	arrival, err := s.store.Arrival(r.Context(), id)
	if err == nil && arrival.ReceivedAt != nil {
		err = garage.ErrConflict
	}
	return arrival, err
}

// arrivalPage is where an arrival is shown: with its order, or else with its part.
func arrivalPage(a garage.Arrival) string {
	if a.OrderID != nil {
		return route.Order(*a.OrderID)
	}
	return route.Part(a.PartID)
}

func (s *Server) arrivalEdit(w http.ResponseWriter, r *http.Request) error {
	arrival, err := s.expected(r)
	if err != nil {
		return err
	}
	return s.arrivalForm(w, r, http.StatusOK, page.NewArrivalForm(arrival))
}

func (s *Server) arrivalUpdate(w http.ResponseWriter, r *http.Request) error {
	stored, err := s.expected(r)
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	form := page.ReadArrivalForm(values)
	form.ID, form.PartID = stored.ID, stored.PartID
	if stored.OrderID != nil {
		asOrdered := page.NewArrivalForm(stored)
		form.OrderID, form.Quantity, form.Supplier = stored.OrderID, asOrdered.Quantity, asOrdered.Supplier
	}
	arrival := form.Arrival()
	if len(form.Errors) > 0 {
		return s.arrivalForm(w, r, http.StatusUnprocessableEntity, form)
	}
	err = s.store.UpdateArrival(r.Context(), arrival)
	if errors.Is(err, garage.ErrConflict) {
		return s.conflict(w, r, "The arrival", stored.Version, route.Part(stored.PartID), form.Conflict(page.NewArrivalForm(stored)))
	}
	if refused(err, &form.Errors) {
		return s.arrivalForm(w, r, http.StatusUnprocessableEntity, form)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, arrivalPage(stored), ui.Flash{Text: "Arrival saved."})
}

func (s *Server) receiveShow(w http.ResponseWriter, r *http.Request) error {
	arrival, err := s.expected(r)
	if err != nil {
		return err
	}
	stock, err := s.store.StockOf(r.Context(), arrival.PartID)
	if err != nil {
		return err
	}
	return s.receiveForm(w, r, http.StatusOK, arrival, page.NewReceiveForm(arrival, stock))
}

func (s *Server) receiveForm(w http.ResponseWriter, r *http.Request, status int, arrival garage.Arrival, form page.PlaceForm) error {
	part, err := s.store.Part(r.Context(), arrival.PartID)
	if err != nil {
		return err
	}
	bins, err := s.store.Bins(r.Context())
	if err != nil {
		return err
	}
	return s.render(w, r, status, page.Place(page.NewReceiveView(s.base(r, "Received: "+part.Name, ui.NavParts), part, arrival, form, bins)))
}

func (s *Server) receive(w http.ResponseWriter, r *http.Request) error {
	arrival, err := s.expected(r)
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	form := page.ReadPlaceForm(values)
	quantity, pick, version := form.Place()
	if len(form.Errors) > 0 {
		return s.receiveForm(w, r, http.StatusUnprocessableEntity, arrival, form)
	}
	seen := arrival
	seen.Version = version
	movement, err := s.store.ReceiveArrival(r.Context(), seen, quantity, pick, s.now())
	if refused(err, &form.Errors) {
		return s.receiveForm(w, r, http.StatusUnprocessableEntity, arrival, form)
	}
	if err == nil && arrival.OrderID != nil {
		err = s.estimate(r.Context())
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, arrivalPage(arrival), ui.Flash{Text: page.ReceivedText(arrival, quantity, form), Undo: route.MovementReverse(movement)})
}

func (s *Server) arrivalDelete(w http.ResponseWriter, r *http.Request) error {
	arrival, err := s.expected(r)
	if err != nil {
		return err
	}
	if err := s.store.DeleteArrival(r.Context(), arrival.ID); err != nil {
		return err
	}
	return s.redirect(w, r, route.Part(arrival.PartID), ui.Flash{Text: "Arrival deleted.", Undo: route.ArrivalRestore(arrival.ID)})
}

func (s *Server) arrivalRestore(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.ArrivalID](r, "id")
	if err != nil {
		return err
	}
	if err := s.store.RestoreArrival(r.Context(), id); err != nil {
		return err
	}
	arrival, err := s.store.Arrival(r.Context(), id)
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Part(arrival.PartID), ui.Flash{Text: "The arrival is back."})
}
