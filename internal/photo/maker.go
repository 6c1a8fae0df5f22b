package photo

import (
	"context"
	"runtime/debug"
)

// Maker makes so many photos at a time that the memory which opening them takes stays bounded.
type Maker struct {
	slots chan struct{}
}

// NewMaker is one that makes at most so many photos at a time.
func NewMaker(atOnce int) *Maker { return &Maker{slots: make(chan struct{}, atOnce)} }

// large is a picture, in bytes of memory, that is given back to the system at once instead of when it suits.
const large = 24 << 20

// Make is [Make] when it is this file's turn. It returns the error of ctx when that ends first.
func (m *Maker) Make(ctx context.Context, file []byte) (Photo, error) {
	h, err := look(file) // what is refused by its header need not wait
	if err != nil {
		return Photo{}, err
	}
	select {
	case m.slots <- struct{}{}:
	case <-ctx.Done():
		return Photo{}, ctx.Err()
	}
	defer func() { <-m.slots }()
	p, err := Make(ctx, file)
	if h.memory() > large {
		debug.FreeOSMemory()
	}
	return p, err
}
