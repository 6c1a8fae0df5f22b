package page

import (
	"cmp"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/a-h/templ"

	"axlestand/internal/garage"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// PatternForm is a line of the weekly pattern as typed.
type PatternForm struct {
	Version string
	Weekday string
	From    string
	To      string
	Helpers string
	Errors  garage.FieldErrors
}

// NewPatternForm is the form filled from a line.
func NewPatternForm(p garage.SessionPattern) PatternForm {
	return PatternForm{
		Version: strconv.FormatInt(p.Version, 10), Weekday: strconv.Itoa(p.Weekday),
		From: clockText(p.FromMinute), To: endText(p.ToMinute), Helpers: strconv.Itoa(p.Helpers),
	}
}

// ReadPatternForm is the form as sent.
func ReadPatternForm(v url.Values) PatternForm {
	return PatternForm{
		Version: v.Get("version"), Weekday: v.Get("weekday"), From: v.Get("from"), To: v.Get("to"), Helpers: v.Get("helpers"),
	}
}

// Pattern reads what was typed, and notes in Errors what does not parse or does not hold.
func (f *PatternForm) Pattern() garage.SessionPattern {
	var in fields
	p := garage.SessionPattern{
		Version:    version(f.Version),
		Weekday:    int(in.id("weekday", f.Weekday)),
		FromMinute: in.minuteOfDay("from", f.From),
		ToMinute:   in.endOfSession("to", f.To),
		Helpers:    in.intOr("helpers", f.Helpers, 0),
	}
	f.Errors = in.with(p.Validate())
	return p
}

// Conflict sets the form beside what is stored.
func (f PatternForm) Conflict(stored PatternForm) []ConflictRow {
	return []ConflictRow{
		{Field: "Day", Yours: weekDayWords(f.Weekday), Stored: weekDayWords(stored.Weekday)},
		{Field: "From", Yours: f.From, Stored: stored.From},
		{Field: "To", Yours: f.To, Stored: stored.To},
		{Field: "Helpers", Yours: f.Helpers, Stored: stored.Helpers},
	}
}

func weekDayWords(number string) string {
	if n, err := strconv.Atoi(number); err == nil && n >= 1 && n <= len(Weekdays) {
		return Weekdays[n-1]
	}
	return number
}

// endOfSession reads the end of a session; a time box knows no 24:00, so that midnight is the day's end.
func (f *fields) endOfSession(name, typed string) int {
	minute := f.minuteOfDay(name, typed)
	if minute == 0 && strings.TrimSpace(typed) != "" {
		return 1440
	}
	return minute
}

// endText is the end of a session for a time box.
func endText(minute int) string { return clockText(minute % 1440) }

// PatternFields are what a form sends to enter a line again.
func PatternFields(p garage.SessionPattern) []ui.KeyValue {
	return []ui.KeyValue{
		{Name: "weekday", Value: strconv.Itoa(p.Weekday)},
		{Name: "from", Value: clockText(p.FromMinute)},
		{Name: "to", Value: endText(p.ToMinute)},
		{Name: "helpers", Value: strconv.Itoa(p.Helpers)},
	}
}

// PatternView is the form of a line; the ID is zero for a new one.
type PatternView struct {
	Base
	ID   garage.PatternID
	Form PatternForm
}

// Action is where the form is sent.
func (v PatternView) Action() string {
	if v.ID == 0 {
		return route.Patterns()
	}
	return route.Pattern(v.ID)
}

// ExceptionForm is an exception as typed. Through lets a new one stand for several days.
type ExceptionForm struct {
	Version string
	OnDate  string
	Through string
	Off     string // yes or no
	From    string
	To      string
	Helpers string
	Note    string
	Errors  garage.FieldErrors
}

// NewExceptionForm is the form filled from an exception.
func NewExceptionForm(x garage.SessionException) ExceptionForm {
	f := ExceptionForm{
		Version: strconv.FormatInt(x.Version, 10), OnDate: x.OnDate.String(), Off: yesNo(x.Off),
		Helpers: strconv.Itoa(x.Helpers), Note: x.Note,
	}
	if !x.Off {
		f.From, f.To = clockText(x.FromMinute), endText(x.ToMinute)
	}
	return f
}

func yesNo(yes bool) string {
	if yes {
		return "yes"
	}
	return "no"
}

// ReadExceptionForm is the form as sent.
func ReadExceptionForm(v url.Values) ExceptionForm {
	return ExceptionForm{
		Version: v.Get("version"), OnDate: v.Get("on_date"), Through: v.Get("through"), Off: v.Get("off"),
		From: v.Get("from"), To: v.Get("to"), Helpers: v.Get("helpers"), Note: v.Get("note"),
	}
}

// maxSpan is the most days that one form makes exceptions for.
const maxSpan = 92

// Exceptions reads what was typed, one exception for each day, and notes in Errors what does not parse or does not hold.
// Times of a day off do not matter.
func (f *ExceptionForm) Exceptions() []garage.SessionException {
	var in fields
	x := garage.SessionException{
		Version: version(f.Version),
		OnDate:  in.date("on_date", f.OnDate),
		Off:     f.Off == "yes",
		Note:    strings.TrimSpace(f.Note),
	}
	if f.Off != "yes" && f.Off != "no" {
		in.Errors.Add("off", "Choose one of the two.")
	}
	if f.Off == "no" {
		x.FromMinute = in.minuteOfDay("from", f.From)
		x.ToMinute = in.endOfSession("to", f.To)
		x.Helpers = in.intOr("helpers", f.Helpers, 0)
	}
	last := x.OnDate
	if through := in.optionalDate("through", f.Through); through != nil {
		last = *through
	}
	if len(in.Errors) == 0 && (last.Before(x.OnDate) || x.OnDate.AddDays(maxSpan).Before(last)) {
		in.Errors.Add("through", "The last day comes after the first, by three months at most.")
	}
	if f.Errors = in.with(x.Validate()); len(f.Errors) > 0 {
		return nil
	}
	var all []garage.SessionException
	for day := x.OnDate; !last.Before(day); day = day.AddDays(1) {
		x.OnDate = day
		all = append(all, x)
	}
	return all
}

// Conflict sets the form beside what is stored.
func (f ExceptionForm) Conflict(stored ExceptionForm) []ConflictRow {
	return []ConflictRow{
		{Field: "Date", Yours: f.OnDate, Stored: stored.OnDate},
		{Field: "No session", Yours: f.Off, Stored: stored.Off},
		{Field: "From", Yours: f.From, Stored: stored.From},
		{Field: "To", Yours: f.To, Stored: stored.To},
		{Field: "Helpers", Yours: f.Helpers, Stored: stored.Helpers},
		{Field: "Note", Yours: f.Note, Stored: stored.Note},
	}
}

// ExceptionFields are what a form sends to enter an exception again.
func ExceptionFields(x garage.SessionException) []ui.KeyValue {
	f := NewExceptionForm(x)
	return []ui.KeyValue{
		{Name: "on_date", Value: f.OnDate},
		{Name: "off", Value: f.Off},
		{Name: "from", Value: f.From},
		{Name: "to", Value: f.To},
		{Name: "helpers", Value: f.Helpers},
		{Name: "note", Value: f.Note},
	}
}

// ExceptionView is the form of an exception; the ID is zero for a new one.
type ExceptionView struct {
	Base
	ID   garage.ExceptionID
	Form ExceptionForm
}

// Action is where the form is sent.
func (v ExceptionView) Action() string {
	if v.ID == 0 {
		return route.Exceptions()
	}
	return route.Exception(v.ID)
}

// SessionsView shows the weekly pattern, the exceptions and the sessions that come of them.
type SessionsView struct {
	Base
	Patterns []ui.ListItem
	Weekly   string // the pattern's hours in words
	Coming   []ui.ListItem
	Past     []ui.ListItem
	Weeks    []WeekRow
	Sum      string // of the preview, in words
	Table    ui.TableData
	Zone     string
}

// Empty says that no session is to come.
func (v SessionsView) Empty() bool { return len(v.Patterns)+len(v.Coming) == 0 }

// WeekRow is one week of the preview as a time line.
type WeekRow struct {
	Label    string
	Sub      string
	Describe string
	Ticks    []ui.Tick
	Bands    []Band
}

// Band is a session on a week's time line, in per cent of its width.
type Band struct {
	From, To float64
}

// previewDays is how far the preview looks: three weeks.
const previewDays = 21

// NewSessions lays out the sessions from today on.
func NewSessions(
	base Base, patterns []garage.SessionPattern, exceptions []garage.SessionException, today garage.Date, zone *time.Location,
) SessionsView {
	v := SessionsView{Base: base, Patterns: patternItems(patterns), Weekly: weeklyHours(patterns), Zone: zone.String()}
	for _, x := range exceptions {
		if x.OnDate.Before(today) {
			v.Past = append(v.Past, exceptionItem(x))
		} else {
			v.Coming = append(v.Coming, exceptionItem(x))
		}
	}
	slices.Reverse(v.Past) // the latest first
	sessions := garage.Sessions(patterns, exceptions, today, today.AddDays(previewDays-1), zone)
	for first := today; first.Before(today.AddDays(previewDays)); first = first.AddDays(7) {
		v.Weeks = append(v.Weeks, weekRow(first, sessions, zone))
	}
	v.Sum = countWords(len(sessions), "session", "sessions") + ", " + WorkWords(totalMinutes(sessions))
	v.Table = sessionTable(sessions, exceptions, today, zone)
	return v
}

func patternItems(patterns []garage.SessionPattern) []ui.ListItem {
	items := make([]ui.ListItem, len(patterns))
	for i, p := range patterns {
		items[i] = ui.ListItem{
			Title: Weekdays[p.Weekday-1] + " " + spanText(p.FromMinute, p.ToMinute),
			Href:  route.PatternEdit(p.ID),
			Sub:   helperText(p.Helpers),
			Meta:  WorkWords(p.ToMinute - p.FromMinute),
		}
	}
	return items
}

func exceptionItem(x garage.SessionException) ui.ListItem {
	item := ui.ListItem{Title: DayWords(x.OnDate) + ": no session", Href: route.ExceptionEdit(x.ID), Sub: x.Note}
	if !x.Off {
		item.Title = DayWords(x.OnDate) + ": " + spanText(x.FromMinute, x.ToMinute)
		item.Meta = WorkWords(x.ToMinute - x.FromMinute)
		item.Sub = strings.TrimPrefix(strings.Join([]string{helperText(x.Helpers), x.Note}, " · "), " · ")
		item.Sub = strings.TrimSuffix(item.Sub, " · ")
	}
	return item
}

// weeklyHours adds up a week of the pattern; what overlaps counts once.
func weeklyHours(patterns []garage.SessionPattern) string {
	monday := garage.NewDate(2027, time.March, 1) // any week does: this one has no change of clocks in UTC
	return WorkWords(totalMinutes(garage.Sessions(patterns, nil, monday, monday.AddDays(6), time.UTC)))
}

func totalMinutes(sessions []garage.Session) int {
	total := 0
	for _, s := range sessions {
		total += int(s.To.Sub(s.From).Minutes())
	}
	return total
}

func spanText(from, to int) string { return clockText(from) + " to " + clockText(to) }

// someText is a number, and nothing for zero.
func someText(n int) string {
	if n == 0 {
		return ""
	}
	return strconv.Itoa(n)
}

func helperText(helpers int) string {
	if helpers == 0 {
		return ""
	}
	return countWords(helpers, "helper", "helpers")
}

// weekRow draws seven days from first on. Days are as long as the clock says, so that a change of clocks does not shift the
// days after it.
func weekRow(first garage.Date, sessions []garage.Session, zone *time.Location) WeekRow {
	last := first.AddDays(6)
	w := WeekRow{
		Label: first.In(time.UTC).Format("2 Jan"),
		Sub:   "to " + last.In(time.UTC).Format("2 Jan"),
	}
	for i := range 7 {
		day := first.AddDays(i)
		w.Ticks = append(w.Ticks, ui.Tick{At: float64(i) / 7 * 100, Text: day.In(time.UTC).Format("Mon"), Major: day.Weekday() == 1})
	}
	var words []string
	var within []garage.Session
	for _, s := range sessions {
		day := garage.DateOf(s.From.In(zone))
		if day.Before(first) || last.Before(day) {
			continue
		}
		within = append(within, s)
		from, to := placeInWeek(first, s.From.In(zone)), placeInWeek(first, s.To.In(zone))
		w.Bands = append(w.Bands, Band{From: from, To: max(to, from+0.8)}) // wide enough to be seen
		words = append(words, s.From.In(zone).Format("Mon 15:04")+" to "+endClock(s, zone))
	}
	w.Describe = "No sessions."
	if len(words) > 0 {
		w.Describe = WorkWords(totalMinutes(within)) + ": " + strings.Join(words, ", ") + "."
	}
	return w
}

func placeInWeek(first garage.Date, t time.Time) float64 {
	days := 0
	for day := first; day.Before(garage.DateOf(t)); day = day.AddDays(1) {
		days++
	}
	return (float64(days) + float64(t.Hour()*60+t.Minute())/1440) / 7 * 100
}

// endClock is the end of a session by the clock; midnight is 24:00 of its own day.
func endClock(s garage.Session, zone *time.Location) string {
	if from, to := garage.DateOf(s.From.In(zone)), s.To.In(zone); to.Hour() == 0 && to.Minute() == 0 && from.Before(garage.DateOf(to)) {
		return "24:00"
	}
	return s.To.In(zone).Format("15:04")
}

// sessionTable lists the sessions of the preview, and the days that an exception keeps free.
func sessionTable(sessions []garage.Session, exceptions []garage.SessionException, today garage.Date, zone *time.Location) ui.TableData {
	t := ui.TableData{
		Caption: "The sessions of the next three weeks", Quiet: true,
		Columns: []ui.Column{{Head: "Day", Lead: true}, {Head: "From"}, {Head: "To"}, {Head: "Long", Num: true}, {Head: "Helpers", Num: true}, {Head: "Note"}},
	}
	for day := today; day.Before(today.AddDays(previewDays)); day = day.AddDays(1) {
		note, off := exceptionsOn(day, exceptions)
		found := false
		for _, s := range sessions {
			if garage.DateOf(s.From.In(zone)) != day {
				continue
			}
			found = true
			t.Rows = append(t.Rows, []ui.Cell{
				{Text: shortDay(day, today)},
				{Text: s.From.In(zone).Format("15:04")},
				{Text: endClock(s, zone)},
				{Text: WorkWords(int(s.To.Sub(s.From).Minutes()))},
				{Text: someText(s.Helpers)},
				{Text: note},
			})
		}
		if off && !found {
			t.Rows = append(t.Rows, []ui.Cell{{Text: shortDay(day, today), Sub: "no session"}, {}, {}, {}, {}, {Text: note}})
		}
	}
	if len(t.Rows) > 0 {
		t.Totals = []ui.Cell{{Text: "Together"}, {}, {}, {Text: WorkWords(totalMinutes(sessions))}, {}, {}}
	}
	return t
}

// exceptionsOn joins the notes of a day's exceptions, and says whether there are any.
func exceptionsOn(day garage.Date, exceptions []garage.SessionException) (note string, some bool) {
	var notes []string
	for _, x := range exceptions {
		if x.OnDate == day {
			some = true
			if x.Note != "" {
				notes = append(notes, x.Note)
			}
		}
	}
	return cmp.Or(strings.Join(notes, "; "), map[bool]string{true: "exception"}[some]), some
}

func patternDays() []ui.Option {
	options := []ui.Option{{Value: "", Text: "Choose a day"}}
	for i, name := range Weekdays {
		options = append(options, ui.Option{Value: strconv.Itoa(i + 1), Text: name})
	}
	return options
}

var (
	offOptions = []ui.Option{
		{Value: "yes", Text: "no session"},
		{Value: "no", Text: "a session of its own", Hint: "In place of the weekly ones; give its times below."},
	}
	patternLabels = []ui.Option{
		{Value: "weekday", Text: "Day"}, {Value: "from", Text: "From"}, {Value: "to", Text: "To"}, {Value: "helpers", Text: "Helpers"},
	}
	exceptionLabels = []ui.Option{
		{Value: "on_date", Text: "Date"},
		{Value: "through", Text: "Last day"},
		{Value: "off", Text: "On that day"},
		{Value: "from", Text: "From"},
		{Value: "to", Text: "To"},
		{Value: "helpers", Text: "Helpers"},
		{Value: "note", Text: "Note"},
	}
	smallStep = templ.Attributes{"step": "300"}
)

// ExceptionsIn answers that a number of exceptions were entered.
func ExceptionsIn(n int) string {
	if n == 1 {
		return "Exception is in."
	}
	return strconv.Itoa(n) + " exceptions are in, one for each day."
}
