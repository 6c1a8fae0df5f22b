package planner

import "time"

// The fields of a problem file, one function per object.

func (in *fileReader) problem(root *node) Problem {
	o := in.object(root, "", "now", "zone", "confidence", "currency", "sessions", "resources",
		"change_car_minutes", "cars", "access", "closing", "parts", "jobs", "previous", "effort", "pace")
	zone, err := loadZone(o.text("zone"))
	if err != nil {
		in.fail("zone", "unknown zone %q", o.text("zone"))
		return Problem{}
	}
	in.zone = zone
	o.text("currency")
	return Problem{
		Zone:             o.text("zone"),
		Now:              o.instant("now"),
		Confidence:       o.amount("confidence", 0),
		Sessions:         list(o, "sessions", in.session),
		Resources:        list(o, "resources", in.resource),
		ChangeCarMinutes: o.count("change_car_minutes"),
		Cars:             list(o, "cars", in.car),
		Access:           list(o, "access", in.access),
		Closing:          list(o, "closing", in.closing),
		Parts:            list(o, "parts", in.part),
		Jobs:             list(o, "jobs", in.job),
		Previous:         list(o, "previous", in.earlier),
		Effort:           o.count("effort"),
		Pace:             in.pace(o),
	}
}

func (in *fileReader) pace(top object) *Pace {
	n := top.get("pace")
	if n == nil {
		return nil
	}
	o := in.object(n, "pace", "factor", "sigma")
	return &Pace{Factor: o.amount("factor", DefaultPace.Factor), Sigma: o.amount("sigma", DefaultPace.Sigma)}
}

func (in *fileReader) earlier(n *node, where string) Earlier {
	o := in.object(n, where, "job", "stage", "from")
	return Earlier{Job: o.text("job"), Stage: o.text("stage"), From: o.instant("from")}
}

func loadZone(name string) (*time.Location, error) {
	if name == "Local" { // would make the answer depend on the machine
		name = "-"
	}
	return time.LoadLocation(name)
}

func (in *fileReader) session(n *node, where string) Session {
	o := in.object(n, where, "from", "to", "helpers")
	return Session{From: o.instant("from"), To: o.instant("to"), Helpers: o.count("helpers")}
}

func (in *fileReader) resource(n *node, where string) Resource {
	o := in.object(n, where, "id", "capacity", "windows")
	r := Resource{ID: o.text("id"), Capacity: 1, Windows: list(o, "windows", in.window)}
	if o.get("capacity") != nil {
		r.Capacity = o.count("capacity")
	}
	return r
}

func (in *fileReader) window(n *node, where string) Window {
	o := in.object(n, where, "from", "to")
	return Window{From: o.moment("from"), To: o.moment("to")}
}

func (in *fileReader) car(n *node, where string) Car {
	o := in.object(n, where, "id", "arrives", "road_needs", "on_lift", "immobile")
	return Car{
		ID: o.text("id"), Arrives: o.times("arrives"), RoadNeeds: list(o, "road_needs", in.roadNeed),
		OnLift: o.truth("on_lift"), Immobile: o.truth("immobile"),
	}
}

func (in *fileReader) roadNeed(n *node, where string) RoadNeed {
	o := in.object(n, where, "from", "to")
	from, to := o.moment("from"), o.moment("to")
	return RoadNeed{From: dayStart(from, in.zone), To: dayEnd(to, in.zone)}
}

func (in *fileReader) access(n *node, where string) Access {
	o := in.object(n, where, "id", "car", "open_minutes", "close_minutes", "inside", "stays", "open")
	return Access{
		ID: o.text("id"), Car: o.text("car"), OpenMinutes: o.count("open_minutes"), CloseMinutes: o.count("close_minutes"),
		Inside: list(o, "inside", in.text), Stays: o.truth("stays"), Open: o.truth("open"),
	}
}

func (in *fileReader) closing(n *node, where string) Closing {
	o := in.object(n, where, "id", "car", "minutes", "needs")
	return Closing{ID: o.text("id"), Car: o.text("car"), Minutes: o.count("minutes"), Needs: o.needs("needs")}
}

func (in *fileReader) part(n *node, where string) Part {
	o := in.object(n, where, "id", "on_hand", "arrivals", "order_lead_days")
	return Part{
		ID: o.text("id"), OnHand: o.count("on_hand"),
		Arrivals: list(o, "arrivals", in.arrival), OrderLeadDays: o.numbers("order_lead_days", true),
	}
}

func (in *fileReader) arrival(n *node, where string) Arrival {
	o := in.object(n, where, "qty", "at", "from_job")
	a := Arrival{Qty: 1, At: o.times("at"), FromJob: o.text("from_job")}
	if o.get("qty") != nil {
		a.Qty = o.count("qty")
	}
	return a
}

func (in *fileReader) job(n *node, where string) Job {
	o := in.object(n, where, "id", "car", "weight", "not_before", "due", "due_for",
		"late_cost_per_day", "late_cost", "dues", "pin", "after", "stages")
	return Job{
		ID: o.text("id"), Car: o.text("car"), Weight: o.amount("weight", 1),
		NotBefore: o.moment("not_before"), Due: o.moment("due"), DueFor: o.text("due_for"),
		LateCostPerDay: o.amount("late_cost_per_day", 0), LateCost: o.amount("late_cost", 0),
		Dues: list(o, "dues", in.due), Pin: o.moment("pin"), After: list(o, "after", in.after), Stages: list(o, "stages", in.stage),
	}
}

func (in *fileReader) due(n *node, where string) Due {
	o := in.object(n, where, "at", "for", "late_cost_per_day", "late_cost")
	if o.get("at") == nil {
		in.fail(o.at("at"), "missing")
	}
	return Due{
		At: o.moment("at"), For: o.text("for"),
		LateCostPerDay: o.amount("late_cost_per_day", 0), LateCost: o.amount("late_cost", 0),
	}
}

func (in *fileReader) after(n *node, where string) After {
	o := in.object(n, where, "job", "gap_minutes")
	return After{Job: o.text("job"), GapMinutes: o.count("gap_minutes")}
}

func (in *fileReader) stage(n *node, where string) Stage {
	o := in.object(n, where, "id", "kind", "minutes", "days", "working_days", "needs", "access",
		"closing", "parts", "immobile", "follows_at_once")
	s := Stage{
		ID: o.text("id"), Kind: o.text("kind"), WorkingDays: list(o, "working_days", in.text), Needs: o.needs("needs"),
		Access: list(o, "access", in.text), Closing: list(o, "closing", in.text), Parts: list(o, "parts", in.need),
		Immobile: o.text("immobile"), FollowsAtOnce: o.truth("follows_at_once"),
	}
	in.duration(o, &s)
	return s
}

// duration reads minutes or days, whichever the stage's kind calls for.
func (in *fileReader) duration(o object, s *Stage) {
	minutes, days := o.numbers("minutes", false), o.numbers("days", false)
	want, has := "minutes", minutes
	if s.Kind == Outside {
		want, has = "days", days
	}
	if has == nil {
		in.fail(o.at(want), "missing")
	}
	if minutes != nil {
		s.Minutes = *minutes
	}
	if days != nil {
		s.Days = *days
	}
}

func (in *fileReader) need(n *node, where string) Need {
	o := in.object(n, where, "part", "qty")
	need := Need{Part: o.text("part"), Qty: 1}
	if o.get("qty") != nil {
		need.Qty = o.count("qty")
	}
	return need
}
