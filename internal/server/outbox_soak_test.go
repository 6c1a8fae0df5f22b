package server

import (
	"cmp"
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"axlestand/internal/browsertest"
	"axlestand/internal/garage"
	"axlestand/internal/pgtest"
	"axlestand/internal/postgres"
	"axlestand/web/route"
)

// A long day at the lift: steps ticked and undone by touch on a phone while the line comes and goes, answers are lost and the
// page is killed. Everything that the screen showed as done must be in the record, once, in order.
//
// AXLESTAND_SOAK=all runs eight hours of it, on a clock that is pushed on; otherwise a short day of the same kind.

type soakSize struct{ ops, cuts, kills int }

func soakOf() soakSize {
	if os.Getenv("AXLESTAND_SOAK") == "all" {
		return soakSize{ops: 500, cuts: 200, kills: 20}
	}
	return soakSize{ops: 30, cuts: 12, kills: 3}
}

// tap is what was pressed, and whether the screen showed it before the page was killed.
type tap struct {
	step  string
	kind  string // done or undone
	shown bool
}

type soak struct {
	*testing.T
	rng    *rand.Rand
	store  *postgres.Store
	line   *browsertest.Line
	first  *browsertest.Page // keeps the browser's cookies and its outbox while the other is killed
	page   *browsertest.Page
	card   string       // its address
	ahead  atomic.Int64 // of the real clock
	taps   []tap
	missed int
	last   time.Time
	reload bool // a page can be had without a line
}

func TestBrowser_soak(t *testing.T) {
	t.Parallel()
	t.Run("http", func(t *testing.T) { t.Parallel(); runSoak(t, overHTTP, false) })
	t.Run("https", func(t *testing.T) { t.Parallel(); runSoak(t, overHTTPS, true) })
}

func runSoak(t *testing.T, serve func(testing.TB, *browsertest.Line) string, reload bool) {
	s, job := newSoak(t, serve, reload)
	size := soakOf()
	cut, kill := s.spread(size.ops, size.cuts), s.spread(size.ops, size.kills)
	start := time.Now()
	for i := range size.ops {
		s.pass(8 * time.Hour / time.Duration(size.ops))
		for range cut[i] {
			s.line.Set(browsertest.State(1 + s.rng.IntN(2))) // down, or deaf
		}
		s.tap(kill[i] > 0)
		if kill[i] > 0 {
			s.kill()
		}
		if s.rng.IntN(3) > 0 {
			s.line.Set(browsertest.Up)
		}
	}
	s.line.Set(browsertest.Up)
	s.drained()
	s.compare(job)
	t.Logf("%d operations, %d cuts, %d kills, %d answers lost, %d missed, in %v", len(s.taps), size.cuts, size.kills, s.line.Lost(), s.missed, time.Since(start).Round(time.Second))
}

// spread says how often something happens at each of n places.
func (s *soak) spread(n, times int) []int {
	at := make([]int, n)
	for _, i := range s.rng.Perm(n)[:times] {
		at[i]++
	}
	return at
}

// pass pushes the clocks of the server and of the page on.
func (s *soak) pass(d time.Duration) {
	s.ahead.Add(int64(d))
	s.Helper()
	browsertest.Eval[string](s.page, `localStorage.ahead = "`+strconv.FormatInt(s.ahead.Load()/int64(time.Millisecond), 10)+`"`)
}

// pushed makes a page's clock follow.
const pushed = `(() => {
	const Real = Date;
	const now = () => Real.now() + Number(localStorage.ahead ?? 0);
	window.Date = class extends Real {
		constructor(...given) { super(...(given.length ? given : [now()])); }
		static now() { return now(); }
	};
})()`

// newSoak is a garage with a long card, opened on a phone.
func newSoak(t *testing.T, serve func(testing.TB, *browsertest.Line) string, reload bool) (*soak, garage.JobID) {
	t.Helper()
	s := &soak{T: t, rng: rand.New(rand.NewPCG(seed(t), 5)), reload: reload}
	in := setupUnclaimed(t, pgtest.Pool(t), func(o *Options) {
		o.AllowedHosts = []string{browsertest.Host}
		o.Now = func() time.Time { return time.Now().Add(time.Duration(s.ahead.Load())) }
	})
	in.clock = time.Now()
	in.claim()
	s.store = in.store
	job := in.addJob(in.addCar(), "Rear brakes")
	steps := make([]garage.Step, 120)
	for i := range steps {
		steps[i] = garage.Step{Kind: garage.DoStep, Text: fmt.Sprint("Bolt ", i+1)}
	}
	if _, err := s.store.AddSteps(t.Context(), in.stageOf(job), 0, steps); err != nil {
		t.Fatal(err)
	}
	s.line = browsertest.NewLine(in.server)
	base := serve(t, s.line)
	s.card = base + route.Card(job)
	s.first = browsertest.Open(t, browsertest.BadLine)
	s.first.Goto(base + "/signin")
	s.first.Fill("Password", ownersPassword)
	s.first.Submit("Sign in")
	s.first.Goto("about:blank")
	s.open()
	return s, job
}

// seed is another each day's run may try with AXLESTAND_SEED.
func seed(t *testing.T) uint64 {
	n, err := strconv.ParseUint(cmp.Or(os.Getenv("AXLESTAND_SEED"), "1"), 10, 64)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// open opens the card in a new tab.
func (s *soak) open() {
	s.Helper()
	s.page = s.first.Tab(browsertest.BadLine)
	s.page.Before(pushed)
	s.page.Goto(s.card)
	s.page.Has("Bolt 1")
	time.Sleep(200 * time.Millisecond) // what waits is laid over the page
	s.pass(0)
}

// kill ends the page by hook or by crook. Without https it comes back only with the line.
func (s *soak) kill() {
	s.Helper()
	if s.rng.IntN(2) == 0 {
		s.page.Kill()
	} else {
		s.page.Close()
	}
	if !s.reload || s.rng.IntN(2) == 0 {
		s.line.Set(browsertest.Up)
	}
	s.open()
}

// row is one as the screen shows it.
type row struct {
	Step, State string
	Undo        bool
}

const readRows = `[...document.querySelectorAll("[data-step]")].map((row) => ({
	Step: row.dataset.step, State: row.dataset.state, Undo: [...row.querySelectorAll("[data-undo-here] button")].some((b) => b.checkVisibility()),
}))`

// choose picks what is pressed next: mostly the next step, now and then the undo of one.
func (s *soak) choose() (step string, undo bool) {
	s.Helper()
	rows := browsertest.Eval[[]row](s.page, readRows)
	var undoable, open []string
	for _, r := range rows {
		switch {
		case r.State == "now":
			open = append([]string{r.Step}, open...)
		case r.State == "open":
			open = append(open, r.Step)
		case r.State == "done" && r.Undo:
			undoable = append(undoable, r.Step)
		}
	}
	if len(undoable) > 0 && (len(open) < 5 || s.rng.IntN(3) == 0) {
		return undoable[s.rng.IntN(len(undoable))], true
	}
	if len(open) == 0 {
		s.Fatalf("nothing to press: %v", rows)
	}
	return open[0], false
}

// tap presses a step's button. When the page is killed at once, nobody knows whether it was kept.
func (s *soak) tap(killed bool) {
	s.Helper()
	step, undo := s.choose()
	t, becomes, button := tap{step: step, kind: "done"}, "done", ".stepbar .primary"
	if undo {
		t, becomes, button = tap{step: step, kind: "undone"}, "open", "[data-undo-here] button"
	}
	time.Sleep(time.Until(s.last.Add(420 * time.Millisecond))) // sooner it is a second tap
	s.last = time.Now()
	s.taps = append(s.taps, t)
	for range 3 { // a finger that lands as the page moves misses, and presses again
		s.page.Click(fmt.Sprintf("[data-step=%q] %s", step, button))
		if killed {
			return
		}
		if s.shows(step, becomes) {
			s.taps[len(s.taps)-1].shown = true
			return
		}
		s.missed++
		s.taps = append(s.taps, t) // what nobody saw may have come of the first press all the same
	}
	s.fails(step, becomes)
}

func (s *soak) state(step string) string {
	s.Helper()
	return browsertest.Eval[string](s.page, fmt.Sprintf(`document.querySelector('[data-step="%s"]').dataset.state`, step))
}

// shows waits until a row is as it was pressed.
func (s *soak) shows(step, becomes string) bool {
	s.Helper()
	for end := time.Now().Add(8 * time.Second); time.Now().Before(end); time.Sleep(20 * time.Millisecond) {
		if state := s.state(step); state == becomes || becomes == "open" && state == "now" {
			return true
		}
	}
	return false
}

func (s *soak) fails(step, becomes string) {
	s.Helper()
	state := s.state(step)
	s.page.ShotWindow("soak-" + step)
	s.Fatalf("step %s was pressed to become %s and is %s; pressed %v; the row: %s", step, becomes, state, s.taps,
		browsertest.Eval[string](s.page, fmt.Sprintf(`document.querySelector('[data-step="%s"]').outerHTML`, step)))
}

// drained waits until nothing waits on the device.
func (s *soak) drained() {
	s.Helper()
	text := ""
	for end := time.Now().Add(2 * time.Minute); time.Now().Before(end); time.Sleep(100 * time.Millisecond) {
		if text = browsertest.Eval[string](s.page, `document.querySelector("[data-unsent]").textContent`); text == "all sent" {
			return
		}
	}
	s.Fatalf("with the line back it says %q", text)
}

// compare holds the record against what was pressed: all that the screen showed, nothing twice, in order; what was pressed as
// the page was killed may be there or not.
func (s *soak) compare(job garage.JobID) {
	s.Helper()
	card, err := s.store.Card(s.Context(), job)
	if err != nil {
		s.Fatal(err)
	}
	marks := slices.Clone(card.Marks)
	slices.SortFunc(marks, func(a, b garage.StepMark) int { return cmp.Compare(a.ID, b.ID) })
	at := map[int]bool{0: true} // how many taps the record may account for so far
	for i, m := range marks {
		is := tap{step: strconv.FormatInt(int64(m.StepID), 10), kind: string(m.Kind)}
		next := map[int]bool{}
		for n := range s.passable(at) {
			if n < len(s.taps) && s.taps[n].step == is.step && s.taps[n].kind == is.kind {
				next[n+1] = true
			}
		}
		if len(next) == 0 {
			s.Fatalf("mark %d of the record, %v, was not pressed then; pressed %v; record %s", i, is, s.taps, words(marks))
		}
		at = next
	}
	if !s.passable(at)[len(s.taps)] {
		s.Fatalf("lost after %v; pressed %v; record %s", at, s.taps, words(marks))
	}
	if !slices.IsSortedFunc(marks, func(a, b garage.StepMark) int { return a.At.Compare(b.At) }) {
		s.Error("the times of the record do not follow each other")
	}
}

// passable adds the places that are reached when taps nobody saw come of anything are left out.
func (s *soak) passable(at map[int]bool) map[int]bool {
	all := maps.Clone(at)
	for n, t := range s.taps {
		if all[n] && !t.shown {
			all[n+1] = true
		}
	}
	return all
}

func words(marks []garage.StepMark) string {
	var all []string
	for _, m := range marks {
		all = append(all, fmt.Sprintf("%d %s", m.StepID, m.Kind))
	}
	return strings.Join(all, ", ")
}
