package planner_test

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"
)

// A checker that finds nothing proves nothing. Here a plan worked by hand, which holds every rule, is broken
// in one way after another, and each must be seen.

const workedProblem = `{
 "now": "2027-03-05T18:00", "zone": "UTC", "change_car_minutes": 20,
 "sessions": [
  {"from": "2027-03-06T09:00", "to": "2027-03-06T13:00", "helpers": 1},
  {"from": "2027-03-06T14:00", "to": "2027-03-06T18:00"},
  {"from": "2027-03-07T09:00", "to": "2027-03-07T17:00"},
  {"from": "2027-03-09T18:00", "to": "2027-03-09T21:00", "helpers": 1},
  {"from": "2027-03-13T09:00", "to": "2027-03-13T17:00", "helpers": 1}],
 "resources": [{"id": "lift", "capacity": 1},
  {"id": "press", "capacity": 1, "windows": [{"from": "2027-03-06", "to": "2027-03-07"}]}],
 "cars": [{"id": "estate", "road_needs": [{"from": "2027-03-08T07:00", "to": "2027-03-08T18:00"}]},
  {"id": "coupe"}, {"id": "shell", "arrives": "2027-03-06"}],
 "access": [{"id": "wheels", "car": "estate", "open_minutes": 15, "close_minutes": 20},
  {"id": "tray", "car": "estate", "open_minutes": 10, "close_minutes": 10},
  {"id": "subframe", "car": "estate", "open_minutes": 30, "close_minutes": 40, "inside": ["tray"]},
  {"id": "interior", "car": "coupe", "open_minutes": 25, "close_minutes": 30, "stays": true}],
 "closing": [{"id": "bleed", "car": "estate", "minutes": 45, "needs": {"helpers": 1}},
  {"id": "road-test", "car": "coupe", "minutes": 15}],
 "parts": [{"id": "pads", "on_hand": 1}, {"id": "gasket", "on_hand": 1}, {"id": "fluid", "on_hand": 2},
  {"id": "arm", "arrivals": [{"qty": 1, "from_job": "strip"}]},
  {"id": "seal", "arrivals": [{"qty": 1, "at": "2027-03-08"}]},
  {"id": "mount", "order_lead_days": [2, 3, 6]}],
 "jobs": [
  {"id": "brakes", "car": "estate", "weight": 3, "stages": [{"id": "fit", "kind": "bench", "minutes": [90, 100, 140],
    "needs": {"lift": 1}, "access": ["wheels"], "closing": ["bleed"], "parts": [{"part": "pads"}]}]},
  {"id": "discs", "car": "estate", "stages": [{"id": "fit", "kind": "bench", "minutes": [30, 30, 30],
    "needs": {"lift": 1}, "access": ["wheels"], "closing": ["bleed"], "parts": [{"part": "fluid", "qty": 1}]}]},
  {"id": "gearbox", "car": "coupe", "weight": 2, "stages": [
    {"id": "out", "kind": "bench", "minutes": [100, 120, 150], "needs": {"lift": 1}, "immobile": "from"},
    {"id": "cure", "kind": "wait", "minutes": [600, 600, 600]},
    {"id": "in", "kind": "bench", "minutes": [150, 200, 300], "needs": {"lift": 1}, "immobile": "until",
     "closing": ["road-test"], "parts": [{"part": "gasket", "qty": 1}]}]},
  {"id": "trim", "car": "coupe", "stages": [
    {"id": "fit", "kind": "bench", "minutes": [50, 50, 50], "access": ["interior"]},
    {"id": "glue", "kind": "bench", "minutes": [25, 25, 25], "access": ["interior"], "follows_at_once": true}]},
  {"id": "strip", "car": "shell", "stages": [{"id": "take", "kind": "bench", "minutes": [90, 90, 90], "needs": {"press": 1}}]},
  {"id": "trail", "car": "estate", "after": [{"job": "strip", "gap_minutes": 600}], "stages": [
    {"id": "swap", "kind": "bench", "minutes": [240, 300, 400], "needs": {"lift": 1}, "access": ["subframe"],
     "parts": [{"part": "arm", "qty": 1}]},
    {"id": "finish", "kind": "bench", "minutes": [60, 60, 60], "needs": {"lift": 1}, "access": ["subframe"],
     "parts": [{"part": "mount", "qty": 1}]}]},
  {"id": "paint", "car": "coupe", "after": [{"job": "trim", "gap_minutes": 60}], "stages": [
    {"id": "shop", "kind": "outside", "days": [1, 2, 3]}]},
  {"id": "sticker", "car": "coupe", "due": "2027-03-06", "late_cost_per_day": 10, "late_cost": 5,
   "stages": [{"id": "do", "kind": "bench", "minutes": [30, 30, 30]}]},
  {"id": "wash", "car": "estate", "pin": "2027-03-13T09:00", "not_before": "2027-03-09",
   "stages": [{"id": "do", "kind": "bench", "minutes": [20, 20, 20]}]},
  {"id": "hose", "car": "coupe", "stages": [{"id": "do", "kind": "bench", "minutes": [30, 30, 30], "needs": {"helpers": 1},
    "parts": [{"part": "seal", "qty": 1}]}]},
  {"id": "bonnet", "car": "coupe", "stages": [{"id": "do", "kind": "bench", "minutes": [30, 30, 30],
    "parts": [{"part": "seal", "qty": 2}]}]},
  {"id": "bonnet-paint", "car": "coupe", "after": [{"job": "bonnet", "gap_minutes": 0}],
   "stages": [{"id": "do", "kind": "bench", "minutes": [30, 30, 30]}]}]}`

// march writes a time of March 2027 given as "6 09:35".
func march(s string) string {
	day, clock, _ := strings.Cut(s, " ")
	if len(day) == 1 {
		day = "0" + day
	}
	return "2027-03-" + day + "T" + clock + ":00Z"
}

func marchSpan(from, to string) givenSpan { return givenSpan{march(from), march(to)} }

func workedStage(name, car, kind, because string, spans ...string) answerStage {
	job, stage, _ := strings.Cut(name, "/")
	s := answerStage{
		Job: job, Stage: stage, Car: car, Kind: kind, Because: answerBecause{Kind: because},
		From: march(spans[0]), To: march(spans[len(spans)-1]),
	}
	for i := 0; kind == "bench" && i < len(spans); i += 2 {
		s.Pieces = append(s.Pieces, marchSpan(spans[i], spans[i+1]))
	}
	return s
}

// because gives the stage's reason its object and time.
func (s answerStage) because(of, until string) answerStage {
	s.Because.Of, s.Because.Until = of, march(until)
	return s
}

func workedItem(name, from, to string) answerItem {
	kind, of, _ := strings.Cut(name, " ")
	return answerItem{Kind: kind, Of: of, From: march(from), To: march(to)}
}

// workedAnswer is a plan for workedProblem, worked by hand. The brakes and discs share wheels and bleeding
// (saved 15+20+45); the coupe stays on the lift from the gearbox coming out to its going in, the trim is
// done meanwhile; the arm comes from the shell on Sunday, the mount is ordered (3 + 3/4 of 3 days, so six
// days: there on the 12th); the road need on Monday is between the estate's visits; the sticker is 905
// minutes late, one day and once: 15; the second seal is not to be had.
func workedAnswer() *answerPlan {
	return &answerPlan{
		Now: march("5 18:00"), Zone: "UTC",
		Stages: []answerStage{
			workedStage("brakes/fit", "estate", "bench", "session", "6 09:35", "6 11:15").because("", "6 09:00"),
			workedStage("discs/fit", "estate", "bench", "hands", "6 11:15", "6 11:45").because("brakes", "6 11:15"),
			workedStage("gearbox/out", "coupe", "bench", "lift", "6 14:20", "6 16:20").because("estate", "6 12:50"),
			workedStage("gearbox/cure", "coupe", "wait", "stage", "6 16:20", "7 02:20").because("out", "6 16:20"),
			workedStage("trim/fit", "coupe", "bench", "hands", "6 16:45", "6 17:35").because("gearbox", "6 16:20"),
			workedStage("trim/glue", "coupe", "bench", "stage", "6 17:35", "6 18:00").because("fit", "6 17:35"),
			workedStage("paint/shop", "coupe", "outside", "job", "6 19:00", "10 00:00").because("trim", "6 19:00"),
			workedStage("gearbox/in", "coupe", "bench", "stage", "7 09:00", "7 12:20").because("cure", "7 02:20"),
			workedStage("strip/take", "shell", "bench", "hands", "7 13:05", "7 14:35").because("gearbox", "7 12:20"),
			workedStage("sticker/do", "coupe", "bench", "hands", "7 14:35", "7 15:05").because("strip", "7 14:35"),
			workedStage("trail/swap", "estate", "bench", "road_need", "9 19:00", "9 21:00", "13 09:00", "13 12:00").because("estate", "8 18:00"),
			workedStage("trail/finish", "estate", "bench", "stage", "13 12:00", "13 13:00").because("swap", "13 12:00"),
			workedStage("wash/do", "estate", "bench", "pin", "13 13:50", "13 14:10").because("", "13 09:00"),
			workedStage("hose/do", "coupe", "bench", "hands", "13 14:10", "13 14:40").because("wash", "13 14:10"),
		},
		Blocked: []answerBlocked{
			{"bonnet", []answerWhy{{Kind: "part", Of: "seal", Short: 2, TakenBy: []string{"hose"}}}},
			{"bonnet-paint", []answerWhy{{Kind: "job", Of: "bonnet"}}},
		},
		Visits: []answerVisit{
			{"estate", true, march("6 09:00"), march("6 12:50"), 80, []answerItem{
				workedItem("change", "6 09:00", "6 09:20"), workedItem("open wheels", "6 09:20", "6 09:35"),
				workedItem("close wheels", "6 11:45", "6 12:05"), workedItem("closing bleed", "6 12:05", "6 12:50"),
			}},
			{"coupe", true, march("6 14:00"), march("7 13:05"), 0, []answerItem{
				workedItem("change", "6 14:00", "6 14:20"), workedItem("open interior", "6 16:20", "6 16:45"),
				workedItem("close interior", "7 12:20", "7 12:50"), workedItem("closing road-test", "7 12:50", "7 13:05"),
			}},
			{"estate", true, march("9 18:00"), march("13 13:50"), 0, []answerItem{
				workedItem("change", "9 18:00", "9 18:20"), workedItem("open tray", "9 18:20", "9 18:30"),
				workedItem("open subframe", "9 18:30", "9 19:00"), workedItem("close subframe", "13 13:00", "13 13:40"),
				workedItem("close tray", "13 13:40", "13 13:50"),
			}},
		},
		Promises: []answerPromise{
			{Job: "brakes", Stage: "fit", Part: "pads", Qty: 1, Source: "on_hand", At: march("5 18:00")},
			{Job: "discs", Stage: "fit", Part: "fluid", Qty: 1, Source: "on_hand", At: march("5 18:00")},
			{Job: "gearbox", Stage: "in", Part: "gasket", Qty: 1, Source: "on_hand", At: march("5 18:00")},
			{Job: "trail", Stage: "swap", Part: "arm", Qty: 1, Source: "job", Of: "strip", At: march("7 14:35")},
			{Job: "trail", Stage: "finish", Part: "mount", Qty: 1, Source: "order", At: march("12 00:00"), OrderBy: "2027-03-06"},
			{Job: "hose", Stage: "do", Part: "seal", Qty: 1, Source: "arrival", At: march("9 00:00")},
		},
		Totals: answerTotals{LateCost: 15, WeightedCompletion: 933.667, OverheadMinutes: 300, MinutesSaved: 80, Bound: 500},
	}
}

// stageOf finds a stage of an answer by job/stage.
func (a *answerPlan) stageOf(name string) *answerStage {
	i := slices.IndexFunc(a.Stages, func(s answerStage) bool { return s.Job+"/"+s.Stage == name })
	return &a.Stages[i]
}

// move puts a bench stage done in one piece somewhere else.
func (a *answerPlan) move(name, from, to string) {
	s := a.stageOf(name)
	s.From, s.To = march(from), march(to)
	if s.Kind == "bench" {
		s.Pieces = []givenSpan{marchSpan(from, to)}
	}
}

// drop takes a piece of overhead out of a visit.
func (a *answerPlan) drop(visit int, name string) {
	kind, of, _ := strings.Cut(name, " ")
	v := &a.Visits[visit]
	v.Overhead = slices.DeleteFunc(v.Overhead, func(o answerItem) bool { return o.Kind == kind && o.Of == of })
}

// shift puts a piece of overhead elsewhere in time.
func (a *answerPlan) shift(visit int, name, from, to string) {
	kind, of, _ := strings.Cut(name, " ")
	for i := range a.Visits[visit].Overhead {
		if o := &a.Visits[visit].Overhead[i]; o.Kind == kind && o.Of == of {
			o.From, o.To = march(from), march(to)
		}
	}
}

func TestCheck_WorkedAnswer(t *testing.T) {
	t.Parallel()
	b, err := json.Marshal(workedAnswer())
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range check([]byte(workedProblem), b) {
		t.Error(line)
	}
}

// breakage is one way to break the worked plan: the answer is changed, or the problem under it is.
type breakage struct {
	name  string
	wants string // what the complaint starts with
	spoil func(a *answerPlan)
	old   string // in the problem, replaced by new
	new   string
}

var breakages = []breakage{
	// sessions and pieces
	{name: "piece outside a session", wants: "R1 brakes/fit works outside", spoil: func(a *answerPlan) { a.move("brakes/fit", "6 07:20", "6 09:00") }},
	{name: "piece over a lunch break", wants: "R1 wash/do works outside", spoil: func(a *answerPlan) { a.move("wash/do", "6 12:55", "6 13:15") }},
	{name: "minutes too few", wants: "R1 strip/take works 60", spoil: func(a *answerPlan) { a.move("strip/take", "7 13:05", "7 14:05") }},
	{name: "pause within a session", wants: "R1 trail/swap pauses", spoil: func(a *answerPlan) {
		a.stageOf("trail/swap").Pieces = []givenSpan{marchSpan("9 19:00", "9 20:30"), marchSpan("13 09:00", "13 12:00")}
	}},
	{name: "goes on in the middle of a session", wants: "R1 trail/swap goes on", spoil: func(a *answerPlan) {
		a.stageOf("trail/swap").Pieces[1] = marchSpan("13 09:10", "13 12:00")
	}},
	{
		name: "leaves out a session", wants: "R1 trail/swap leaves out",
		old: `{"from": "2027-03-13T09:00"`, new: `{"from": "2027-03-10T18:00", "to": "2027-03-10T20:00"}, {"from": "2027-03-13T09:00"`,
	},
	{name: "piece of five minutes", wants: "R1 trail/swap has a piece of 5", spoil: func(a *answerPlan) {
		s := a.stageOf("trail/swap")
		s.From, s.Pieces = march("9 20:55"), []givenSpan{marchSpan("9 20:55", "9 21:00"), marchSpan("13 09:00", "13 13:55")}
		s.To = march("13 13:55")
	}},
	{name: "wait too short", wants: "R1 gearbox/cure ends", spoil: func(a *answerPlan) { a.move("gearbox/cure", "6 16:20", "6 22:00") }},
	{name: "outside work over a weekend", wants: "R1 paint/shop ends", spoil: func(a *answerPlan) { a.move("paint/shop", "6 19:00", "8 19:00") }},
	{name: "does not follow at once", wants: "R1 trim/glue does not follow", spoil: func(a *answerPlan) { a.move("trim/glue", "7 15:05", "7 15:30") }},
	{name: "overhead outside a session", wants: "R1 estate open wheels outside", spoil: func(a *answerPlan) { a.shift(0, "open wheels", "6 08:20", "6 08:35") }},
	{name: "overhead too short", wants: "R1 estate closing bleed takes", spoil: func(a *answerPlan) { a.shift(0, "closing bleed", "6 12:05", "6 12:10") }},
	// hands, helpers, tools, lift
	{name: "two things at once", wants: "R2 hands on", spoil: func(a *answerPlan) { a.move("sticker/do", "7 14:05", "7 14:35") }},
	{name: "work during overhead", wants: "R2 hands on", spoil: func(a *answerPlan) { a.move("sticker/do", "6 12:05", "6 12:35") }},
	{name: "helper not there", wants: "R2 hose/do wants 1 helpers", spoil: func(a *answerPlan) { a.move("hose/do", "7 15:05", "7 15:35") }},
	{
		name: "closing without its helper", wants: "R5 estate closing bleed wants 1 helpers",
		old: `"to": "2027-03-06T13:00", "helpers": 1`, new: `"to": "2027-03-06T13:00", "helpers": 0`,
	},
	{
		name: "tool outside its window", wants: "R1 strip/take needs press",
		old: `"from": "2027-03-06", "to": "2027-03-07"`, new: `"from": "2027-03-06", "to": "2027-03-06"`,
	},
	{
		name: "one press for two", wants: "R2 2 of press",
		old: `"kind": "wait", "minutes": [600, 600, 600]`, new: `"kind": "wait", "minutes": [600, 600, 600], "needs": {"press": 2}`,
	},
	{name: "another car on a held lift", wants: "R2 2 cars on the lift", spoil: func(a *answerPlan) {
		v := a.Visits[2]
		v.From, v.To, v.Overhead = march("7 15:10"), march("7 15:30"), []answerItem{workedItem("change", "7 15:10", "7 15:30")}
		a.Visits[1].To = march("7 15:40")
		a.Visits = append(a.Visits, v)
	}},
	{name: "closed up late", wants: "pieces estate close tray at", spoil: func(a *answerPlan) { a.shift(2, "close tray", "13 15:00", "13 15:10") }},
	{
		name: "on the lift days before its work", wants: "pieces estate change  at",
		spoil: func(a *answerPlan) {
			a.shift(2, "change ", "7 15:10", "7 15:30")
			a.Visits[2].From = march("7 15:10")
		}, old: `, "road_needs": [{"from": "2027-03-08T07:00", "to": "2027-03-08T18:00"}]}`, new: `}`,
	},
	{
		name: "opened days before its work", wants: "pieces estate open tray at",
		spoil: func(a *answerPlan) {
			a.shift(2, "open tray", "7 15:10", "7 15:20")
			a.Visits[2].From = march("7 15:10")
		}, old: `, "road_needs": [{"from": "2027-03-08T07:00", "to": "2027-03-08T18:00"}]}`, new: `}`,
	},
	{name: "on the lift without a change", wants: "R2 coupe gets onto the lift", spoil: func(a *answerPlan) { a.drop(1, "change ") }},
	{
		name: "a change for nothing", wants: "R2 estate pays a change",
		spoil: func(a *answerPlan) {
			a.Visits[2].Overhead = slices.Insert(a.Visits[2].Overhead, 0, workedItem("change", "6 13:00", "6 13:00"))
		}, old: `"cars": [{"id": "estate", "road_needs": [{"from": "2027-03-08T07:00", "to": "2027-03-08T18:00"}]}`,
		new: `"cars": [{"id": "estate", "on_lift": true}`,
	},
	{name: "lift stage off the lift", wants: "R2 discs/fit needs the lift", spoil: func(a *answerPlan) { a.Visits[0].OnLift = false }},
	// order
	{name: "two stages swapped", wants: "R3 trail/finish starts before trail/swap", spoil: func(a *answerPlan) { a.move("trail/finish", "7 15:10", "7 16:10") }},
	{name: "gap not kept", wants: "R3 paint starts", spoil: func(a *answerPlan) { a.move("paint/shop", "6 18:30", "10 00:00") }},
	{name: "before its prerequisite", wants: "R3 trail starts", old: `"gap_minutes": 600`, new: `"gap_minutes": 6000`},
	{name: "before now", wants: "R3 brakes/fit starts before now", spoil: func(a *answerPlan) { a.Now = march("6 10:00") }, old: `"now": "2027-03-05T18:00"`, new: `"now": "2027-03-06T10:00"`},
	{name: "donor not here", wants: "R3 strip/take starts before its car", old: `"arrives": "2027-03-06"`, new: `"arrives": ["2027-03-06", "2027-03-06", "2027-03-07"]`},
	{name: "before not_before", wants: "R9 wash/do starts before it may", old: `"not_before": "2027-03-09"`, new: `"not_before": "2027-03-14"`},
	// parts
	{name: "part promised twice", wants: "R4 pads for brakes/fit: 1 more", spoil: func(a *answerPlan) { a.Promises = append(a.Promises, a.Promises[0]) }},
	{name: "part not promised", wants: "R4 brakes/fit needs 1 of pads", spoil: func(a *answerPlan) { a.Promises = a.Promises[1:] }},
	{name: "part comes later", wants: "R4 hose/do starts", spoil: func(a *answerPlan) { a.move("hose/do", "6 13:50", "6 14:20") }},
	{name: "arrival at another confidence", wants: "R4 seal for hose/do: no arrival", old: `"at": "2027-03-08"`, new: `"at": ["2027-03-08", "2027-03-08", "2027-03-09"]`},
	{name: "harvest not done", wants: "R4 trail/swap starts", spoil: func(a *answerPlan) {
		a.Promises[3].At = march("13 14:40")
		a.move("strip/take", "13 13:10", "13 14:40")
	}},
	{name: "order made sooner than it can", wants: "R4 mount for trail/finish: no order", spoil: func(a *answerPlan) { a.Promises[4].At = march("9 00:00") }},
	{name: "order by the wrong day", wants: "R4 mount for trail/finish: order by", spoil: func(a *answerPlan) { a.Promises[4].OrderBy = "2027-03-07" }},
	{name: "orders what lies on the shelf", wants: "R4 mount for trail/finish comes by order", old: `{"id": "mount",`, new: `{"id": "mount", "on_hand": 1,`},
	{name: "short by another number", wants: "blocked bonnet is short", spoil: func(a *answerPlan) { a.Blocked[0].Why[0].Short = 1 }},
	{name: "takers not told", wants: "blocked bonnet: seal was taken", spoil: func(a *answerPlan) { a.Blocked[0].Why[0].TakenBy = nil }},
	// access and closing
	{name: "access never opened", wants: "R5 brakes/fit needs wheels", spoil: func(a *answerPlan) { a.drop(0, "open wheels") }},
	{name: "access never closed", wants: "R5 wheels is never closed", spoil: func(a *answerPlan) { a.drop(0, "close wheels") }},
	{name: "open when the car leaves the lift", wants: "R5 wheels is open when", spoil: func(a *answerPlan) {
		a.drop(0, "close wheels")
		a.Visits[2].Overhead = append(a.Visits[2].Overhead, workedItem("close wheels", "13 14:40", "13 15:00"))
	}},
	{name: "outer closed first", wants: "R5 tray closed", spoil: func(a *answerPlan) {
		a.shift(2, "close tray", "13 13:00", "13 13:10")
		a.shift(2, "close subframe", "13 13:10", "13 13:50")
	}},
	{name: "inner opened first", wants: "R5 subframe opened", spoil: func(a *answerPlan) {
		a.shift(2, "open subframe", "9 18:20", "9 18:50")
		a.shift(2, "open tray", "9 18:50", "9 19:00")
	}},
	{name: "closed before the last stage", wants: "R5 discs/fit needs wheels", spoil: func(a *answerPlan) {
		a.shift(0, "close wheels", "6 11:15", "6 11:35")
		a.move("discs/fit", "6 11:35", "6 12:05")
	}},
	{name: "opened for nothing", wants: "R5 tray opened", spoil: func(a *answerPlan) {
		a.Visits[0].Overhead = append(a.Visits[0].Overhead, workedItem("open tray", "6 12:50", "6 13:00"))
	}},
	{name: "closing dropped", wants: "R5 estate bleed done 0 times", spoil: func(a *answerPlan) { a.drop(0, "closing bleed") }},
	{name: "closing done twice", wants: "R5 coupe road-test done 2 times", spoil: func(a *answerPlan) {
		a.Visits[1].To = march("7 15:20")
		a.Visits[1].Overhead = append(a.Visits[1].Overhead, workedItem("closing road-test", "7 15:05", "7 15:20"))
	}},
	{name: "closing before the closes", wants: "R5 coupe closing road-test", spoil: func(a *answerPlan) {
		a.shift(1, "closing road-test", "7 12:20", "7 12:35")
		a.shift(1, "close interior", "7 12:35", "7 13:05")
	}},
	{name: "closing before its last caller", wants: "R5 estate closing bleed", spoil: func(a *answerPlan) {
		a.shift(0, "closing bleed", "6 09:00", "6 09:45")
	}},
	// immobile
	{name: "immobile car rolled off", wants: "R6 coupe is immobile", spoil: func(a *answerPlan) { a.Visits[1].To = march("6 17:00") }},
	{name: "closes while immobile", wants: "R6 coupe close interior", spoil: func(a *answerPlan) { a.shift(1, "close interior", "7 09:00", "7 09:30") }},
	{
		name: "two cars immobile", wants: "R6 shell and coupe immobile",
		old: `{"id": "shell",`, new: `{"id": "shell", "on_lift": true, "immobile": true,`,
	},
	{name: "sits immobile for a part", wants: "R6 coupe sits immobile", spoil: func(a *answerPlan) {
		a.move("gearbox/in", "13 13:50", "13 17:10")
		a.Promises[2].Source, a.Promises[2].At = "arrival", march("8 00:00")
	}, old: `{"id": "gasket", "on_hand": 1}`, new: `{"id": "gasket", "arrivals": [{"qty": 1, "at": "2027-03-07"}]}`},
	{name: "never made mobile", wants: "R6 gearbox/out makes coupe immobile", old: `"immobile": "until"`, new: `"immobile": ""`},
	{name: "harvest for an immobile car comes after", wants: "R6 gearbox/out starts before strip", spoil: func(a *answerPlan) {
		a.Promises[2].Source, a.Promises[2].Of, a.Promises[2].At = "job", "strip", march("7 14:35")
		a.move("gearbox/in", "7 14:35", "7 17:55")
	}, old: `{"id": "gasket", "on_hand": 1}`, new: `{"id": "gasket", "arrivals": [{"qty": 1, "from_job": "strip"}]}`},
	// road needs
	{name: "on the lift when the road needs it", wants: "R7 estate is on the lift", old: `"from": "2027-03-08T07:00"`, new: `"from": "2027-03-06T12:45"`},
	{name: "open on the road", wants: "R7 interior of coupe", old: `{"id": "coupe"}`, new: `{"id": "coupe", "road_needs": [{"from": "2027-03-06T22:00", "to": "2027-03-06T23:00"}]}`},
	{name: "immobile on the road", wants: "R7 coupe is immobile", old: `{"id": "coupe"}`, new: `{"id": "coupe", "road_needs": [{"from": "2027-03-06T22:00", "to": "2027-03-06T23:00"}]}`},
	{name: "half done on the road", wants: "R7 trail/swap is begun", old: `"to": "2027-03-08T18:00"}]`, new: `"to": "2027-03-08T18:00"}, {"from": "2027-03-10T07:00", "to": "2027-03-10T18:00"}]`},
	{name: "closing owed on the road", wants: "R7 estate closing bleed is owed", old: `"road_needs": [`, new: `"road_needs": [{"from": "2027-03-06T12:00", "to": "2027-03-06T12:06"}, `},
	// money, pins, wholeness
	{name: "late cost left out", wants: "R8 late cost", spoil: func(a *answerPlan) { a.Totals.LateCost = 10 }},
	{
		name: "a further due date left out", wants: "R8 late cost 15, wanted 215",
		old: `"late_cost_per_day": 10, "late_cost": 5,`, new: `"late_cost_per_day": 10, "late_cost": 5, "dues": [{"at": "2027-03-05", "late_cost": 200}],`,
	},
	{
		name: "a further due date that is met", wants: "R8 late cost 15, wanted 25",
		old: `"late_cost_per_day": 10, "late_cost": 5,`,
		new: `"late_cost_per_day": 10, "late_cost": 5, "dues": [{"at": "2027-03-08", "late_cost": 200}, {"at": "2027-03-06", "late_cost_per_day": 10}],`,
	},
	{name: "pin not kept without a note", wants: "R9 wash starts", spoil: func(a *answerPlan) { a.move("wash/do", "9 18:00", "9 18:20") }},
	{name: "pin not kept without need", wants: "R9 wash could have been", spoil: func(a *answerPlan) {
		a.Notes = []answerNote{{Job: "wash", Kind: "hands"}}
	}, old: `"pin": "2027-03-13T09:00", "not_before": "2027-03-09"`, new: `"pin": "2027-03-07T09:00"`},
	{name: "a note for a kept pin", wants: "R9 wash is in its session", spoil: func(a *answerPlan) { a.Notes = []answerNote{{Job: "wash", Kind: "job"}} }},
	{name: "job forgotten", wants: "whole sticker", spoil: func(a *answerPlan) {
		a.Stages = slices.DeleteFunc(a.Stages, func(s answerStage) bool { return s.Job == "sticker" })
	}},
	{name: "stage forgotten", wants: "whole gearbox", spoil: func(a *answerPlan) {
		a.Stages = slices.DeleteFunc(a.Stages, func(s answerStage) bool { return s.Stage == "cure" })
	}},
	{name: "blocked and placed", wants: "blocked sticker", spoil: func(a *answerPlan) {
		a.Blocked = append(a.Blocked, answerBlocked{"sticker", []answerWhy{{Kind: "session"}}})
	}},
	{name: "blocked without a reason", wants: "blocked bonnet without", spoil: func(a *answerPlan) { a.Blocked[0].Why = nil }},
	{name: "blocked for no reason", wants: "blocked sticker could be done", spoil: func(a *answerPlan) {
		a.Stages = slices.DeleteFunc(a.Stages, func(s answerStage) bool { return s.Job == "sticker" })
		a.Blocked = append(a.Blocked, answerBlocked{"sticker", []answerWhy{{Kind: "session"}}})
	}},
	{name: "a job after a blocked one", wants: "R3 paint placed after bonnet", old: `"after": [{"job": "trim"`, new: `"after": [{"job": "bonnet"`},
	{name: "completion does not add up", wants: "totals weighted", spoil: func(a *answerPlan) { a.Totals.WeightedCompletion++ }},
	{name: "overhead does not add up", wants: "totals overhead", spoil: func(a *answerPlan) { a.Totals.OverheadMinutes-- }},
	{name: "saved minutes made up", wants: "saved visit", spoil: func(a *answerPlan) { a.Visits[1].MinutesSaved = 10 }},
	{name: "a bound that is none", wants: "totals bound", spoil: func(a *answerPlan) { a.Totals.Bound = 1000 }},
	{name: "time in another zone", wants: "time ", spoil: func(a *answerPlan) { a.stageOf("wash/do").To = "2027-03-13T15:10:00+01:00" }},
	// reasons
	{name: "reason that is still to come", wants: "because wash/do starts", spoil: func(a *answerPlan) { a.stageOf("wash/do").Because.Until = march("13 14:00") }},
	{name: "reason without a time", wants: "because discs/fit: hands brakes without", spoil: func(a *answerPlan) { a.stageOf("discs/fit").Because.Until = "" }},
	{name: "waits for a job that is no prerequisite", wants: "because sticker/do: job trim", spoil: func(a *answerPlan) {
		a.stageOf("sticker/do").Because = answerBecause{"job", "trim", march("6 18:00")}
	}},
	{name: "waits for a part that was there", wants: "because discs/fit: part fluid", spoil: func(a *answerPlan) {
		a.stageOf("discs/fit").Because = answerBecause{"part", "fluid", march("6 11:15")}
	}},
	{name: "reason of no known kind", wants: "because wash/do has reason", spoil: func(a *answerPlan) { a.stageOf("wash/do").Because.Kind = "mood" }},
	{name: "stages out of order", wants: "shape stages not in time order", spoil: func(a *answerPlan) { slices.Reverse(a.Stages) }},
}

func TestCheck_CatchesBreakage(t *testing.T) {
	t.Parallel()
	for _, b := range breakages {
		t.Run(b.name, func(t *testing.T) {
			t.Parallel()
			problem := strings.Replace(workedProblem, b.old, b.new, 1)
			if b.old != "" && problem == workedProblem {
				t.Fatal("the problem is unchanged")
			}
			a := workedAnswer()
			if b.spoil != nil {
				b.spoil(a)
			}
			answer, err := json.Marshal(a)
			if err != nil {
				t.Fatal(err)
			}
			found := check([]byte(problem), answer)
			if !slices.ContainsFunc(found, func(line string) bool { return strings.HasPrefix(line, b.wants) }) {
				t.Errorf("not caught: wanted a complaint that starts %q, got:\n%s", b.wants, strings.Join(found, "\n"))
			}
		})
	}
}
