//go:build unix

package browsertest

import "syscall"

// ownGroup keeps an interrupt at the keyboard away from the process that cleans up after it.
func ownGroup() *syscall.SysProcAttr { return &syscall.SysProcAttr{Setpgid: true} }
