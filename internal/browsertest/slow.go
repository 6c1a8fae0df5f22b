package browsertest

import (
	"io"
	"math/rand/v2"
	"net"
	"net/url"
	"sync"
	"testing"
	"time"
)

// Bad is a line that is up and bad: how fast it is, how long an answer takes at least, and the share of packets that are lost.
type Bad struct {
	BitsPerSecond float64
	RoundTrip     time.Duration
	Loss          float64
	Seed          uint64
}

// segment is what one packet carries over Ethernet.
const segment = 1460

// Slow puts a bad line in front of an address. A connection takes a round trip to come about; packets share the line; one that is
// lost comes a round trip later, and what follows it on its connection waits for it, as with TCP.
func Slow(t testing.TB, address string, bad Bad) string {
	t.Helper()
	u, err := url.Parse(address)
	if err != nil {
		t.Fatal(err)
	}
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { listener.Close() })
	server := net.JoinHostPort("127.0.0.1", u.Port())
	down, up := newWay(bad, 1), newWay(bad, 2)
	go func() {
		for {
			near, err := listener.Accept()
			if err != nil {
				return
			}
			go func() {
				time.Sleep(bad.RoundTrip)
				far, err := net.Dial("tcp", server)
				if err != nil {
					near.Close()
					return
				}
				go up.carry(far, near)
				down.carry(near, far)
			}()
		}
	}()
	u.Host = listener.Addr().String()
	return Named(t, u.String())
}

// way is one direction of a line.
type way struct {
	bad  Bad
	mu   sync.Mutex
	rng  *rand.Rand
	free time.Time // when the last packet has left
}

func newWay(bad Bad, n uint64) *way { return &way{bad: bad, rng: rand.New(rand.NewPCG(bad.Seed, n))} }

// arrives says when a packet that is sent now is there.
func (w *way) arrives(bytes int) time.Time {
	w.mu.Lock()
	defer w.mu.Unlock()
	if now := time.Now(); w.free.Before(now) {
		w.free = now
	}
	w.free = w.free.Add(time.Duration(float64(bytes*8) / w.bad.BitsPerSecond * float64(time.Second)))
	at := w.free.Add(w.bad.RoundTrip / 2)
	for w.rng.Float64() < w.bad.Loss {
		at = at.Add(w.bad.RoundTrip)
	}
	return at
}

type packet struct {
	at   time.Time
	data []byte
}

// carry copies one connection, late.
func (w *way) carry(to, from net.Conn) {
	packets := make(chan packet, 4096)
	go func() {
		defer close(packets)
		for {
			data := make([]byte, segment)
			n, err := from.Read(data)
			if n > 0 {
				packets <- packet{w.arrives(n), data[:n]}
			}
			if err != nil {
				return
			}
		}
	}()
	for p := range packets {
		time.Sleep(time.Until(p.at))
		if _, err := to.Write(p.data); err != nil {
			break
		}
	}
	to.Close()
	io.Copy(io.Discard, from)
}
