//go:build linux || darwin

package localpg

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/user"
	"path/filepath"
	"strconv"
	"syscall"
)

// account is the user that root lets Postgres run as. A nil account means the user that we are.
type account struct {
	name     string
	uid, gid uint32
}

// ids are the owner that files for Postgres must have.
func (a *account) ids() (uid, gid int) {
	if a == nil {
		return os.Geteuid(), os.Getegid()
	}
	return int(a.uid), int(a.gid)
}

func (a *account) credential() *syscall.Credential {
	if a == nil {
		return nil
	}
	return &syscall.Credential{Uid: a.uid, Gid: a.gid}
}

// chooseAccount decides who Postgres runs as and lets that user reach the data directory.
func (s *start) chooseAccount(context.Context) error {
	owner, err := ownerOf(s.data)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		owner = nil
	case err != nil:
		return err
	}
	if os.Geteuid() != 0 {
		if owner != nil && int(owner.uid) != os.Geteuid() {
			return fmt.Errorf("%s belongs to %s, and Postgres runs only as the owner of its data", s.data, owner.name)
		}
		return nil
	}
	if owner != nil && owner.uid == 0 {
		return fmt.Errorf("%s belongs to root, which Postgres refuses to run as: give it to another user, such as postgres (chown -R)", s.data)
	}
	if owner == nil {
		if owner = unprivileged(); owner == nil {
			return errors.New("root needs a user named postgres or nobody to run Postgres as, and there is neither")
		}
	}
	s.as = owner
	return owner.admit(s.dir)
}

// unprivileged is the first user on this machine that Postgres may run as.
func unprivileged() *account {
	for _, name := range []string{"postgres", "_postgres", "nobody"} {
		u, err := user.Lookup(name)
		if err != nil {
			continue
		}
		uid, err1 := strconv.ParseInt(u.Uid, 10, 64)
		gid, err2 := strconv.ParseInt(u.Gid, 10, 64)
		if err1 == nil && err2 == nil && uid != 0 {
			// macOS writes nobody as -2.
			return &account{name: name, uid: uint32(uid), gid: uint32(gid)}
		}
	}
	return nil
}

func ownerOf(name string) (*account, error) {
	fi, err := os.Lstat(name)
	if err != nil {
		return nil, err
	}
	st := fi.Sys().(*syscall.Stat_t)
	a := &account{name: "user " + strconv.Itoa(int(st.Uid)), uid: st.Uid, gid: st.Gid}
	if u, err := user.LookupId(strconv.Itoa(int(st.Uid))); err == nil {
		a.name = u.Username
	}
	return a, nil
}

// admit opens root's data directory to the account as far as passing through, and checks that the way there is open.
func (a *account) admit(dir string) error {
	fi, err := os.Stat(dir)
	if err != nil {
		return err
	}
	if st := fi.Sys().(*syscall.Stat_t); !a.mayPass(fi) && st.Uid == 0 {
		if err := os.Chown(dir, 0, int(a.gid)); err != nil {
			return err
		}
		if err := os.Chmod(dir, fi.Mode().Perm()|0o010); err != nil {
			return err
		}
	}
	if closed := a.closedAt(dir); closed != "" {
		return fmt.Errorf("the data directory %s cannot be reached by the user %s, which Postgres runs as: %s is closed to it; choose another, such as /var/lib/axlestand", dir, a.name, closed)
	}
	return nil
}

// closedAt is the topmost directory on the way to dir that the account may not pass, or "".
func (a *account) closedAt(dir string) string {
	if parent := filepath.Dir(dir); parent != dir {
		if closed := a.closedAt(parent); closed != "" {
			return closed
		}
	}
	if fi, err := os.Stat(dir); err != nil || !a.mayPass(fi) {
		return dir
	}
	return ""
}

func (a *account) mayPass(fi fs.FileInfo) bool {
	st, mode := fi.Sys().(*syscall.Stat_t), fi.Mode().Perm()
	switch {
	case st.Uid == a.uid:
		return mode&0o100 != 0
	case st.Gid == a.gid:
		return mode&0o010 != 0
	}
	return mode&0o001 != 0
}

// makeDirs is os.MkdirAll, except that a strict umask cannot close the parents that it makes, and that the directory
// itself is its owner's alone.
func makeDirs(dir string) error {
	if _, err := os.Stat(dir); err == nil || !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	parent := filepath.Dir(dir)
	if _, err := os.Stat(parent); errors.Is(err, fs.ErrNotExist) {
		if err := makeDirs(parent); err != nil {
			return err
		}
		if err := os.Chmod(parent, 0o755); err != nil {
			return err
		}
	}
	if err := os.Mkdir(dir, 0o700); err != nil && !errors.Is(err, fs.ErrExist) {
		return err
	}
	return nil
}

// chooseSocket makes the directory for the socket: DIR/run, or a short one under the temporary directory if the
// socket's path would be longer than the kernel takes.
func (s *start) chooseSocket(context.Context) error {
	s.sock = filepath.Join(s.dir, "run")
	if fits(s.sock) {
		return s.as.makePrivate(s.sock)
	}
	uid, _ := s.as.ids()
	name := "axlestand-" + shortHash(s.dir+"\x00"+strconv.Itoa(uid))
	for _, temp := range []string{os.TempDir(), "/tmp"} {
		temp, err := filepath.EvalSymlinks(temp)
		if err != nil || (s.as != nil && s.as.closedAt(temp) != "") {
			continue
		}
		if s.sock = filepath.Join(temp, name); fits(s.sock) {
			return s.as.makePrivate(s.sock)
		}
	}
	return fmt.Errorf("no directory with a short enough path for the socket: shorten %s", s.dir)
}

func fits(dir string) bool { return len(filepath.Join(dir, ".s.PGSQL."+port)) <= maxSocketPath }

// makePrivate makes a directory that only the account may enter. One that is there already must be exactly that:
// in a temporary directory somebody else could have put it, or a link, in our way.
func (a *account) makePrivate(dir string) error {
	uid, gid := a.ids()
	switch err := os.Mkdir(dir, 0o700); {
	case err == nil:
		return os.Lchown(dir, uid, gid)
	case !errors.Is(err, fs.ErrExist):
		return err
	}
	fi, err := os.Lstat(dir)
	if err != nil {
		return err
	}
	owner := int(fi.Sys().(*syscall.Stat_t).Uid)
	if fi.IsDir() && owner == os.Geteuid() && owner != uid { // cut off between Mkdir and Lchown
		if err := os.Lchown(dir, uid, gid); err != nil {
			return err
		}
		owner = uid
	}
	if !fi.IsDir() || owner != uid {
		return fmt.Errorf("%s is in the way: it must be a directory owned by user %d; remove it", dir, uid)
	}
	if fi.Mode().Perm() != 0o700 {
		return os.Chmod(dir, 0o700)
	}
	return nil
}

func shortHash(s string) string {
	sum := sha256.Sum256([]byte(s))
	return hex.EncodeToString(sum[:6])
}
