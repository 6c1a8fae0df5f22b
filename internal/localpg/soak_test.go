//go:build linux || darwin

package localpg

import (
	"context"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
)

// TestSoak kills the program while clients write, again and again: alone, with the server, and with all processes of
// the server. Every start must succeed by itself, and every write that was acknowledged must be there.
// AXLESTAND_TEST_SOAK is the number of kills; with CI=true it is 50.
func TestSoak(t *testing.T) {
	t.Parallel()
	needPostgres(t)
	cycles := 6
	if os.Getenv("CI") == "true" {
		cycles = 50
	}
	if n, err := strconv.Atoi(os.Getenv("AXLESTAND_TEST_SOAK")); err == nil {
		cycles = n
	}
	seed := uint64(time.Now().UnixNano())
	t.Log("seed", seed)
	random := rand.New(rand.NewPCG(seed, 0))

	dir := filepath.Join(openDir(t), "data")
	w := &writers{}
	var slowest time.Duration
	for cycle := range cycles {
		begun := time.Now()
		a := beginApp(t, dir)
		if cycle == 0 {
			exec1(t, a.url, "create table written (writer int, n int, filler text, primary key (writer, n))")
		} else {
			slowest = max(slowest, time.Since(begun))
		}
		w.check(t, a.url)
		w.start(a.url)
		<-w.writing // on a busy machine that takes a while
		time.Sleep(time.Duration(30+random.IntN(300)) * time.Millisecond)
		switch cycle % 3 {
		case 1: // both
			syscall.Kill(a.postmaster(t), syscall.SIGKILL)
		case 2: // everything
			for _, h := range holders(filepath.Join(dir, "pg"), tagOf(dir)) {
				syscall.Kill(h.pid, syscall.SIGKILL)
			}
		}
		a.kill()
		w.Wait()
	}
	c := begin(t, Options{Dir: dir})
	w.check(t, c.URL("axlestand"))
	t.Logf("%d kills, %d acknowledged writes, slowest start after one %v", cycles, w.total(), slowest)
	if w.total() < cycles {
		t.Error("hardly anything was written: nothing is tested")
	}
}

// writers each write 1, 2, 3 … and remember which numbers were acknowledged. A number that was not may be there or
// not, so it is never tried again.
type writers struct {
	sync.WaitGroup
	writing      chan struct{} // closed once one of them was acknowledged a write, or lost its connection before
	next         [4]int
	acknowledged [4][]int
}

func (w *writers) start(url string) {
	w.writing = make(chan struct{})
	written := sync.OnceFunc(func() { close(w.writing) })
	for i := range w.acknowledged {
		w.Go(func() {
			defer written()
			w.write(url, i, written)
		})
	}
}

// write goes on until the connection is lost.
func (w *writers) write(url string, writer int, written func()) {
	ctx, cancel := context.WithTimeout(context.Background(), 30*time.Second)
	defer cancel()
	conn, err := pgx.Connect(ctx, url)
	if err != nil {
		return
	}
	defer conn.Close(ctx)
	for {
		w.next[writer]++
		n := w.next[writer]
		if _, err := conn.Exec(ctx, "insert into written values ($1, $2, repeat('x', 500))", writer, n); err != nil {
			return
		}
		w.acknowledged[writer] = append(w.acknowledged[writer], n)
		written()
	}
}

func (w *writers) total() (n int) {
	for _, numbers := range w.acknowledged {
		n += len(numbers)
	}
	return n
}

// check reads everything back, by the table and by its index.
func (w *writers) check(t *testing.T, url string) {
	t.Helper()
	conn := connect(t, url)
	defer conn.Close(context.Background())
	for writer, numbers := range w.acknowledged {
		rows, err := conn.Query(t.Context(), "select n from written where writer = $1 and filler = repeat('x', 500)", writer)
		if err != nil {
			t.Fatal(err)
		}
		there, err := pgx.CollectRows(rows, pgx.RowTo[int])
		if err != nil {
			t.Fatal(err)
		}
		found := map[int]bool{}
		for _, n := range there {
			found[n] = true
		}
		for _, n := range numbers {
			if !found[n] {
				t.Fatalf("write %d of writer %d was acknowledged and is lost", n, writer)
			}
		}
	}
}
