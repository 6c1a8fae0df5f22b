//go:build !unix

package browsertest

import "syscall"

func ownGroup() *syscall.SysProcAttr { return nil }
