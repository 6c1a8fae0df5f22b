//go:build linux || darwin

package localpg

import (
	"context"
	"os"
	"os/exec"
	"runtime"
	"syscall"
	"time"
)

// process is a running child and everything that it started.
type process struct {
	pid    int
	exited chan struct{}
	err    error // how it ended; read after exited is closed
}

// start starts cmd as the account, in a process group of its own. On Linux the child gets SIGINT if we die.
func (a *account) start(cmd *exec.Cmd) (*process, error) {
	cmd.Env = environment()
	cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true, Credential: a.credential()}
	signalWithParent(cmd.SysProcAttr)
	p := &process{exited: make(chan struct{})}
	started := make(chan error)
	go func() {
		// "If we die" means the thread that started the child, so this one must live as long as the child does: it is
		// locked to this goroutine, which waits.
		runtime.LockOSThread()
		err := cmd.Start()
		if err == nil {
			p.pid = cmd.Process.Pid
		}
		started <- err
		if err == nil {
			p.err = cmd.Wait()
			close(p.exited)
		}
	}()
	if err := <-started; err != nil {
		return nil, err
	}
	return p, nil
}

func (p *process) signal(sig syscall.Signal) {
	select {
	case <-p.exited: // the number may belong to somebody else by now
	default:
		syscall.Kill(p.pid, sig)
	}
}

// end stops a server: politely within most of the limit, at once within the rest, by force after that.
func (p *process) end(limit time.Duration) {
	p.signal(syscall.SIGINT)
	if p.gone(limit * 8 / 10) {
		return
	}
	p.signal(syscall.SIGQUIT)
	if p.gone(max(limit*2/10, time.Second)) {
		return
	}
	select {
	case <-p.exited:
	default:
		syscall.Kill(-p.pid, syscall.SIGKILL)
	}
	<-p.exited
}

func (p *process) gone(within time.Duration) bool {
	select {
	case <-p.exited:
		return true
	case <-time.After(within):
		return false
	}
}

// run runs cmd as the account to its end, or kills it and all that it started when ctx ends.
func (a *account) run(ctx context.Context, cmd *exec.Cmd) error {
	p, err := a.start(cmd)
	if err != nil {
		return err
	}
	select {
	case <-p.exited:
		return p.err
	case <-ctx.Done():
		syscall.Kill(-p.pid, syscall.SIGKILL)
		<-p.exited
		return ctx.Err()
	}
}

// environment keeps out what would change how Postgres behaves (PGDATA, PGPORT, the locale), so that a cluster is the
// same whoever starts it. A set TZ also spares initdb a search through all time zones.
func environment() []string {
	env := []string{"LC_ALL=C", "TZ=UTC", "PATH=" + os.Getenv("PATH")}
	for _, name := range []string{"LD_LIBRARY_PATH", "DYLD_LIBRARY_PATH", "TMPDIR"} {
		if value, ok := os.LookupEnv(name); ok {
			env = append(env, name+"="+value)
		}
	}
	return env
}
