package planner

import (
	"fmt"
	"slices"
	"time"
)

// Validate says what is wrong with a problem, in one line that names the
// place, or nil. ReadProblem and Plan call it.
func (p Problem) Validate() error {
	v := &validator{p: p}
	if _, err := loadZone(p.Zone); err != nil {
		return fileError("zone", "unknown zone %q", p.Zone)
	}
	for _, check := range []func(){
		v.top, v.sessions, v.resources, v.cars, v.access, v.closing, v.parts, v.jobs, v.links, v.cycles, v.length,
	} {
		check()
		if v.err != nil {
			return v.err
		}
	}
	return nil
}

type validator struct {
	p   Problem
	err error

	total                                         int // minutes of all that the plan can take
	resource, car, accessAt, closingAt, part, job map[string]int
}

func (v *validator) fail(where, format string, args ...any) {
	if v.err == nil {
		v.err = fileError(where, format, args...)
	}
}

// index numbers ids and refuses empty and repeated ones.
func index[T any](v *validator, list string, items []T, id func(T) string) map[string]int {
	at := make(map[string]int, len(items))
	for i, item := range items {
		where := fmt.Sprintf("%s[%d].id", list, i)
		if id(item) == "" {
			v.fail(where, "missing")
		}
		if _, twice := at[id(item)]; twice {
			v.fail(where, "duplicate id %q", id(item))
		}
		at[id(item)] = i
	}
	return at
}

func (v *validator) top() {
	switch {
	case !sane(v.p.Now):
		v.fail("now", "missing or not a usable time")
	case v.p.Confidence != 0 && (v.p.Confidence < 0.5 || v.p.Confidence > 0.99):
		v.fail("confidence", "not between 0.5 and 0.99")
	}
	v.count("change_car_minutes", v.p.ChangeCarMinutes)
	v.count("effort", v.p.Effort)
	if x := v.p.Pace; x != nil {
		if !(x.Factor >= 0.1 && x.Factor <= 10) {
			v.fail("pace.factor", "not between 0.1 and 10")
		}
		if !(x.Sigma >= 0 && x.Sigma <= 2) {
			v.fail("pace.sigma", "not between 0 and 2")
		}
	}
	for i, e := range v.p.Previous {
		if !sane(e.From) {
			v.fail(fmt.Sprintf("previous[%d].from", i), "missing or not a usable time")
		}
	}
}

func (v *validator) count(where string, n int) {
	if n < 0 {
		v.fail(where, "negative")
	}
	if n > maxCount {
		v.fail(where, "too large")
	}
}

// moment checks a moment that may be absent.
func (v *validator) moment(where string, m Moment) {
	if !m.IsZero() && !sane(m.Time) {
		v.fail(where, "not a usable time")
	}
}

// length keeps the plan within the years that can be written.
func (v *validator) length() {
	if v.total > maxTotal {
		v.fail("jobs", "more work and waiting than 500 years take")
	}
}

func (v *validator) span(where string, from, to time.Time) {
	switch {
	case !sane(from) || !sane(to):
		v.fail(where, "missing or not a usable time")
	case to.Before(from):
		v.fail(where, "ends before it starts")
	}
}

func (v *validator) sessions() {
	order := make([]int, len(v.p.Sessions))
	for i, s := range v.p.Sessions {
		order[i] = i
		v.span(fmt.Sprintf("sessions[%d]", i), s.From, s.To)
		v.count(fmt.Sprintf("sessions[%d].helpers", i), s.Helpers)
	}
	slices.SortStableFunc(order, func(a, b int) int { return v.p.Sessions[a].From.Compare(v.p.Sessions[b].From) })
	for k := 1; k < len(order); k++ {
		a, b := order[k-1], order[k]
		if v.p.Sessions[b].From.Before(v.p.Sessions[a].To) {
			v.fail(fmt.Sprintf("sessions[%d]", max(a, b)), "overlaps sessions[%d]", min(a, b))
		}
	}
}

func (v *validator) resources() {
	v.resource = index(v, "resources", v.p.Resources, func(r Resource) string { return r.ID })
	for i, r := range v.p.Resources {
		where := fmt.Sprintf("resources[%d]", i)
		if r.ID == Hands || r.ID == Helpers {
			v.fail(where+".id", "%s are always there and not listed", r.ID)
		}
		v.count(where+".capacity", r.Capacity)
		for k, w := range r.Windows {
			at := fmt.Sprintf("%s.windows[%d]", where, k)
			v.moment(at+".from", w.From)
			v.moment(at+".to", w.To)
			if w.From.IsZero() || w.To.IsZero() {
				v.fail(at, "missing from or to")
			} else if zone, _ := loadZone(v.p.Zone); dayStart(w.From, zone).After(dayEnd(w.To, zone)) {
				v.fail(at, "ends before it starts")
			}
		}
		if r.ID == Lift && len(r.Windows) > 0 {
			v.fail(where+".windows", "the lift is always there")
		}
	}
}

func (v *validator) times(where string, t *Times) {
	if t == nil {
		return
	}
	zone, _ := loadZone(v.p.Zone)
	for i, m := range t {
		at := fmt.Sprintf("%s[%d]", where, i)
		v.moment(at, m)
		if m.IsZero() {
			v.fail(at, "missing")
		} else if i > 0 && dayEnd(m, zone).Before(dayEnd(t[i-1], zone)) {
			v.fail(at, "earlier than the value before it")
		}
	}
}

func (v *validator) three(where string, r Range, most int) {
	for i, n := range r {
		v.count(fmt.Sprintf("%s[%d]", where, i), n)
		if n > most {
			v.fail(fmt.Sprintf("%s[%d]", where, i), "too large")
		}
		if i > 0 && n < r[i-1] {
			v.fail(fmt.Sprintf("%s[%d]", where, i), "less than the value before it")
		}
	}
}

func (v *validator) cars() {
	v.car = index(v, "cars", v.p.Cars, func(c Car) string { return c.ID })
	onLift := 0
	for i, c := range v.p.Cars {
		where := fmt.Sprintf("cars[%d]", i)
		v.times(where+".arrives", c.Arrives)
		for k, r := range c.RoadNeeds {
			v.span(fmt.Sprintf("%s.road_needs[%d]", where, k), r.From, r.To)
		}
		if !c.OnLift {
			continue
		}
		lift, listed := v.resource[Lift]
		if onLift++; !listed {
			v.fail(where+".on_lift", "there is no lift")
		} else if onLift > v.p.Resources[lift].Capacity {
			v.fail(where+".on_lift", "more cars on the lift than it holds")
		}
	}
}

func (v *validator) carOf(where, id string) {
	if _, known := v.car[id]; !known {
		v.fail(where+".car", "unknown car %q", id)
	}
}

func (v *validator) access() {
	v.accessAt = index(v, "access", v.p.Access, func(a Access) string { return a.ID })
	for i, a := range v.p.Access {
		where := fmt.Sprintf("access[%d]", i)
		v.carOf(where, a.Car)
		v.count(where+".open_minutes", a.OpenMinutes)
		v.count(where+".close_minutes", a.CloseMinutes)
		for k, id := range a.Inside {
			v.accessID(fmt.Sprintf("%s.inside[%d]", where, k), id, a.Car)
		}
	}
	for i, a := range v.p.Access {
		for k, id := range a.Inside {
			if outer, known := v.accessAt[id]; known && a.Open && !v.p.Access[outer].Open {
				v.fail(fmt.Sprintf("access[%d].inside[%d]", i, k), "%q is not open but what is inside it is", id)
			}
		}
	}
}

func (v *validator) accessID(where, id, car string) {
	i, known := v.accessAt[id]
	if !known {
		v.fail(where, "unknown access %q", id)
	} else if v.p.Access[i].Car != car {
		v.fail(where, "access %q is on another car", id)
	}
}

func (v *validator) closing() {
	v.closingAt = index(v, "closing", v.p.Closing, func(c Closing) string { return c.ID })
	for i, c := range v.p.Closing {
		where := fmt.Sprintf("closing[%d]", i)
		v.carOf(where, c.Car)
		v.count(where+".minutes", c.Minutes)
		for _, id := range sortedKeys(c.Needs) {
			v.count(where+".needs."+id, c.Needs[id])
			if id != Hands && id != Helpers {
				v.fail(where+".needs."+id, "closing work can need hands and helpers only")
			}
			if id == Hands && c.Needs[id] > 1 {
				v.fail(where+".needs."+id, "more than there are")
			}
		}
	}
}

func (v *validator) parts() {
	v.part = index(v, "parts", v.p.Parts, func(p Part) string { return p.ID })
	for i, part := range v.p.Parts {
		where := fmt.Sprintf("parts[%d]", i)
		v.count(where+".on_hand", part.OnHand)
		if part.OrderLeadDays != nil {
			v.three(where+".order_lead_days", *part.OrderLeadDays, maxDays)
		}
		for k, a := range part.Arrivals {
			at := fmt.Sprintf("%s.arrivals[%d]", where, k)
			v.count(at+".qty", a.Qty)
			v.times(at+".at", a.At)
			if (a.At == nil) == (a.FromJob == "") {
				v.fail(at, "needs either at or from_job")
			}
		}
	}
}

func sortedKeys(m map[string]int) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
