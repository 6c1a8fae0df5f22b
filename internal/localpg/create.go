//go:build linux || darwin

package localpg

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
)

// clusterMajor is the major version that made the cluster, or 0 if there is no cluster yet.
func clusterMajor(data string) (int, error) {
	text, err := os.ReadFile(filepath.Join(data, "PG_VERSION"))
	if errors.Is(err, fs.ErrNotExist) {
		entries, err := os.ReadDir(data)
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return 0, err
		}
		if len(entries) > 0 {
			return 0, fmt.Errorf("%s is not empty and no Postgres cluster: move it away", data)
		}
		return 0, nil
	}
	if err != nil {
		return 0, err
	}
	major, err := strconv.Atoi(strings.TrimSpace(string(text)))
	if err != nil {
		return 0, fmt.Errorf("%s: unknown version %q", data, strings.TrimSpace(string(text)))
	}
	return major, nil
}

// makeCluster makes the cluster unless it is there. It is complete, with its database, before it gets its name.
func (s *start) makeCluster(ctx context.Context) error {
	if major, err := clusterMajor(s.data); err != nil || major != 0 {
		return err
	}
	fmt.Fprintf(s.opt.Log, "Making a new database in %s with Postgres %s.\n", s.data, s.bin.version)
	half := filepath.Join(s.dir, "pg.init")
	if err := s.initdb(ctx, half); err != nil {
		return err
	}
	if err := s.createDatabase(ctx, half); err != nil {
		return err
	}
	if err := os.Remove(s.data); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if err := os.Rename(half, s.data); err != nil {
		return err
	}
	return syncDir(s.dir)
}

// initdb makes an empty cluster. Text sorts by code point, which is the same on every system and never changes with
// one; but letters know their case, so that searching ignores it outside ASCII too.
func (s *start) initdb(ctx context.Context, dir string) error {
	var failed error
	for _, locale := range s.locales() {
		if err := s.removeHalfMade(ctx, dir); err != nil {
			return err
		}
		if err := s.as.makePrivate(dir); err != nil {
			return err
		}
		args := append([]string{
			"-D", dir, "-U", superuser, "-E", "UTF8", "--auth-local=trust", "--auth-host=reject",
			"--data-checksums", "--wal-segsize=4", "--no-instructions", "-T", "simple",
			"--locale=C", "--lc-messages=C",
		}, locale...)
		if s.opt.NoSync {
			args = append(args, "--no-sync")
		}
		cmd := exec.Command(s.bin.initdb(), args...)
		cmd.Dir = "/"
		var out bytes.Buffer
		cmd.Stdout, cmd.Stderr = &out, &out
		err := s.as.run(ctx, cmd)
		if err == nil || ctx.Err() != nil {
			return err
		}
		s.log.Write(out.Bytes())
		failed = fmt.Errorf("initdb: %w: %s", err, lastError(out.String()))
		if !strings.Contains(out.String(), "locale") {
			break
		}
	}
	return failed
}

// locales are ways to say "Unicode letters", best first. Not every system knows each of them.
func (s *start) locales() [][]string {
	libc := [][]string{{"--lc-ctype=C.UTF-8"}, {"--lc-ctype=en_US.UTF-8"}, {}}
	if s.bin.version.major >= 17 {
		return append([][]string{{"--locale-provider=builtin", "--builtin-locale=C.UTF-8"}}, libc...)
	}
	return libc
}

// createDatabase makes the database in a server without clients, which needs neither a socket nor a client library.
func (s *start) createDatabase(ctx context.Context, dir string) error {
	args := []string{"--single", "-D", dir, "-c", "exit_on_error=true", "-c", "log_checkpoints=off"}
	if s.opt.NoSync {
		args = append(args, "-F")
	}
	cmd := exec.Command(s.bin.postgres(), append(args, "postgres")...)
	cmd.Dir = "/"
	cmd.Stdin = strings.NewReader("create database " + superuser + "\n")
	var out bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &out
	if err := s.as.run(ctx, cmd); err != nil {
		s.log.Write(out.Bytes())
		return fmt.Errorf("make the database: %w: %s", err, lastError(out.String()))
	}
	return nil
}

// lastError is the line in a program's output that says what went wrong.
func lastError(out string) string {
	said := ""
	for line := range strings.Lines(out) {
		if line = strings.TrimSpace(line); strings.Contains(line, "error") || strings.Contains(line, "FATAL") || said == "" {
			said = line
		}
	}
	return said
}

func syncDir(dir string) error {
	f, err := os.Open(dir)
	if err != nil {
		return err
	}
	defer f.Close()
	return f.Sync()
}
