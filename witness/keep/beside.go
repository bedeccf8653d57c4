package keep

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"
	"sync"

	"vialwright/witness"
)

// beside is the head that was acknowledged last, in a file beside the journal.
type beside struct {
	path string
	mu   sync.Mutex
	file *os.File
}

// checkLine ends the file, so that a damaged one is not believed.
func checkLine(text string) string {
	sum := sha256.Sum256([]byte(text))
	return "check " + hex.EncodeToString(sum[:8]) + "\n"
}

// read gives what was noted; false where there is nothing, or what is there was
// damaged, which the error says.
func (b *beside) read() (n witness.Note, found bool, err error) {
	data, err := readSome(b.path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return n, false, nil
	case err != nil:
		return n, false, err
	}
	text, _, _ := strings.Cut(string(data), "\n\n")
	lines := strings.TrimRight(text, "\n")
	i := strings.LastIndex(lines, "\n")
	if i < 0 || lines[i+1:]+"\n" != checkLine(lines[:i+1]) {
		return n, false, fmt.Errorf("%s was cut short or damaged, and is passed over: it is not known from it how far the journal went", b.path)
	}
	n, err = witness.Parse(lines[:i+1])
	return n, err == nil, err
}

// write notes a head. It does not wait for the disk.
func (b *beside) write(n witness.Note) error {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.file == nil {
		f, err := os.OpenFile(b.path, os.O_CREATE|os.O_WRONLY, 0o600)
		if err != nil {
			return err
		}
		b.file = f
	}
	text := n.Text()
	// What is left of a longer one stands behind an empty line, and is not read.
	_, err := b.file.WriteAt([]byte(text+checkLine(text)+"\n"), 0)
	return err
}

func (b *beside) close() {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.file != nil {
		_ = b.file.Close() // it is a lower bound, and is not waited for
		b.file = nil
	}
}
