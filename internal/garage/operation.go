package garage

import "errors"

// Operation is something a browser sends to be done, told from all others by who sends it and a key of its own.
type Operation struct {
	Actor   string // the owner, or a helper's link
	Key     string // 1 to 200 characters
	Request []byte // a hash of what was sent
}

// Answered is what an operation was answered when it was done.
type Answered struct {
	Status   int
	Location string
	Flash    string // what the next page says, as the cookie holds it
}

// ErrOtherRequest says that something else was sent under the same key.
var ErrOtherRequest = errors.New("another request under the same key")
