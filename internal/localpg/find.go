//go:build linux || darwin

package localpg

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// oldest is the oldest major version that the program's SQL works with.
const oldest = 14

type version struct{ major, minor int }

func (v version) String() string { return fmt.Sprintf("%d.%d", v.major, v.minor) }

func (v version) less(w version) bool {
	return v.major < w.major || v.major == w.major && v.minor < w.minor
}

// binaries is a directory with initdb and postgres of one version.
type binaries struct {
	dir     string
	version version
}

func (b binaries) initdb() string   { return filepath.Join(b.dir, "initdb") }
func (b binaries) postgres() string { return filepath.Join(b.dir, "postgres") }

// search says where to look for binaries.
type search struct {
	path  string   // as in $PATH
	globs []string // patterns of directories
	npm   string   // the npm client; empty: none
}

// usualPlaces are $PATH and where Debian, Red Hat, Alpine, Homebrew, MacPorts and others put Postgres.
func usualPlaces() *search {
	npm, _ := exec.LookPath("npm")
	return &search{path: os.Getenv("PATH"), npm: npm, globs: []string{
		"/usr/lib/postgresql/*/bin",
		"/usr/pgsql-*/bin",
		"/usr/libexec/postgresql*",
		"/usr/local/pgsql/bin",
		"/opt/homebrew/opt/postgresql*/bin",
		"/usr/local/opt/postgresql*/bin",
		"/home/linuxbrew/.linuxbrew/opt/postgresql*/bin",
		"/opt/local/lib/postgresql*/bin",
		"/Applications/Postgres.app/Contents/Versions/*/bin",
	}}
}

// dirs are the directories that seem to have binaries, each once.
func (f *search) dirs() []string {
	candidates := filepath.SplitList(f.path)
	for _, glob := range f.globs {
		found, _ := filepath.Glob(glob)
		candidates = append(candidates, found...)
	}
	var dirs []string
	for _, dir := range candidates {
		if dir = binDir(dir); dir != "" && !slices.Contains(dirs, dir) {
			dirs = append(dirs, dir)
		}
	}
	return dirs
}

// binDir follows links from dir to where postgres and initdb really are, or returns "". The link matters: Postgres
// finds its library beside the real file, and a link to it alone may stand in a directory of the PATH.
func binDir(dir string) string {
	dir, err := filepath.Abs(dir)
	if err != nil {
		return ""
	}
	real, err := filepath.EvalSymlinks(filepath.Join(dir, "postgres"))
	if err != nil {
		return ""
	}
	for _, d := range []string{filepath.Dir(real), dir} {
		if executable(filepath.Join(d, "initdb")) && executable(filepath.Join(d, "postgres")) {
			return d
		}
	}
	return ""
}

func executable(name string) bool {
	fi, err := os.Stat(name)
	return err == nil && fi.Mode().IsRegular() && fi.Mode().Perm()&0o111 != 0
}

// chooseBinaries settles which Postgres runs: the named one, else the highest version found, else one from npm. An
// existing cluster takes only its own major version.
func (s *start) chooseBinaries(ctx context.Context) error {
	major, err := clusterMajor(s.data)
	if err != nil {
		return err
	}
	if s.opt.BinDir != "" {
		return s.useNamed(ctx, major)
	}
	where := s.opt.search
	if where == nil {
		where = usualPlaces()
	}
	dirs := where.dirs()
	if fetched := fetchedBinDir(s.dir); fetched != "" {
		dirs = append(dirs, fetched)
	}
	var seen []string
	for _, dir := range dirs {
		bin, err := s.inspect(ctx, dir)
		if err != nil {
			seen = append(seen, err.Error())
			continue
		}
		seen = append(seen, "Postgres "+bin.version.String()+" in "+dir)
		if bin.version.major >= oldest && (major == 0 || bin.version.major == major) && s.bin.version.less(bin.version) {
			s.bin = bin
		}
	}
	if s.bin.dir != "" {
		return nil
	}
	if major != 0 && major != npmMajor {
		return s.foreign(major, seen)
	}
	return s.fetch(ctx, where.npm, seen)
}

// useNamed takes the binaries in opt.BinDir or none: who names a directory wants to know if it is not used.
func (s *start) useNamed(ctx context.Context, major int) error {
	dir := binDir(s.opt.BinDir)
	if dir == "" {
		return fmt.Errorf("%w: initdb and postgres are not both in %s", ErrNoBinaries, s.opt.BinDir)
	}
	bin, err := s.inspect(ctx, dir)
	switch {
	case err != nil:
		return fmt.Errorf("%w: %w", ErrNoBinaries, err)
	case bin.version.major < oldest:
		return fmt.Errorf("%w: Postgres %s in %s is too old, %d or later is needed", ErrNoBinaries, bin.version, dir, oldest)
	case major != 0 && major != bin.version.major:
		return s.foreign(major, []string{"Postgres " + bin.version.String() + " in " + dir})
	}
	s.bin = bin
	return nil
}

func (s *start) foreign(major int, seen []string) error {
	if len(seen) == 0 {
		seen = []string{"none"}
	}
	return fmt.Errorf("%w: %s was made by Postgres %d, found: %s. Nothing was changed. Install Postgres %d beside what is there, or name its folder in AXLESTAND_PG_BIN; to move to a newer version, make a backup with that one, then restore it into a new data directory",
		ErrVersion, s.data, major, strings.Join(seen, "; "), major)
}

var versionLine = regexp.MustCompile(`\(PostgreSQL\) (\d+)(?:\.(\d+))?`)

// inspect asks a directory's postgres for its version, as the user that will run it: a binary that this user cannot
// reach, or whose libraries are missing, is no use.
func (s *start) inspect(ctx context.Context, dir string) (binaries, error) {
	b := binaries{dir: dir}
	cmd := exec.Command(b.postgres(), "--version")
	cmd.Dir = s.dir
	var out bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &out
	if err := s.as.run(ctx, cmd); err != nil {
		said := strings.TrimSpace(out.String())
		return b, fmt.Errorf("%s does not run: %w", b.postgres(), errorOr(err, said))
	}
	match := versionLine.FindStringSubmatch(out.String())
	if match == nil {
		return b, fmt.Errorf("%s names no version that is known: %q", b.postgres(), strings.TrimSpace(out.String()))
	}
	b.version.major, _ = strconv.Atoi(match[1])
	b.version.minor, _ = strconv.Atoi(match[2])
	return b, nil
}

func errorOr(err error, said string) error {
	if said == "" {
		return err
	}
	return fmt.Errorf("%w (%s)", err, strings.ReplaceAll(said, "\n", " "))
}
