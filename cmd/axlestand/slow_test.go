package main

import (
	"context"
	"net"
	"net/http"
	"net/url"
	"os"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"axlestand/internal/htmltest"
	"axlestand/internal/pgtest"
)

// TestSlowConnections keeps the program's connections busy with senders that never finish a request, while the owner goes on
// working. AXLESTAND_SLOW asks for more than a hundred of them, for a minute; figures are logged, not held against a limit, except
// for the memory, which is that of both ends.
func TestSlowConnections(t *testing.T) {
	t.Parallel()
	many, lasts := 100, 3*time.Second
	if n, err := strconv.Atoi(os.Getenv("AXLESTAND_SLOW")); err == nil && n > 0 {
		many, lasts = n, time.Minute
	}
	p := start(t, "-demo", "-database-url", pgtest.Empty(t))
	_, body := p.get(p.find(linkLine))
	form := htmltest.Parse(t, body).Find("main form")
	p.post(strings.TrimPrefix(form.Attr("action"), "/"), form.FormValues())
	address, err := url.Parse(p.address)
	if err != nil {
		t.Fatal(err)
	}
	p.work(time.Second)
	alone, memory := p.work(lasts/4), inUse()

	ctx, cancel := context.WithCancel(t.Context())
	var senders sync.WaitGroup
	var open, ended atomic.Int64
	for range many {
		senders.Go(func() {
			for ctx.Err() == nil {
				dribble(ctx, address.Host, &open)
				ended.Add(1)
			}
		})
	}
	for end := time.Now().Add(time.Minute); open.Load() < int64(many) && time.Now().Before(end); {
		time.Sleep(20 * time.Millisecond)
	}
	if got := open.Load(); got < int64(many)*9/10 {
		t.Errorf("only %d of %d connections are open", got, many)
	}
	beside, most := p.work(lasts), inUse()
	cancel()
	senders.Wait()
	t.Logf("%d slow connections, %d ended by the program: 95 of 100 pages within %v, alone %v; memory of both ends grew by %.1f MiB",
		many, ended.Load()-int64(many), beside, alone, (most-memory)/(1<<20))
	if most-memory > 64<<20 {
		t.Errorf("memory grew by %.0f bytes", most-memory)
	}
}

// work asks for a page again and again, and is the time within which 95 of 100 came.
func (p *program) work(lasts time.Duration) time.Duration {
	p.Helper()
	var all []time.Duration
	for end := time.Now().Add(lasts); time.Now().Before(end) || len(all) < 20; {
		begin := time.Now()
		if status, body := p.get("tools"); status != http.StatusOK {
			p.Fatalf("beside slow connections a page is answered %d: %s", status, body)
		}
		all = append(all, time.Since(begin))
	}
	slices.Sort(all)
	return all[len(all)*95/100]
}

// dribble sends a letter of a request now and then, until it is cut off.
func dribble(ctx context.Context, host string, open *atomic.Int64) {
	conn, err := new(net.Dialer).DialContext(ctx, "tcp", host)
	if err != nil {
		return
	}
	defer conn.Close()
	open.Add(1)
	defer open.Add(-1)
	if _, err := conn.Write([]byte("GET / HTTP/1.1\r\nHost: localhost\r\nX-Slow: ")); err != nil {
		return
	}
	for {
		select {
		case <-ctx.Done():
			return
		case <-time.After(time.Second):
		}
		if _, err := conn.Write([]byte("a")); err != nil {
			return
		}
	}
}

// inUse is the memory that is in use after what is garbage is gone.
func inUse() float64 {
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return float64(m.HeapInuse + m.StackInuse)
}
