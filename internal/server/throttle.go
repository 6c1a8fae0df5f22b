package server

import (
	"net/netip"
	"sync"
	"time"
)

// throttle slows down guessing, without ever locking the owner out: an address that guesses wrong often has to wait, and
// so do all addresses together that the owner has never signed in from. An address that the owner has signed in from, and
// the machine itself, are counted each for themselves alone, so that a stranger's guessing does not keep the owner waiting.
//
// It lives in memory: several instances allow that many times as many guesses, and a restart forgets them.
type throttle struct {
	mu       sync.Mutex
	now      func() time.Time
	byPeer   map[netip.Prefix]bucket
	stranger bucket // shared by all addresses that are not known
}

// bucket holds the wrong guesses still counted: it drains with time, and is full at its limit.
type bucket struct {
	wrong float64
	at    time.Time
}

// What an address may get wrong at once and how fast that is forgotten; and the same for all strangers together.
const (
	peerLimit     = 10
	peerDrain     = 30 * time.Second
	strangerLimit = 50
	strangerDrain = 10 * time.Second
	peersKept     = 10_000
)

func newThrottle(now func() time.Time) *throttle {
	return &throttle{now: now, byPeer: map[netip.Prefix]bucket{}}
}

func (b bucket) drained(now time.Time, each time.Duration) bucket {
	b.wrong = max(0, b.wrong-float64(now.Sub(b.at))/float64(each))
	b.at = now
	return b
}

// wait is how long the bucket needs to have room for one more; zero when it has.
func (b bucket) wait(limit float64, each time.Duration) time.Duration {
	return time.Duration(max(0, b.wrong+1-limit) * float64(each))
}

// peerOf is what counts as one address: for IPv6 the network that a household is given.
func peerOf(addr netip.Addr) netip.Prefix {
	bits := 32
	if addr = addr.Unmap(); addr.Is6() {
		bits = 64
	}
	prefix, _ := addr.Prefix(bits) // an invalid address is a peer of its own
	return prefix
}

// begin counts a guess as wrong until [throttle.right] takes it back, or says how long to wait first. Counting before the
// password is checked holds against many guesses at the same moment.
func (t *throttle) begin(addr netip.Addr, known bool) time.Duration {
	t.mu.Lock()
	defer t.mu.Unlock()
	now, peer := t.now(), peerOf(addr)
	own := t.byPeer[peer].drained(now, peerDrain)
	if wait := own.wait(peerLimit, peerDrain); wait > 0 {
		return wait
	}
	if !known && !addr.IsLoopback() {
		all := t.stranger.drained(now, strangerDrain)
		if wait := all.wait(strangerLimit, strangerDrain); wait > 0 {
			return wait
		}
		all.wrong++
		t.stranger = all
	}
	own.wrong++
	t.byPeer[peer] = own
	t.forget(now)
	return 0
}

// right takes a guess back: it was right, or was not about the password.
func (t *throttle) right(addr netip.Addr, known bool) {
	t.mu.Lock()
	defer t.mu.Unlock()
	peer := peerOf(addr)
	own := t.byPeer[peer]
	own.wrong = max(0, own.wrong-1)
	t.byPeer[peer] = own
	if !known && !addr.IsLoopback() {
		t.stranger.wrong = max(0, t.stranger.wrong-1)
	}
}

// forget drops the addresses that have nothing left to count, once there are many.
func (t *throttle) forget(now time.Time) {
	if len(t.byPeer) < peersKept {
		return
	}
	for peer, b := range t.byPeer {
		if b.drained(now, peerDrain).wrong == 0 {
			delete(t.byPeer, peer)
		}
	}
	if len(t.byPeer) >= 2*peersKept {
		clear(t.byPeer) // strangers are still held by what they share
	}
}
