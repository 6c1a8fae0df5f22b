//go:build !linux && !darwin

package pgtest

func openLocal() (*server, error) { return nil, errNone }
