package route

import "net/url"

// PlanFrom is the plan with the weeks from a day on, written as 2027-03-06.
func PlanFrom(day string) string { return Plan() + "?from=" + url.QueryEscape(day) }

// ReadyFor is the first page with what is ready for a stretch of time: "60", "120", "240", "480" minutes, and whether a
// helper is there.
func ReadyFor(minutes string, helper bool) string {
	q := url.Values{"for": {minutes}}
	if helper {
		q.Set("helper", "1")
	}
	return Today() + "?" + q.Encode()
}
