package planner

// Near is how Frees and Force plan what they compare.
func (p Problem) Near(base Answer) Problem { return p.near(base) }
