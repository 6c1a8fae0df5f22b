package route

import (
	"net/url"
	"strconv"
)

// Links lists the helper links, and makes one by POST.
func Links() string { return "/links" }

// LinkNew is the form of a new helper link.
func LinkNew() string { return Links() + "/new" }

// LinkNewFor is the form of a new helper link for a job.
func LinkNewFor[T ~int64](job T) string {
	return LinkNew() + "?" + url.Values{"job": {strconv.FormatInt(int64(job), 10)}}.Encode()
}

// LinkNewOn is the form of a new helper link for what is planned on a day, written as 2027-03-06.
func LinkNewOn(day string) string { return LinkNew() + "?" + url.Values{"day": {day}}.Encode() }

// Link is a helper link: what it opens and what was done with it.
func Link[T ~int64](id T) string { return Links() + "/" + strconv.FormatInt(int64(id), 10) }

// LinkRevoke ends a helper link by POST.
func LinkRevoke[T ~int64](id T) string { return Link(id) + "/revoke" }

// LinksRevoke ends all helper links by POST.
func LinksRevoke() string { return Links() + "/revoke-all" }

// LinkUndoWork undoes by POST all that was done with a helper link.
func LinkUndoWork[T ~int64](id T) string { return Link(id) + "/undo-work" }

// HelpWith is what a helper is given: a page with a button, which has no effect.
func HelpWith(token string) string { return "/help/with/" + url.PathEscape(token) }

// HelpStart lets a helper's browser in by POST (field token).
func HelpStart() string { return "/help/start" }

// HelpGone is the address under which a link that opens nothing is said to be so.
func HelpGone() string { return "/help" }

// Help is what a helper sees: the jobs that the link is for.
func Help[T ~int64](link T) string { return "/help/" + strconv.FormatInt(int64(link), 10) }
