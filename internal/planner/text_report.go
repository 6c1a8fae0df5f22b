package planner

import (
	"fmt"
	"io"
	"math"
	"strings"
	"time"
)

// mostGains is how many gains are printed.
const mostGains = 8

// WriteReport writes the plan for people, and after it how good it is, what would free what is blocked, what frees most, what to
// order, why what is late is late, and the chances. A section without anything in it is left out.
func WriteReport(w io.Writer, p Problem, r Report) error {
	if err := WriteText(w, p, r.Answer); err != nil {
		return err
	}
	var b strings.Builder
	writeQuality(&b, p, r)
	writeUnblock(&b, p, r)
	writeFrees(&b, r.Frees)
	writeOrders(&b, r.Orders)
	writeShortfalls(&b, r.Shortfalls)
	writeLate(&b, p, r.Chains)
	writeChances(&b, r.Chances)
	_, err := io.WriteString(w, b.String())
	return err
}

// writeQuality says how far from the best the plan can be at most, and what it moved.
func writeQuality(b *strings.Builder, p Problem, r Report) {
	t := r.Totals
	gap := 0.0
	if t.WeightedCompletion > 0 {
		gap = math.Ceil(max(0, 1-t.Bound/t.WeightedCompletion)*1000) / 10
	}
	switch {
	case len(r.Stages) == 0:
	case t.Optimal, gap == 0 && t.LateCost == 0 && t.OverheadMinutes == 0 && len(r.Blocked) == 0:
		b.WriteString("optimal\n")
	default:
		fmt.Fprintf(b, "no plan of these jobs can save more than %.1f %% of weighted\n", gap)
	}
	if len(p.Previous) > 0 {
		fmt.Fprintf(b, "%s moved to another day\n", countText(t.Moved, "stage"))
	}
}

func countText(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

func writeUnblock(b *strings.Builder, p Problem, r Report) {
	if len(r.Unblock) == 0 {
		return
	}
	b.WriteString("what would free blocked jobs:\n")
	for _, u := range r.Unblock {
		var sets []string
		for _, set := range u.Sets {
			sets = append(sets, setText(set))
		}
		if len(sets) == 0 {
			sets = []string{"nothing that was tried"}
		}
		fmt.Fprintf(b, "  %s: %s\n", u.Job, strings.Join(sets, "; or "))
	}
	if left := len(r.Blocked) - mostUnblocked(len(p.Jobs)); left > 0 {
		fmt.Fprintf(b, "  and %s more; -why says it for one\n", countText(left, "job"))
	}
}

func writeFrees(b *strings.Builder, gains []Gain) {
	if len(gains) == 0 {
		return
	}
	b.WriteString("what frees most:\n")
	for _, g := range gains[:min(mostGains, len(gains))] {
		fmt.Fprintf(b, "  %s: %s\n", thingText(g.Thing), gainText(g))
	}
}

func writeOrders(b *strings.Builder, orders []Order) {
	if len(orders) == 0 {
		return
	}
	b.WriteString("to order:\n")
	for _, o := range orders {
		fmt.Fprintf(b, "  by %s: %d %s for %s\n", o.By.Time.Format("Mon 2 Jan 2006"), o.Qty, o.Part, strings.Join(o.Jobs, ", "))
	}
}

func writeShortfalls(b *strings.Builder, list []Shortfall) {
	if len(list) == 0 {
		return
	}
	b.WriteString("due dates that no plan meets:\n")
	for _, s := range list {
		fmt.Fprintf(b, "  %s, due %s: %s\n", s.Job, dayText(s.Due), shortfallText(s))
	}
}

func shortfallText(s Shortfall) string {
	if s.Short == 0 {
		return "cannot end before " + dayText(s.Earliest)
	}
	who := "must come before"
	if s.Together {
		who = "with a price are due by then"
	}
	return fmt.Sprintf("short by %s: %s of work (%s) %s, the sessions hold %s",
		minutesText(s.Short), minutesText(s.Need), strings.Join(s.Jobs, ", "), who, minutesText(s.Have))
}

func writeLate(b *strings.Builder, p Problem, late []LateJob) {
	if len(late) == 0 {
		return
	}
	b.WriteString("late jobs and what they wait for:\n")
	for _, l := range late {
		fmt.Fprintf(b, "  %s, due %s, ends %s, late cost %s\n", l.Job, dayText(l.Due), dayText(l.End), amountText(l.LateCost))
		writeLinks(b, l.Links)
	}
}

// writeLinks writes a chain from what it begins with to the job's end.
func writeLinks(b *strings.Builder, links []Link) {
	width := 0
	for _, l := range links {
		width = max(width, len([]rune(l.Job+" "+l.Stage)))
	}
	for i := len(links) - 1; i >= 0; i-- {
		l := links[i]
		line := fmt.Sprintf("    %-*s  %s to %s  %s", width, l.Job+" "+l.Stage, dayText(l.From), dayText(l.To), reasonText(l.Because))
		b.WriteString(strings.TrimRight(line, " ") + "\n")
	}
}

func writeChances(b *strings.Builder, chances []Chance) {
	if len(chances) == 0 {
		return
	}
	b.WriteString("chances:\n")
	width := 0
	for _, c := range chances {
		width = max(width, len([]rune(c.Job)))
	}
	for _, c := range chances {
		by := "before the sessions are over"
		if !c.Due.IsZero() {
			by = "by " + dayText(c.Due)
		}
		fmt.Fprintf(b, "  %-*s  ≈ %.0f %% ± %.0f %s; half %s, four of five %s\n",
			width, c.Job, 100*c.Done, math.Ceil(100*c.HalfWidth), by, endText(c.P50), endText(c.P80))
	}
}

func endText(t time.Time) string {
	if t.IsZero() {
		return "later than the sessions"
	}
	return "by " + dayText(t)
}

// WriteWhy answers why a job is where it is: its critical chain, or what would free it.
func WriteWhy(w io.Writer, a Answer, job string, links []Link, sets [][]Thing) error {
	var b strings.Builder
	if len(links) > 0 {
		fmt.Fprintf(&b, "%s ends %s:\n", job, dayText(links[0].To))
		writeLinks(&b, links)
	}
	for _, blocked := range a.Blocked {
		if blocked.Job == job {
			fmt.Fprintf(&b, "%s is blocked: %s\n", job, whysText(blocked.Why))
		}
	}
	for i, set := range sets {
		how := "it needs"
		if i > 0 {
			how = "      or"
		}
		fmt.Fprintf(&b, "  %s %s\n", how, setText(set))
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// WriteForced says what comes of doing a job in a session of the owner's choice.
func WriteForced(w io.Writer, f Forced) error {
	var b strings.Builder
	on := dayText(f.Session.From)
	if f.Kept {
		fmt.Fprintf(&b, "%s can begin in the session of %s:\n", f.Job, on)
	} else {
		fmt.Fprintf(&b, "%s cannot begin in the session of %s: %s\n", f.Job, on, whysText(f.Why))
	}
	fmt.Fprintf(&b, "  late cost %+g, weighted %+.1f, overhead %+d min\n", f.LateCost, f.Weighted, f.Overhead)
	for _, m := range f.Moved {
		fmt.Fprintf(&b, "  %s moves from %s to %s\n", m.Job, dayText(m.From), dayText(m.To))
	}
	if len(f.Blocked) > 0 {
		fmt.Fprintf(&b, "  no place any more: %s\n", strings.Join(f.Blocked, ", "))
	}
	if len(f.Freed) > 0 {
		fmt.Fprintf(&b, "  a place after all: %s\n", strings.Join(f.Freed, ", "))
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func whysText(why []Why) string {
	var words []string
	for _, w := range why {
		words = append(words, whyText(w))
	}
	return strings.Join(words, "; ")
}
