package sqlitevault

import (
	"errors"
	"io/fs"
	"os"
	"runtime"
	"strings"
)

// owner is the mode of the file and of those that the engine puts beside it
// (-wal and -shm take that of the file): hashes of passwords and half-typed
// forms are for nobody else on the machine.
const owner fs.FileMode = 0o600

// claim makes the file where there is none, before the engine could make it
// readable by all.
func claim(path string) error {
	f, err := os.OpenFile(path, os.O_CREATE|os.O_RDWR, owner)
	if err != nil {
		return err
	}
	return f.Close()
}

// tighten takes the file and those beside it from everybody but their owner, and
// gives the paths it had to change. Windows has no such modes.
func tighten(path string) (changed []string, err error) {
	if runtime.GOOS == "windows" {
		return nil, nil
	}
	for _, name := range []string{path, path + "-wal", path + "-shm"} {
		info, err := os.Stat(name)
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err != nil {
			return nil, err
		}
		if info.Mode().Perm()&^owner == 0 {
			continue
		}
		if err := os.Chmod(name, owner); err != nil {
			return nil, err
		}
		changed = append(changed, name)
	}
	return changed, nil
}

// Mended says which files others on the machine could read until they were
// opened; it is empty where there were none.
func (f *File) Mended() string {
	if len(f.mended) == 0 {
		return ""
	}
	return "Others on this machine could read " + strings.Join(f.mended, ", ") +
		". Only its owner can read it now. If others use this machine, everybody should choose a new password and a new PIN."
}
