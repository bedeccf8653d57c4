// Package aside gives memory that lies in a file without a name: what is held of many years
// and seldom looked at. The system reads in what somebody looks at and can take it away
// again, so that it is resident only while it is in use. The file is gone with the
// program, however that ends. Where the system is not Linux, or no such file can be
// made, there is none of it, and package pack keeps everything in the memory of the language.
package aside

import (
	"errors"
	"fmt"
	"os"
	"sync"

	"vialwright/pack"
)

// areaSize is how much the file grows by.
const areaSize = 256 * pack.PieceSize

// Room is memory in a file.
type Room struct {
	dir  string
	warn func(error)
	mu   sync.Mutex
	file *os.File // nil before the first piece is asked for
	// areas are mapped, rest is what is free of the last of them.
	areas [][]byte
	rest  []byte
	ended bool // nothing more can be had
}

// New gives memory in a folder, which must lie on a disk. warn is told once where there is
// no more of it, with the reason; then nothing is lost.
func New(dir string, warn func(error)) *Room { return &Room{dir: dir, warn: warn} }

// Piece gives memory; nil where none can be had.
func (r *Room) Piece() []byte {
	r.mu.Lock()
	defer r.mu.Unlock()
	if len(r.rest) == 0 && !r.ended {
		area, err := r.grow()
		if r.ended = err != nil; r.ended && err != errors.ErrUnsupported { // what is not Linux is not asked
			r.warn(fmt.Errorf("the folder %s cannot take the index of the years, which is held in the memory of the program from here on: %w. Make room on its disk, or see to it that files without a name can be made there, and start the program again", r.dir, err))
		}
		if err == nil {
			r.areas, r.rest = append(r.areas, area), area
		}
	}
	if r.ended {
		return nil
	}
	piece := r.rest[:pack.PieceSize:pack.PieceSize]
	r.rest = r.rest[pack.PieceSize:]
	return piece
}

// Another is a room in a file of its own, in the same folder.
func (r *Room) Another() pack.Room { return New(r.dir, r.warn) }

// Size is how many bytes lie in the file.
func (r *Room) Size() int {
	r.mu.Lock()
	defer r.mu.Unlock()
	return len(r.areas)*areaSize - len(r.rest)
}
