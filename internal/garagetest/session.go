package garagetest

import (
	"time"

	"axlestand/internal/garage"
)

// SessionPattern is Saturday from nine to five.
func SessionPattern(changes ...func(*garage.SessionPattern)) garage.SessionPattern {
	return with(garage.SessionPattern{ID: 1, Version: 1, Weekday: 6, FromMinute: 9 * 60, ToMinute: 17 * 60}, changes)
}

// SessionException is a Saturday off.
func SessionException(changes ...func(*garage.SessionException)) garage.SessionException {
	return with(garage.SessionException{
		ID: 1, Version: 1, OnDate: garage.NewDate(2027, time.March, 13), Off: true, Note: "Wedding",
	}, changes)
}

// Signin is one of a phone, used this afternoon.
func Signin(changes ...func(*garage.Signin)) garage.Signin {
	return with(garage.Signin{
		TokenHash: make([]byte, 32),
		CreatedAt: time.Date(2027, time.February, 20, 9, 30, 0, 0, time.UTC),
		SeenAt:    time.Date(2027, time.March, 5, 14, 5, 0, 0, time.UTC),
		Agent:     "Mozilla/5.0 (Linux; Android 16; Mobile) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/150.0.0.0 Mobile Safari/537.36",
		Address:   "192.168.1.23",
	}, changes)
}
