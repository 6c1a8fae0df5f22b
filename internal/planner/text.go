package planner

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"
)

// WriteText writes a plan for people: day by day what the hands do, then what
// is blocked and by what, then the totals.
func WriteText(w io.Writer, p Problem, plan Answer) error {
	var b strings.Builder
	lines := textLines(plan)
	carWidth, whatWidth := 0, 0
	for _, l := range lines {
		carWidth = max(carWidth, len([]rune(l.car)))
		if l.why != "" {
			whatWidth = max(whatWidth, len([]rune(l.what)))
		}
	}
	day := ""
	for _, l := range lines {
		if d := l.from.Format("Mon 2 Jan 2006"); d != day {
			day = d
			b.WriteString(d + "\n")
		}
		line := fmt.Sprintf("  %s-%s  %-*s  ", l.from.Format("15:04"), clockEnd(l.from, l.to), carWidth, l.car)
		if l.why == "" {
			line += l.what
		} else {
			line += fmt.Sprintf("%-*s  %s", whatWidth, l.what, l.why)
		}
		b.WriteString(line + "\n")
	}
	writeBlocked(&b, plan)
	writeNotes(&b, p, plan)
	t := plan.Totals
	fmt.Fprintf(&b, "late %s, weighted %.1f, overhead %d min, saved %d min, bound %.1f\n",
		strconv.FormatFloat(t.LateCost, 'f', -1, 64), t.WeightedCompletion, t.OverheadMinutes, t.MinutesSaved, t.Bound)
	_, err := io.WriteString(w, b.String())
	return err
}

type textLine struct {
	from, to       time.Time
	rank           int
	car, what, why string
}

func textLines(plan Answer) []textLine {
	var lines []textLine
	for _, v := range plan.Visits {
		for _, o := range v.Overhead {
			lines = append(lines, textLine{from: o.From, to: o.To, car: v.Car, what: strings.TrimSpace(o.Kind + " " + o.Of)})
		}
	}
	for _, s := range plan.Stages {
		name := s.Job + " " + s.Stage
		if s.Kind != Bench {
			what := name + " " + s.Kind + " until " + longMoment(s.From, s.To)
			lines = append(lines, textLine{s.From, s.From, 1, s.Car, what, reasonText(s.Because)})
			continue
		}
		for i, piece := range s.Pieces {
			l := textLine{piece.From, piece.To, 0, s.Car, name, reasonText(s.Because)}
			if i > 0 {
				l.what, l.why = name+" goes on", ""
			}
			lines = append(lines, l)
		}
	}
	slices.SortStableFunc(lines, func(a, b textLine) int {
		return cmp.Or(a.from.Compare(b.from), a.to.Compare(b.to), cmp.Compare(a.rank, b.rank))
	})
	return lines
}

// clockEnd is the end's time of day; midnight closes the day before it.
func clockEnd(from, to time.Time) string {
	if isMidnight(to) && to.After(from) {
		return "24:00"
	}
	return to.Format("15:04")
}

func isMidnight(t time.Time) bool { return t.Hour() == 0 && t.Minute() == 0 }

// longMoment is a moment with its day, and its year where that is another one
// than the reader's.
func longMoment(from, t time.Time) string {
	day, clock := t, t.Format("15:04")
	if isMidnight(t) && t.After(from) {
		day, clock = t.Add(-time.Hour), "24:00"
	}
	layout := "Mon 2 Jan"
	if day.Year() != from.Year() {
		layout = "Mon 2 Jan 2006"
	}
	return day.Format(layout) + " " + clock
}

func shortMoment(t time.Time) string {
	if isMidnight(t) {
		return t.Add(-time.Hour).Format("2 Jan") + " 24:00"
	}
	return t.Format("2 Jan 15:04")
}

func reasonText(r Reason) string {
	if r.Kind == BecauseNow {
		return ""
	}
	return "because " + kindText(r.Kind, r.Of, r.Until)
}

func kindText(kind, of string, until time.Time) string {
	s := strings.TrimSpace(strings.ReplaceAll(kind, "_", " ") + " " + of)
	if !until.IsZero() {
		s += ", " + shortMoment(until)
	}
	return s
}

func writeBlocked(b *strings.Builder, plan Answer) {
	if len(plan.Blocked) > 0 {
		b.WriteString("blocked:\n")
	}
	for _, blocked := range plan.Blocked {
		fmt.Fprintf(b, "  %s: %s\n", blocked.Job, whysText(blocked.Why))
	}
}

func whyText(w Why) string {
	switch {
	case w.Short > 0:
		s := fmt.Sprintf("part %s short %d", w.Of, w.Short)
		if len(w.TakenBy) > 0 {
			s += " (taken by " + strings.Join(w.TakenBy, ", ") + ")"
		}
		return s
	case w.Kind == BecauseJob:
		return "after job " + w.Of
	case w.Kind == BecauseNoEnd:
		return "no stage lets the car roll again"
	case w.Kind == BecauseSession && w.Until.IsZero():
		return "no session left"
	case w.Kind == BecauseSession:
		return "no session left after " + shortMoment(w.Until)
	}
	return kindText(w.Kind, w.Of, w.Until)
}

func writeNotes(b *strings.Builder, p Problem, plan Answer) {
	if len(plan.Notes) > 0 {
		b.WriteString("notes:\n")
	}
	for _, n := range plan.Notes {
		pin := ""
		for _, j := range p.Jobs {
			if j.ID == n.Job {
				zone, _ := loadZone(p.Zone)
				pin = dayStart(j.Pin, zone).In(zone).Format("Mon 2 Jan 15:04")
			}
		}
		fmt.Fprintf(b, "  %s: pin to %s not kept: %s\n", n.Job, pin, kindText(n.Kind, n.Of, n.Until))
	}
}
