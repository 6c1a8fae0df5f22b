package page

import (
	"fmt"
	"net/url"
	"strconv"
	"strings"

	"axlestand/internal/garage"
	"axlestand/internal/planner"
	"axlestand/web/ui"
)

// SettingsForm is the owner's choices as typed.
type SettingsForm struct {
	Version          string
	Name             string
	Zone             string
	Currency         string
	DistanceUnit     string
	TorqueUnit       string
	Confidence       string
	ChangeCarMinutes string
	Lifts            string
	Estimates        string
	Holidays         string // a day a line
	Errors           garage.FieldErrors
}

// NewSettingsForm is the form filled from what is stored.
func NewSettingsForm(s garage.Settings) SettingsForm {
	return SettingsForm{
		Version:          strconv.FormatInt(s.Version, 10),
		Name:             s.Name,
		Zone:             s.Zone,
		Currency:         s.Currency,
		DistanceUnit:     s.DistanceUnit,
		TorqueUnit:       s.TorqueUnit,
		Confidence:       strconv.Itoa(s.Confidence),
		ChangeCarMinutes: strconv.Itoa(s.ChangeCarMinutes),
		Lifts:            strconv.Itoa(s.Lifts),
		Estimates:        s.Estimates,
		Holidays:         datesText(s.Holidays),
	}
}

// ReadSettingsForm is the form as sent.
func ReadSettingsForm(v url.Values) SettingsForm {
	return SettingsForm{
		Version:          v.Get("version"),
		Name:             v.Get("name"),
		Zone:             v.Get("zone"),
		Currency:         v.Get("currency"),
		DistanceUnit:     v.Get("distance_unit"),
		TorqueUnit:       v.Get("torque_unit"),
		Confidence:       v.Get("confidence"),
		ChangeCarMinutes: v.Get("change_car_minutes"),
		Lifts:            v.Get("lifts"),
		Estimates:        v.Get("estimates"),
		Holidays:         v.Get("holidays"),
	}
}

// Settings reads what was typed, and notes in Errors what does not parse or does not hold.
func (f *SettingsForm) Settings() garage.Settings {
	var in fields
	s := garage.Settings{
		Version:          version(f.Version),
		Name:             strings.TrimSpace(f.Name),
		Zone:             strings.TrimSpace(f.Zone),
		Currency:         strings.ToUpper(strings.TrimSpace(f.Currency)),
		DistanceUnit:     f.DistanceUnit,
		TorqueUnit:       f.TorqueUnit,
		Confidence:       in.int("confidence", f.Confidence),
		ChangeCarMinutes: in.int("change_car_minutes", f.ChangeCarMinutes),
		Lifts:            in.int("lifts", f.Lifts),
		Estimates:        f.Estimates,
		Holidays:         in.dates("holidays", f.Holidays),
	}
	f.Errors = in.with(s.Validate())
	return s
}

// Conflict sets the form beside what is stored.
func (f SettingsForm) Conflict(stored SettingsForm) []ConflictRow {
	return []ConflictRow{
		{Field: "Name of the garage", Yours: f.Name, Stored: stored.Name},
		{Field: "Time zone", Yours: f.Zone, Stored: stored.Zone},
		{Field: "Currency", Yours: f.Currency, Stored: stored.Currency},
		{Field: "Distances in", Yours: f.DistanceUnit, Stored: stored.DistanceUnit},
		{Field: "Torque in", Yours: f.TorqueUnit, Stored: stored.TorqueUnit},
		{Field: "Confidence", Yours: f.Confidence, Stored: stored.Confidence},
		{Field: "Minutes to change the car", Yours: f.ChangeCarMinutes, Stored: stored.ChangeCarMinutes},
		{Field: "Lifts", Yours: f.Lifts, Stored: stored.Lifts},
		{Field: "Plan with my estimates", Yours: optionText(estimateOptions, f.Estimates), Stored: optionText(estimateOptions, stored.Estimates)},
		{Field: "Holidays", Yours: f.Holidays, Stored: stored.Holidays},
	}
}

// SettingsView is the page of the owner's choices.
type SettingsView struct {
	Base
	Form    SettingsForm
	Factors []ui.Def // how estimates turn out
}

// NewSettings is the page with how the owner's estimates turn out.
func NewSettings(base Base, form SettingsForm, took []garage.Took) SettingsView {
	return SettingsView{Base: base, Form: form, Factors: factorDefs(took)}
}

// factorDefs say of all work at the bench and of each kind of job how many times as long as estimated it takes.
func factorDefs(took []garage.Took) []ui.Def {
	if len(took) == 0 {
		return nil
	}
	factors := planner.FactorsOf(took)
	all := factors.All
	all.Records = len(took)
	defs := []ui.Def{{Term: "All work at the bench", Text: factorText(all)}}
	for _, kind := range garage.JobKinds {
		if f := factors.For(string(kind)); f.Records > 0 {
			defs = append(defs, ui.Def{Term: capital(string(kind)), Text: factorText(f)})
		}
	}
	return defs
}

// factorText says how estimates run: 1.3 times what was written, from 8 stages.
func factorText(f planner.Factor) string {
	return fmt.Sprintf("%.1f times what was written, from %s", f.Median, countWords(f.Records, "stage", "stages"))
}

func capital(word string) string { return strings.ToUpper(word[:1]) + word[1:] }

var (
	distanceUnits   = []ui.Option{{Value: "km", Text: "kilometres (km)"}, {Value: "mi", Text: "miles (mi)"}}
	estimateOptions = []ui.Option{
		{Value: garage.TurnOut, Text: "as they turn out", Hint: "Once you have said of five stages how long they took. Few stages move it little."},
		{Value: garage.AsWritten, Text: "as written"},
	}
	torqueUnits = []ui.Option{{Value: "Nm", Text: "newton metres (Nm)"}, {Value: "lbf ft", Text: "pound-feet (lbf ft)"}}
)

func optionText(options []ui.Option, value string) string {
	for _, o := range options {
		if o.Value == value {
			return o.Text
		}
	}
	return value
}
