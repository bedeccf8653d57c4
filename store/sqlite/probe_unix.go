//go:build linux || darwin

package sqlite

import "syscall"

func free(folder string) (bytes uint64, known bool) {
	var s syscall.Statfs_t
	if err := syscall.Statfs(folder, &s); err != nil {
		return 0, false
	}
	return s.Bavail * uint64(s.Bsize), true
}
