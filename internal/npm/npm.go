// Package npm gets one archive of a package from the registry with the npm client of the machine, and takes none but the one that is
// known by its checksum. Nothing of the package is run.
package npm

import (
	"bytes"
	"context"
	"crypto/sha512"
	"encoding/base64"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"time"
)

// Package is a package and the SHA-512 of its archive in base64, as the registry states it.
type Package struct{ Name, Version, SHA512 string }

// Pack has the npm client at a path download the package into an empty directory, and returns the archive, a gzipped tar whose files
// lie below "package/". What npm says of a failure is in the error.
func (p Package) Pack(ctx context.Context, client, into string) ([]byte, error) {
	cmd := exec.CommandContext(ctx, client, "pack", p.Name+"@"+p.Version,
		"--pack-destination", into, "--ignore-scripts", "--silent", "--no-update-notifier")
	cmd.Dir, cmd.WaitDelay = into, time.Second
	if out, err := cmd.CombinedOutput(); err != nil {
		return nil, fmt.Errorf("npm pack %s: %w %s", p.Name, err, bytes.TrimSpace(out))
	}
	files, err := filepath.Glob(filepath.Join(into, "*.tgz"))
	if err != nil || len(files) != 1 {
		return nil, fmt.Errorf("npm pack %s left %d archives", p.Name, len(files))
	}
	archive, err := os.ReadFile(files[0])
	if err != nil {
		return nil, err
	}
	return archive, p.Check(archive)
}

// Check says whether an archive is the one that is known.
func (p Package) Check(archive []byte) error {
	if sum := sha512.Sum512(archive); base64.StdEncoding.EncodeToString(sum[:]) != p.SHA512 {
		return errors.New(p.Name + ": the archive is not the one that was expected (its checksum differs)")
	}
	return nil
}
