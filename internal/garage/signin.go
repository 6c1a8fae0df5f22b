package garage

import "time"

// How long a sign-in lasts.
const (
	SigninIdle = 30 * 24 * time.Hour // without being used
	SigninMax  = 90 * 24 * time.Hour // at all
)

// Signin is one browser that the owner has signed in with. Only the SHA-256 of its token is known here.
type Signin struct {
	TokenHash []byte
	CreatedAt time.Time
	SeenAt    time.Time
	Agent     string // how the browser calls itself
	Address   string // where it signed in from
}
