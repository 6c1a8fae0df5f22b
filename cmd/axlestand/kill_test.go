package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"net"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"strings"
	"sync"
	"testing"
	"time"

	"axlestand/internal/pgtest"
	"axlestand/internal/postgres"
)

// asProgram, when set, makes the test binary the program itself, so that a test can kill it.
const asProgram = "AXLESTAND_TEST_AS_PROGRAM"

// victim is the program in a process of its own.
type victim struct {
	*testing.T
	database, listen string
	client           *http.Client

	claimed bool

	mu  sync.Mutex
	cmd *exec.Cmd
}

func (v *victim) start() (said string) {
	v.Helper()
	cmd := exec.Command(os.Args[0], "-listen", v.listen, "-log-level", "error", "-database-url", v.database)
	cmd.Env = append(os.Environ(), asProgram+"=yes")
	cmd.Stderr = v.Output()
	_, err1 := cmd.StdinPipe() // ends with this process, and the program with it
	out, err2 := cmd.StdoutPipe()
	if err := errors.Join(err1, err2); err != nil {
		v.Error(err)
		return ""
	}
	if err := cmd.Start(); err != nil {
		v.Error(err)
		return ""
	}
	v.mu.Lock()
	v.cmd = cmd
	v.mu.Unlock()
	for lines := bufio.NewScanner(out); lines.Scan(); {
		said += lines.Text() + "\n"
		if strings.Contains(said, "Axlestand is at") && (v.claimed || strings.Contains(said, "with the code")) {
			break
		}
	}
	return said
}

// kill ends it as a power cut does.
func (v *victim) kill() {
	v.mu.Lock()
	defer v.mu.Unlock()
	if v.cmd != nil {
		_ = v.cmd.Process.Kill()
		_ = v.cmd.Wait()
		v.cmd = nil
	}
}

// send sends one operation until it is answered.
func (v *victim) send(key string, form url.Values) int {
	v.Helper()
	for end := time.Now().Add(time.Minute); time.Now().Before(end); time.Sleep(5 * time.Millisecond) {
		r, err := http.NewRequestWithContext(v.Context(), http.MethodPost, "http://"+v.listen+"/tools", strings.NewReader(form.Encode()))
		if err != nil {
			v.Fatal(err)
		}
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.Header.Set("Idempotency-Key", key)
		r.Header.Set("X-Axlestand-Outbox", "1")
		if resp, err := v.client.Do(r); err == nil {
			resp.Body.Close()
			if resp.StatusCode < http.StatusInternalServerError {
				return resp.StatusCode
			}
		}
	}
	return 0
}

// TestKilled sends operations one after another to a program that is killed again and again in the middle of them. Each is sent
// until it is answered, and each is done once, in order.
func TestKilled(t *testing.T) {
	t.Parallel()
	database := pgtest.Empty(t)
	free, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	v := &victim{T: t, database: database, listen: free.Addr().String(), client: newClient(t)}
	free.Close()
	t.Cleanup(v.kill)
	claimed := &program{T: t, client: v.client, address: "http://" + v.listen + "/", said: strings.Split(v.start(), "\n")}
	if _, body := claimed.claim(claimed.find(codeLine)); strings.Contains(body, "That is not the code") {
		t.Fatal(body)
	}
	v.claimed = true
	ctx, stop := context.WithCancel(t.Context())
	kills, rng := 0, rand.New(rand.NewPCG(1, 2))
	var killer sync.WaitGroup
	killer.Go(func() {
		for ctx.Err() == nil {
			time.Sleep(time.Duration(20+rng.IntN(250)) * time.Millisecond)
			v.kill()
			kills++
			v.start()
		}
	})
	const ops = 120
	for i := range ops {
		if status := v.send(fmt.Sprint("op-", i), url.Values{"name": {fmt.Sprintf("Tool %03d", i)}}); status != http.StatusNoContent {
			t.Errorf("operation %d is answered %d", i, status)
		}
		if i >= ops-5 && kills < 3 {
			time.Sleep(200 * time.Millisecond)
		}
	}
	stop()
	killer.Wait()
	pool, err := postgres.Open(t.Context(), database)
	if err != nil {
		t.Fatal(err)
	}
	defer pool.Close()
	rows, err := pool.Query(t.Context(), `select name from tools order by id`)
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for ; rows.Next(); n++ {
		var name string
		if err := rows.Scan(&name); err != nil || name != fmt.Sprintf("Tool %03d", n) {
			t.Fatalf("in place %d stands %s (%v)", n, name, err)
		}
	}
	if n != ops || kills < 3 {
		t.Errorf("%d of %d operations done, %d kills", n, ops, kills)
	}
	t.Logf("%d operations, %d kills", n, kills)
}
