package garage

import "time"

// How long a sign-in lasts.
const (
	SigninIdle = 30 * 24 * time.Hour // without being used
	SigninMax  = 90 * 24 * time.Hour // at all
	SigninSure = 15 * time.Minute    // is the password not asked for again
)

// Signin is one browser that the owner has signed in with. Only the SHA-256 of its token is known here.
type Signin struct {
	TokenHash []byte
	CreatedAt time.Time
	SeenAt    time.Time
	Agent     string    // how the browser calls itself
	Address   string    // where it signed in from
	SureAt    time.Time // when it last showed the password
}

// Sure says whether it showed the password so lately that what gives others a way in can be done without it.
func (s Signin) Sure(now time.Time) bool { return now.Sub(s.SureAt) < SigninSure }
