package main

import (
	"crypto/hmac"
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime/debug"
	"sync"

	"vialwright/people/secret"
	"vialwright/store/postgres"
)

// checkpoints keep the checkpoint of a journal in a file, with a code of the site's
// key in front, so that nobody without the key can change it unseen.
type checkpoints struct {
	path string
	key  *secret.Key
}

// checkpointUse tells this use of the key from all others.
const checkpointUse = "vialwright checkpoint "

// code is of a checkpoint and of the program that wrote it: another build may understand
// the journal in another way, and reads it whole.
func (c checkpoints) code(data []byte) []byte {
	sum := sha256.Sum256(data)
	return c.key.Code(checkpointUse + build() + string(sum[:]))
}

// build names this very program.
var build = sync.OnceValue(func() string {
	out := release
	if info, ok := debug.ReadBuildInfo(); ok {
		out = info.String()
	}
	if path, err := os.Executable(); err == nil {
		if info, err := os.Stat(path); err == nil {
			out += fmt.Sprint(info.Size(), info.ModTime())
		}
	}
	return out
})

// Load gives the checkpoint that was saved last, where its code is that of the key.
func (c checkpoints) Load() ([]byte, error) {
	data, err := os.ReadFile(c.path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, nil
	case err != nil:
		return nil, err
	case len(data) <= sha256.Size || !hmac.Equal(data[:sha256.Size], c.code(data[sha256.Size:])):
		return nil, fmt.Errorf("%s was not written by this build of the program with the site's key, or was changed since", c.path)
	}
	return data[sha256.Size:], nil
}

// Save writes a checkpoint in place of the last: whoever reads finds one of the two.
// Where there is none any more, the last is taken away, also on a full disk.
func (c checkpoints) Save(data []byte) error {
	if data == nil {
		return os.Remove(c.path)
	}
	f, err := os.CreateTemp(filepath.Dir(c.path), "checkpoint-*")
	if err != nil {
		return err
	}
	defer os.Remove(f.Name())
	_, err = f.Write(c.code(data))
	if err == nil {
		_, err = f.Write(data)
	}
	if err = errors.Join(err, f.Sync(), f.Close()); err != nil {
		return err
	}
	return os.Rename(f.Name(), c.path)
}

// besideCheckpoint is the file of the checkpoint: beside that of the journal, or beside the
// site's key.
func besideCheckpoint(where, key string) string {
	if postgres.IsAddress(where) {
		return key + ".checkpoint"
	}
	return where + ".checkpoint"
}
