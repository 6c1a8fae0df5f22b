package route

import "net/url"

// PlanFrom is the plan with the weeks from a day on, written as 2027-03-06.
func PlanFrom(day string) string { return Plan() + "?from=" + url.QueryEscape(day) }

// ReadyFor is the first page with what is ready for a stretch of time: "60", "120", "240", "480" minutes, and whether a
// helper is there. The page also takes a clock time in its place (field until, as 17:30).
func ReadyFor(minutes string, helper bool) string {
	return Today() + "?" + freeTime(url.Values{"for": {minutes}}, helper)
}

// ReadyUntil is the first page with what is ready until a clock time, as 17:30.
func ReadyUntil(clock string, helper bool) string {
	return Today() + "?" + freeTime(url.Values{"until": {clock}}, helper)
}

// TogetherFor says which jobs fit together into a stretch of time, TogetherUntil into the time until a clock time.
func TogetherFor(minutes string, helper bool) string {
	return "/together?" + freeTime(url.Values{"for": {minutes}}, helper)
}

// TogetherUntil is TogetherFor with a clock time.
func TogetherUntil(clock string, helper bool) string {
	return "/together?" + freeTime(url.Values{"until": {clock}}, helper)
}

func freeTime(q url.Values, helper bool) string {
	if helper {
		q.Set("helper", "1")
	}
	return q.Encode()
}

// WhatIf is the plan with things supposed to be otherwise, each as a text of its own, beside the plan as it is; it enters them by
// POST (fields if and version).
func WhatIf(supposed ...string) string {
	if len(supposed) == 0 {
		return Plan() + "/what-if"
	}
	return Plan() + "/what-if?" + url.Values{"if": supposed}.Encode()
}

// WhatIfJob is the what-if with the forms that suppose something of a job open.
func WhatIfJob[T ~int64](job T) string { return WhatIf() + "?job=" + number(job) }

// PlanLonger is a plan that was looked for longer, beside the plan as it is; that is taken by POST (field found).
func PlanLonger() string { return Plan() + "/longer" }

// PlanFrees says what would free most of the plan.
func PlanFrees() string { return Plan() + "/frees" }

// PlanChances says how sure the dates of the plan are.
func PlanChances() string { return Plan() + "/chances" }

// JobChance says how sure the plan of a job is.
func JobChance[T ~int64](job T) string { return in("/jobs", job) + "/chance" }

// JobWhy says why a job stands where it does in the plan, and with the field at what comes of it in another session.
func JobWhy[T ~int64](job T) string { return in("/jobs", job) + "/why" }

// WhatIfChances says how sure dates are with things supposed, beside how sure they are by the plan.
func WhatIfChances(supposed ...string) string {
	return Plan() + "/what-if/chances?" + url.Values{"if": supposed}.Encode()
}
