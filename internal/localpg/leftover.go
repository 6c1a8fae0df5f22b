//go:build linux || darwin

package localpg

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"time"
)

// holder is a Postgres process that works in a cluster. It is ours if it carries the cluster's name, which only Start
// gives.
type holder struct {
	pid  int
	ours bool
}

// parsePS finds holders in the output of ps with the columns pid, stat and command.
func parsePS(list, data, tag string) []holder {
	var found []holder
	for line := range strings.Lines(list) {
		fields := strings.Fields(line)
		if len(fields) < 3 || strings.HasPrefix(fields[1], "Z") || !strings.Contains(line, "postgres") {
			continue
		}
		pid, err := strconv.Atoi(fields[0])
		ours := strings.Contains(line, tag)
		if err == nil && pid != os.Getpid() && (ours || strings.Contains(strings.TrimSpace(line)+" ", " -D "+data+" ")) {
			found = append(found, holder{pid: pid, ours: ours})
		}
	}
	return found
}

// waitForLeftovers returns when no process works in the cluster any more, and removes lock files that would keep a new
// server from starting. Since we hold the directory, whatever runs there was left by a program that was killed; it is
// usually shutting down already. If it is not, it is told to, then told to hurry.
func (s *start) waitForLeftovers(ctx context.Context) error {
	begun, announced := time.Now(), false
	sent := map[syscall.Signal]bool{}
	for {
		found := holders(s.data, s.tag)
		if len(found) == 0 {
			return s.removeStaleLocks()
		}
		targets, err := s.targets(found)
		if err != nil {
			return err
		}
		waited := time.Since(begun)
		if waited > patience {
			return fmt.Errorf("process %d left in %s does not end; stop it, then start again", found[0].pid, s.data)
		}
		if waited > time.Second && !announced {
			announced = true
			fmt.Fprintln(s.opt.Log, "Waiting for the database of an earlier run that was cut off.")
		}
		for after, sig := range map[time.Duration]syscall.Signal{2 * time.Second: syscall.SIGINT, 10 * time.Second: syscall.SIGQUIT} {
			if waited > after && !sent[sig] {
				sent[sig] = true
				for _, pid := range targets {
					syscall.Kill(pid, sig)
				}
			}
		}
		if err := sleep(ctx, 20*time.Millisecond); err != nil {
			return err
		}
	}
}

// targets are the processes that may be told to end: the server, or its children if it is gone. It is an error if the
// server was started by somebody else.
func (s *start) targets(found []holder) ([]int, error) {
	server := lockedBy(filepath.Join(s.data, "postmaster.pid"))
	var children []int
	for _, h := range found {
		if h.pid == server && !h.ours {
			return nil, fmt.Errorf("a Postgres that was not started by this program (process %d) runs in %s: stop it first", h.pid, s.data)
		}
		if h.pid == server {
			return []int{server}, nil
		}
		if h.ours {
			children = append(children, h.pid)
		}
	}
	return children, nil
}

// removeStaleLocks removes the lock files of a server that is gone. Postgres does so itself unless a process has the
// number that the file names, which after a crash is a zombie that nobody has reaped, or a stranger with the same
// number. It must be called only when the cluster has no holders.
func (s *start) removeStaleLocks() error {
	socket := filepath.Join(s.sock, ".s.PGSQL."+port)
	for _, names := range [][]string{{filepath.Join(s.data, "postmaster.pid")}, {socket + ".lock", socket}} {
		if pid := lockedBy(names[0]); pid == 0 || errors.Is(syscall.Kill(pid, 0), syscall.ESRCH) {
			continue
		}
		for _, name := range names {
			if err := os.Remove(name); err != nil && !errors.Is(err, fs.ErrNotExist) {
				return err
			}
		}
	}
	return nil
}

// lockedBy is the process that a lock file of Postgres names, or 0.
func lockedBy(name string) int {
	lines := readLines(name)
	if len(lines) == 0 {
		return 0
	}
	pid, err := strconv.Atoi(strings.TrimSpace(lines[0]))
	if err != nil {
		return 0
	}
	return max(pid, -pid) // a single-user server writes its number negated
}

// removeHalfMade removes what an interrupted initdb left.
func (s *start) removeHalfMade(ctx context.Context, dir string) error {
	deadline := time.Now().Add(patience)
	for {
		// An initdb that was killed takes its server with it, but not in the same instant.
		err := fmt.Errorf("%s is still being written to", dir)
		if len(holders(dir, dir)) == 0 {
			err = os.RemoveAll(dir)
		}
		if err == nil || time.Now().After(deadline) {
			return err
		}
		if err := sleep(ctx, 50*time.Millisecond); err != nil {
			return err
		}
	}
}
