//go:build linux || darwin

package localpg

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"time"
)

const (
	// patience is how long Start waits for what a crash left behind to go away.
	patience = 20 * time.Second
	// recovery bounds how long a server may take to replay its log. Ours stays below 128 MB, which is seconds.
	recovery = 5 * time.Minute
	// logLimit is the size from which the log is started afresh. One older file is kept.
	logLimit = 1 << 20
)

// start carries what the steps of Start find out one after the other.
type start struct {
	opt  Options
	dir  string // the data directory, absolute and free of links
	data string // the cluster in it
	tag  string // the cluster's name, by which its processes are recognised
	lock *os.File
	log  *os.File
	as   *account // who Postgres runs as; nil: who we are
	bin  binaries
	sock string // directory of the socket
}

// Start runs the cluster in opt.Dir, making it first if there is none, and returns when it accepts connections.
// It fails with ErrInUse if another program holds the directory, ErrVersion if the cluster's major version is not
// here, and ErrNoBinaries without Postgres. ctx bounds Start itself; it does not end the cluster later.
func Start(ctx context.Context, opt Options) (*Cluster, error) {
	if opt.Log == nil {
		opt.Log = io.Discard
	}
	s := &start{opt: opt}
	c, err := s.run(ctx)
	if err != nil {
		s.release()
		return nil, fmt.Errorf("private Postgres: %w", err)
	}
	return c, nil
}

func (s *start) run(ctx context.Context) (*Cluster, error) {
	steps := []func(context.Context) error{
		s.takeDir, s.chooseAccount, s.openLog, s.chooseBinaries, s.chooseSocket, s.waitForLeftovers, s.makeCluster,
	}
	for _, step := range steps {
		if err := step(ctx); err != nil {
			return nil, err
		}
		if err := ctx.Err(); err != nil {
			return nil, err
		}
	}
	return s.launch(ctx)
}

func (s *start) release() {
	if s.log != nil {
		s.log.Close()
	}
	if s.lock != nil {
		// Closing alone does not do: a child that this program just forked for something else has the file open too, and with it
		// the lock, until it has become another program.
		syscall.Flock(int(s.lock.Fd()), syscall.LOCK_UN)
		s.lock.Close()
	}
}

// takeDir makes the data directory if need be and locks it. Everything else happens under this lock: a second instance
// must not attach to the first one's server and stop it when it ends.
func (s *start) takeDir(context.Context) error {
	if s.opt.Dir == "" {
		return errors.New("no data directory given")
	}
	dir, err := filepath.Abs(s.opt.Dir)
	if err != nil {
		return err
	}
	if err := makeDirs(dir); err != nil {
		return fmt.Errorf("make the data directory: %w", err)
	}
	if s.dir, err = filepath.EvalSymlinks(dir); err != nil {
		return err
	}
	s.data = filepath.Join(s.dir, "pg")
	if moved, err := filepath.EvalSymlinks(s.data); err == nil {
		s.data = moved // the owner may keep the cluster on another disk, behind a link
	}
	s.tag = "axlestand-" + shortHash(s.data)
	f, err := os.OpenFile(filepath.Join(s.dir, "lock"), os.O_RDWR|os.O_CREATE|syscall.O_NOFOLLOW, 0o600)
	if err != nil {
		return fmt.Errorf("data directory: %w", err)
	}
	if err := syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB); err != nil {
		holder, _ := io.ReadAll(io.LimitReader(f, 20))
		f.Close()
		if errors.Is(err, syscall.EWOULDBLOCK) {
			return fmt.Errorf("%w: %s is held by another instance (process %s)", ErrInUse, s.dir, strings.TrimSpace(string(holder)))
		}
		return fmt.Errorf("lock %s: %w", s.dir, err)
	}
	s.lock = f
	// The number is only for the message above.
	if err := f.Truncate(0); err != nil {
		return err
	}
	_, err = f.WriteAt([]byte(strconv.Itoa(os.Getpid())+"\n"), 0)
	return err
}

// openLog opens the file that Postgres writes to, moving a large one out of the way.
func (s *start) openLog(context.Context) error {
	name := filepath.Join(s.dir, "postgres.log")
	if fi, err := os.Lstat(name); err == nil && fi.Size() > logLimit {
		if err := os.Rename(name, name+".1"); err != nil {
			return err
		}
	}
	f, err := os.OpenFile(name, os.O_RDWR|os.O_CREATE|os.O_APPEND|syscall.O_NOFOLLOW, 0o600)
	if err != nil {
		return fmt.Errorf("open the log: %w", err)
	}
	s.log = f
	return nil
}

// launch starts the server, again and again while only what a crash left behind stands in its way.
func (s *start) launch(ctx context.Context) (*Cluster, error) {
	deadline := time.Now().Add(patience)
	for {
		c, err := s.launchOnce(ctx)
		if err == nil || !errors.Is(err, errLeftover) || time.Now().After(deadline) {
			return c, err
		}
		if err := sleep(ctx, 200*time.Millisecond); err != nil {
			return nil, err
		}
		if err := s.waitForLeftovers(ctx); err != nil {
			return nil, err
		}
	}
}

func (s *start) launchOnce(ctx context.Context) (*Cluster, error) {
	from, err := s.log.Seek(0, io.SeekEnd)
	if err != nil {
		return nil, err
	}
	cmd := exec.Command(s.bin.postgres(), s.serverArgs()...)
	cmd.Dir = "/"
	cmd.Stdout, cmd.Stderr = s.log, s.log
	p, err := s.as.start(cmd)
	if err != nil {
		return nil, fmt.Errorf("start %s: %w", s.bin.postgres(), err)
	}
	if err := s.waitReady(ctx, p); err != nil {
		p.end(0)
		if said := s.logSince(from); said != "" {
			err = fmt.Errorf("%w: %s", classify(said, err), said)
		}
		return nil, fmt.Errorf("%w (see %s)", err, s.log.Name())
	}
	return s.cluster(p, from), nil
}

// cluster wraps the running server; it also owns the lock from here on, and frees it only after the server has ended.
func (s *start) cluster(p *process, from int64) *Cluster {
	c := &Cluster{Version: s.bin.version.String(), socketDir: s.sock, done: make(chan struct{})}
	stopping := make(chan struct{})
	c.stop = func(ctx context.Context) {
		close(stopping)
		limit := stopLimit
		if deadline, ok := ctx.Deadline(); ok {
			limit = min(limit, time.Until(deadline))
		}
		go func() {
			select {
			case <-ctx.Done():
				p.signal(syscall.SIGQUIT)
			case <-p.exited:
			}
		}()
		p.end(limit)
	}
	var died error
	c.err = func() error { return died }
	go func() {
		<-p.exited
		select {
		case <-stopping:
		default:
			died = fmt.Errorf("private Postgres ended by itself (%v): %s (see %s)", p.err, s.logSince(from), s.log.Name())
		}
		s.release()
		close(c.done)
	}()
	return c
}

// waitReady returns when the server accepts connections, which it notes in the last line of its lock file.
func (s *start) waitReady(ctx context.Context, p *process) error {
	limit := time.After(recovery)
	announce := time.After(3 * time.Second)
	tick := time.NewTicker(5 * time.Millisecond)
	defer tick.Stop()
	for {
		select {
		case <-p.exited:
			return errors.New("the server did not start")
		case <-ctx.Done():
			return ctx.Err()
		case <-limit:
			return errors.New("the server did not become ready")
		case <-announce:
			fmt.Fprintln(s.opt.Log, "The database is recovering after it was cut off; this takes a moment.")
		case <-tick.C:
			if lines := readLines(filepath.Join(s.data, "postmaster.pid")); len(lines) >= 8 &&
				lines[0] == strconv.Itoa(p.pid) && strings.TrimSpace(lines[7]) == "ready" {
				return nil
			}
		}
	}
}

// errLeftover marks a failed start that will succeed once what a crash left behind is gone.
var errLeftover = errors.New("the server did not start yet")

func classify(said string, err error) error {
	for _, sign := range []string{"lock file", "pre-existing shared memory block", "Is another postmaster"} {
		if strings.Contains(said, sign) {
			return errLeftover
		}
	}
	return err
}

// logSince is what the server complained of since it was at the given place, on one line.
func (s *start) logSince(from int64) string {
	said, err := io.ReadAll(io.NewSectionReader(s.log, from, 1<<16))
	if err != nil {
		return ""
	}
	var kept []string
	for line := range strings.Lines(string(said)) {
		for _, level := range []string{"FATAL:", "PANIC:", "ERROR:", "HINT:", "error while loading"} {
			if at := strings.Index(line, level); at >= 0 && len(kept) < 6 {
				kept = append(kept, strings.Join(strings.Fields(line[at:]), " "))
				break
			}
		}
	}
	return strings.Join(kept, " ")
}

// serverArgs tunes the server small: one owner, a handful of connections, megabytes of data. Settings are given on the
// command line and not in the cluster's files, so that an existing cluster follows them too.
func (s *start) serverArgs() []string {
	settings := map[string]string{
		"listen_addresses":                "",
		"unix_socket_directories":         quoteListItem(s.sock),
		"unix_socket_permissions":         "0700",
		"port":                            port,
		"cluster_name":                    s.tag,
		"max_connections":                 "30",
		"shared_buffers":                  "16MB",
		"huge_pages":                      "off",
		"work_mem":                        "4MB",
		"maintenance_work_mem":            "32MB",
		"effective_cache_size":            "128MB",
		"jit":                             "off",
		"autovacuum_max_workers":          "1",
		"max_parallel_workers_per_gather": "0",
		"max_logical_replication_workers": "0",
		"wal_level":                       "minimal",
		"max_wal_senders":                 "0",
		"min_wal_size":                    "16MB",
		"max_wal_size":                    "128MB",
		"random_page_cost":                "1.1",
		"timezone":                        "UTC",
		"log_timezone":                    "UTC",
		"log_destination":                 "stderr",
		"logging_collector":               "off",
		"log_checkpoints":                 "off",
		"log_min_messages":                "error",
		// Statements carry the owner's data, which has no place in a log.
		"log_min_error_statement": "panic",
	}
	if s.bin.version.major >= 18 {
		settings["io_method"] = "sync" // else three more processes wait for work
	}
	if s.opt.NoSync {
		for _, name := range []string{"fsync", "synchronous_commit", "full_page_writes"} {
			settings[name] = "off"
		}
	}
	for name, value := range s.opt.Settings {
		settings[name] = value
	}
	args := []string{"-D", s.data}
	for name, value := range settings {
		args = append(args, "-c", name+"="+value)
	}
	return args
}

// quoteListItem quotes a path for a setting that is a comma-separated list.
func quoteListItem(path string) string { return `"` + strings.ReplaceAll(path, `"`, `""`) + `"` }

func readLines(name string) []string {
	text, err := os.ReadFile(name)
	if err != nil {
		return nil
	}
	return strings.Split(string(text), "\n")
}

func sleep(ctx context.Context, d time.Duration) error {
	select {
	case <-ctx.Done():
		return ctx.Err()
	case <-time.After(d):
		return nil
	}
}
