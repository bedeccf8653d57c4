package sqlite

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"

	"vialwright/store"
)

// tail is what the -wal file of a log tells, before SQLite reads it. SQLite passes
// over everything behind the first frame whose checksum is wrong and says nothing:
// that is right for an append that a power cut tore, and loses acknowledged
// records where a bit was flipped further up (SQLite documentation, "WAL-mode File
// Format").
type tail struct {
	// torn is true where the last transaction in it is not whole.
	torn bool
	// lost is how many transactions behind a damaged frame were whole but for
	// that: two or more cannot come from a power cut, since each was synced before
	// the next began.
	lost int
}

const (
	walHeader   = 32
	frameHeader = 24
	pageSize    = 4096       // what this program makes
	walMagic    = 0x377f0682 // with the last bit set the checksums are big-endian
)

// readTail looks through a -wal file.
func readTail(path string) (t tail, err error) {
	f, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return t, nil
	}
	if err != nil {
		return t, &store.Error{Code: store.CodeFailed, Msg: "looking at the -wal file of the journal", Err: err}
	}
	defer f.Close()
	r := bufio.NewReaderSize(f, 1<<16)
	head := make([]byte, walHeader)
	if _, err := io.ReadFull(r, head); err != nil {
		return t, nil // nothing was committed in it
	}
	w := walSum{order: binary.LittleEndian}
	magic := binary.BigEndian.Uint32(head)
	if magic&1 == 1 {
		w.order = binary.BigEndian
	}
	page := binary.BigEndian.Uint32(head[8:])
	w.add(head[:24])
	sound := magic&^1 == walMagic && w.is(head[24:])
	if page < 512 || page > 1<<16 || page&(page-1) != 0 {
		page = pageSize
	}
	return frames(r, w, sound, string(head[16:24]), int(page)), nil
}

// frames goes through the frames behind the header of a -wal file. Frames with
// another salt are left from before its last reset, those of zeros are room (see
// makeRoom), and no sound one stands behind them. Where the header itself is damaged
// every frame is lost.
func frames(r io.Reader, w walSum, header bool, salt string, page int) (t tail) {
	frame := make([]byte, frameHeader+page)
	sound, ended, open := header, false, false
	for {
		n, err := io.ReadFull(r, frame)
		ours := !header || n >= 16 && string(frame[8:16]) == salt
		ours = ours && bytes.ContainsFunc(frame[:min(n, frameHeader)], written)
		if err != nil {
			t.torn = t.torn || open || ours && n > 0
			return t
		}
		commit := binary.BigEndian.Uint32(frame[4:]) != 0
		if !ours {
			ended = true // what comes now is old, or room
			continue
		}
		w.add(frame[:8])
		w.add(frame[frameHeader:])
		sound = sound && !ended && w.is(frame[16:24])
		open = sound && !commit
		t.torn = t.torn || !sound
		if !sound && commit {
			t.lost++
		}
	}
}

// written tells of a byte that is not of the room behind the appends.
func written(b rune) bool { return b != 0 }

// walSum is the running checksum of a -wal file.
type walSum struct {
	order  binary.ByteOrder
	s0, s1 uint32
}

// add takes bytes, a multiple of eight of them: for each pair of words
// s0 += x0 + s1, s1 += x1 + s0.
func (w *walSum) add(b []byte) {
	for ; len(b) >= 8; b = b[8:] {
		w.s0 += w.order.Uint32(b) + w.s1
		w.s1 += w.order.Uint32(b[4:]) + w.s0
	}
}

// is tells whether the checksum is the one written.
func (w *walSum) is(written []byte) bool {
	return binary.BigEndian.Uint32(written) == w.s0 && binary.BigEndian.Uint32(written[4:]) == w.s1
}

// check refuses a -wal file in which transactions that were synced cannot be read
// any more. Opening the log for writing would do away with them.
func (t tail) check(path string) error {
	if t.lost < 2 {
		return nil
	}
	return &store.Error{
		Code: store.CodeDamaged, Msg: fmt.Sprintf("%s-wal is damaged, and at least %d appends behind the damage cannot be read", path, t.lost),
		Hint: "nothing is recorded; copy the journal with its -wal file before anything else, and compare it with the newest copy; 'verify' says how far it can be read",
	}
}

// Torn tells that the last append in the -wal file was not whole when the log was
// opened: a power cut came before it was acknowledged, or what it wrote last was
// damaged since, which only a head noted elsewhere shows.
func (l *Log) Torn() bool { return l.tail.torn }

// Damaged says what of a log that is open for reading cannot be read; nil where
// all of it can.
func (l *Log) Damaged() error { return l.tail.check(l.path) }
