package route

import (
	"net/url"
	"strconv"
)

// Jobs lists the jobs, and takes a new one by POST.
func Jobs() string { return "/jobs" }

// JobsOf lists the jobs of a car.
func JobsOf[T ~int64](car T) string { return "/jobs?car=" + strconv.FormatInt(int64(car), 10) }

// JobNew is the form of a new job; a car is chosen first.
func JobNew() string { return "/jobs/new" }

// JobNewOn is the form of a new job on a car.
func JobNewOn[T ~int64](car T) string { return "/jobs/new?car=" + strconv.FormatInt(int64(car), 10) }

// JobNewCalled is the form of a new job on a car, with its title filled in.
func JobNewCalled[T ~int64](car T, title string) string {
	return JobNewOn(car) + "&" + url.Values{"title": {title}}.Encode()
}

// JobNewIn is the form of a new job on a car, in a phase of it.
func JobNewIn[T, P ~int64](car T, phase P) string {
	return JobNewOn(car) + "&phase=" + strconv.FormatInt(int64(phase), 10)
}

// Job shows a job, and saves it by POST.
func Job[T ~int64](job T) string { return "/jobs/" + strconv.FormatInt(int64(job), 10) }

// JobEdit is the form of a job.
func JobEdit[T ~int64](job T) string { return Job(job) + "/edit" }

// JobDelete says what deleting a job means, and does it by POST.
func JobDelete[T ~int64](job T) string { return Job(job) + "/delete" }

// JobRestore brings a deleted job back by POST.
func JobRestore[T ~int64](job T) string { return Job(job) + "/restore" }

// JobWhen fixes a job to a session or a first day, by POST.
func JobWhen[T ~int64](job T) string { return Job(job) + "/when" }

// JobClose asks how a job is closed, and closes it by POST.
func JobClose[T ~int64](job T) string { return Job(job) + "/close" }

// JobReopen opens a closed job by POST.
func JobReopen[T ~int64](job T) string { return Job(job) + "/reopen" }

// JobTakeOff notes which parts a harvest job has taken off, by POST.
func JobTakeOff[T ~int64](job T) string { return Job(job) + "/take-off" }

// JobPutBack undoes that by POST (fields movements).
func JobPutBack[T ~int64](job T) string { return Job(job) + "/put-back" }

// Stages takes a new stage of a job by POST.
func Stages[T ~int64](job T) string { return Job(job) + "/stages" }

// StageNew is the form of a new stage of a job.
func StageNew[T ~int64](job T) string { return Stages(job) + "/new" }

// Stage saves a stage by POST.
func Stage[T ~int64](stage T) string { return "/stages/" + strconv.FormatInt(int64(stage), 10) }

// StageEdit is the form of a stage.
func StageEdit[T ~int64](stage T) string { return Stage(stage) + "/edit" }

// StageDelete deletes a stage by POST.
func StageDelete[T ~int64](stage T) string { return Stage(stage) + "/delete" }

// StageRestore brings a deleted stage back by POST.
func StageRestore[T ~int64](stage T) string { return Stage(stage) + "/restore" }

// StageMove puts a stage one place up or down by POST (field to).
func StageMove[T ~int64](stage T) string { return Stage(stage) + "/move" }

// StageDone marks a stage done by POST.
func StageDone[T ~int64](stage T) string { return Stage(stage) + "/done" }

// StageTook says by POST how long a stage took that is done (field took).
func StageTook[T ~int64](stage T) string { return Stage(stage) + "/took" }

// StageUndone undoes that by POST.
func StageUndone[T ~int64](stage T) string { return Stage(stage) + "/undone" }

// Needs takes a new need of a stage by POST.
func Needs[T ~int64](stage T) string { return Stage(stage) + "/needs" }

// NeedNew is the form of a new need of a stage.
func NeedNew[T ~int64](stage T) string { return Needs(stage) + "/new" }

// Need saves a need by POST.
func Need[T ~int64](need T) string { return "/needs/" + strconv.FormatInt(int64(need), 10) }

// NeedEdit is the form of a need.
func NeedEdit[T ~int64](need T) string { return Need(need) + "/edit" }

// NeedDelete deletes a need by POST.
func NeedDelete[T ~int64](need T) string { return Need(need) + "/delete" }

// NeedRestore brings a deleted need back by POST.
func NeedRestore[T ~int64](need T) string { return Need(need) + "/restore" }

// NeedPin keeps by POST pieces that are on hand for a need.
func NeedPin[T ~int64](need T) string { return Need(need) + "/pin" }

// NeedUnpin keeps nothing for a need any more, by POST.
func NeedUnpin[T ~int64](need T) string { return Need(need) + "/unpin" }

// JobKit is the form that names the box in which a job's parts are gathered, and names it by POST.
func JobKit[T ~int64](job T) string { return Job(job) + "/kit" }

// JobKitGather moves by POST what is on hand for a job into its box.
func JobKitGather[T ~int64](job T) string { return JobKit(job) + "/gather" }

// JobKitDelete takes the box from a job by POST.
func JobKitDelete[T ~int64](job T) string { return JobKit(job) + "/delete" }

// JobKitBack moves back by POST what [JobKitGather] moved.
func JobKitBack[T ~int64](job T) string { return JobKit(job) + "/back" }

// Alternatives are the ways in which a need can be met.
func Alternatives[T ~int64](need T) string { return Need(need) + "/alternatives" }
