package route

import "strconv"

// Card is a job's card as used beside the lift.
func Card[T ~int64](job T) string { return Job(job) + "/card" }

// CardNow is a job's card where it was left: at the step that is next, when something is done on it.
func CardNow[T ~int64](job T) string { return Card(job) + "#now" }

// CardOpen is a job's card with a step opened.
func CardOpen[T, S ~int64](job T, step S) string {
	id := strconv.FormatInt(int64(step), 10)
	return Card(job) + "?open=" + id + "#step-" + id
}

// CardPrint is a job's card on paper.
func CardPrint[T ~int64](job T) string { return Card(job) + "/print" }

// CardLive is a stream of how often a job's card has changed.
func CardLive[T ~int64](job T) string { return Card(job) + "/live" }

// CardCount says how often a job's card has changed.
func CardCount[T ~int64](job T) string { return Card(job) + "/count" }

// CardEdit is where a job's card is written.
func CardEdit[T ~int64](job T) string { return Card(job) + "/edit" }

// CardPaste makes steps of lines of text by POST: it shows them first, and keeps them when the field keep says so.
func CardPaste[T ~int64](job T) string { return Card(job) + "/paste" }

// CardCopy adds the steps of another job's card by POST (field from).
func CardCopy[T ~int64](job T) string { return Card(job) + "/copy" }

// CardPattern keeps a card as a pattern (field name), or uses one (field use), by POST.
func CardPattern[T ~int64](job T) string { return Card(job) + "/pattern" }

// CardCloseOut is what is looked at before the car leaves, and keeps it by POST.
func CardCloseOut[T ~int64](job T) string { return Card(job) + "/close-out" }

// JobLeave notes that the owner leaves the work, by POST.
func JobLeave[T ~int64](job T) string { return Job(job) + "/leave" }

// JobReturn notes that the owner is back, by POST.
func JobReturn[T ~int64](job T) string { return Job(job) + "/return" }

// JobLookBack asks whether a job was worth it, and keeps the answer by POST.
func JobLookBack[T ~int64](job T) string { return Job(job) + "/look-back" }

// StageSteps adds a step to a stage by POST.
func StageSteps[T ~int64](stage T) string { return Stage(stage) + "/steps" }

// StepNew is the form of a new step of a stage, behind a step; at its end for 0.
func StepNew[T, S ~int64](stage T, after S) string {
	to := StageSteps(stage) + "/new"
	if after != 0 {
		to += "?after=" + strconv.FormatInt(int64(after), 10)
	}
	return to
}

// StageMirror adds the steps of a side to a stage for the other side, by POST (field side).
func StageMirror[T ~int64](stage T) string { return Stage(stage) + "/mirror" }

// Step saves a step by POST.
func Step[T ~int64](step T) string { return "/steps/" + strconv.FormatInt(int64(step), 10) }

// StepEdit is the form of a step.
func StepEdit[T ~int64](step T) string { return Step(step) + "/edit" }

// StepMove puts a step elsewhere in its stage, by POST (field to: up, down or a place).
func StepMove[T ~int64](step T) string { return Step(step) + "/move" }

// StepDelete takes a step off its card by POST.
func StepDelete[T ~int64](step T) string { return Step(step) + "/delete" }

// StepRestore brings it back by POST.
func StepRestore[T ~int64](step T) string { return Step(step) + "/restore" }

// StepMark notes what happened at a step, by POST.
func StepMark[T ~int64](step T) string { return Step(step) + "/mark" }

// StepUndo undoes a mark that is known by the key of its request (field of), by POST.
func StepUndo[T ~int64](step T) string { return Step(step) + "/undo" }

// StepWrench chooses the wrench for a step by POST.
func StepWrench[T ~int64](step T) string { return Step(step) + "/wrench" }

// StepFigure writes down the figure that a step waits for, by POST.
func StepFigure[T ~int64](step T) string { return Step(step) + "/figure" }

// MarkUndo undoes a mark by POST.
func MarkUndo[T ~int64](mark T) string {
	return "/marks/" + strconv.FormatInt(int64(mark), 10) + "/undo"
}

// CardPatternDelete deletes a pattern by POST.
func CardPatternDelete[T ~int64](pattern T) string {
	return "/card-patterns/" + strconv.FormatInt(int64(pattern), 10) + "/delete"
}

// CardPatternRestore brings a deleted pattern back by POST.
func CardPatternRestore[T ~int64](pattern T) string {
	return "/card-patterns/" + strconv.FormatInt(int64(pattern), 10) + "/restore"
}

// FollowUps lists the follow-ups of a car, and takes a new one by POST.
func FollowUps[T ~int64](car T) string { return Car(car) + "/follow-ups" }

// FollowUpNew is the form of a new follow-up of a car.
func FollowUpNew[T ~int64](car T) string { return FollowUps(car) + "/new" }

// FollowUp saves a follow-up by POST.
func FollowUp[T ~int64](id T) string { return "/follow-ups/" + strconv.FormatInt(int64(id), 10) }

// FollowUpEdit is the form of a follow-up.
func FollowUpEdit[T ~int64](id T) string { return FollowUp(id) + "/edit" }

// FollowUpDone says that a follow-up is done, by POST; with the field undo that it is not.
func FollowUpDone[T ~int64](id T) string { return FollowUp(id) + "/done" }

// FollowUpDelete deletes a follow-up by POST.
func FollowUpDelete[T ~int64](id T) string { return FollowUp(id) + "/delete" }

// FollowUpRestore brings a deleted follow-up back by POST.
func FollowUpRestore[T ~int64](id T) string { return FollowUp(id) + "/restore" }
