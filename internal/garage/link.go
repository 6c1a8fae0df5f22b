package garage

import (
	"slices"
	"time"
)

// LinkID names a helper link.
type LinkID int64

// LinkRights say what a helper may do.
type LinkRights string

// What a helper may do.
const (
	Look        LinkRights = "look"
	LookAndTick LinkRights = "look and tick"
)

// AllLinkRights lists them in the order of a form.
var AllLinkRights = []LinkRights{LookAndTick, Look}

// How long a helper link holds.
const (
	LinkDays     = 14 // unless the owner says otherwise
	LinkMaxDays  = 90
	maxLinkHours = (LinkMaxDays + 1) * 24 * time.Hour
)

// Link is what a helper follows to the cards of some jobs, without an account. Only the SHA-256 of its token is known here.
type Link struct {
	ID        LinkID
	TokenHash []byte
	Name      string // whom it is for
	Day       *Date  // the one day that it is for, if any
	Rights    LinkRights
	CreatedAt time.Time
	ExpiresAt time.Time
	RevokedAt *time.Time
	SeenAt    *time.Time // when it was last used
	Browsers  int        // that started with it
	Jobs      []JobID
}

// Validate says which fields do not hold.
func (l Link) Validate() error {
	var e FieldErrors
	e.name("name", l.Name)
	oneOf(&e, "rights", l.Rights, AllLinkRights)
	switch {
	case !l.ExpiresAt.After(l.CreatedAt):
		e.Add("until", "That day is over.")
	case l.ExpiresAt.Sub(l.CreatedAt) > maxLinkHours:
		e.Add("until", "90 days at most.")
	}
	if len(l.Jobs) == 0 {
		e.Add("jobs", "Choose at least one job.")
	}
	return e.Err()
}

// Live says whether it opens anything at a time.
func (l Link) Live(now time.Time) bool { return l.RevokedAt == nil && now.Before(l.ExpiresAt) }

// Opens says whether it is for a job.
func (l Link) Opens(job JobID) bool { return slices.Contains(l.Jobs, job) }

// MayTick says whether a helper may tick steps with it.
func (l Link) MayTick() bool { return l.Rights == LookAndTick }
