package planner

// Near is how Frees and Force plan what they compare.
func (p Problem) Near(base Answer) Problem { return p.near(base) }

// ThingsFor are the things that Unblock chooses from.
func ThingsFor(p Problem, job string) []Thing { return thingsFor(p, job) }

// TriesEffort is the effort of the plans by which Unblock tells whether a job is free, in a small garage.
const TriesEffort = triesEffort
