package server

import (
	"errors"
	"net/http"
	"net/url"
	"strconv"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

func (s *Server) jobIndex(w http.ResponseWriter, r *http.Request) error {
	filter := page.ReadJobFilter(r.URL.Query())
	rows, err := s.store.Jobs(r.Context(), filter)
	if err != nil {
		return err
	}
	cars, err := s.store.Cars(r.Context())
	if err != nil {
		return err
	}
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	v := page.NewJobIndex(s.base(r, "Jobs", ui.NavMore), filter, rows, cars, s.today(settings))
	return s.render(w, r, http.StatusOK, page.JobIndex(v))
}

func (s *Server) jobShow(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.JobID](r, "id")
	if err != nil {
		return err
	}
	return s.jobPage(w, r, http.StatusOK, id, page.TookForm{})
}

// jobPage shows a job, with what was typed of how long a stage took when that was refused.
func (s *Server) jobPage(w http.ResponseWriter, r *http.Request, status int, id garage.JobID, took page.TookForm) error {
	card, err := s.store.Card(r.Context(), id)
	if err != nil {
		return err
	}
	sheet := card.Sheet
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	planned, err := s.planned(r.Context())
	if err != nil {
		return err
	}
	sheet.Promised = planned.PromisedElsewhere(id)
	if sheet.Fitted, err = s.store.FittedAlike(r.Context(), sheet.PartIDs()...); err != nil {
		return err
	}
	v := page.NewJobShow(s.base(r, sheet.Job.Title, ui.NavCars), sheet, settings, s.now())
	v.Planned, v.Took = planned.JobPlanned(id), took
	v.SetCard(card)
	if err := s.jobLooks(r, &v, card, settings); err != nil {
		return err
	}
	specs, err := s.store.JobTorqueSpecs(r.Context(), id)
	if err != nil {
		return err
	}
	wrenches, err := s.store.Wrenches(r.Context())
	if err != nil {
		return err
	}
	v.SetSpecs(specs, wrenches, s.today(settings))
	of := garage.PhotoSubject{Kind: garage.PhotoOfJob, ID: int64(id)}
	if v.Photos, err = s.photoStrip(r.Context(), of, settings.Location()); err != nil {
		return err
	}
	return s.render(w, r, status, page.JobShow(v))
}

// jobLooks says on a job's page whether it was worth it, and what was said of jobs like it.
func (s *Server) jobLooks(r *http.Request, v *page.JobShowView, card garage.Card, settings garage.Settings) error {
	like, err := s.store.LikeLookBacks(r.Context(), card.Sheet.Job.ID)
	if err != nil || card.LookBack == nil && len(like) == 0 {
		return err
	}
	odometer, err := s.store.Odometer(r.Context(), card.Sheet.Job.CarID)
	if err != nil {
		return err
	}
	v.SetLooks(page.LookBackWords(card.LookBack, odometer, s.today(settings)), like)
	return nil
}

// jobNew is the form of a new job once its car is chosen, and before that the choice.
func (s *Server) jobNew(w http.ResponseWriter, r *http.Request) error {
	typed := r.URL.Query().Get("car")
	if typed == "" {
		cars, err := s.store.Cars(r.Context())
		if err != nil {
			return err
		}
		return s.render(w, r, http.StatusOK, page.JobCar(page.NewJobCar(s.base(r, "Add a job", ui.NavCars), cars)))
	}
	car, err := strconv.ParseInt(typed, 10, 64)
	if err != nil {
		return garage.ErrNotFound
	}
	form := page.BlankJobForm(garage.CarID(car))
	form.Phase, form.Title = r.URL.Query().Get("phase"), r.URL.Query().Get("title")
	return s.jobForm(w, r, http.StatusOK, form, garage.Job{CarID: garage.CarID(car)})
}

// jobForm shows the form of a job, stored or, with id 0, new.
func (s *Server) jobForm(w http.ResponseWriter, r *http.Request, status int, form page.JobForm, job garage.Job) error {
	choices, err := s.store.JobChoices(r.Context(), job.CarID, job.ID)
	if err != nil {
		return err
	}
	title := "Add a job"
	if job.ID != 0 {
		title = job.Title
	}
	v := page.JobFormView{
		Base: s.base(r, title, ui.NavCars), Form: form, Job: job, Choices: choices, Currency: jobCurrency(job, choices.Settings),
	}
	if job.ID == 0 {
		like, err := s.store.LookBacksFor(r.Context(), job.CarID, form.Title)
		if err != nil {
			return err
		}
		v.SetLike(like)
	}
	return s.render(w, r, status, page.JobEdit(v))
}

// jobCurrency is that of the amounts a job has already, or of new amounts.
func jobCurrency(job garage.Job, settings garage.Settings) string {
	if job.LateCost > 0 || job.LateCostPerDay > 0 {
		return job.Currency
	}
	return settings.Currency
}

func (s *Server) jobCreate(w http.ResponseWriter, r *http.Request) error {
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	form := page.ReadJobForm(values)
	job, after := form.Job(settings.Currency)
	stages := form.FirstStage()
	blank := garage.Job{CarID: job.CarID}
	if len(form.Errors) > 0 {
		return s.jobForm(w, r, http.StatusUnprocessableEntity, form, blank)
	}
	id, err := s.store.CreateJob(r.Context(), job, after, stages...)
	if invalid, ok := errors.AsType[*garage.InvalidError](err); ok {
		form.Refuse(invalid.Fields)
		return s.jobForm(w, r, http.StatusUnprocessableEntity, form, blank)
	}
	if err != nil {
		return err
	}
	to := route.Job(id)
	if values.Get("then") == "another" {
		to = route.JobNewOn(job.CarID)
	}
	return s.redirect(w, r, to, ui.Flash{Text: "Job “" + job.Title + "” added."})
}

func (s *Server) jobEdit(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.JobID](r, "id")
	if err != nil {
		return err
	}
	job, form, err := s.storedJobForm(r, id)
	if err != nil {
		return err
	}
	return s.jobForm(w, r, http.StatusOK, form, job)
}

// storedJobForm is the form of a job as it is stored.
func (s *Server) storedJobForm(r *http.Request, id garage.JobID) (garage.Job, page.JobForm, error) {
	job, err := s.store.Job(r.Context(), id)
	if err != nil {
		return job, page.JobForm{}, err
	}
	after, err := s.store.JobAfter(r.Context(), id)
	return job, page.NewJobForm(job, after), err
}

func (s *Server) jobUpdate(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.JobID](r, "id")
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	stored, err := s.store.Job(r.Context(), id)
	if err != nil {
		return err
	}
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	form := page.ReadJobForm(values)
	job, after := form.Job(jobCurrency(stored, settings))
	job.ID = id
	if len(form.Errors) > 0 {
		return s.jobForm(w, r, http.StatusUnprocessableEntity, form, stored)
	}
	err = s.store.UpdateJob(r.Context(), job, after)
	if errors.Is(err, garage.ErrConflict) {
		return s.jobConflict(w, r, form, id)
	}
	if refused(err, &form.Errors) {
		return s.jobForm(w, r, http.StatusUnprocessableEntity, form, stored)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Job(id), ui.Flash{Text: "Job saved."})
}

func (s *Server) jobConflict(w http.ResponseWriter, r *http.Request, form page.JobForm, id garage.JobID) error {
	job, stored, err := s.storedJobForm(r, id)
	if err != nil {
		return err
	}
	choices, err := s.store.JobChoices(r.Context(), job.CarID, job.ID)
	if err != nil {
		return err
	}
	return s.conflict(w, r, job.Title, job.Version, route.Job(job.ID), form.Conflict(stored, choices))
}

// jobDeleteShow says what deleting a job means while others count on it.
func (s *Server) jobDeleteShow(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.JobID](r, "id")
	if err != nil {
		return err
	}
	return s.jobDeletePage(w, r, http.StatusOK, id)
}

func (s *Server) jobDeletePage(w http.ResponseWriter, r *http.Request, status int, id garage.JobID) error {
	sheet, err := s.store.JobSheet(r.Context(), id)
	if err != nil {
		return err
	}
	v := page.NewJobDelete(s.base(r, "Delete "+sheet.Job.Title+"?", ui.NavCars), sheet)
	return s.render(w, r, status, page.JobDelete(v))
}

func (s *Server) jobDelete(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.JobID](r, "id")
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	job, err := s.store.Job(r.Context(), id)
	if err != nil {
		return err
	}
	err = s.store.DeleteJob(r.Context(), id, values.Get("despite") == "yes")
	if _, ok := errors.AsType[*garage.InvalidError](err); ok {
		return s.jobDeletePage(w, r, http.StatusUnprocessableEntity, id)
	}
	if err != nil {
		return err
	}
	flash := ui.Flash{Text: "Job “" + job.Title + "” deleted.", Undo: route.JobRestore(id)}
	return s.redirect(w, r, route.Jobs(), flash)
}

func (s *Server) jobRestore(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.JobID](r, "id")
	if err != nil {
		return err
	}
	if err := s.store.RestoreJob(r.Context(), id); err != nil {
		return err
	}
	return s.redirect(w, r, route.Job(id), ui.Flash{Text: "The job is back."})
}

// sessionDays is how far ahead a job can be fixed to a session.
const sessionDays = 8 * 7

func (s *Server) jobWhenShow(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.JobID](r, "id")
	if err != nil {
		return err
	}
	job, err := s.store.Job(r.Context(), id)
	if err != nil {
		return err
	}
	return s.jobWhenForm(w, r, http.StatusOK, page.NewJobWhenForm(job), job)
}

func (s *Server) jobWhenForm(w http.ResponseWriter, r *http.Request, status int, form page.JobWhenForm, job garage.Job) error {
	sessions, err := s.sessionOptions(r, job)
	if err != nil {
		return err
	}
	v := page.JobWhenView{Base: s.base(r, "When to do it", ui.NavCars), Job: job, Form: form, Sessions: sessions}
	return s.render(w, r, status, page.JobWhen(v))
}

// sessionOptions are the coming sessions.
func (s *Server) sessionOptions(r *http.Request, job garage.Job) ([]ui.Option, error) {
	choices, err := s.store.JobChoices(r.Context(), job.CarID, job.ID)
	if err != nil {
		return nil, err
	}
	zone, today := choices.Settings.Location(), s.today(choices.Settings)
	sessions := garage.Sessions(choices.Patterns, choices.Exceptions, today, today.AddDays(sessionDays), zone)
	for len(sessions) > 0 && !sessions[0].To.After(s.now()) {
		sessions = sessions[1:]
	}
	return page.SessionOptions(sessions, job.PinnedAt, zone), nil
}

func (s *Server) jobWhen(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.JobID](r, "id")
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	job, err := s.store.Job(r.Context(), id)
	if err != nil {
		return err
	}
	form := page.ReadJobWhenForm(values)
	pinnedAt, notBefore := form.When()
	if len(form.Errors) > 0 {
		return s.jobWhenForm(w, r, http.StatusUnprocessableEntity, form, job)
	}
	err = s.store.PinJob(r.Context(), id, formVersion(values), pinnedAt, notBefore)
	if errors.Is(err, garage.ErrConflict) {
		return s.jobWhenConflict(w, r, form, id)
	}
	if refused(err, &form.Errors) {
		return s.jobWhenForm(w, r, http.StatusUnprocessableEntity, form, job)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Job(id), ui.Flash{Text: "Saved when to do it."})
}

func (s *Server) jobWhenConflict(w http.ResponseWriter, r *http.Request, form page.JobWhenForm, id garage.JobID) error {
	job, err := s.store.Job(r.Context(), id)
	if err != nil {
		return err
	}
	sessions, err := s.sessionOptions(r, job)
	if err != nil {
		return err
	}
	rows := form.Conflict(page.NewJobWhenForm(job), sessions)
	return s.conflict(w, r, job.Title, job.Version, route.Job(id), rows)
}

// formVersion is the hidden field of that name; nonsense is version 0, which never was and so leads to a conflict.
func formVersion(values url.Values) int64 {
	n, _ := strconv.ParseInt(values.Get("version"), 10, 64)
	return n
}

func (s *Server) jobCloseShow(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.JobID](r, "id")
	if err != nil {
		return err
	}
	job, err := s.store.Job(r.Context(), id)
	if err != nil {
		return err
	}
	form := page.JobCloseForm{Version: strconv.FormatInt(job.Version, 10)}
	return s.jobCloseForm(w, r, http.StatusOK, form, job)
}

func (s *Server) jobCloseForm(w http.ResponseWriter, r *http.Request, status int, form page.JobCloseForm, job garage.Job) error {
	stages, err := s.store.Stages(r.Context(), job.ID)
	if err != nil {
		return err
	}
	v := page.NewJobClose(s.base(r, "Close as it is?", ui.NavCars), job, stages, form)
	return s.render(w, r, status, page.JobClose(v))
}

func (s *Server) jobClose(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.JobID](r, "id")
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	job, err := s.store.Job(r.Context(), id)
	if err != nil {
		return err
	}
	form := page.JobCloseForm{Version: values.Get("version"), ClosedAs: values.Get("closed_as")}
	err = s.store.CloseJob(r.Context(), id, formVersion(values), form.ClosedAs, s.now())
	if refused(err, &form.Errors) {
		return s.jobCloseForm(w, r, http.StatusUnprocessableEntity, form, job)
	}
	if err != nil {
		return err
	}
	flash := ui.Flash{Text: "Job “" + job.Title + "” closed.", Undo: route.JobReopen(id)}
	return s.redirect(w, r, route.Job(id), flash)
}

func (s *Server) jobReopen(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.JobID](r, "id")
	if err != nil {
		return err
	}
	if err := s.store.ReopenJob(r.Context(), id); err != nil && !errors.Is(err, garage.ErrConflict) {
		return err
	}
	return s.redirect(w, r, route.Job(id), ui.Flash{Text: "The job is open again."})
}

func (s *Server) takeOffShow(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.JobID](r, "id")
	if err != nil {
		return err
	}
	sheet, err := s.store.JobSheet(r.Context(), id)
	if err != nil {
		return err
	}
	v := page.NewTakeOff(s.base(r, "Parts taken off", ui.NavCars), sheet, page.TakeOffForm{}).AllParts()
	return s.render(w, r, http.StatusOK, page.TakeOff(v))
}

func (s *Server) takeOff(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.JobID](r, "id")
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	form := page.ReadTakeOffForm(values)
	parts, bin := form.Choices()
	var taken []garage.MovementID
	if len(form.Errors) == 0 {
		taken, err = s.store.TakeOffParts(r.Context(), id, parts, bin, s.now())
		refused(err, &form.Errors)
	}
	if len(form.Errors) > 0 {
		sheet, err := s.store.JobSheet(r.Context(), id)
		if err != nil {
			return err
		}
		v := page.NewTakeOff(s.base(r, "Parts taken off", ui.NavCars), sheet, form)
		return s.render(w, r, http.StatusUnprocessableEntity, page.TakeOff(v))
	}
	if err != nil {
		return err
	}
	flash := ui.Flash{Text: "The parts are in stock.", Undo: route.JobPutBack(id)}
	for _, movement := range taken {
		flash.Fields = append(flash.Fields, ui.KeyValue{Name: "movements", Value: strconv.FormatInt(int64(movement), 10)})
	}
	return s.redirect(w, r, route.Job(id), flash)
}

func (s *Server) putBack(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.JobID](r, "id")
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	if err := s.store.PutBackParts(r.Context(), movementsSent(values)); err != nil {
		return err
	}
	return s.redirect(w, r, route.Job(id), ui.Flash{Text: "The parts are on the donor again."})
}
