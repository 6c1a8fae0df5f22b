package garage

import "slices"

// AfterLoop finds a loop among prerequisites: jobs each of which waits for the next, the last being the first again. It is
// the same loop whatever the order of the edges, and nil when there is none.
func AfterLoop(edges []After) []JobID {
	waitsFor := map[JobID][]JobID{}
	for _, e := range edges {
		waitsFor[e.JobID] = append(waitsFor[e.JobID], e.AfterID)
	}
	var jobs []JobID
	for job, list := range waitsFor {
		slices.Sort(list)
		jobs = append(jobs, job)
	}
	slices.Sort(jobs)
	w := loopWalk{waitsFor: waitsFor, cleared: map[JobID]bool{}}
	for _, job := range jobs {
		if w.visit(job) {
			return w.loop
		}
	}
	return nil
}

// loopWalk goes down the prerequisites; cleared are the jobs from which no loop is reached.
type loopWalk struct {
	waitsFor map[JobID][]JobID
	cleared  map[JobID]bool
	path     []JobID
	loop     []JobID
}

// visit says whether a loop is reached from job, and keeps it.
func (w *loopWalk) visit(job JobID) bool {
	if w.cleared[job] {
		return false
	}
	if i := slices.Index(w.path, job); i >= 0 {
		w.loop = append(slices.Clone(w.path[i:]), job)
		return true
	}
	w.path = append(w.path, job)
	for _, next := range w.waitsFor[job] {
		if w.visit(next) {
			return true
		}
	}
	w.path = w.path[:len(w.path)-1]
	w.cleared[job] = true
	return false
}
