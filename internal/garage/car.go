package garage

import (
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"
)

// CarID names a car.
type CarID int64

// Role says what a car is kept for.
type Role string

// The roles.
const (
	Project Role = "project"
	Daily   Role = "daily"
	Donor   Role = "donor" // kept for its parts
)

// Roles lists them in the order of a form.
var Roles = []Role{Project, Daily, Donor}

// Stands says where a car stands.
type Stands string

// The places.
const (
	OnLift  Stands = "lift"
	Inside  Stands = "inside"
	Outside Stands = "outside"
	NotHere Stands = "not here"
)

// Places lists them in the order of a form.
var Places = []Stands{OnLift, Inside, Outside, NotHere}

// Car is a vehicle.
type Car struct {
	ID       CarID
	Version  int64
	Name     string
	Role     Role
	Make     string
	Model    string
	Year     *int // 1885 to 2100
	VIN      string
	Plate    string
	Engine   string
	Stands   Stands
	Immobile bool // cannot be moved under its own power or rolled off the lift
	// When a car that is not here arrives; all three or none.
	ArrivesLow    *Date
	ArrivesLikely *Date
	ArrivesHigh   *Date
	Notes         string
	DeletedAt     *time.Time
}

// NormalVIN is a vehicle identification number in capitals, without the blanks and hyphens it is printed with.
func NormalVIN(typed string) string {
	return strings.ToUpper(strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) || r == '-' || r == '\u2010' || r == '\u2011' || r == '\u2013' {
			return -1
		}
		return r
	}, typed))
}

// vinLength is that of ISO 3779 (from memory), which also leaves out the letters I, O and Q.
const vinLength = 17

// VINRemark says in a sentence what is unusual about a number as stored, or nothing. None of it is wrong: cars before 1981
// and those of small makers have shorter numbers.
func VINRemark(vin string) string {
	n := len([]rune(vin))
	switch {
	case n == 0:
		return ""
	case n != vinLength:
		return "Not a 17-character VIN: it has " + strconv.Itoa(n) + ". Kept as it is; older cars have shorter ones."
	case strings.ContainsAny(vin, "IOQ"):
		return "A 17-character VIN has no letter I, O or Q."
	case strings.ContainsFunc(vin, func(r rune) bool { return (r < '0' || r > '9') && (r < 'A' || r > 'Z') }):
		return "A 17-character VIN has only letters and figures."
	}
	return ""
}

// VINSuggestion is the number with the figures that letters are mistaken for, and whether that makes a difference. It is
// for the owner to take or leave.
func VINSuggestion(vin string) (string, bool) {
	if len([]rune(vin)) != vinLength {
		return "", false
	}
	likely := strings.NewReplacer("O", "0", "Q", "0", "I", "1").Replace(vin)
	return likely, likely != vin
}

// CheckMove says why a car cannot go from where it stood to where it stands now, among the names of the others on the lifts.
// The field is stands.
func CheckMove(before, after Car, lifts int, others []string) error {
	var e FieldErrors
	stuck := before.Immobile && after.Immobile
	switch {
	case before.Stands == after.Stands:
	case stuck && before.Stands == OnLift:
		e.Add("stands", "It is immobile: it cannot be rolled off the lift.")
	case stuck && after.Stands == OnLift:
		e.Add("stands", "It is immobile: it cannot be rolled onto the lift.")
	case after.Stands == OnLift && lifts == 0:
		e.Add("stands", "The garage has no lift, by its settings.")
	case after.Stands == OnLift && len(others) >= lifts:
		e.Add("stands", "No lift is free: "+strings.Join(others, ", ")+".")
	}
	return e.Err()
}

// CarSummary is a car as the list of cars shows it.
type CarSummary struct {
	Car
	OpenJobs int
}

// Validate says which fields do not hold.
func (c Car) Validate() error {
	var e FieldErrors
	e.name("name", c.Name)
	oneOf(&e, "role", c.Role, Roles)
	oneOf(&e, "stands", c.Stands, Places)
	if c.Year != nil && (*c.Year < 1885 || *c.Year > 2100) {
		e.Add("year", "A year from 1885 to 2100.")
	}
	for field, value := range map[string]string{"make": c.Make, "model": c.Model, "vin": c.VIN, "plate": c.Plate, "engine": c.Engine} {
		if len([]rune(value)) > maxName {
			e.Add(field, "Keep it to 200 characters.")
		}
	}
	e.text("notes", c.Notes)
	e.spread("arrives", c.ArrivesLow, c.ArrivesLikely, c.ArrivesHigh)
	if c.Stands == NotHere && c.ArrivesLikely == nil {
		e.Add("arrives", "Say when it arrives: at the earliest, most likely, at the latest.")
	}
	return e.Err()
}

// spread checks three dates, all given or none, in order.
func (e *FieldErrors) spread(field string, low, likely, high *Date) {
	given := 0
	for _, d := range []*Date{low, likely, high} {
		if d != nil {
			given++
		}
	}
	switch {
	case given == 0:
	case given < 3:
		e.Add(field, "Give all three dates: earliest, likely, latest.")
	case likely.Before(*low) || high.Before(*likely):
		e.Add(field, "The dates must not run backwards: earliest, likely, latest.")
	}
}

// RoadNeedID names a road need.
type RoadNeedID int64

// RoadNeed is a span in which a car must be whole: once (StartsAt, EndsAt), or every week on Weekdays from FromMinute to
// ToMinute after midnight.
type RoadNeed struct {
	ID         RoadNeedID
	Version    int64
	CarID      CarID
	Why        string
	StartsAt   *time.Time
	EndsAt     *time.Time
	Weekdays   []int // 1 Monday to 7 Sunday
	FromMinute int
	ToMinute   int
	DeletedAt  *time.Time
}

// Validate says which fields do not hold.
func (n RoadNeed) Validate() error {
	var e FieldErrors
	e.text("why", n.Why)
	once := n.StartsAt != nil || n.EndsAt != nil
	switch {
	case once && len(n.Weekdays) > 0:
		e.Add("weekdays", "Either once or every week, not both.")
	case once && (n.StartsAt == nil || n.EndsAt == nil):
		e.Add("starts_at", "Give both the start and the end.")
	case once && !n.StartsAt.Before(*n.EndsAt):
		e.Add("ends_at", "The end must come after the start.")
	case !once && len(n.Weekdays) == 0:
		e.Add("weekdays", "Choose weekdays, or give a start and an end.")
	case !once && (n.FromMinute < 0 || n.ToMinute > 1440 || n.FromMinute >= n.ToMinute):
		e.Add("to", "The end must come after the start, on the same day.")
	}
	if slices.ContainsFunc(n.Weekdays, func(d int) bool { return d < 1 || d > 7 }) {
		e.Add("weekdays", "Choose from Monday to Sunday.")
	}
	return e.Err()
}

// AccessID names an access.
type AccessID int64

// Access is something opened or taken off to reach the work; jobs on one car in one visit share it.
type Access struct {
	ID           AccessID
	Version      int64
	CarID        CarID
	Name         string
	OpenMinutes  int
	CloseMinutes int
	Stays        bool // may stay open while another car is on the lift
	IsOpen       bool // is open now
	Inside       []AccessID
	DeletedAt    *time.Time
}

// AccessLoop lists the names of accesses that lie inside each other in a loop, from one of them round to itself, when
// changed takes its place among the others of its car; nothing when there is no loop.
func AccessLoop(others []Access, changed Access) []string {
	byID := map[AccessID]Access{}
	for _, a := range others {
		byID[a.ID] = a
	}
	byID[changed.ID] = changed
	seen := map[AccessID]bool{}
	var path []string
	var walk func(id AccessID) bool
	walk = func(id AccessID) bool {
		a, known := byID[id]
		if !known || seen[id] {
			return false
		}
		seen[id] = true
		path = append(path, a.Name)
		for _, outer := range a.Inside {
			if outer == changed.ID {
				path = append(path, changed.Name)
				return true
			}
			if walk(outer) {
				return true
			}
		}
		path = path[:len(path)-1]
		return false
	}
	if walk(changed.ID) {
		return path
	}
	return nil
}

// maxNesting is how deep accesses may lie inside each other; the planner takes as many.
const maxNesting = 100

// AccessTooDeep says whether more accesses lie inside each other than can be kept, when there is no loop among them.
func AccessTooDeep(others []Access, changed Access) bool {
	byID := map[AccessID]Access{}
	for _, a := range others {
		byID[a.ID] = a
	}
	byID[changed.ID] = changed
	depth := map[AccessID]int{}
	var of func(id AccessID) int
	of = func(id AccessID) int {
		if known, done := depth[id]; done {
			return known
		}
		deepest := 0
		for _, outer := range byID[id].Inside {
			deepest = max(deepest, of(outer))
		}
		depth[id] = deepest + 1
		return depth[id]
	}
	for id := range byID {
		if of(id) > maxNesting {
			return true
		}
	}
	return false
}

// OpenWith lists the accesses of a car that change when one is opened or closed: with it opens what it lies inside, with it
// closes what lies inside it.
func OpenWith(all []Access, id AccessID, open bool) []AccessID {
	var change []AccessID
	seen := map[AccessID]bool{}
	for queue := []AccessID{id}; len(queue) > 0; queue = queue[1:] {
		at := queue[0]
		if seen[at] {
			continue
		}
		seen[at] = true
		for _, a := range all {
			switch {
			case a.ID == at && a.IsOpen != open:
				change = append(change, at)
			case !open && slices.Contains(a.Inside, at):
				queue = append(queue, a.ID)
			}
			if a.ID == at && open {
				queue = append(queue, a.Inside...)
			}
		}
	}
	return change
}

// Validate says which fields do not hold; a loop of accesses inside each other is for the store to find.
func (a Access) Validate() error {
	var e FieldErrors
	e.name("name", a.Name)
	e.minutes("open_minutes", a.OpenMinutes)
	e.minutes("close_minutes", a.CloseMinutes)
	if slices.Contains(a.Inside, a.ID) && a.ID != 0 {
		e.Add("inside", "Nothing lies inside itself.")
	}
	return e.Err()
}

func (e *FieldErrors) minutes(field string, value int) {
	if value < 0 || value > 10000 {
		e.Add(field, "From 0 to 10,000 minutes.")
	}
}

func (e *FieldErrors) helpers(field string, value int) {
	if value < 0 || value > 9 {
		e.Add(field, "From 0 to 9 helpers.")
	}
}

// ClosingID names a closing work.
type ClosingID int64

// ClosingWork is done once at the end of a visit for all jobs that call for it.
type ClosingWork struct {
	ID        ClosingID
	Version   int64
	CarID     CarID
	Name      string
	Minutes   int
	Helpers   int
	DeletedAt *time.Time
}

// Validate says which fields do not hold.
func (c ClosingWork) Validate() error {
	var e FieldErrors
	e.name("name", c.Name)
	e.minutes("minutes", c.Minutes)
	e.helpers("helpers", c.Helpers)
	return e.Err()
}
