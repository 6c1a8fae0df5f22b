package localpg

import (
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
)

// maxSocketPath is the longest path of a socket: sun_path has 108 bytes, one of them for the final zero.
const maxSocketPath = 107

// deathSignal is what a child gets when we die. Only a test that wants an orphan changes it.
var deathSignal = syscall.SIGINT

func signalWithParent(attr *syscall.SysProcAttr) { attr.Pdeathsig = deathSignal }

// holders are the Postgres processes that work in the given cluster: those with it as their working directory, which
// every one of them has. Where that may not be read (root in a container without CAP_SYS_PTRACE), the command line
// decides: it has the directory or the cluster's name in it. A zombie has neither, and holds nothing.
func holders(data, tag string) []holder {
	entries, _ := os.ReadDir("/proc")
	var found []holder
	for _, entry := range entries {
		pid, err := strconv.Atoi(entry.Name())
		if err != nil || pid == os.Getpid() {
			continue
		}
		proc := filepath.Join("/proc", entry.Name())
		comm, err := os.ReadFile(filepath.Join(proc, "comm"))
		if err != nil || !(strings.Contains(string(comm), "postgres") || strings.Contains(string(comm), "postmaster")) {
			continue // a shell that stands in the directory is no Postgres
		}
		command, _ := os.ReadFile(filepath.Join(proc, "cmdline"))
		line := strings.ReplaceAll(string(command), "\x00", " ")
		cwd, err := os.Readlink(filepath.Join(proc, "cwd"))
		if cwd == data || os.IsPermission(err) && (strings.Contains(line, data) || strings.Contains(line, tag)) {
			found = append(found, holder{pid: pid, ours: strings.Contains(line, tag)})
		}
	}
	return found
}
