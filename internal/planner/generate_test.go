package planner_test

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"time"
)

// The generator makes problems that the planner must accept, from a seed. It aims at the corners: sessions
// too short for a piece, nights in which the clock changes, cars that come late, everything blocked.

type object map[string]any

// generator builds one problem.
type generator struct {
	*rand.Rand
	loc      *time.Location
	zone     string
	now      time.Time
	sessions [][2]time.Time
	cars     []string
	donor    string
	access   map[string][]string // by car
	closings map[string][]string
	harvests []int // indexes of jobs that free parts
	parts    []string
	fromJob  map[string]int // part -> the job that frees some of it
	tools    []string
	lift     bool
	chained  map[string]bool // cars with an immobile span over two jobs
	jobCar   []string
	stuck    []string // cars that are immobile at now
	trap     bool     // much that makes cars immobile over long waits, on two lifts
}

// generate returns the problem of a seed as JSON.
func generate(seed uint64) []byte {
	g := &generator{
		Rand: rand.New(rand.NewPCG(seed, 20270306)), access: map[string][]string{},
		closings: map[string][]string{}, fromJob: map[string]int{}, chained: map[string]bool{},
	}
	b, err := json.MarshalIndent(g.problem(), "", " ")
	if err != nil {
		panic(err)
	}
	return b
}

func (g *generator) odds(percent int) bool { return g.IntN(100) < percent }

func pick[T any](g *generator, list ...T) T { return list[g.IntN(len(list))] }

// some takes a part of a list, in another order.
func some(g *generator, list []string, percent int) []string {
	var out []string
	for _, i := range g.Perm(len(list)) {
		if g.odds(percent) {
			out = append(out, list[i])
		}
	}
	return out
}

// clockChanges holds zones with a day near which their clocks change; in some the midnight of that day does
// not exist (Santiago, Beirut), in one the change is half an hour (Lord Howe).
var clockChanges = [][2]string{
	{"Europe/Vienna", "2027-03-28"},
	{"Europe/Vienna", "2027-10-31"},
	{"America/New_York", "2027-03-14"},
	{"America/New_York", "2027-11-07"},
	{"America/Santiago", "2027-09-05"},
	{"Asia/Beirut", "2027-03-28"},
	{"Australia/Lord_Howe", "2027-10-03"},
	{"Australia/Lord_Howe", "2027-04-04"},
	{"UTC", "2027-12-31"},
	{"Asia/Kolkata", "2028-02-29"},
	{"Europe/Vienna", "2027-03-06"},
	{"Europe/Vienna", "2027-06-15"},
}

func (g *generator) problem() object {
	zone := clockChanges[g.IntN(len(clockChanges))]
	g.zone = zone[0]
	g.loc, _ = time.LoadLocation(g.zone)
	day, _ := time.Parse(time.DateOnly, zone[1])
	g.now = time.Date(day.Year(), day.Month(), day.Day()-g.IntN(6), 6+g.IntN(15), 5*g.IntN(12), 0, 0, g.loc)
	g.trap = g.odds(15)
	p := object{"now": g.clock(g.now), "zone": g.zone, "sessions": g.makeSessions(), "resources": g.makeResources()}
	if g.odds(70) {
		p["change_car_minutes"] = pick(g, 0, 5, 10, 20)
	}
	if g.odds(30) {
		p["confidence"] = pick(g, 0.5, 0.6, 0.75, 0.9, 0.95, 0.99)
	}
	p["cars"] = g.makeCars()
	p["access"] = g.makeAccess()
	p["closing"] = g.makeClosings()
	n := pick(g, 1, 2, 3, 4, 5, 6, 8, 12)
	p["parts"] = g.makeParts(n)
	p["jobs"] = g.makeJobs(n)
	return p
}

// clock writes an instant, in local time when that says it without doubt.
func (g *generator) clock(t time.Time) string {
	local := t.In(g.loc)
	if local.Hour() >= 5 && g.odds(60) {
		return local.Format("2006-01-02T15:04")
	}
	if g.odds(30) {
		return t.UTC().Format(time.RFC3339)
	}
	return local.Format(time.RFC3339)
}

func (g *generator) date(t time.Time) string { return t.In(g.loc).Format(time.DateOnly) }

// inDays is a time some days from now.
func (g *generator) inDays(least, most int) time.Time {
	return g.now.AddDate(0, 0, least+g.IntN(most-least+1))
}

// makeSessions makes a ragged handful of sessions, some of no use to anybody, or, more often, an owner's weeks
// of evenings and long Saturdays.
func (g *generator) makeSessions() []object {
	out := []object{}
	add := func(from time.Time, minutes int) time.Time {
		to := from.Add(time.Duration(minutes) * time.Minute)
		s := object{"from": g.clock(from), "to": g.clock(to)}
		if helpers := pick(g, 0, 0, 0, 1, 1, 2); helpers > 0 || g.odds(50) {
			s["helpers"] = helpers
		}
		out = append(out, s)
		if to.After(g.now) {
			g.sessions = append(g.sessions, [2]time.Time{from, to})
		}
		return to
	}
	if g.odds(60) {
		day := g.now.AddDate(0, 0, -1)
		for range pick(g, 3, 7, 10, 14, 21) {
			switch day = day.AddDate(0, 0, 1); {
			case day.Weekday() == time.Saturday || day.Weekday() == time.Sunday:
				add(time.Date(day.Year(), day.Month(), day.Day(), 9, 0, 0, 0, g.loc), pick(g, 180, 480, 540))
			case g.odds(60):
				add(time.Date(day.Year(), day.Month(), day.Day(), 18, 30, 0, 0, g.loc), pick(g, 90, 150, 180))
			}
		}
	} else {
		t := g.now.Add(-time.Duration(g.IntN(30)) * time.Hour)
		for range pick(g, 0, 1, 2, 3, 4, 6, 8, 10, 14, 14) {
			t = add(t, pick(g, 10, 19, 20, 25, 45, 60, 100, 150, 150, 240, 480, 480, 700))
			t = t.Add(time.Duration(pick(g, 0, 30, 5*60, 14*60, 22*60, 24*60, 40*60, 3*24*60)) * time.Minute)
		}
	}
	g.Shuffle(len(out), func(i, j int) { out[i], out[j] = out[j], out[i] })
	return out
}

func (g *generator) makeResources() []object {
	out := []object{}
	if g.lift = g.trap || g.odds(80); g.lift {
		lift := object{"id": "lift", "capacity": pick(g, 1, 1, 2)}
		if g.trap {
			lift["capacity"] = 2
		}
		out = append(out, lift)
	}
	if g.odds(50) {
		g.tools = append(g.tools, "press")
		out = append(out, object{"id": "press", "capacity": pick(g, 1, 1, 2)})
	}
	if g.odds(40) {
		g.tools = append(g.tools, "puller")
		var windows []object
		for range 1 + g.IntN(2) {
			a := g.inDays(-1, 6)
			b := a.Add(time.Duration(1+g.IntN(60)) * time.Hour)
			w := object{"from": g.clock(a), "to": g.clock(b)}
			if g.odds(40) {
				w = object{"from": g.date(a), "to": g.date(b)}
			}
			windows = append(windows, w)
		}
		out = append(out, object{"id": "puller", "capacity": 1, "windows": windows})
	}
	return out
}

func (g *generator) makeCars() []object {
	var out []object
	for i := range pick(g, 1, 2, 2, 3, 4) {
		id := []string{"estate", "coupe", "van", "pickup"}[i]
		g.cars = append(g.cars, id)
		car := object{"id": id}
		switch {
		case g.odds(45):
			car["road_needs"] = g.makeRoadNeeds()
		case g.lift && i == 0 && g.odds(15):
			car["on_lift"], car["immobile"] = true, true
			g.stuck = append(g.stuck, id)
		case g.odds(5):
			car["immobile"] = true
			g.stuck = append(g.stuck, id)
		}
		if g.lift && i == 0 && car["immobile"] == nil && g.odds(20) {
			car["on_lift"] = true
		}
		if car["on_lift"] == nil && g.odds(10) {
			car["arrives"] = g.date(g.inDays(0, 4))
		}
		out = append(out, car)
	}
	if g.odds(40) {
		g.donor = "shell"
		a := g.inDays(-3, 5)
		arrives := []string{g.date(a), g.date(a.AddDate(0, 0, g.IntN(4))), g.date(a.AddDate(0, 0, 4+g.IntN(9)))}
		out = append(out, object{"id": g.donor, "arrives": arrives})
	}
	return out
}

func (g *generator) makeRoadNeeds() []object {
	out := []object{}
	t := g.now.Add(time.Duration(g.IntN(60)) * time.Hour)
	for range g.IntN(4) {
		end := t.Add(time.Duration(1+g.IntN(14)) * time.Hour)
		out = append(out, object{"from": g.clock(t), "to": g.clock(end)})
		t = end.Add(time.Duration(4+g.IntN(80)) * time.Hour)
	}
	return out
}

func (g *generator) makeAccess() []object {
	out := []object{}
	for _, car := range g.cars {
		for i := range pick(g, 0, 1, 2, 3, 4) {
			id := fmt.Sprintf("%s-%s", car, []string{"wheels", "tray", "subframe", "interior"}[i])
			a := object{
				"id": id, "car": car, "open_minutes": pick(g, 0, 5, 15, 30, 60),
				"close_minutes": pick(g, 0, 5, 20, 40), "stays": g.odds(35),
			}
			if inside := some(g, g.access[car], 40); len(inside) > 0 {
				a["inside"] = inside
			}
			g.access[car] = append(g.access[car], id)
			out = append(out, a)
		}
		if len(g.access[car]) > 0 && g.odds(8) {
			out[len(out)-len(g.access[car])]["open"] = true // the first is inside nothing
		}
	}
	return out
}

func (g *generator) makeClosings() []object {
	out := []object{}
	for _, car := range g.cars {
		for i := range pick(g, 0, 0, 1, 2) {
			id := fmt.Sprintf("%s-%s", car, []string{"bleed", "road-test"}[i])
			x := object{"id": id, "car": car, "minutes": pick(g, 10, 20, 45)}
			if g.odds(30) {
				x["needs"] = object{"helpers": 1}
			}
			g.closings[car] = append(g.closings[car], id)
			out = append(out, x)
		}
	}
	return out
}

func (g *generator) makeParts(jobs int) []object {
	out := []object{}
	for i := range g.IntN(6) {
		id := []string{"arm", "seal", "pump", "disc", "fluid"}[i%5]
		if slices.Contains(g.parts, id) {
			continue
		}
		g.parts = append(g.parts, id)
		part := object{"id": id, "on_hand": pick(g, 0, 0, 1, 2, 5, 5)}
		arrivals := []object{}
		for range g.IntN(3) {
			arrivals = append(arrivals, object{"qty": 1 + g.IntN(2), "at": g.makeArrival()})
		}
		if jobs > 1 && g.odds(30) {
			n := g.IntN(jobs - 1)
			g.fromJob[id] = n
			g.harvests = append(g.harvests, n)
			arrivals = append(arrivals, object{"qty": 1 + g.IntN(2), "from_job": jobID(n)})
		}
		part["arrivals"] = arrivals
		if g.odds(40) {
			low := g.IntN(4)
			part["order_lead_days"] = pick[any](g, []int{low, low + g.IntN(3), low + 2 + g.IntN(8)}, low)
		}
		out = append(out, part)
	}
	return out
}

func (g *generator) makeArrival() any {
	a := g.inDays(-2, 6)
	b := a.AddDate(0, 0, g.IntN(3))
	c := b.Add(time.Duration(g.IntN(200)) * time.Hour)
	switch g.IntN(3) {
	case 0:
		return g.date(a)
	case 1:
		return []string{g.clock(a), g.clock(b), g.clock(c)}
	default:
		return []string{g.date(a), g.date(b), g.date(c)}
	}
}

// jobID gives ids whose order differs from that of the jobs.
func jobID(i int) string { return fmt.Sprintf("%c-job", 'a'+(i*7+3)%26) }

func (g *generator) makeJobs(n int) []object {
	var out []object
	for i := range n {
		car := pick(g, g.cars...)
		if g.donor != "" && (slices.Contains(g.harvests, i) || g.odds(5)) {
			car = g.donor
		}
		g.jobCar = append(g.jobCar, car)
		job := object{"id": jobID(i), "car": car, "stages": g.makeStages(i, car)}
		g.addWishes(job)
		g.addDues(job)
		after := []object{}
		for k := range i {
			if g.odds(100 / (i + 3)) {
				a := object{"job": jobID(k)}
				if g.odds(40) {
					a["gap_minutes"] = pick(g, 0, 30, 600, 1440)
				}
				after = append(after, a)
			}
		}
		if len(after) > 0 {
			job["after"] = after
		}
		out = append(out, job)
	}
	for _, car := range g.stuck {
		g.free(out, car)
	}
	if g.odds(30) {
		g.chainTwo(out)
	}
	return out
}

// free ends the immobility that a car has at now with the last stage of one of its jobs, mostly.
func (g *generator) free(jobs []object, car string) {
	g.chained[car] = true
	done := g.odds(30)
	for i, job := range jobs {
		if g.jobCar[i] != car {
			continue
		}
		stages := job["stages"].([]object)
		for _, s := range stages {
			delete(s, "immobile")
		}
		if last := stages[len(stages)-1]; last["kind"] == "bench" && !done {
			last["immobile"], done = "until", true
		}
	}
}

// addDues gives some jobs further due dates, by chance of its own.
func (g *generator) addDues(job object) {
	own := rand.New(rand.NewPCG(uint64(g.now.Unix()), uint64(len(g.jobCar))))
	if own.IntN(8) > 0 {
		return
	}
	var dues []object
	for range 1 + own.IntN(2) {
		due := object{"at": g.date(g.now.AddDate(0, 0, own.IntN(8))), "late_cost": 10 * own.IntN(30)}
		if own.IntN(2) == 0 {
			due["for"], due["late_cost_per_day"] = "core deposit", own.IntN(20)
		}
		dues = append(dues, due)
	}
	job["dues"] = dues
}

// addWishes gives a job its weight, dates and pin.
func (g *generator) addWishes(job object) {
	if g.odds(70) {
		job["weight"] = g.IntN(6)
	}
	if g.odds(15) {
		job["not_before"] = pick(g, g.date(g.inDays(-1, 4)), g.clock(g.inDays(0, 4)))
	}
	if g.odds(35) {
		job["due"] = pick(g, g.date(g.inDays(-1, 7)), g.clock(g.inDays(0, 7)))
		job["late_cost_per_day"] = pick(g, 0, 5, 30)
		if g.odds(40) {
			job["late_cost"] = pick(g, 10, 200)
		}
	}
	if job["due"] == nil && g.odds(20) {
		job["due"] = nil // said to be none, as good as not said
	}
	if len(g.sessions) > 0 && g.odds(12) {
		s := g.sessions[g.IntN(len(g.sessions))]
		pin := s[0]
		if g.odds(30) || pin.Before(g.now) {
			pin = s[1].Add(-time.Minute)
		}
		if g.odds(10) {
			pin = g.inDays(-2, 10)
		}
		job["pin"] = g.clock(pin)
	}
}

func (g *generator) makeStages(job int, car string) []object {
	var out []object
	trap := g.trap && g.odds(50)
	for i := range pick(g, 1, 1, 1, 2, 3) {
		kind := pick(g, "bench", "bench", "bench", "bench", "wait", "outside")
		if i == 0 && g.odds(80) {
			kind = "bench"
		}
		if trap {
			kind = []string{"bench", "wait", "bench"}[i]
		}
		s := object{"id": fmt.Sprintf("s%d", i), "kind": kind}
		switch kind {
		case "bench":
			g.makeBench(s, car)
			if i > 0 && out[i-1]["kind"] == "bench" && g.odds(15) {
				s["follows_at_once"] = true
			}
		case "wait":
			s["minutes"] = g.spread(pick(g, 30, 600, 1440, 2000))
			if g.lift && g.odds(10) {
				s["needs"] = object{"lift": 1} // set under its own weight
			}
			g.needTool(s, 10)
		case "outside":
			n := g.IntN(4)
			s["days"] = []int{n, n + g.IntN(2), n + 4}
			if g.odds(30) {
				s["working_days"] = some(g, strings.Fields("sun mon tue wed thu fri sat"), 70)
				if len(s["working_days"].([]string)) == 0 {
					s["working_days"] = []string{"sat"}
				}
			}
		}
		g.needParts(s, job)
		out = append(out, s)
	}
	if trap || g.odds(35) {
		g.chainOne(out)
	}
	return out
}

// spread makes three values round a likely one.
func (g *generator) spread(likely int) []int {
	return []int{likely - likely/4, likely, likely + g.IntN(120)}
}

func (g *generator) makeBench(s object, car string) {
	s["minutes"] = g.spread(pick(g, 5, 19, 20, 21, 30, 45, 60, 90, 150, 240, 400))
	needs := object{}
	if g.lift && g.odds(50) {
		needs["lift"] = 1
	}
	if g.odds(10) {
		needs["helpers"] = 1
	}
	if g.odds(5) {
		needs["hands"] = g.IntN(2)
	}
	s["needs"] = needs
	g.needTool(s, 15)
	if a := some(g, g.access[car], 35); len(a) > 0 {
		s["access"] = a
	}
	if a := some(g, g.closings[car], 30); len(a) > 0 {
		s["closing"] = a
	}
}

func (g *generator) needTool(s object, percent int) {
	needs, _ := s["needs"].(object)
	if needs == nil {
		needs = object{}
	}
	for _, tool := range g.tools {
		if g.odds(percent) {
			needs[tool] = 1
		}
	}
	if len(needs) > 0 {
		s["needs"] = needs
	}
}

func (g *generator) needParts(s object, job int) {
	needs := []object{}
	for _, i := range g.Perm(len(g.parts)) {
		part := g.parts[i]
		source, freed := g.fromJob[part]
		if odds := map[bool]int{true: 45, false: 18}[freed]; freed && source >= job || !g.odds(odds) {
			continue
		}
		n := object{"part": part}
		if g.odds(70) {
			n["qty"] = 1 + g.IntN(2)
		}
		needs = append(needs, n)
	}
	if len(needs) > 0 {
		s["parts"] = needs
	}
}

// chainOne makes a car immobile within one job.
func (g *generator) chainOne(stages []object) {
	first, last := 0, len(stages)-1
	if stages[first]["kind"] != "bench" || stages[last]["kind"] != "bench" {
		return
	}
	if first == last {
		stages[first]["immobile"] = "within"
		return
	}
	if stages[first]["immobile"] = "from"; !g.odds(4) { // else for good: the job is to be blocked
		stages[last]["immobile"] = "until"
	}
}

// chainTwo makes a car immobile from the first stage of a job to the last of another that comes after it,
// and takes all other immobile stages off that car, so that only one reading is possible.
func (g *generator) chainTwo(jobs []object) {
	for j := range jobs {
		for i := range j {
			a, b := jobs[i]["stages"].([]object), jobs[j]["stages"].([]object)
			if g.jobCar[i] != g.jobCar[j] || g.chained[g.jobCar[i]] || a[0]["kind"] != "bench" || b[len(b)-1]["kind"] != "bench" {
				continue
			}
			g.chained[g.jobCar[i]] = true
			for k, job := range jobs {
				for _, s := range job["stages"].([]object) {
					if g.jobCar[k] == g.jobCar[i] {
						delete(s, "immobile")
					}
				}
			}
			a[0]["immobile"], b[len(b)-1]["immobile"] = "from", "until"
			after, _ := jobs[j]["after"].([]object)
			if !slices.ContainsFunc(after, func(o object) bool { return o["job"] == jobs[i]["id"] }) {
				jobs[j]["after"] = append(after, object{"job": jobs[i]["id"]})
			}
		}
	}
}

// shuffled returns the same problem with every list in another order, where the order means nothing.
func shuffled(seed uint64, problem []byte) []byte {
	g := &generator{Rand: rand.New(rand.NewPCG(seed, 1))}
	var p map[string]any
	if err := json.Unmarshal(problem, &p); err != nil {
		panic(err)
	}
	g.mix("", p)
	b, err := json.Marshal(p)
	if err != nil {
		panic(err)
	}
	return b
}

// mix shuffles all lists below a value but those whose order says something: the stages of a job, and the
// values low, likely, high.
func (g *generator) mix(name string, v any) {
	switch v := v.(type) {
	case map[string]any:
		keys := make([]string, 0, len(v))
		for k := range v {
			keys = append(keys, k)
		}
		slices.Sort(keys)
		for _, k := range keys {
			g.mix(k, v[k])
		}
	case []any:
		for _, x := range v {
			g.mix("", x)
		}
		if !slices.Contains(strings.Fields("stages minutes days at arrives order_lead_days"), name) {
			g.Shuffle(len(v), func(i, j int) { v[i], v[j] = v[j], v[i] })
		}
	}
}
