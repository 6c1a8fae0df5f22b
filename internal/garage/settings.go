package garage

import (
	"regexp"
	"time"
)

// Settings are the owner's choices for the whole garage.
type Settings struct {
	Version          int64
	Name             string
	Zone             string // IANA name
	Currency         string // ISO 4217
	DistanceUnit     string // km or mi
	TorqueUnit       string // Nm or lbf ft
	Confidence       int    // per cent, 50 to 99, with which an arrival must be there by its planned date
	ChangeCarMinutes int    // to put another car on the lift
	Lifts            int    // 0 to 9
	Estimates        string // TurnOut or AsWritten
	Holidays         []Date // in order, each once: no business days
}

// What plans take the owner's estimates for.
const (
	TurnOut   = "turn out" // as they turn out, once enough is known
	AsWritten = "written"
)

// maxHolidays are those of many years.
const maxHolidays = 400

var currencyCode = regexp.MustCompile(`^[A-Z]{3}$`)

// Validate says which fields do not hold.
func (s Settings) Validate() error {
	var e FieldErrors
	if len([]rune(s.Name)) > maxName {
		e.Add("name", "Keep it to 200 characters.")
	}
	if _, err := time.LoadLocation(s.Zone); err != nil || s.Zone == "" || s.Zone == "Local" {
		e.Add("zone", "Not a known time zone. Write it like Europe/Vienna.")
	}
	if !currencyCode.MatchString(s.Currency) {
		e.Add("currency", "Three capital letters, like EUR.")
	}
	oneOf(&e, "distance_unit", s.DistanceUnit, []string{"km", "mi"})
	oneOf(&e, "torque_unit", s.TorqueUnit, []string{"Nm", "lbf ft"})
	if s.Confidence < 50 || s.Confidence > 99 {
		e.Add("confidence", "From 50 to 99 per cent.")
	}
	if s.ChangeCarMinutes < 0 || s.ChangeCarMinutes > 1440 {
		e.Add("change_car_minutes", "From 0 to 1,440 minutes.")
	}
	oneOf(&e, "estimates", s.Estimates, []string{TurnOut, AsWritten})
	if len(s.Holidays) > maxHolidays {
		e.Add("holidays", "At most 400 days.")
	}
	if s.Lifts < 0 || s.Lifts > 9 {
		e.Add("lifts", "From 0 to 9.")
	}
	return e.Err()
}

// Location is the zone that Zone names, or UTC where the name is not known.
func (s Settings) Location() *time.Location {
	zone, err := time.LoadLocation(s.Zone)
	if err != nil {
		return time.UTC
	}
	return zone
}
