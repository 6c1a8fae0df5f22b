//go:build linux || darwin

package pgtest

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"time"

	"axlestand/internal/localpg"
)

// Names below the directory of localRoot.
const (
	cachePrefix = "cache-" // a migrated cluster at rest, with nothing of a running one around it
	runPrefix   = "run-"   // the data directory of one test binary
)

// openLocal runs a copy of the cached cluster. Test binaries do this one after the other, so that the first one makes
// the cache for all, and none sweeps away what another is just copying.
func openLocal() (*server, error) {
	root, err := localRoot()
	if err != nil {
		return nil, err
	}
	lock, err := lockFile(filepath.Join(root, "lock"), syscall.LOCK_EX)
	if err != nil {
		return nil, err
	}
	defer lock.Close()
	sweepRuns(root)
	// Named binaries have a cache of their own: they may be of another version.
	named := sha256.Sum256([]byte(os.Getenv("AXLESTAND_PG_BIN")))
	cache := filepath.Join(root, cachePrefix+schemaHash()+"-"+hex.EncodeToString(named[:4]))
	s, err := runCached(root, cache)
	if errors.Is(err, localpg.ErrVersion) { // made by a Postgres that has been removed since
		if err := os.RemoveAll(cache); err != nil {
			return nil, err
		}
		s, err = runCached(root, cache)
	}
	return s, err
}

// localRoot is this user's directory for test clusters: in the temporary directory, whose path is short enough for
// sockets and which root's Postgres, running as another user, can reach.
func localRoot() (string, error) {
	root := filepath.Join(os.TempDir(), "axlestand-test-"+strconv.Itoa(os.Geteuid()))
	if err := os.Mkdir(root, 0o711); err != nil && !errors.Is(err, fs.ErrExist) {
		return "", err
	}
	fi, err := os.Lstat(root)
	if err != nil {
		return "", err
	}
	if !fi.IsDir() || int(fi.Sys().(*syscall.Stat_t).Uid) != os.Geteuid() {
		return "", fmt.Errorf("%s is in the way: it is not a directory of ours", root)
	}
	return root, os.Chmod(root, 0o711)
}

func runCached(root, cache string) (*server, error) {
	if _, err := os.Stat(cache); errors.Is(err, fs.ErrNotExist) {
		if err := makeCache(root, cache); err != nil {
			return nil, err
		}
	}
	now := time.Now()
	os.Chtimes(cache, now, now) // it is in use: see sweepRuns
	dir, err := os.MkdirTemp(root, runPrefix)
	if err != nil {
		return nil, err
	}
	s, err := runCopy(cache, dir)
	if err != nil {
		os.RemoveAll(dir)
	}
	return s, err
}

func runCopy(cache, dir string) (*server, error) {
	if err := copyTree(cache, filepath.Join(dir, "pg")); err != nil {
		return nil, err
	}
	c, err := startCluster(dir)
	if err != nil {
		return nil, err
	}
	return newServer(c.URL, "postgres", 80, func() {
		c.Stop(context.Background())
		os.RemoveAll(dir)
	})
}

// makeCache makes a migrated cluster, stops it and gives it its name.
func makeCache(root, cache string) error {
	dir, err := os.MkdirTemp(root, runPrefix)
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	c, err := startCluster(dir)
	if err != nil {
		return err
	}
	s, err := newServer(c.URL, "postgres", 4, func() { c.Stop(context.Background()) })
	if err != nil {
		return err
	}
	err = s.dropDatabase(context.Background(), "axlestand") // unused, and every copy would carry it
	s.close()
	if err != nil {
		return err
	}
	made := filepath.Join(dir, "pg")
	if err := syncTree(made); err != nil {
		return err
	}
	return os.Rename(made, cache)
}

func startCluster(dir string) (*localpg.Cluster, error) {
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	c, err := localpg.Start(ctx, localpg.Options{
		Dir:    dir,
		BinDir: os.Getenv("AXLESTAND_PG_BIN"),
		NoSync: true,
		Settings: map[string]string{
			"max_connections": "120",
			"autovacuum":      "off", // nothing lives long enough to need it
			"max_wal_size":    "1GB",
		},
	})
	if errors.Is(err, localpg.ErrNoBinaries) {
		err = fmt.Errorf("%w (%w)", errNone, err)
	}
	return c, err
}

// sweepRuns removes what killed test binaries left, and caches that nobody has used for a week.
func sweepRuns(root string) {
	runs, _ := filepath.Glob(filepath.Join(root, runPrefix+"*"))
	for _, dir := range runs {
		lock, err := lockFile(filepath.Join(dir, "lock"), syscall.LOCK_EX|syscall.LOCK_NB)
		if errors.Is(err, syscall.EWOULDBLOCK) {
			continue // its test binary is alive
		}
		if err == nil {
			lock.Close()
		}
		os.RemoveAll(dir) // if its Postgres is just ending, this fails, and the next sweep does it
	}
	caches, _ := filepath.Glob(filepath.Join(root, cachePrefix+"*"))
	for _, cache := range caches {
		if fi, err := os.Stat(cache); err == nil && time.Since(fi.ModTime()) > 7*24*time.Hour {
			os.RemoveAll(cache)
		}
	}
}

func lockFile(name string, how int) (*os.File, error) {
	f, err := os.OpenFile(name, os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, err
	}
	if err := syscall.Flock(int(f.Fd()), how); err != nil {
		f.Close()
		return nil, err
	}
	return f, nil
}

// copyTree copies directories and files with their owners, which Postgres is strict about.
func copyTree(from, to string) error {
	return filepath.WalkDir(from, func(name string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		fi, err := d.Info()
		if err != nil {
			return err
		}
		target := to + strings.TrimPrefix(name, from)
		if d.IsDir() {
			err = os.Mkdir(target, fi.Mode().Perm())
		} else {
			err = copyFile(name, target, fi.Mode().Perm())
		}
		if err != nil {
			return err
		}
		owner := fi.Sys().(*syscall.Stat_t)
		return os.Lchown(target, int(owner.Uid), int(owner.Gid))
	})
}

func copyFile(from, to string, mode fs.FileMode) error {
	source, err := os.Open(from)
	if err != nil {
		return err
	}
	defer source.Close()
	target, err := os.OpenFile(to, os.O_WRONLY|os.O_CREATE|os.O_EXCL, mode)
	if err != nil {
		return err
	}
	_, err = io.Copy(target, source)
	return errors.Join(err, target.Close())
}

// syncTree makes the cache outlast a crash of the machine: it is used for a week and was made with fsync off.
func syncTree(root string) error {
	return filepath.WalkDir(root, func(name string, _ fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		f, err := os.Open(name)
		if err != nil {
			return err
		}
		defer f.Close()
		return f.Sync()
	})
}
