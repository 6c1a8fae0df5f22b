package planner

import (
	"fmt"
	"strconv"
	"strings"
	"time"
)

// thingText is a thing in the owner's words.
func thingText(t Thing) string {
	switch t.Kind {
	case ThingArrival:
		return fmt.Sprintf("%d %s here now, not from %s on", t.Qty, t.Of, shortMoment(t.At))
	case ThingCar:
		return fmt.Sprintf("car %s here now, not from %s on", t.Of, shortMoment(t.At))
	case ThingOrder:
		return fmt.Sprintf("%d %s on hand instead of to order", t.Qty, t.Of)
	case ThingBuy:
		return fmt.Sprintf("%d %s more", t.Qty, t.Of)
	case ThingHelper:
		return helperText(t)
	case ThingSession:
		s := fmt.Sprintf("a session of %s on %s", minutesText(int(t.To.Sub(t.At).Minutes())), dayText(t.At))
		if t.Of != "" {
			s += " kept for " + t.Of
		}
		return s
	case ThingTool:
		return "one more " + t.Of
	case ThingUntil:
		return fmt.Sprintf("a stage of %s that lets the car roll again", t.Of)
	case ThingRoll:
		return fmt.Sprintf("car %s able to roll", t.Of)
	case ThingRoadNeed:
		if t.At.IsZero() {
			return fmt.Sprintf("car %s not needed on the road", t.Of)
		}
		return fmt.Sprintf("car %s not needed on the road from %s to %s", t.Of, dayText(t.At), dayText(t.To))
	case ThingPin:
		return fmt.Sprintf("no pin on %s", t.Of)
	case ThingNotBefore:
		return fmt.Sprintf("%s sooner than you said", t.Of)
	}
	return kindText(t.Kind, t.Of, t.At)
}

func helperText(t Thing) string {
	who := "a helper"
	if t.Qty > 1 {
		who = fmt.Sprintf("%d more helpers", t.Qty)
	}
	if t.At.IsZero() {
		return who + " in every session"
	}
	return who + " on " + dayText(t.At)
}

// setText joins the things of a set.
func setText(set []Thing) string {
	var words []string
	for _, t := range set {
		words = append(words, thingText(t))
	}
	return strings.Join(words, " and ")
}

// minutesText is a length in hours and minutes.
func minutesText(n int) string {
	switch h, m := n/60, n%60; {
	case h == 0:
		return fmt.Sprintf("%d min", m)
	case m == 0:
		return fmt.Sprintf("%d h", h)
	default:
		return fmt.Sprintf("%d h %d min", h, m)
	}
}

// dayText is a moment with its day of the week.
func dayText(t time.Time) string {
	if isMidnight(t) {
		return t.Add(-time.Hour).Format("Mon 2 Jan") + " 24:00"
	}
	return t.Format("Mon 2 Jan 15:04")
}

// amountText is an amount of money without needless digits.
func amountText(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

// workText is what work becomes possible, and what no longer is.
func workText(g Gain) string {
	text := minutesText(max(g.Minutes, -g.Minutes)) + " of work possible"
	if g.Minutes < 0 {
		text = minutesText(-g.Minutes) + " of work less"
	}
	var jobs []string
	if len(g.Frees) > 0 {
		jobs = append(jobs, strings.Join(g.Frees, ", "))
	}
	if len(g.Blocks) > 0 {
		jobs = append(jobs, "without "+strings.Join(g.Blocks, ", "))
	}
	return text + " (" + strings.Join(jobs, "; ") + ")"
}

// gainText says what a thing gains.
func gainText(g Gain) string {
	var words []string
	if g.LateCost != 0 {
		words = append(words, fmt.Sprintf("late cost %+g", 0-g.LateCost))
	}
	if len(g.Frees)+len(g.Blocks) > 0 {
		words = append(words, workText(g))
	}
	words = append(words, fmt.Sprintf("weighted %+.1f", 0-g.Weighted))
	if len(g.Sooner) > 0 {
		words = append(words, countText(len(g.Sooner), "job")+" sooner")
	}
	if len(g.Later) > 0 {
		words = append(words, countText(len(g.Later), "job")+" later")
	}
	if len(g.Sooner)+len(g.Later) > 0 {
		words = append(words, fmt.Sprintf("%.1f days in all", g.Days))
	}
	return strings.Join(words, ", ")
}
