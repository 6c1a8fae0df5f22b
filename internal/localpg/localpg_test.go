//go:build linux || darwin

package localpg

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"os"
	"os/exec"
	"os/signal"
	"os/user"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
)

// helperMode in the environment turns the test binary into a program that can be killed: see helpers.
const helperMode = "AXLESTAND_LOCALPG_HELPER"

func TestMain(m *testing.M) {
	if mode := os.Getenv(helperMode); mode != "" {
		os.Exit(helper(mode, os.Args[1:]))
	}
	if !havePostgres() {
		fmt.Fprintln(os.Stderr, "SKIPPED: most of internal/localpg is untested, there are no Postgres binaries here")
	}
	keepZombies()
	os.Exit(m.Run())
}

// helper is what the test binary does when it is not testing.
func helper(mode string, args []string) int {
	switch mode {
	case "orphan": // the same, but the server stays if this process is killed
		makeOrphans()
		return helper("hold", args)
	case "hold": // start the cluster in args[0], print its URL, stop it on SIGTERM
		c, err := Start(context.Background(), Options{Dir: args[0], BinDir: os.Getenv("AXLESTAND_PG_BIN"), NoSync: len(args) > 1})
		if err != nil {
			fmt.Println("error:", err)
			return 1
		}
		fmt.Println(c.URL("axlestand"))
		term := make(chan os.Signal, 1)
		signal.Notify(term, syscall.SIGTERM)
		<-term
		if err := c.Stop(context.Background()); err != nil {
			return 1
		}
		return 0
	case "holders": // print the processes that work in the cluster args[0]
		fmt.Println(len(holders(args[0], args[1])))
		return 0
	case "dial": // connect to the socket args[0]
		conn, err := net.Dial("unix", args[0])
		if err != nil {
			fmt.Println(err)
			return 1
		}
		conn.Close()
		return 0
	}
	return 2
}

func havePostgres() bool {
	dirs := usualPlaces().dirs()
	return len(dirs) > 0 || os.Getenv("AXLESTAND_PG_BIN") != ""
}

func needPostgres(t *testing.T) {
	t.Helper()
	if havePostgres() {
		return
	}
	if os.Getenv("CI") == "true" {
		t.Fatal("no Postgres binaries, and CI is set")
	}
	t.Skip("no Postgres binaries")
}

// openDir is a temporary directory that every user can reach; those of the testing package are closed.
func openDir(t *testing.T) string {
	t.Helper()
	dir, err := os.MkdirTemp("", "localpg-test-")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		// A server whose program was killed may still be ending, and writes until it has.
		err := os.RemoveAll(dir)
		for last := time.Now().Add(20 * time.Second); err != nil && time.Now().Before(last); err = os.RemoveAll(dir) {
			time.Sleep(50 * time.Millisecond)
		}
		if err != nil {
			t.Error(err)
		}
	})
	if err := os.Chmod(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	dir, err = filepath.EvalSymlinks(dir)
	if err != nil {
		t.Fatal(err)
	}
	return dir
}

// begin starts a cluster that is stopped at the end of the test.
func begin(t *testing.T, opt Options) *Cluster {
	t.Helper()
	opt.NoSync, opt.Log = true, t.Output()
	opt.BinDir = os.Getenv("AXLESTAND_PG_BIN")
	c, err := Start(t.Context(), opt)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { stop(t, c) })
	return c
}

func stop(t *testing.T, c *Cluster) {
	t.Helper()
	begun := time.Now()
	if err := c.Stop(context.Background()); err != nil {
		t.Error(err)
	}
	if took := time.Since(begun); took > stopLimit+time.Second {
		t.Errorf("Stop took %v", took)
	}
}

func connect(t *testing.T, url string) *pgx.Conn {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), url)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { conn.Close(context.Background()) })
	return conn
}

func exec1(t *testing.T, url, sql string) {
	t.Helper()
	conn := connect(t, url)
	defer conn.Close(context.Background())
	if _, err := conn.Exec(t.Context(), sql); err != nil {
		t.Fatal(err)
	}
}

func ask[T any](t *testing.T, url, sql string) (answer T) {
	t.Helper()
	conn := connect(t, url)
	defer conn.Close(context.Background())
	if err := conn.QueryRow(t.Context(), sql).Scan(&answer); err != nil {
		t.Fatal(err)
	}
	return answer
}

// app is a helper process that holds a cluster.
type app struct {
	*exec.Cmd
	url string
	dir string
}

// launchApp starts the helper without waiting for the cluster.
func launchApp(t *testing.T, dir string, args ...string) (*app, io.Reader) {
	t.Helper()
	cmd := exec.Command(os.Args[0], append([]string{dir}, args...)...)
	mode := "hold"
	if slices.Contains(args, "orphan") {
		mode = "orphan"
	}
	cmd.Env = append(os.Environ(), helperMode+"="+mode)
	cmd.Stderr = t.Output()
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { cmd.Process.Kill(); cmd.Wait() })
	return &app{Cmd: cmd, dir: dir}, out
}

func beginApp(t *testing.T, dir string, args ...string) *app {
	t.Helper()
	a, out := launchApp(t, dir, args...)
	line, err := bufio.NewReader(out).ReadString('\n')
	if err != nil || !strings.HasPrefix(line, "postgres://") {
		t.Fatalf("the helper did not start: %q, %v", line, err)
	}
	a.url = strings.TrimSpace(line)
	return a
}

func (a *app) postmaster(t *testing.T) int {
	t.Helper()
	pid := lockedBy(filepath.Join(a.dir, "pg", "postmaster.pid"))
	if pid == 0 {
		t.Fatal("no postmaster.pid")
	}
	return pid
}

func (a *app) kill() {
	a.Process.Kill()
	a.Wait()
}

func TestStart_new_then_existing(t *testing.T) {
	t.Parallel()
	needPostgres(t)
	dir := filepath.Join(openDir(t), "garage", "data")
	begun := time.Now()
	c := begin(t, Options{Dir: dir})
	t.Logf("first start (without fsync) took %v", time.Since(begun))
	exec1(t, c.URL("axlestand"), "create table kept as select 7 as n")

	for setting, want := range map[string]string{
		"listen_addresses": "", "server_encoding": "UTF8", "lc_collate": "C", "fsync": "off", "jit": "off", "max_connections": "30",
	} {
		if got := ask[string](t, c.URL("axlestand"), "select coalesce((select setting from pg_settings where name = '"+setting+
			"'), (select datcollate from pg_database where datname = current_database()))"); got != want {
			t.Errorf("%s is %q, want %q", setting, got, want)
		}
	}
	if got := ask[string](t, c.URL("axlestand"), "show server_version"); !strings.HasPrefix(got, c.Version) {
		t.Errorf("Version is %q, the server says %q", c.Version, got)
	}
	if !ask[bool](t, c.URL("axlestand"), "select 'ÖLFILTER' ilike 'ölfilter'") {
		t.Error("searching does not ignore the case of letters outside ASCII")
	}
	stop(t, c)
	select {
	case <-c.Done():
	default:
		t.Error("Done is open after Stop")
	}
	if c.Err() != nil {
		t.Errorf("Err after Stop: %v", c.Err())
	}

	begun = time.Now()
	c = begin(t, Options{Dir: dir, Settings: map[string]string{"max_connections": "12"}})
	t.Logf("start of an existing cluster took %v", time.Since(begun))
	if got := ask[int](t, c.URL("axlestand"), "select n from kept"); got != 7 {
		t.Errorf("got %d, want 7", got)
	}
	if got := ask[string](t, c.URL("axlestand"), "show max_connections"); got != "12" {
		t.Errorf("an extra setting does not win: max_connections is %s", got)
	}
}

func TestStart_second_instance_is_refused(t *testing.T) {
	t.Parallel()
	needPostgres(t)
	dir := filepath.Join(openDir(t), "data")
	a := beginApp(t, dir, "nosync")
	_, err := Start(t.Context(), Options{Dir: dir})
	if !errors.Is(err, ErrInUse) {
		t.Fatalf("got %v, want ErrInUse", err)
	}
	for _, want := range []string{dir, strconv.Itoa(a.Process.Pid)} {
		if !strings.Contains(err.Error(), want) || strings.Contains(err.Error(), "\n") {
			t.Errorf("the message %q must be one line that names %s", err, want)
		}
	}
	if got := ask[int](t, a.url, "select 1"); got != 1 {
		t.Error("the first instance was disturbed")
	}
}

// A program that forks something else in the same instant has the lock's file open in its child too.
func TestRelease_while_a_child_has_the_lock_open(t *testing.T) {
	t.Parallel()
	dir := openDir(t)
	first, second := &start{opt: Options{Dir: dir}}, &start{opt: Options{Dir: dir}}
	if err := first.takeDir(t.Context()); err != nil {
		t.Fatal(err)
	}
	inChild, err := syscall.Dup(int(first.lock.Fd()))
	if err != nil {
		t.Fatal(err)
	}
	defer syscall.Close(inChild)
	if err := second.takeDir(t.Context()); !errors.Is(err, ErrInUse) {
		t.Errorf("while it is held: got %v, want ErrInUse", err)
	}
	first.release()
	if err := second.takeDir(t.Context()); err != nil {
		t.Errorf("once it is given up: %v", err)
	}
	second.release()
}

func TestStart_after_kill(t *testing.T) {
	t.Parallel()
	needPostgres(t)
	for _, both := range []bool{false, true} {
		t.Run(map[bool]string{false: "of the app", true: "of the app and Postgres"}[both], func(t *testing.T) {
			t.Parallel()
			dir := filepath.Join(openDir(t), "data")
			a := beginApp(t, dir)
			exec1(t, a.url, "create table kept as select 7 as n")
			busy := connect(t, a.url) // an open transaction must not keep the server alive
			if _, err := busy.Exec(t.Context(), "begin; insert into kept values (8)"); err != nil {
				t.Fatal(err)
			}
			if both {
				syscall.Kill(a.postmaster(t), syscall.SIGKILL)
			}
			a.kill()
			begun := time.Now()
			c := begin(t, Options{Dir: dir})
			t.Logf("the next start took %v", time.Since(begun))
			if got := ask[int](t, c.URL("axlestand"), "select sum(n) from kept"); got != 7 {
				t.Errorf("got %d, want the committed 7 alone", got)
			}
		})
	}
}

// On systems where Postgres is not told that the program died, it lives on, and so do its clients.
func TestStart_stops_a_server_left_over(t *testing.T) {
	t.Parallel()
	needPostgres(t)
	dir := filepath.Join(openDir(t), "data")
	a := beginApp(t, dir, "orphan")
	exec1(t, a.url, "create table kept as select 7 as n")
	connect(t, a.url)
	pid := a.postmaster(t)
	a.kill()
	time.Sleep(200 * time.Millisecond)
	if len(holders(filepath.Join(dir, "pg"), tagOf(dir))) == 0 {
		t.Fatal("the server did not live on: nothing is tested")
	}
	c := begin(t, Options{Dir: dir})
	if now := lockedBy(filepath.Join(dir, "pg", "postmaster.pid")); now == pid {
		t.Error("the old server is in use")
	}
	if got := ask[int](t, c.URL("axlestand"), "select n from kept"); got != 7 {
		t.Errorf("got %d, want 7", got)
	}
}

func tagOf(dir string) string { return "axlestand-" + shortHash(filepath.Join(dir, "pg")) }

func TestStart_leaves_a_strangers_server_alone(t *testing.T) {
	t.Parallel()
	needPostgres(t)
	dir := filepath.Join(openDir(t), "data")
	c := begin(t, Options{Dir: dir})
	stop(t, c)
	s := &start{opt: Options{Log: io.Discard, BinDir: os.Getenv("AXLESTAND_PG_BIN")}, dir: dir, data: filepath.Join(dir, "pg")}
	if err := errors.Join(s.chooseAccount(t.Context()), s.chooseBinaries(t.Context())); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(s.bin.postgres(), "-D", s.data, "-k", filepath.Join(dir, "run"), "-c", "listen_addresses=")
	cmd.Dir = "/"
	p, err := s.as.start(cmd)
	if err != nil {
		t.Fatal(err)
	}
	defer p.end(stopLimit)
	waitFor(t, func() bool { return len(readLines(filepath.Join(s.data, "postmaster.pid"))) >= 8 })
	_, err = Start(t.Context(), Options{Dir: dir})
	if err == nil || !strings.Contains(err.Error(), strconv.Itoa(p.pid)) {
		t.Errorf("got %v, want an error that names process %d", err, p.pid)
	}
	select {
	case <-p.exited:
		t.Error("the stranger's server was stopped")
	default:
	}
}

func TestStart_half_made_cluster(t *testing.T) {
	t.Parallel()
	needPostgres(t)
	t.Run("killed during initdb", func(t *testing.T) {
		t.Parallel()
		dir := filepath.Join(openDir(t), "data")
		a, _ := launchApp(t, dir)
		waitFor(t, func() bool {
			_, err := os.Stat(filepath.Join(dir, "pg.init", "PG_VERSION"))
			return err == nil
		})
		a.kill()
		if _, err := os.Stat(filepath.Join(dir, "pg")); err == nil {
			t.Fatal("the cluster was complete already: the test came too late")
		}
		c := begin(t, Options{Dir: dir})
		if got := ask[int](t, c.URL("axlestand"), "select 1"); got != 1 {
			t.Error("no answer")
		}
	})
	t.Run("left with foreign files", func(t *testing.T) {
		t.Parallel()
		dir := filepath.Join(openDir(t), "data")
		if err := os.MkdirAll(filepath.Join(dir, "pg.init", "base"), 0o700); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, "pg.init", "PG_VERSION"), []byte("8\n"), 0o600); err != nil {
			t.Fatal(err)
		}
		begin(t, Options{Dir: dir})
		if _, err := os.Stat(filepath.Join(dir, "pg.init")); err == nil {
			t.Error("the half-made cluster is still there")
		}
	})
}

func TestStart_cancelled(t *testing.T) {
	t.Parallel()
	needPostgres(t)
	dir := filepath.Join(openDir(t), "data")
	ctx, cancel := context.WithCancel(t.Context())
	go func() {
		for ctx.Err() == nil {
			if _, err := os.Stat(filepath.Join(dir, "pg.init", "PG_VERSION")); err == nil {
				cancel()
			}
			time.Sleep(time.Millisecond)
		}
	}()
	if _, err := Start(ctx, Options{Dir: dir}); !errors.Is(err, context.Canceled) {
		t.Errorf("got %v, want context.Canceled", err)
	}
	begin(t, Options{Dir: dir})
}

func TestStart_long_path(t *testing.T) {
	t.Parallel()
	needPostgres(t)
	dir := filepath.Join(openDir(t), strings.Repeat("long-", 12), strings.Repeat("path-", 12), "data")
	c := begin(t, Options{Dir: dir})
	short := c.socketDir
	if !fits(short) || strings.HasPrefix(short, dir) {
		t.Errorf("the socket is in %s", short)
	}
	if got := ask[int](t, c.URL("axlestand"), "select 1"); got != 1 {
		t.Error("no answer")
	}
	stop(t, c)

	// Somebody else may have put something there meanwhile.
	if err := os.Remove(short); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(openDir(t), short); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.Remove(short) })
	if _, err := Start(t.Context(), Options{Dir: dir}); err == nil || !strings.Contains(err.Error(), short) {
		t.Errorf("a link in place of the socket's directory: got %v, want an error that names %s", err, short)
	}
}

func TestStart_foreign_version(t *testing.T) {
	t.Parallel()
	needPostgres(t)
	dir := filepath.Join(openDir(t), "data")
	stop(t, begin(t, Options{Dir: dir}))
	name := filepath.Join(dir, "pg", "PG_VERSION")
	made, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, []byte("11\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	before := listing(t, filepath.Join(dir, "pg"))
	_, err = Start(t.Context(), Options{Dir: dir, FetchNPM: true})
	if !errors.Is(err, ErrVersion) || !strings.Contains(err.Error(), "Postgres 11") || strings.Contains(err.Error(), "\n") {
		t.Errorf("got %v, want ErrVersion on one line that names version 11", err)
	}
	if after := listing(t, filepath.Join(dir, "pg")); after != before {
		t.Errorf("the cluster was touched:\n%s\n%s", before, after)
	}
	if err := os.WriteFile(name, made, 0o600); err != nil {
		t.Fatal(err)
	}
	begin(t, Options{Dir: dir})
}

func listing(t *testing.T, dir string) string {
	t.Helper()
	var b strings.Builder
	err := filepath.Walk(dir, func(name string, fi os.FileInfo, err error) error {
		if err == nil {
			fmt.Fprintln(&b, name, fi.Size(), fi.ModTime())
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestStart_not_a_cluster(t *testing.T) {
	t.Parallel()
	dir := filepath.Join(openDir(t), "data")
	if err := os.MkdirAll(filepath.Join(dir, "pg"), 0o700); err != nil {
		t.Fatal(err)
	}
	if a := unprivileged(); os.Geteuid() == 0 && a != nil {
		os.Chown(filepath.Join(dir, "pg"), int(a.uid), int(a.gid))
	}
	photo := filepath.Join(dir, "pg", "photo.jpg")
	if err := os.WriteFile(photo, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := Start(t.Context(), Options{Dir: dir}); err == nil || !strings.Contains(err.Error(), "not empty") {
		t.Errorf("got %v, want a refusal", err)
	}
	if _, err := os.Stat(photo); err != nil {
		t.Error(err)
	}
}

func TestStop_on_SIGTERM(t *testing.T) {
	t.Parallel()
	needPostgres(t)
	dir := filepath.Join(openDir(t), "data")
	a := beginApp(t, dir, "nosync")
	busy := connect(t, a.url)
	if _, err := busy.Exec(t.Context(), "begin; create table open_still (n int)"); err != nil {
		t.Fatal(err)
	}
	begun := time.Now()
	a.Process.Signal(syscall.SIGTERM)
	if err := a.Wait(); err != nil {
		t.Errorf("the program ended with %v", err)
	}
	if took := time.Since(begun); took > stopLimit {
		t.Errorf("it took %v", took)
	}
	if _, err := os.Stat(filepath.Join(dir, "pg", "postmaster.pid")); err == nil {
		t.Error("Postgres was not shut down properly")
	}
	if found := holders(filepath.Join(dir, "pg"), tagOf(dir)); len(found) > 0 {
		t.Errorf("left behind: %v", found)
	}
}

func TestStop_with_a_deaf_server(t *testing.T) {
	t.Parallel()
	needPostgres(t)
	dir := filepath.Join(openDir(t), "data")
	c := begin(t, Options{Dir: dir})
	syscall.Kill(lockedBy(filepath.Join(dir, "pg", "postmaster.pid")), syscall.SIGSTOP)
	ctx, cancel := context.WithTimeout(t.Context(), time.Second)
	defer cancel()
	begun := time.Now()
	if err := c.Stop(ctx); err != nil {
		t.Error(err)
	}
	if took := time.Since(begun); took > stopLimit*8/10 { // which it waits when nothing else was given
		t.Errorf("Stop took %v with one second given", took)
	}
	begin(t, Options{Dir: dir})
}

func TestDone_when_Postgres_dies(t *testing.T) {
	t.Parallel()
	needPostgres(t)
	dir := filepath.Join(openDir(t), "data")
	c := begin(t, Options{Dir: dir})
	if c.Err() != nil {
		t.Errorf("Err while running: %v", c.Err())
	}
	syscall.Kill(lockedBy(filepath.Join(dir, "pg", "postmaster.pid")), syscall.SIGKILL)
	select {
	case <-c.Done():
	case <-time.After(10 * time.Second):
		t.Fatal("Done stays open")
	}
	if c.Err() == nil {
		t.Error("no reason given")
	}
	begin(t, Options{Dir: dir}) // the same program may start it again
}

func TestAccess_is_the_owners_alone(t *testing.T) {
	t.Parallel()
	needPostgres(t)
	dir := filepath.Join(openDir(t), "data")
	c := begin(t, Options{Dir: dir})
	socket := filepath.Join(c.socketDir, ".s.PGSQL."+port)
	for name, want := range map[string]os.FileMode{
		c.socketDir: 0o700, socket: 0o700, filepath.Join(dir, "pg"): 0o700, filepath.Join(dir, "postgres.log"): 0o600,
	} {
		fi, err := os.Stat(name)
		if err != nil {
			t.Fatal(err)
		}
		if got := fi.Mode().Perm(); got != want {
			t.Errorf("%s has mode %o, want %o", name, got, want)
		}
	}
	if os.Geteuid() != 0 {
		return
	}
	// Even with the data directory itself open, another user cannot connect.
	if err := os.Chmod(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	nobody := lookup(t, "nobody")
	if owner, err := ownerOf(socket); err != nil || owner.uid == nobody.uid {
		t.Skip("Postgres itself runs as nobody here")
	}
	for who, a := range map[string]*account{"root": nil, "nobody": nobody} {
		out, err := asUser(t, a, nil, "dial", socket)
		if (err == nil) != (a == nil) {
			t.Errorf("%s connecting: %v %s", who, err, out)
		}
	}
	// Who may not see where a process works still finds it by the cluster's name, as root must in some containers.
	if out, err := asUser(t, nobody, nil, "holders", filepath.Join(dir, "pg"), tagOf(dir)); err != nil || out == "0\n" {
		t.Errorf("nobody sees %q processes, %v", out, err)
	}
}

func TestStart_root_needs_a_reachable_directory(t *testing.T) {
	t.Parallel()
	if os.Geteuid() != 0 {
		t.Skip("only root runs Postgres as somebody else")
	}
	closed := filepath.Join(openDir(t), "closed")
	if err := os.Mkdir(closed, 0o700); err != nil {
		t.Fatal(err)
	}
	_, err := Start(t.Context(), Options{Dir: filepath.Join(closed, "data")})
	if err == nil || !strings.Contains(err.Error(), closed+" is closed") {
		t.Errorf("got %v, want an error that names %s", err, closed)
	}
}

// TestAsUser runs all other tests again as a user without privileges.
func TestAsUser(t *testing.T) {
	t.Parallel()
	if os.Geteuid() != 0 {
		t.Skip("this is a user already")
	}
	needPostgres(t)
	temp := openDir(t)
	if err := os.Chmod(temp, 0o777); err != nil {
		t.Fatal(err)
	}
	args := []string{"-test.v", "-test.skip=^TestAsUser$", "-test.timeout=5m"}
	if testing.Short() {
		args = append(args, "-test.short")
	}
	out, err := asUser(t, lookup(t, "nobody"), []string{"TMPDIR=" + temp, "HOME=" + temp, "AXLESTAND_TEST_SOAK=3"}, "", args...)
	if err != nil || !strings.Contains(out, "--- PASS: TestStart_new_then_existing") {
		t.Errorf("%v\n%s", err, complaints(out))
	}
}

// complaints are the lines of a test's output that say what failed and what was said there.
func complaints(out string) string {
	var b strings.Builder
	for line := range strings.Lines(out) {
		if strings.Contains(line, "FAIL") || strings.Contains(line, "_test.go:") || strings.Contains(line, "panic") || strings.HasPrefix(line, "=== NAME") {
			b.WriteString(line)
		}
	}
	return b.String()
}

func lookup(t *testing.T, name string) *account {
	t.Helper()
	u, err := user.Lookup(name)
	if err != nil {
		t.Skip(err)
	}
	uid, _ := strconv.ParseInt(u.Uid, 10, 64)
	gid, _ := strconv.ParseInt(u.Gid, 10, 64)
	return &account{name: name, uid: uint32(uid), gid: uint32(gid)}
}

// asUser runs the test binary as the account; a copy, since the original is in a directory that is closed to others.
func asUser(t *testing.T, a *account, env []string, mode string, args ...string) (string, error) {
	t.Helper()
	self, err := os.ReadFile(os.Args[0])
	if err != nil {
		t.Fatal(err)
	}
	copied := filepath.Join(openDir(t), "localpg.test")
	writeProgram(t, copied, self)
	cmd := exec.Command(copied, args...)
	cmd.Dir = filepath.Dir(copied)
	cmd.Env = append(append(os.Environ(), helperMode+"="+mode), env...)
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: a.credential()}
	out, err := cmd.CombinedOutput()
	return string(out), err
}

// writeProgram writes a file that is to be run. No child is forked meanwhile: one that has the file open for writing keeps it
// from being run.
func writeProgram(t *testing.T, name string, program []byte) {
	t.Helper()
	syscall.ForkLock.RLock()
	defer syscall.ForkLock.RUnlock()
	if err := os.WriteFile(name, program, 0o755); err != nil {
		t.Fatal(err)
	}
}

func waitFor(t *testing.T, ready func() bool) {
	t.Helper()
	for deadline := time.Now().Add(20 * time.Second); !ready(); time.Sleep(time.Millisecond) {
		if time.Now().After(deadline) {
			t.Fatal("it did not happen")
		}
	}
}
