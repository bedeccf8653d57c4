package pgtest

import "syscall"

// quit ends a server at once, and its other processes with it.
const quit = syscall.SIGQUIT

// attributes lets a process run as a user, and get quit when the thread that
// started it is gone.
func attributes(uid, gid int, change bool) *syscall.SysProcAttr {
	a := &syscall.SysProcAttr{Pdeathsig: quit}
	if change {
		a.Credential = &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}
	}
	return a
}
