package planner

// Plan places every job of the problem or says what blocks it. The only error
// is a problem that Validate refuses.
func Plan(p Problem) (Answer, error) {
	if err := p.Validate(); err != nil {
		return Answer{}, err
	}
	a := Answer{Now: p.Now, Zone: p.Zone, Stages: []PlacedStage{}, Blocked: []Blocked{}, Visits: []Visit{}, Promises: []Promise{}, Notes: []Note{}}
	for _, j := range p.Jobs {
		a.Blocked = append(a.Blocked, Blocked{Job: j.ID, Why: []Why{{Kind: BecauseSession}}})
	}
	return a, nil
}
