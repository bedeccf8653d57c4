package aside

import (
	"errors"
	"fmt"
	"os"

	"golang.org/x/sys/unix"
)

// spared is what it leaves of a disk at least, on which mostly the journal lies too: an
// index finds its place elsewhere, and an entry does not.
const spared = 64 << 20

// grow makes the file longer, and maps what was added. The disk has given the place before
// anything is mapped: a page without one would end the program when it is written to.
func (r *Room) grow() (area []byte, err error) {
	if r.file == nil {
		fd, err := unix.Open(r.dir, unix.O_TMPFILE|unix.O_RDWR|unix.O_CLOEXEC, 0o600)
		if err != nil {
			return nil, &os.PathError{Op: "make a file without a name", Path: r.dir, Err: err}
		}
		r.file = os.NewFile(uintptr(fd), r.dir)
	}
	at, fd := int64(len(r.areas)*areaSize), int(r.file.Fd())
	var disk unix.Statfs_t
	if err := unix.Fstatfs(fd, &disk); err != nil {
		return nil, os.NewSyscallError("fstatfs", err)
	}
	if free := disk.Bavail * uint64(disk.Bsize); free < spared+areaSize {
		return nil, fmt.Errorf("%d MB are free, and %d MB are left to the journal", free/1e6, spared/1_000_000)
	}
	for err = unix.EINTR; err == unix.EINTR; { // the language's own signals come between
		err = unix.Fallocate(fd, 0, at, areaSize)
	}
	if err != nil {
		_ = unix.Ftruncate(fd, at) // some of it may have been given
		return nil, os.NewSyscallError("fallocate", err)
	}
	area, err = unix.Mmap(fd, at, areaSize, unix.PROT_READ|unix.PROT_WRITE, unix.MAP_SHARED)
	return area, os.NewSyscallError("mmap", err)
}

// LetGo lets what lies in the file leave the resident memory. It comes back where
// somebody looks.
func (r *Room) LetGo() {
	r.mu.Lock()
	defer r.mu.Unlock()
	for _, area := range r.areas {
		_ = unix.Madvise(area, unix.MADV_DONTNEED) // what cannot be let go stays
	}
}

// Close gives the memory back. Nobody may look at anything in it any more.
func (r *Room) Close() (err error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	for _, area := range r.areas {
		err = errors.Join(err, unix.Munmap(area))
	}
	if r.file != nil {
		err = errors.Join(err, r.file.Close())
	}
	r.file, r.areas, r.rest, r.ended = nil, nil, nil, true
	return err
}
