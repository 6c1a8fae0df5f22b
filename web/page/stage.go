package page

import (
	"net/url"
	"slices"
	"strconv"
	"strings"

	"axlestand/internal/garage"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// StageForm is a stage as typed. Inside another form its fields' names begin with Prefix.
type StageForm struct {
	Prefix        string
	Version       string
	Name          string
	Kind          string
	Low           string
	Likely        string
	High          string
	Lift          string
	Helpers       string
	Immobile      string
	FollowsAtOnce string
	Tools         []string
	Access        []string
	Closing       []string
	Errors        garage.FieldErrors
}

// NewStageForm is the form filled from what is stored.
func NewStageForm(s garage.Stage) StageForm {
	return StageForm{
		Version:       strconv.FormatInt(s.Version, 10),
		Name:          s.Name,
		Kind:          string(s.Kind),
		Low:           stageTime(s.Kind, s.Low),
		Likely:        stageTime(s.Kind, s.Likely),
		High:          stageTime(s.Kind, s.High),
		Lift:          yes(s.Lift),
		Helpers:       strconv.Itoa(s.Helpers),
		Immobile:      s.Immobile,
		FollowsAtOnce: yes(s.FollowsAtOnce),
		Tools:         idTexts(s.Tools),
		Access:        idTexts(s.Access),
		Closing:       idTexts(s.Closing),
	}
}

// BlankStageForm is the form of a new stage at the bench.
func BlankStageForm() StageForm { return StageForm{Kind: string(garage.Bench), Helpers: "0"} }

// ReadStageForm is the form as sent; prefix is what the names of its fields begin with.
func ReadStageForm(v url.Values, prefix string) StageForm {
	return StageForm{
		Prefix:        prefix,
		Version:       v.Get(prefix + "version"),
		Name:          v.Get(prefix + "name"),
		Kind:          v.Get(prefix + "kind"),
		Low:           v.Get(prefix + "minutes_low"),
		Likely:        v.Get(prefix + "minutes_likely"),
		High:          v.Get(prefix + "minutes_high"),
		Lift:          v.Get(prefix + "lift"),
		Helpers:       v.Get(prefix + "helpers"),
		Immobile:      v.Get(prefix + "immobile"),
		FollowsAtOnce: v.Get(prefix + "follows_at_once"),
		Tools:         v[prefix+"tools"],
		Access:        v[prefix+"access"],
		Closing:       v[prefix+"closing"],
	}
}

// Empty says that nothing was typed that would make a stage.
func (f StageForm) Empty() bool {
	return strings.TrimSpace(f.Name+f.Low+f.Likely+f.High) == "" && f.Lift == "" && f.Immobile == "" && f.FollowsAtOnce == "" &&
		len(f.Tools)+len(f.Access)+len(f.Closing) == 0
}

// Stage reads what was typed, and notes in Errors what does not parse or does not hold. What only work at the bench can
// have is left out for the other kinds, where the form does not show it.
func (f *StageForm) Stage() garage.Stage {
	var in fields
	s := garage.Stage{
		Version: version(f.Version),
		Name:    strings.TrimSpace(f.Name),
		Kind:    garage.StageKind(f.Kind),
		Lift:    f.Lift != "",
		Tools:   ids[garage.ToolID](&in, "tools", f.Tools),
	}
	s.Likely = in.stageTime(s.Kind, f.Likely)
	s.Low, s.High = s.Likely, s.Likely
	if strings.TrimSpace(f.Low) != "" {
		s.Low = in.stageTime(s.Kind, f.Low)
	}
	if strings.TrimSpace(f.High) != "" {
		s.High = in.stageTime(s.Kind, f.High)
	}
	if s.Kind == garage.Bench {
		s.Helpers = in.intOr("helpers", f.Helpers, 0)
		s.Immobile = f.Immobile
		s.FollowsAtOnce = f.FollowsAtOnce != ""
		s.Access = ids[garage.AccessID](&in, "access", f.Access)
		s.Closing = ids[garage.ClosingID](&in, "closing", f.Closing)
	}
	f.Errors = in.with(s.Validate())
	return s
}

// stageTime reads one of a stage's three figures.
func (f *fields) stageTime(kind garage.StageKind, typed string) int {
	if kind == garage.OutsideWork {
		days, ok := parseDays(typed)
		if !ok {
			f.Errors.Add("minutes", "Whole working days of the shop, please, like 3 or 3 days.")
		}
		return days
	}
	minutes, ok := parseDuration(typed)
	switch {
	case strings.TrimSpace(typed) == "":
		f.Errors.Add("minutes", "Say how long it most likely takes.")
	case !ok && kind == garage.Wait:
		f.Errors.Add("minutes", "A time like 90, 1:30, 1 h 30 or 2 days, please.")
	case !ok:
		f.Errors.Add("minutes", "A time like 90, 1:30 or 1 h 30, please.")
	case kind == garage.Bench && strings.ContainsAny(strings.ToLower(typed), "d"):
		f.Errors.Add("minutes", "A day of work is not 24 hours: give hours, like 12 h.")
	}
	return minutes
}

// Conflict sets the form beside what is stored.
func (f StageForm) Conflict(stored StageForm, c garage.JobChoices) []ConflictRow {
	words := func(f StageForm) []string {
		kind := garage.StageKind(f.Kind)
		rows := []string{
			f.Name, stageKindWords[kind], f.Low, f.Likely, f.High, tickWords(f.Lift), nameList(f.Tools, toolOptions(c.Tools)),
		}
		if kind != garage.Bench {
			return append(rows, "", "", "", "", "")
		}
		return append(rows, f.Helpers, immobileWords[f.Immobile], tickWords(f.FollowsAtOnce),
			nameList(f.Access, accessOptions(c.Access)), nameList(f.Closing, closingOptions(c.Closing)))
	}
	yours, theirs := words(f), words(stored)
	var rows []ConflictRow
	for i, field := range []string{
		"Name", "Kind", "Low", "Likely", "High", "On the lift", "Special tools", "Helpers", "The car", "Follows at once", "Access",
		"Closing work",
	} {
		rows = append(rows, ConflictRow{Field: field, Yours: yours[i], Stored: theirs[i]})
	}
	return rows
}

// StageFormView is the page of one stage.
type StageFormView struct {
	Base
	Form    StageForm
	Job     garage.Job
	Stage   garage.Stage // zero for a new one
	Choices garage.JobChoices
	First   bool
	Last    bool
}

func stageAction(v StageFormView) string {
	if v.Stage.ID == 0 {
		return route.Stages(v.Job.ID)
	}
	return route.Stage(v.Stage.ID)
}

// stageLabels name the fields of a stage for the summary of errors, in the order of the form.
func stageLabels(prefix string) []ui.Option {
	labels := []ui.Option{
		{Value: "name", Text: "Name"},
		{Value: "kind", Text: "How it passes"},
		{Value: "minutes", Text: "How long it takes"},
		{Value: "immobile", Text: "What it does to the car"},
		{Value: "lift", Text: "On the lift"},
		{Value: "follows_at_once", Text: "In the same session"},
		{Value: "helpers", Text: "Helpers needed"},
		{Value: "access", Text: "Access it opens"},
		{Value: "closing", Text: "Closing work"},
		{Value: "tools", Text: "Special tools"},
	}
	for i := range labels {
		labels[i].Value = prefix + labels[i].Value
	}
	return labels
}

var stageKindWords = map[garage.StageKind]string{
	garage.Bench: "At the bench", garage.Wait: "Waiting", garage.OutsideWork: "Outside work",
}

var stageKindOptions = []ui.Option{
	{Value: string(garage.Bench), Text: stageKindWords[garage.Bench], Hint: "Hands on, in your sessions."},
	{Value: string(garage.Wait), Text: stageKindWords[garage.Wait], Hint: "Paint, sealant, curing: time passes and nobody works."},
	{Value: string(garage.OutsideWork), Text: stageKindWords[garage.OutsideWork], Hint: "At a painter, machinist or tyre shop: their working days pass."},
}

func immobileOptions() []ui.Option {
	var list []ui.Option
	for _, span := range garage.ImmobileSpans {
		list = append(list, ui.Option{Value: span, Text: immobileWords[span]})
	}
	return list
}

func toolOptions(tools []garage.Tool) []ui.Option {
	return optionsOf(tools, func(t garage.Tool) ui.Option { return ui.Option{Value: idText(t.ID), Text: t.Name, Hint: toolHint(t)} })
}

func toolHint(t garage.Tool) string {
	switch {
	case t.HereFrom != nil && t.HereTo != nil:
		return "Here from " + DayWords(*t.HereFrom) + " to " + DayWords(*t.HereTo) + "."
	case t.HereFrom != nil:
		return "Here from " + DayWords(*t.HereFrom) + "."
	case t.HereTo != nil:
		return "Here until " + DayWords(*t.HereTo) + "."
	}
	return ""
}

func accessOptions(access []garage.Access) []ui.Option {
	return optionsOf(access, func(a garage.Access) ui.Option {
		return ui.Option{
			Value: idText(a.ID), Text: a.Name,
			Hint: "Opening takes " + WorkWords(a.OpenMinutes) + ", closing " + WorkWords(a.CloseMinutes) + ".",
		}
	})
}

func closingOptions(closing []garage.ClosingWork) []ui.Option {
	return optionsOf(closing, func(c garage.ClosingWork) ui.Option {
		hint := "Takes " + WorkWords(c.Minutes)
		if c.Helpers > 0 {
			hint += " with " + countWords(c.Helpers, "helper", "helpers")
		}
		return ui.Option{Value: idText(c.ID), Text: c.Name, Hint: hint + "."}
	})
}

func optionsOf[T any](list []T, option func(T) ui.Option) []ui.Option {
	options := make([]ui.Option, len(list))
	for i, v := range list {
		options[i] = option(v)
	}
	return options
}

// nameList words the chosen values of a list of options.
func nameList(chosen []string, options []ui.Option) string {
	var names []string
	for _, o := range options {
		if slices.Contains(chosen, o.Value) {
			names = append(names, o.Text)
		}
	}
	return strings.Join(names, ", ")
}

// tickWords is a checkbox as typed, in words.
func tickWords(value string) string {
	if value == "" {
		return "no"
	}
	return "yes"
}

func idText[T ~int64](id T) string { return strconv.FormatInt(int64(id), 10) }

func idTexts[T ~int64](list []T) []string {
	texts := make([]string, len(list))
	for i, id := range list {
		texts[i] = idText(id)
	}
	return texts
}

// ids reads the chosen values of a list of records, each once.
func ids[T ~int64](in *fields, name string, typed []string) []T {
	var list []T
	for _, text := range typed {
		if id := T(in.id(name, text)); id != 0 && !slices.Contains(list, id) {
			list = append(list, id)
		}
	}
	return list
}

// StageDoneText answers to a stage being done, with what it did to the car.
func StageDoneText(s garage.Stage) string {
	text := "Stage “" + s.Name + "” done."
	switch s.Immobile {
	case "from":
		text += " The car cannot roll now."
	case "until":
		text += " The car rolls again."
	}
	return text
}

// HarvestDone says that all stages of a job are done while parts that it takes off are still noted on the donor.
func HarvestDone(sheet garage.JobSheet) bool {
	return !slices.ContainsFunc(sheet.Stages, func(s garage.Stage) bool { return s.DoneAt == nil }) &&
		slices.ContainsFunc(sheet.Harvest, func(d garage.DonorPart) bool { return d.TakenAt == nil })
}

// tookHint says where the figure comes from that is offered.
func (s StageView) tookHint() string {
	if s.Measured {
		return "Measured from the ticks of its card, without breaks. Change it where you know better."
	}
	return ""
}

// TookForm is how long a stage took, as typed.
type TookForm struct {
	Stage  garage.StageID
	Took   string
	Errors garage.FieldErrors
}

// ReadTookForm is the form as sent.
func ReadTookForm(id garage.StageID, v url.Values) TookForm {
	return TookForm{Stage: id, Took: v.Get("took")}
}

// Minutes reads what was typed, nil for nothing, and notes in Errors what does not parse.
func (f *TookForm) Minutes() *int {
	if strings.TrimSpace(f.Took) == "" {
		return nil
	}
	minutes, ok := parseDuration(f.Took)
	switch {
	case !ok:
		f.Errors.Add("took", "Minutes or hours, please: 90, 1:30 or 1 h 30.")
	case minutes < 1:
		f.Errors.Add("took", "At least a minute.")
	}
	return &minutes
}

// of is the form for a stage: what was typed when it is this one's, otherwise what is stored.
func (f TookForm) of(s StageView) TookForm {
	if f.Stage != s.ID {
		return TookForm{Took: s.Took}
	}
	return f
}

// id keeps the fields of a page apart; the one that is wrong has the name that the list of what is wrong leads to.
func (f TookForm) id(s StageView) string {
	if len(f.Errors) > 0 {
		return ""
	}
	return "took-" + idText(int64(s.ID))
}

// TookText answers to how long a stage took being said.
func TookText(s garage.Stage, took *int) string {
	if took == nil {
		return "It is not known how long “" + s.Name + "” took."
	}
	return "“" + s.Name + "” took " + WorkWords(*took) + "."
}
