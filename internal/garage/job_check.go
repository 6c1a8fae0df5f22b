package garage

import (
	"cmp"
	"slices"
)

// StageTrouble is what does not hold between the stages of a job, though each holds for itself.
type StageTrouble string

// The troubles.
const (
	NeverRollsAgain StageTrouble = "never rolls again" // it makes the car immobile, and nothing later ends that
	NothingToFollow StageTrouble = "nothing to follow" // it follows at once, and no bench stage is before it
)

// StageTroubles says which stages of a job do not hold together. Stages are those of the job, later those of the jobs on
// the same car that wait for it.
func StageTroubles(stages, later []Stage) map[StageID][]StageTrouble {
	stages = slices.SortedFunc(slices.Values(stages), func(a, b Stage) int {
		return cmp.Or(cmp.Compare(a.Position, b.Position), cmp.Compare(a.ID, b.ID))
	})
	found := map[StageID][]StageTrouble{}
	ends := func(s Stage) bool { return s.Immobile == "until" && s.DeletedAt == nil }
	for i, s := range stages {
		if s.DeletedAt != nil {
			continue
		}
		if s.Immobile == "from" && !slices.ContainsFunc(stages[i+1:], ends) && !slices.ContainsFunc(later, ends) {
			found[s.ID] = append(found[s.ID], NeverRollsAgain)
		}
		if s.FollowsAtOnce && (i == 0 || stages[i-1].Kind != Bench) {
			found[s.ID] = append(found[s.ID], NothingToFollow)
		}
	}
	return found
}
