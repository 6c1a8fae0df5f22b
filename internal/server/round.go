package server

import (
	"net/http"
	"strings"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// roundIndex shows the rounds of a job side by side, and takes the next one. A helper looks at them.
func (s *Server) roundIndex(w http.ResponseWriter, r *http.Request) error {
	card, err := s.cardOf(r)
	if err != nil {
		return err
	}
	return s.roundPage(w, r, http.StatusOK, card, page.RoundForm{}, page.RepeatForm{Until: card.RepeatUntil})
}

func (s *Server) roundPage(w http.ResponseWriter, r *http.Request, status int, card garage.Card, form page.RoundForm, repeat page.RepeatForm) error {
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	odometer, err := s.store.Odometer(r.Context(), card.Sheet.Job.CarID)
	if err != nil {
		return err
	}
	unit := settings.DistanceUnit
	if last, read := odometer.Last(); read {
		unit = last.Segment.Unit
	}
	photos, err := s.store.RoundPhotos(r.Context(), card.Sheet.Job.ID)
	if err != nil {
		return err
	}
	base, prefix := s.base(r, "Rounds: "+card.Sheet.Job.Title, ui.NavCars), ""
	if link, ok := linkOf(r); ok {
		base.Bare, prefix, photos = true, route.Help(link.ID), nil
	}
	v := page.NewRounds(base, card, page.RoundOptions{
		Photos: photos, Odometer: odometer, Unit: unit, Zone: settings.Location(), Today: s.today(settings), Form: form, Repeat: repeat, Prefix: prefix,
	})
	return s.render(w, r, status, page.Rounds(v))
}

// unitOf is the unit of a car's odometer, or where nobody read it the garage's.
func unitOf(run *garage.Standing, settings garage.Settings) string {
	if run != nil {
		return run.Segment.Unit
	}
	return settings.DistanceUnit
}

// roundCreate notes a round.
func (s *Server) roundCreate(w http.ResponseWriter, r *http.Request) error {
	card, err := s.cardOf(r)
	if err != nil {
		return err
	}
	sent, err := readForm(w, r)
	if err != nil {
		return err
	}
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	run, err := s.runOf(r, card.Sheet.Job.CarID)
	if err != nil {
		return err
	}
	form := page.ReadRoundForm(sent)
	round := form.Round(card.Sheet.Job.ID, unitOf(run, settings))
	if round.At = momentOf(sent.Get("at")); round.At.IsZero() || round.At.After(s.now()) {
		round.At = s.now()
	}
	if len(form.Errors) == 0 {
		id, err := s.store.AddRound(r.Context(), round)
		if err == nil {
			return s.redirect(w, r, route.Rounds(round.JobID), ui.Flash{Text: "Noted.", Undo: route.RoundUndo(id)})
		}
		if !refused(err, &form.Errors) {
			return err
		}
	}
	return s.roundPage(w, r, http.StatusUnprocessableEntity, card, form, page.RepeatForm{Until: card.RepeatUntil})
}

// roundUndo takes the last round back.
func (s *Server) roundUndo(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.RoundID](r, "id")
	if err != nil {
		return err
	}
	round, err := s.store.Round(r.Context(), id)
	if err != nil {
		return err
	}
	if err := s.store.UndoRound(r.Context(), id, s.now()); err != nil {
		return err
	}
	return s.redirect(w, r, route.Rounds(round.JobID), ui.Flash{Text: "The round is taken back."})
}

// jobRepeat says what must be seen before the rounds of a job end.
func (s *Server) jobRepeat(w http.ResponseWriter, r *http.Request) error {
	card, err := s.cardOf(r)
	if err != nil {
		return err
	}
	sent, err := readForm(w, r)
	if err != nil {
		return err
	}
	form := page.RepeatForm{Until: strings.TrimSpace(sent.Get("repeat_until"))}
	err = s.store.SetRepeat(r.Context(), card.Sheet.Job.ID, form.Until)
	if refused(err, &form.Errors) {
		return s.roundPage(w, r, http.StatusUnprocessableEntity, card, page.RoundForm{}, form)
	}
	if err != nil {
		return err
	}
	text := "It is done again until this is seen: " + form.Until
	if form.Until == "" {
		text = "It is done once."
	}
	undo := []ui.KeyValue{{Name: "repeat_until", Value: card.RepeatUntil}}
	return s.redirect(w, r, route.Rounds(card.Sheet.Job.ID), ui.Flash{Text: text, Undo: route.JobRepeat(card.Sheet.Job.ID), Fields: undo})
}
