package server

import (
	"errors"
	"net/http"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

func (s *Server) toolIndex(w http.ResponseWriter, r *http.Request) error {
	tools, err := s.store.Tools(r.Context())
	if err != nil {
		return err
	}
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	v := page.NewTools(s.base(r, "Tools", ui.NavMore), tools, s.today(settings))
	return s.render(w, r, http.StatusOK, page.Tools(v))
}

func (s *Server) toolNew(w http.ResponseWriter, r *http.Request) error {
	return s.toolForm(w, r, http.StatusOK, 0, page.ToolForm{Capacity: "1"})
}

func (s *Server) toolForm(w http.ResponseWriter, r *http.Request, status int, id garage.ToolID, form page.ToolForm) error {
	title := "New tool"
	if id != 0 {
		title = "Change a tool"
	}
	v := page.ToolView{Base: s.base(r, title, ui.NavMore), ID: id, Form: form}
	return s.render(w, r, status, page.Tool(v))
}

func (s *Server) toolCreate(w http.ResponseWriter, r *http.Request) error {
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	form := page.ReadToolForm(values)
	tool := form.Tool()
	if len(form.Errors) > 0 {
		return s.toolForm(w, r, http.StatusUnprocessableEntity, 0, form)
	}
	_, err = s.store.CreateTool(r.Context(), tool)
	if refused(err, &form.Errors) {
		return s.toolForm(w, r, http.StatusUnprocessableEntity, 0, form)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Tools(), ui.Flash{Text: tool.Name + " is in."})
}

func (s *Server) toolEdit(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.ToolID](r, "id")
	if err != nil {
		return err
	}
	tool, err := s.store.Tool(r.Context(), id)
	if err != nil {
		return err
	}
	return s.toolForm(w, r, http.StatusOK, id, page.NewToolForm(tool))
}

func (s *Server) toolUpdate(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.ToolID](r, "id")
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	form := page.ReadToolForm(values)
	tool := form.Tool()
	tool.ID = id
	if len(form.Errors) > 0 {
		return s.toolForm(w, r, http.StatusUnprocessableEntity, id, form)
	}
	err = s.store.UpdateTool(r.Context(), tool)
	if errors.Is(err, garage.ErrConflict) {
		return s.toolConflict(w, r, id, form)
	}
	if refused(err, &form.Errors) {
		return s.toolForm(w, r, http.StatusUnprocessableEntity, id, form)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Tools(), ui.Flash{Text: tool.Name + " saved."})
}

func (s *Server) toolConflict(w http.ResponseWriter, r *http.Request, id garage.ToolID, form page.ToolForm) error {
	stored, err := s.store.Tool(r.Context(), id)
	if err != nil {
		return err
	}
	return s.conflict(w, r, stored.Name, stored.Version, route.ToolEdit(id), form.Conflict(page.NewToolForm(stored)))
}

func (s *Server) toolDelete(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.ToolID](r, "id")
	if err != nil {
		return err
	}
	tool, err := s.store.Tool(r.Context(), id)
	if err != nil {
		return err
	}
	err = s.store.DeleteTool(r.Context(), id)
	if why, ok := errors.AsType[*garage.InvalidError](err); ok {
		base := s.base(r, "Change a tool", ui.NavMore)
		base.Flash = ui.Flash{Bad: true, Text: sentences(why)}
		v := page.ToolView{Base: base, ID: id, Form: page.NewToolForm(tool)}
		return s.render(w, r, http.StatusUnprocessableEntity, page.Tool(v))
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Tools(), ui.Flash{Text: tool.Name + " deleted.", Undo: route.ToolRestore(id)})
}

func (s *Server) toolRestore(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.ToolID](r, "id")
	if err != nil {
		return err
	}
	if err := s.store.RestoreTool(r.Context(), id); err != nil {
		return err
	}
	return s.redirect(w, r, route.Tools(), ui.Flash{Text: "It is back."})
}
