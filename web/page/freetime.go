package page

import (
	"net/url"
	"strconv"
	"strings"
	"time"

	"axlestand/web/route"
	"axlestand/web/ui"
)

// readySpans are the stretches of time that the first page offers, in minutes, with their names by themselves and in a sentence.
var readySpans = []struct {
	Minutes    int
	Name, Said string
}{{60, "1\u00a0h", "1\u00a0h"}, {120, "2\u00a0h", "2\u00a0h"}, {240, "Half a day", "half a day"}, {480, "All day", "a whole day"}}

const usualSpan = 120 // minutes, when nothing else is asked for

// FreeTime is the time that the owner has now: one of the stretches offered, or until a clock time.
type FreeTime struct {
	Until  time.Time
	Clock  string // as typed; empty for a stretch
	Error  string // what is wrong with it
	Helper bool
	span   int // minutes of the stretch
	name   string
}

// ReadFreeTime reads the fields for (minutes, one of the stretches offered), until (a clock time, as 17:30, the next there is)
// and helper. What is neither is the usual stretch; a clock time that cannot be read is said to be so.
func ReadFreeTime(q url.Values, now time.Time) FreeTime {
	free := FreeTime{Helper: q.Get("helper") == "1", Clock: strings.TrimSpace(q.Get("until"))}
	if free.Clock != "" {
		at, err := time.Parse("15:04", free.Clock)
		if err == nil {
			free.Until = time.Date(now.Year(), now.Month(), now.Day(), at.Hour(), at.Minute(), 0, 0, now.Location())
			if !free.Until.After(now) {
				free.Until = time.Date(now.Year(), now.Month(), now.Day()+1, at.Hour(), at.Minute(), 0, 0, now.Location())
			}
			return free
		}
		free.Error = "A time of day, such as 17:30."
	}
	free.span = usualSpan
	for _, span := range readySpans {
		if asked, err := strconv.Atoi(q.Get("for")); err == nil && asked == span.Minutes {
			free.span = asked
		}
	}
	for _, span := range readySpans {
		if span.Minutes == free.span {
			free.name = span.Said
		}
	}
	free.Until = now.Add(time.Duration(free.span) * time.Minute)
	return free
}

// Helpers is how many are there beside the owner.
func (f FreeTime) Helpers() int {
	if f.Helper {
		return 1
	}
	return 0
}

// Name tells one time from another while a plan holds.
func (f FreeTime) Name() string {
	return f.Until.Format(time.RFC3339) + " with " + strconv.Itoa(f.Helpers())
}

// Words are what a sentence calls it: 2 h, half a day, the time until 17:30.
func (f FreeTime) Words() string {
	if f.span == 0 {
		return "the time until " + f.Until.Format("15:04")
	}
	return f.name
}

// spans are the stretches offered, the one shown marked.
func (f FreeTime) spans() []ui.Link {
	var links []ui.Link
	for _, span := range readySpans {
		links = append(links, ui.Link{
			Text: span.Name, Href: route.ReadyFor(strconv.Itoa(span.Minutes), f.Helper), Current: span.Minutes == f.span,
		})
	}
	return links
}

// with is the same time with or without a helper.
func (f FreeTime) with(helper bool) string {
	if f.span == 0 {
		return route.ReadyUntil(f.Clock, helper)
	}
	return route.ReadyFor(strconv.Itoa(f.span), helper)
}

// together is where it is worked out which jobs fit into it together.
func (f FreeTime) together() string {
	if f.span == 0 {
		return route.TogetherUntil(f.Clock, f.Helper)
	}
	return route.TogetherFor(strconv.Itoa(f.span), f.Helper)
}
