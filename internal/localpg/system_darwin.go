package localpg

import (
	"os/exec"
	"syscall"
)

// maxSocketPath is the longest path of a socket: sun_path has 104 bytes, one of them for the final zero.
const maxSocketPath = 103

// signalWithParent does nothing: macOS has no such signal, and the next Start stops what is left over.
func signalWithParent(*syscall.SysProcAttr) {}

// holders are the Postgres processes that work in the given cluster, as ps tells them.
func holders(data, tag string) []holder {
	list, err := exec.Command("ps", "-axww", "-o", "pid=,stat=,command=").Output()
	if err != nil {
		return nil
	}
	return parsePS(string(list), data, tag)
}
