package planner_test

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"testing"
)

// The oracle of reasons. With everything before it in the plan as it is, a stage starts when it does because
// of one thing: that thing alone pushes it to its start, and without it the stage could start earlier. The
// oracle works out anew what each thing pushes a stage to: its own times, the hands, the sessions with their
// helpers and the windows of tools.
//
// Three kinds of reason are held in three ways.
//   - A reason with a time of its own (a prerequisite, a part, the hands and so on): from that time on the stage
//     is laid out as early as sessions allow, with what has to be opened and moved before it; that must be its
//     start. If it is earlier, something else pushed last, but where all pushes together lead to the start and
//     without this one the stage would begin earlier: a part that comes while its car is being opened.
//   - A reason out of what else is going on (the lift, a road need, an immobile car, ...): without it the stage
//     would start by all its times alone, and that must be earlier than it does. If it is not, the reason is of
//     no effect.
//   - That there is no session: whatever single thing else is taken away, the start must stay.

// push is one thing that a stage waits for, and until when.
type push struct {
	kind, of string
	at       int
}

func (b push) String() string { return strings.TrimSpace(b.kind + " " + b.of) }

// bounds lists all that holds a stage by its time.
func (c *checker) bounds(w *work) []push {
	out := []push{{"now", "", c.now}, {"car", w.car, c.here(w.car)}}
	if w.index == 0 {
		if w.job.NotBefore != "" {
			out = append(out, push{"not_before", "", c.beginOf(w.job.NotBefore)})
		}
		for _, a := range w.job.After {
			end, _ := c.end(a.Job)
			out = append(out, push{"job", a.Job, end + a.GapMinutes})
		}
	} else {
		before := c.byJob[w.job.ID][w.index-1]
		out = append(out, push{"stage", before.stage.ID, before.to})
	}
	if w.job.Pin != "" && w.index == slices.IndexFunc(w.job.Stages, func(s givenStage) bool { return s.Kind == "bench" }) {
		at := c.instant(w.job.Pin)
		if s, found := c.pinned(w.job); found {
			at = s.from
		}
		out = append(out, push{"pin", "", at})
	}
	for _, p := range c.promises() {
		if p.work != w || p.at == c.now {
			continue
		}
		kind := map[string]string{"on_hand": "part", "arrival": "part", "order": "order", "job": "harvest"}[p.Source]
		of := p.Part
		if kind == "harvest" {
			of = p.Of
		}
		out = append(out, push{kind, of, p.at})
	}
	out = append(out, c.chainDraws(w)...)
	if items, _ := c.leadIn(w); c.byHands(w) || len(items) > 0 {
		out = append(out, c.handsBefore(w))
	}
	if at := c.openedBefore(w); at > 0 {
		out = append(out, push{"opened", "", at})
	}
	return out
}

// chainDraws lists the parts that come from other jobs for what ends the immobile span which a stage begins: they
// are there before it begins.
func (c *checker) chainDraws(w *work) (out []push) {
	if w.stage.Immobile != "from" {
		return nil
	}
	until := c.until(w)
	if until == nil {
		return nil
	}
	chain := append(c.before(until.job.ID), until.job.ID)
	for _, p := range c.promises() {
		o := p.work
		if p.Source == "job" && o != w && o.from >= w.from && slices.Contains(chain, o.job.ID) && (o.job != until.job || o.index <= until.index) {
			out = append(out, push{"chain", p.Part, p.at})
		}
	}
	return out
}

// openedBefore is when the last access that a stage needs was opened and its car put onto the lift, but for what is
// done for the stage itself. That is no reason: it has no name.
func (c *checker) openedBefore(w *work) (at int) {
	items, _ := c.leadIn(w)
	for _, o := range c.openings() {
		own := slices.ContainsFunc(items, func(it item) bool { return it.kind == "open" && it.of == o.access.ID && it.from == o.from })
		if o.visit != nil && !own && o.usable.from <= w.from && w.stage.Kind == "bench" && slices.Contains(c.closure(w.stage.Access), o.access.ID) {
			at = max(at, o.usable.from)
		}
	}
	if v := w.visit; v != nil && len(v.items) > 0 && v.items[0].kind == "change" && v.items[0].to <= w.from && !slices.Contains(items, v.items[0]) {
		at = max(at, v.items[0].to)
	}
	return at
}

func (c *checker) byHands(w *work) bool { return w.stage.Kind == "bench" && hands(w.stage) > 0 }

// deed is a stretch that the hands are taken for.
type deed struct {
	span
	work *work
	item *item
}

// deedsBefore lists what the hands did before a stage, the last first.
func (c *checker) deedsBefore(w *work) []deed {
	var out []deed
	for _, o := range c.works {
		for _, piece := range o.pieces {
			if c.byHands(o) && o != w && piece.from < w.from {
				out = append(out, deed{piece, o, nil})
			}
		}
	}
	items := c.items()
	for i := range items {
		if it := &items[i]; it.to <= w.from && (it.from < w.from || it.leadsTo(w) || c.movedUnlisted(w, w.from)) {
			out = append(out, deed{it.span, nil, it})
		}
	}
	slices.SortStableFunc(out, func(a, b deed) int { return cmp.Or(a.from-b.from, a.to-b.to) })
	slices.Reverse(out)
	return out
}

// leadIn lists the overhead that is done just before a stage for its sake, in order: opening, its car moved onto
// the lift, and before that the end of the visits that are in the way.
func (c *checker) leadIn(w *work) (items []item, rest []deed) {
	deeds := c.deedsBefore(w)
	if w.stage.Kind != "bench" {
		return nil, deeds
	}
	changed, begins := false, w.from
	for i, d := range deeds {
		changed = changed || c.movedUnlisted(w, begins) && (d.item == nil || !d.item.leadsTo(w))
		if d.item == nil || !changed && !d.item.leadsTo(w) || changed && !d.item.makesRoom(w) {
			return items, deeds[i:]
		}
		changed = changed || d.item.kind == "change"
		items, begins = append([]item{*d.item}, items...), d.from
	}
	return items, nil
}

// leadsTo says whether overhead opens a stage's car or puts it onto the lift.
func (it *item) leadsTo(w *work) bool {
	return it.car == w.car && (it.kind == "open" || it.kind == "change")
}

// makesRoom says whether overhead ends a visit that is in the way of a stage's car: its own, or one on the lift.
func (it *item) makesRoom(w *work) bool {
	return it.kind != "open" && it.kind != "change" && (it.car == w.car || it.visit.onLift && it.visit.to <= w.from)
}

// movedUnlisted says whether a stage's car was put onto the lift at a time in no minutes, which is not listed: its
// visit on the lift begins then.
func (c *checker) movedUnlisted(w *work, at int) bool {
	return c.hasLift() && c.p.ChangeCarMinutes == 0 && w.visit != nil && w.visit.onLift && w.visit.from == at
}

// handsBefore is what the hands were at before a stage and what leads up to it.
func (c *checker) handsBefore(w *work) push {
	_, rest := c.leadIn(w)
	b := push{kind: "hands"}
	for _, d := range rest {
		if d.from < w.from && d.to <= w.from { // what takes no time of the hands at that minute holds nothing up, nor what goes on
			b.at = max(b.at, d.to)
		}
	}
	for _, d := range rest {
		if d.work != nil {
			b.of = d.work.job.ID
			break
		}
	}
	return b
}

// layFrom is the earliest start of a stage at or after a time, with what leads up to it, as far as sessions,
// helpers and the windows of tools go. What began before that time is not laid out again. To begin earlier is not
// earlier where the stage would end later for it, or take the hands from what comes after it.
func (c *checker) layFrom(w *work, t int, needs map[string]int) int {
	items, _ := c.leadIn(w)
	return c.layAfter(w, t, items, needs)
}

// layAll is layFrom for all that pushes a stage together: what began before that time is as it is, and goes on
// until it ends.
func (c *checker) layAll(w *work, t int) int {
	items, _ := c.leadIn(w)
	for _, it := range items {
		if it.from < t {
			t = max(t, it.to)
		}
	}
	return c.layAfter(w, t, items, w.stage.Needs)
}

// layOwn is that without what is done on other cars, as when none of them stood on the lift.
func (c *checker) layOwn(w *work, t int) int {
	items, _ := c.leadIn(w)
	items = slices.DeleteFunc(items, func(it item) bool { return it.car != w.car })
	return c.layAfter(w, t, items, w.stage.Needs)
}

func (c *checker) layAfter(w *work, t int, items []item, needs map[string]int) int {
	if w.stage.Kind != "bench" {
		return t
	}
	for _, it := range items {
		if it.from < t {
			continue
		}
		var own map[string]int
		if it.kind == "closing" {
			own = c.closings[it.of].Needs
		}
		for _, s := range c.segments(own) {
			if from := max(t, s.from); from+it.length() <= s.to && from < s.to {
				t = from + it.length()
				break
			}
		}
	}
	least, segments := min(20, w.minutes), c.segments(needs)
	for i, s := range segments {
		for from := max(t, s.from); from < s.to; from++ {
			start, pieces, ok := c.fitAt(w, from, least, segments[i:])
			if ok && (start >= w.from || pieces[len(pieces)-1].to <= w.to && !c.inOthersTime(w, pieces)) {
				return start
			}
		}
	}
	return forever
}

// inOthersTime says whether a stage would take the hands, after a pause, from what they do in the plan after it began.
func (c *checker) inOthersTime(w *work, pieces []span) bool {
	return c.byHands(w) && slices.ContainsFunc(c.uses("hands"), func(u use) bool {
		return u.label != w.label && u.from >= w.from && slices.ContainsFunc(pieces[1:], func(p span) bool { return p.overlaps(u.span) })
	})
}

// fitAt lays a stage out from a time in the first of some segments on, or as much later as leaves enough for another
// piece.
func (c *checker) fitAt(w *work, from, least int, segments []span) (start int, pieces []span, ok bool) {
	left := w.minutes - (segments[0].to - from)
	if 0 < left && left < least {
		from, left = from+least-left, least
	}
	if left <= 0 {
		return from, []span{{from, from + w.minutes}}, true
	}
	pieces = append(pieces, span{from, segments[0].to})
	for _, s := range segments[1:] {
		n := min(left, s.length())
		if n == left || n >= least && left-n >= least {
			pieces, left = append(pieces, span{s.from, s.from + n}), left-n
		}
		if left == 0 {
			return from, pieces, pieces[0].length() >= least
		}
	}
	return forever, nil, false
}

// latest is the last of some bounds, without one of them.
func latest(list []push, but push) int {
	at := 0
	for _, b := range list {
		if b != but {
			at = max(at, b.at)
		}
	}
	return at
}

// untold says what is wrong with the reason of a stage; nothing when it holds, and false when the oracle does not
// know (stages that are tied together).
func (c *checker) untold(w *work) (wrong string, known bool) {
	b := w.answer.Because
	if w.stage.FollowsAtOnce || len(tiedTo(w)) > 1 || w.stage.Kind != "bench" && len(w.stage.Needs) > 0 {
		return "", false
	}
	list := c.bounds(w)
	until := c.now
	if b.Until != "" {
		until = c.instant(b.Until)
	}
	all := c.layAll(w, latest(list, push{}))
	switch b.Kind {
	case "now", "not_before", "car", "job", "stage", "part", "order", "harvest", "hands":
		return c.timeUntold(w, list, until), true
	case "session":
		return c.sessionUntold(w, list), true
	case "pin":
		if b.Of == "" {
			return c.timeUntold(w, list, until), true
		}
		fallthrough
	case "road_need", "immobile", "chain", "work":
		if slices.Contains(list, push{b.Kind, b.Of, until}) {
			return c.timeUntold(w, list, until), true
		}
		if all >= w.from && !c.atOnce(w, until) {
			return c.inVain(w, list), true
		}
	case "lift":
		if c.layOwn(w, latest(list, push{})) >= w.from && !c.atOnce(w, until) {
			return c.inVain(w, list), true
		}
	case "helper", "tool":
		needs := map[string]int{}
		for id, n := range w.stage.Needs {
			if b.Kind == "helper" && id != "helpers" || b.Kind == "tool" && id != b.Of {
				needs[id] = n
			}
		}
		if got := c.layFrom(w, latest(list, push{}), needs); got >= w.from {
			return c.inVain(w, list), true
		}
	}
	return "", true
}

// timeUntold says what is wrong with a reason that has a time of its own.
func (c *checker) timeUntold(w *work, list []push, until int) string {
	got := c.layFrom(w, until, w.stage.Needs)
	if got >= w.from {
		return ""
	}
	for _, b := range list {
		without := slices.DeleteFunc(slices.Clone(list), func(o push) bool { return o == b })
		if b.kind == w.answer.Because.Kind && b.of == w.answer.Because.Of && b.at == until &&
			c.layAll(w, latest(list, push{})) >= w.from && c.layAll(w, latest(without, push{})) < w.from {
			return ""
		}
	}
	return fmt.Sprintf("that pushes it to %s only", c.at(got))
}

// atOnce says whether a reason out of what else is going on was over at the very minute at which the hands
// were free: two things push to the same start then, and either may be named. Of a chain that is so only where
// its part comes free at that minute.
func (c *checker) atOnce(w *work, until int) bool {
	b := w.answer.Because
	if c.handsBefore(w).at != until {
		return false
	}
	switch b.Kind {
	case "immobile":
		return slices.ContainsFunc(c.immobileSpans(), func(m immobile) bool { return m.car == b.Of && m.to == until })
	case "road_need":
		return slices.ContainsFunc(c.roadNeeds(b.Of), func(r span) bool { return r.to == until })
	case "lift":
		return b.Of != w.car && slices.ContainsFunc(c.standings(b.Of), func(s standing) bool { return until <= s.to && s.to <= w.from })
	case "chain":
		return slices.ContainsFunc(c.promises(), func(p promise) bool {
			return p.at == until && p.work.car == w.car && p.work.from >= w.from && (p.Part == b.Of || p.Of == b.Of)
		})
	}
	return false
}

// inVain says that a stage would not start earlier without the reason that it has, and what would let it.
func (c *checker) inVain(w *work, list []push) string {
	for _, b := range list {
		if c.layAll(w, latest(list, b)) < w.from {
			return fmt.Sprintf("without it the start stays, without %v it does not", b)
		}
	}
	return "without it the start stays"
}

func (c *checker) sessionUntold(w *work, list []push) string {
	if got := c.layAll(w, latest(list, push{})); got < w.from {
		return fmt.Sprintf("by its times it would start %s", c.at(got))
	}
	for _, b := range list {
		got := c.layAll(w, latest(list, b))
		if nameless := b.of == "" && (b.kind == "hands" || b.kind == "opened"); got < w.from && !nameless {
			return fmt.Sprintf("without %v it would start %s", b, c.at(got))
		}
	}
	return ""
}

// reasons loads the plan of a seed; nil when there is none.
func reasons(t *testing.T, seed uint64) *checker {
	t.Helper()
	problem := generate(seed)
	answer, err := planOf(problem)
	if err != nil {
		return nil // another test says so
	}
	c := newChecker()
	if err := c.load(problem, answer); err != nil {
		t.Fatal(err)
	}
	c.checkShape()
	c.checkListed()
	c.checkVisits()
	c.checkParts()
	return c
}

// mostUntold is how many in a hundred reasons may be others than the oracle's: of the garages of a normal run none, of
// many thousands one in five thousand.
const mostUntold = 0.02

// TestReasons_Oracle holds the reasons of generated plans against the oracle.
func TestReasons_Oracle(t *testing.T) {
	t.Parallel()
	first, last := scaled(t, 300)
	held, wrong, unknown := map[string]int{}, map[string][]string{}, 0
	for seed := first; seed < last; seed++ {
		c := reasons(t, seed)
		if c == nil {
			continue
		}
		for _, w := range c.works {
			b := w.answer.Because
			switch why, known := c.untold(w); {
			case !known:
				unknown++
			case why == "":
				held[b.Kind]++
			default:
				wrong[b.Kind] = append(wrong[b.Kind], c.wrongly(seed, w, why))
			}
		}
	}
	good, bad := 0, 0
	for _, kind := range becauseKinds {
		t.Logf("%-12s %6d hold, %5d do not", kind, held[kind], len(wrong[kind]))
		good, bad = good+held[kind], bad+len(wrong[kind])
		for _, line := range wrong[kind][:min(12, len(wrong[kind]))] {
			t.Log("    " + line)
		}
	}
	share := 100 * float64(bad) / float64(max(1, good+bad))
	t.Logf("figure: reasons of %d garages | %d hold, %d do not (%.2f %%), %d of stages tied or on tools not looked at | all hold",
		last-first, good, bad, share, unknown)
	if share > mostUntold && last-first > 1 {
		t.Errorf("%.2f in a hundred reasons are others than the oracle's, %.2f may be", share, mostUntold)
	}
}

// wrongly tells which stage of a seed has a wrong reason.
func (c *checker) wrongly(seed uint64, w *work, why string) string {
	b := w.answer.Because
	return fmt.Sprintf("AXLESTAND_SEED=%d %s starts %s because %s %s until %s: %s", seed, w.label, c.at(w.from), b.Kind, b.Of, b.Until, why)
}

// onceToldWrongly are problems beyond those of a normal run whose plans told a wrong reason once: closing work on the
// stage's own car that was taken for a want of sessions, opening in no time on another car for what the hands were at,
// a second place on the lift for a taken one, a missed pin that a stage leaves no room for, the
// end of another visit of the car, a car stuck beside the lift for one on it, what is opened in no time for another's work.
var onceToldWrongly = []uint64{404744, 504081, 505442, 801242, 803371, 803400, 805256, 842814, 852667, 876060, 929711, 113436, 157972}

func TestReasons_HoldWhatWasOnceToldWrongly(t *testing.T) {
	t.Parallel()
	for _, seed := range onceToldWrongly {
		c := reasons(t, seed)
		if c == nil {
			t.Errorf("AXLESTAND_SEED=%d: no plan", seed)
			continue
		}
		for _, w := range c.works {
			if why, known := c.untold(w); known && why != "" {
				t.Error(c.wrongly(seed, w, why))
			}
		}
	}
}

// TestReasons_OracleObjects holds the oracle to its purpose: of reasons put there at random it must find most wrong.
func TestReasons_OracleObjects(t *testing.T) {
	t.Parallel()
	found, tried := map[string]int{}, map[string]int{}
	for seed := range uint64(60) {
		c := reasons(t, seed)
		if c == nil {
			continue
		}
		for _, w := range c.works {
			right := w.answer.Because
			for _, put := range c.falseReasons(w) {
				if put.Kind == right.Kind || right.Kind == "now" {
					continue
				}
				w.answer.Because = put
				if why, known := c.untold(w); known {
					tried[put.Kind]++
					if why != "" {
						found[put.Kind]++
					}
				}
				w.answer.Because = right
			}
		}
	}
	for kind, n := range tried {
		t.Logf("figure: reasons that are falsely %s, found by the oracle | %d of %d | 60 in a hundred", kind, found[kind], n)
		if n < 100 || 100*found[kind] < 60*n {
			t.Errorf("of %d reasons that are falsely %s it finds %d", n, kind, found[kind])
		}
	}
}

// falseReasons are reasons of many kinds for a stage, most of them wrong: whatever else is going on at its start,
// and what was over when the stage before it in the plan ended.
func (c *checker) falseReasons(w *work) []answerBecause {
	out := []answerBecause{{Kind: "now"}}
	for _, kind := range []string{"session", "road_need", "lift", "immobile", "chain", "work", "helper"} {
		put := answerBecause{Kind: kind, Of: w.car, Until: w.answer.From}
		if kind == "session" || kind == "helper" {
			put.Of = ""
		}
		out = append(out, put)
	}
	var before *work
	for _, o := range c.works {
		if o != w && o.to < w.from && (before == nil || o.to > before.to) {
			before = o
		}
	}
	if before != nil {
		out = append(out, answerBecause{Kind: "job", Of: before.job.ID, Until: before.answer.To}, answerBecause{Kind: "part", Of: "arm", Until: before.answer.To})
	}
	return out
}
