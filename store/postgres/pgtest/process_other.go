//go:build !linux

package pgtest

import "syscall"

// quit ends a server at once.
const quit = syscall.SIGTERM

// attributes has nothing to set: a server there runs as the user who runs the
// test, who is not root.
func attributes(int, int, bool) *syscall.SysProcAttr { return nil }
