package server

import (
	"context"
	"errors"
	"net/http"
	"net/url"
	"strconv"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

func (s *Server) needPin(w http.ResponseWriter, r *http.Request) error {
	return s.needKept(w, r, func(ctx context.Context, id garage.NeedID) error { return s.store.PinNeed(ctx, id, s.now()) },
		"Kept: no other job gets them.", route.NeedUnpin)
}

func (s *Server) needUnpin(w http.ResponseWriter, r *http.Request) error {
	return s.needKept(w, r, s.store.UnpinNeed, "Kept no more: the plan says who gets them.", route.NeedPin)
}

// needKept keeps pieces for a need, or not any more, and leads back to the part.
func (s *Server) needKept(
	w http.ResponseWriter, r *http.Request, do func(context.Context, garage.NeedID) error, done string, undo func(garage.NeedID) string,
) error {
	id, err := pathID[garage.NeedID](r, "id")
	if err != nil {
		return err
	}
	need, err := s.store.Need(r.Context(), id)
	if err != nil {
		return err
	}
	err = do(r.Context(), id)
	if invalid, ok := errors.AsType[*garage.InvalidError](err); ok {
		return s.redirect(w, r, route.Part(need.PartID), ui.Flash{Text: "Not kept. " + sentences(invalid), Bad: true})
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Part(need.PartID), ui.Flash{Text: done, Undo: undo(id)})
}

// kitSheet reads the job of the path with what other jobs get.
func (s *Server) kitSheet(r *http.Request) (garage.JobSheet, error) {
	id, err := pathID[garage.JobID](r, "id")
	if err != nil {
		return garage.JobSheet{}, err
	}
	sheet, err := s.store.JobSheet(r.Context(), id)
	if err != nil {
		return sheet, err
	}
	planned, err := s.planned(r.Context())
	sheet.Promised = planned.PromisedElsewhere(id)
	return sheet, err
}

func (s *Server) kitShow(w http.ResponseWriter, r *http.Request) error {
	sheet, err := s.kitSheet(r)
	if err != nil {
		return err
	}
	return s.render(w, r, http.StatusOK, page.Kit(page.NewKit(s.base(r, "Kit box", ui.NavCars), sheet, page.NewKitForm(sheet))))
}

func (s *Server) kitUpdate(w http.ResponseWriter, r *http.Request) error {
	sheet, err := s.kitSheet(r)
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	form := page.ReadKitForm(values)
	err = s.store.SetJobKit(r.Context(), sheet.Job.ID, form.Pick())
	if refused(err, &form.Errors) {
		return s.render(w, r, http.StatusUnprocessableEntity, page.Kit(page.NewKit(s.base(r, "Kit box", ui.NavCars), sheet, form)))
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Job(sheet.Job.ID), ui.Flash{Text: "The parts of " + sheet.Job.Title + " are gathered in " + form.Bin + "."})
}

func (s *Server) kitDelete(w http.ResponseWriter, r *http.Request) error {
	sheet, err := s.kitSheet(r)
	if err != nil {
		return err
	}
	if err := s.store.ClearJobKit(r.Context(), sheet.Job.ID); err != nil {
		return err
	}
	flash := ui.Flash{Text: "It has no box any more. What lies in it is still there.", Undo: route.JobKit(sheet.Job.ID)}
	if sheet.KitBin != nil {
		flash.Fields = []ui.KeyValue{{Name: "bin", Value: sheet.KitBin.Name}}
	}
	return s.redirect(w, r, route.Job(sheet.Job.ID), flash)
}

// kitGather moves what is on hand for a job into its box; one undo moves all of it back.
func (s *Server) kitGather(w http.ResponseWriter, r *http.Request) error {
	sheet, err := s.kitSheet(r)
	if err != nil {
		return err
	}
	to := route.Job(sheet.Job.ID)
	moved, err := s.store.GatherKit(r.Context(), sheet.Job.ID, sheet.ToGather(sheet.Kit()))
	if invalid, ok := errors.AsType[*garage.InvalidError](err); ok {
		return s.redirect(w, r, to, ui.Flash{Text: "Nothing was moved. " + sentences(invalid), Bad: true})
	}
	if err != nil {
		return err
	}
	if len(moved) == 0 {
		return s.redirect(w, r, to, ui.Flash{Text: "Nothing was left to gather."})
	}
	flash := ui.Flash{Text: "Gathered in " + sheet.KitBin.Name + ".", Undo: route.JobKitBack(sheet.Job.ID)}
	for _, id := range moved {
		flash.Fields = append(flash.Fields, ui.KeyValue{Name: "movements", Value: strconv.FormatInt(int64(id), 10)})
	}
	return s.redirect(w, r, to, flash)
}

// movementsSent are the movements that a form names.
func movementsSent(values url.Values) (ids []garage.MovementID) {
	for _, text := range values["movements"] {
		if n, err := strconv.ParseInt(text, 10, 64); err == nil {
			ids = append(ids, garage.MovementID(n))
		}
	}
	return ids
}

func (s *Server) kitBack(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.JobID](r, "id")
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	err = s.store.ReverseMovements(r.Context(), movementsSent(values))
	if invalid, ok := errors.AsType[*garage.InvalidError](err); ok {
		return s.redirect(w, r, route.Job(id), ui.Flash{Text: "Nothing was moved back. " + sentences(invalid), Bad: true})
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Job(id), ui.Flash{Text: "Back where they were."})
}
