package server

import (
	"net/http"
	"strconv"
	"strings"
	"time"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// The card beside the lift. Its ticks come from phones that may be offline for hours: they carry the moment at which they
// happened, and the key of their own request, by which they can be undone before anybody knows their number.

// cardShow is a job's card.
func (s *Server) cardShow(w http.ResponseWriter, r *http.Request) error {
	job, err := s.cardOfPath(r)
	if err != nil {
		return err
	}
	open, _ := strconv.ParseInt(r.URL.Query().Get("open"), 10, 64)
	return s.cardPage(w, r, http.StatusOK, job, page.CardOptions{Open: garage.StepID(open)})
}

// cardPage answers with a card; o says how it is looked at.
func (s *Server) cardPage(w http.ResponseWriter, r *http.Request, status int, job garage.JobID, o page.CardOptions) error {
	// first, so that a page may be newer than its count says, and never older
	count, err := s.store.CardCount(r.Context(), job)
	if err != nil {
		return err
	}
	o.Count = count
	card, err := s.store.Card(r.Context(), job)
	if err != nil {
		return err
	}
	if o.Settings, err = s.store.Settings(r.Context()); err != nil {
		return err
	}
	o.Now = s.now()
	base := s.base(r, "Card: "+card.Sheet.Job.Title, ui.NavCars)
	if link, ok := linkOf(r); ok {
		o.Link, o.Prefix, o.Look, base.Bare = link.ID, route.Help(link.ID), !link.MayTick(), true
	} else if o.Photos, err = s.store.StepPhotos(r.Context(), job); err != nil {
		return err
	}
	return s.render(w, r, status, page.Card(page.NewCard(base, card, o)))
}

// cardOfAsker is where whoever asks sees a job's card.
func cardOfAsker(r *http.Request, job garage.JobID) string {
	if link, ok := linkOf(r); ok {
		return route.Help(link.ID) + route.CardNow(job)
	}
	return route.CardNow(job)
}

// byAsker is whose marks those of a request are: a link's, or the owner's.
func byAsker(r *http.Request) *garage.LinkID {
	if link, ok := linkOf(r); ok {
		return &link.ID
	}
	return nil
}

// stepMark notes what happened at a step.
func (s *Server) stepMark(w http.ResponseWriter, r *http.Request) error {
	step, job, err := s.stepOfPath(r)
	if err != nil {
		return err
	}
	sent, err := readForm(w, r)
	if err != nil {
		return err
	}
	form := page.ReadStepForm(step.ID, sent)
	mark := form.Mark(step, s.now())
	mark.ByLink = byAsker(r)
	if len(form.Errors) == 0 {
		_, err := s.store.MarkStep(r.Context(), mark, s.now())
		if err == nil {
			return s.redirect(w, r, cardOfAsker(r, job), ui.Flash{})
		}
		if !refused(err, &form.Errors) {
			return err
		}
	}
	return s.cardPage(w, r, http.StatusUnprocessableEntity, job, page.CardOptions{Form: form})
}

// stepOfPath reads the step that the path names, and its job. A helper finds those of the link's jobs alone, and changes them
// only where the link says so.
func (s *Server) stepOfPath(r *http.Request) (garage.Step, garage.JobID, error) {
	step, err := s.pathStep(r)
	if err != nil {
		return step, 0, err
	}
	job, err := s.store.JobOfStep(r.Context(), step.ID)
	if link, ok := linkOf(r); ok && err == nil {
		switch {
		case !link.Opens(job):
			err = garage.ErrNotFound
		case !link.MayTick():
			err = garage.FieldErrors{"": "With this link you can look; ticking is the owner's."}.Err()
		}
	}
	return step, job, err
}

// stepUndo undoes a mark of which the phone knows the key alone.
func (s *Server) stepUndo(w http.ResponseWriter, r *http.Request) error {
	step, job, err := s.stepOfPath(r)
	if err != nil {
		return err
	}
	sent, err := readForm(w, r)
	if err != nil {
		return err
	}
	by := garage.StepMark{At: momentOf(sent.Get("at")), ByLink: byAsker(r)}
	if err := s.store.UndoMarkByKey(r.Context(), step.ID, sent.Get("of"), by, s.now()); err != nil {
		return err
	}
	return s.redirect(w, r, cardOfAsker(r, job), ui.Flash{})
}

// momentOf is when something happened, as a phone says; zero when it does not say.
func momentOf(sent string) time.Time {
	at, _ := time.Parse(time.RFC3339, sent)
	return at
}

// markUndo undoes a mark.
func (s *Server) markUndo(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.MarkID](r, "id")
	if err != nil {
		return err
	}
	sent, err := readForm(w, r)
	if err != nil {
		return err
	}
	mark, err := s.store.Mark(r.Context(), id)
	if err != nil {
		return err
	}
	if err := s.store.UndoMark(r.Context(), id, garage.StepMark{At: momentOf(sent.Get("at"))}, s.now()); err != nil {
		return err
	}
	return s.redirect(w, r, route.CardNow(mark.JobID), ui.Flash{})
}

// stepFigure writes down the figure that a step waits for.
func (s *Server) stepFigure(w http.ResponseWriter, r *http.Request) error {
	step, job, err := s.stepOfPath(r)
	if err != nil {
		return err
	}
	sent, err := readForm(w, r)
	if err != nil {
		return err
	}
	form := page.ReadStepForm(step.ID, sent)
	if strings.TrimSpace(form.Source) == "" {
		form.Errors.Add("source", "Where is it written? There is no usual value.")
	}
	if strings.TrimSpace(form.Value) == "" {
		form.Errors.Add("figure", "How long, as the maker prints it: 10 min.")
	}
	if len(form.Errors) == 0 {
		err := s.store.WriteFigure(r.Context(), step.ID, strings.TrimSpace(form.Value), strings.TrimSpace(form.Source), strings.TrimSpace(form.Page))
		if err == nil {
			return s.redirect(w, r, route.CardNow(job), ui.Flash{})
		}
		if !refused(err, &form.Errors) {
			return err
		}
	}
	return s.cardPage(w, r, http.StatusUnprocessableEntity, job, page.CardOptions{Form: form})
}

// stepWrench chooses the wrench and the extension that a step is done with.
func (s *Server) stepWrench(w http.ResponseWriter, r *http.Request) error {
	step, job, err := s.stepOfPath(r)
	if err != nil {
		return err
	}
	sent, err := readForm(w, r)
	if err != nil {
		return err
	}
	pick := page.ReadWrenchPick(sent)
	pick.Read()
	if len(pick.Errors) > 0 {
		return s.cardPage(w, r, http.StatusUnprocessableEntity, job, page.CardOptions{Form: page.StepForm{Step: step.ID, Pick: &pick}})
	}
	var wrench *garage.WrenchID
	if id, err := strconv.ParseInt(pick.Wrench, 10, 64); err == nil && id > 0 {
		wrench = new(garage.WrenchID(id))
	}
	if err := s.store.ChooseWrench(r.Context(), step.ID, wrench, pick.Extension, pick.Angle); err != nil {
		return err
	}
	return s.redirect(w, r, route.CardOpen(job, step.ID), ui.Flash{})
}

// jobLeave notes that the owner leaves the work, and what is loose.
func (s *Server) jobLeave(w http.ResponseWriter, r *http.Request) error {
	job, err := pathID[garage.JobID](r, "id")
	if err != nil {
		return err
	}
	sent, err := readForm(w, r)
	if err != nil {
		return err
	}
	at := momentOf(sent.Get("at"))
	if at.IsZero() || at.After(s.now()) {
		at = s.now()
	}
	if err := s.store.Leave(r.Context(), garage.Leaving{JobID: job, At: at, Loose: sent.Get("loose")}); err != nil {
		return err
	}
	return s.redirect(w, r, route.Card(job), ui.Flash{Text: "Noted. The card shows it when you are back."})
}

// jobReturn notes that the owner is back.
func (s *Server) jobReturn(w http.ResponseWriter, r *http.Request) error {
	job, err := pathID[garage.JobID](r, "id")
	if err != nil {
		return err
	}
	sent, err := readForm(w, r)
	if err != nil {
		return err
	}
	var confirmed []garage.MarkID
	for _, typed := range sent["confirmed"] {
		if id, err := strconv.ParseInt(typed, 10, 64); err == nil && id > 0 {
			confirmed = append(confirmed, garage.MarkID(id))
		}
	}
	if err := s.store.Return(r.Context(), job, s.now(), confirmed); err != nil {
		return err
	}
	return s.redirect(w, r, route.CardNow(job), ui.Flash{})
}
