package localpg

import "syscall"

// keepZombies makes this process the parent of orphaned grandchildren, whom it never waits for. A killed server whose
// program was killed too then stays a zombie, which is what happens in a container without an init.
func keepZombies() {
	const prSetChildSubreaper = 36
	syscall.RawSyscall(syscall.SYS_PRCTL, prSetChildSubreaper, 1, 0)
}

// makeOrphans lets children outlive this process, as on systems without a parent death signal.
func makeOrphans() { deathSignal = 0 }
