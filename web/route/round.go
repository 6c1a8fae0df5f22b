package route

// Rounds are the rounds of a job that is done again until something is seen, and takes the next one by POST.
func Rounds[T ~int64](job T) string { return Job(job) + "/rounds" }

// JobRepeat says by POST what must be seen before the rounds of a job end (field repeat_until).
func JobRepeat[T ~int64](job T) string { return Job(job) + "/repeat" }

// RoundUndo takes the last round back by POST.
func RoundUndo[T ~int64](round T) string { return "/rounds/" + number(round) + "/undo" }

// PhotosOfRound are the photos of a round.
func PhotosOfRound[T ~int64](round T) string { return Photos("/rounds/" + number(round)) }
