package planner_test

import (
	"slices"
	"strings"
)

// Rules of parts: what is promised is there in time, is promised once, and is taken in the right order.

// supply is one source of a part.
type supply struct {
	class int // 0 on hand, 1 arrival, 2 from a job, 3 to order
	at    int
	job   string
	qty   int
	taken int
}

var sourceClass = map[string]int{"on_hand": 0, "arrival": 1, "job": 2, "order": 3}

func qty(p *int) int {
	if p == nil {
		return 1
	}
	return *p
}

// supplies lists the sources of a part that this plan can draw on.
func (c *checker) supplies(part *givenPart) []*supply {
	out := []*supply{{class: 0, at: c.now, qty: part.OnHand}}
	for _, a := range part.Arrivals {
		if a.FromJob == "" {
			out = append(out, &supply{class: 1, at: c.arrival(a.At), qty: qty(a.Qty)})
		} else if end, placed := c.end(a.FromJob); placed {
			out = append(out, &supply{class: 2, at: end, job: a.FromJob, qty: qty(a.Qty)})
		}
	}
	if !absent(part.OrderLeadDays) {
		out = append(out, &supply{class: 3, at: c.ordered(part), qty: forever})
	}
	slices.SortStableFunc(out, func(a, b *supply) int {
		if a.class != b.class {
			return a.class - b.class
		}
		return a.at - b.at
	})
	return out
}

// promise is one promise of the answer with its times worked out.
type promise struct {
	*answerPromise
	at   int
	work *work
}

// promises lists the promises; those to nothing are complaints.
func (c *checker) promises() []promise {
	if c.promised == nil {
		c.promised = c.readPromises()
	}
	return c.promised
}

func (c *checker) readPromises() []promise {
	out := []promise{}
	for i := range c.a.Promises {
		p := &c.a.Promises[i]
		n := slices.IndexFunc(c.byJob[p.Job], func(w *work) bool { return w.stage.ID == p.Stage })
		if n < 0 {
			c.fail("R4", "%s promised to %s/%s, which is not placed", p.Part, p.Job, p.Stage)
			continue
		}
		at := c.now
		if p.At != "" {
			at = c.instant(p.At)
		} else if p.Source != "on_hand" {
			c.fail("R4", "%s for %s/%s has no time", p.Part, p.Job, p.Stage)
		}
		out = append(out, promise{p, at, c.byJob[p.Job][n]})
	}
	return out
}

func (c *checker) checkParts() {
	promised, left := map[string]int{}, c.left
	for id, part := range c.parts {
		left[id] = c.supplies(part)
	}
	promises := c.promises()
	for _, p := range promises {
		if c.parts[p.Part] == nil {
			c.fail("R4", "unknown part %q promised", p.Part)
			continue
		}
		if p.Qty < 1 {
			c.fail("R4", "%d of %s promised to %s", p.Qty, p.Part, p.work.label)
		}
		promised[p.work.label+" "+p.Part] += p.Qty
		c.draw(p, left[p.Part])
		if p.at > p.work.from {
			c.fail("R4", "%s starts %s, its %s is there %s", p.work.label, c.at(p.work.from), p.Part, c.at(p.at))
		}
		c.checkOrderBy(p)
	}
	for _, p := range promises {
		c.checkSupplyOrder(p, left[p.Part])
	}
	for _, w := range c.works {
		need := map[string]int{}
		for _, n := range w.stage.Parts {
			need[n.Part] += qty(n.Qty)
		}
		for part, n := range need {
			if got := promised[w.label+" "+part]; got != n {
				c.fail("R4", "%s needs %d of %s, promised %d", w.label, n, part, got)
			}
		}
		for key, n := range promised {
			if part, mine := strings.CutPrefix(key, w.label+" "); mine && need[part] == 0 {
				c.fail("R4", "%s is promised %d of %s without a need", w.label, n, part)
			}
		}
	}
	c.checkShort(left)
}

// draw takes a promise's pieces from the source that it names.
func (c *checker) draw(p promise, from []*supply) {
	class, known := sourceClass[p.Source]
	want, found := p.Qty, false
	for _, s := range from {
		same := known && s.class == class && (class == 0 || s.at == p.at) && (class != 2 || s.job == p.Of)
		if same && want > 0 {
			found = true
			n := min(want, s.qty-s.taken)
			s.taken += n
			want -= n
		}
	}
	if !found {
		c.fail("R4", "%s for %s: no %s %s at %s", p.Part, p.work.label, p.Source, p.Of, c.at(p.at))
	} else if want > 0 {
		c.fail("R4", "%s for %s: %d more promised than %s %s has", p.Part, p.work.label, want, p.Source, p.Of)
	}
}

// checkSupplyOrder wants no later source used while a better one is left over: what is left at the end was
// left when the promise was made.
func (c *checker) checkSupplyOrder(p promise, from []*supply) {
	first := c.byJob[p.Job][0].from
	for _, s := range from {
		if s.qty == s.taken || s.class == 3 || s.class == 2 && s.at > first {
			continue
		}
		class := sourceClass[p.Source]
		if s.class < class || s.class == 1 && class == 1 && s.at < p.at {
			c.fail("R4", "%s for %s comes by %s while an earlier source is left", p.Part, p.work.label, p.Source)
		}
	}
}

// checkOrderBy wants the last day on which an order still comes in time.
func (c *checker) checkOrderBy(p promise) {
	if p.Source != "order" {
		return
	}
	want := addDays(c.dateOf(p.work.from), -c.lead(c.parts[p.Part])-1)
	if !strings.HasPrefix(p.OrderBy, want) {
		c.fail("R4", "%s for %s: order by %q, wanted %s", p.Part, p.work.label, p.OrderBy, want)
	}
}

// checkShort holds the reasons of blocked jobs that lack a part against what is left of it.
func (c *checker) checkShort(left map[string][]*supply) {
	for id, why := range c.blocked {
		need := map[string]int{}
		for _, s := range c.jobs[id].Stages {
			for _, n := range s.Parts {
				need[n.Part] += qty(n.Qty)
			}
		}
		for _, w := range why {
			if w.Kind != "part" {
				continue
			}
			if need[w.Of] == 0 {
				c.fail("blocked", "%s is short of %s, which it does not need", id, w.Of)
				continue
			}
			free := 0
			for _, s := range left[w.Of] {
				free = min(forever, free+s.qty-s.taken)
			}
			if want := need[w.Of] - free; w.Short != want {
				c.fail("blocked", "%s is short of %d %s, said to be %d", id, want, w.Of, w.Short)
			}
			if took := c.takers(w.Of); !slices.Equal(took, w.TakenBy) {
				c.fail("blocked", "%s: %s was taken by %v, said to be %v", id, w.Of, took, w.TakenBy)
			}
		}
	}
}

// takers are the jobs to which some of a part is promised, by id.
func (c *checker) takers(part string) []string {
	var out []string
	for _, p := range c.promises() {
		if p.Part == part && !slices.Contains(out, p.Job) {
			out = append(out, p.Job)
		}
	}
	slices.Sort(out)
	return out
}
