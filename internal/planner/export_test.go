package planner

// Near is how Frees and Force plan what they compare.
func (p Problem) Near(base Answer) Problem { return p.near(base) }

// ThingsFor are the things that Unblock chooses from.
func ThingsFor(p Problem, job string) []Thing { return thingsFor(p, job) }

// ManyEffort is the effort of plans that are made to be compared, in a small garage.
const ManyEffort = manyEffort
