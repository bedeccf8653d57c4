package pack

import "unsafe"

// PieceSize is how many bytes a piece of memory has.
const PieceSize = 1 << 14

// Room gives memory beside that of the language, such as of a file, which need not stay
// resident while nobody looks at it. It may be used by several goroutines at once.
type Room interface {
	// Piece gives PieceSize bytes, all of them zero, which stay until the room is closed;
	// nil where none can be had.
	Piece() []byte
	// Another is a room like this one, for what is held for a while.
	Another() Room
	// LetGo lets what lies in it leave the resident memory. It comes back where somebody looks.
	LetGo()
	// Close gives all of it back. Nobody may look at anything in it any more.
	Close() error
}

// Column holds many values of one size, without pointers, one behind the other: in
// pieces, each of which moves to Room once it is full. The zero value is empty and stays in
// the memory of the language. It may be read by several goroutines at once.
type Column[T any] struct {
	// Room is where full pieces go; nil for nowhere. It is set before the first value.
	Room   Room
	pieces [][]T
	last   []T
	free   [][]T // pieces of before Clear
}

func (c *Column[T]) each() int {
	var v T
	return PieceSize / int(unsafe.Sizeof(v))
}

// Len is how many values there are.
func (c *Column[T]) Len() int { return len(c.pieces)*c.each() + len(c.last) }

// At is the place of a value, from 0, where it can be changed until the next Append or Clear.
func (c *Column[T]) At(i int) *T {
	if k := i / c.each(); k < len(c.pieces) {
		return &c.pieces[k][i%c.each()]
	}
	return &c.last[i-len(c.pieces)*c.each()]
}

// Some are so many values from a place on, until the next Append or Clear. They are not to
// be changed.
func (c *Column[T]) Some(from, n int) []T {
	k, at := from/c.each(), from%c.each()
	piece := c.last
	if k < len(c.pieces) {
		piece = c.pieces[k]
	}
	if at+n <= len(piece) {
		return piece[at : at+n]
	}
	out := make([]T, n)
	for i := range out {
		out[i] = *c.At(from + i)
	}
	return out
}

// Append puts values behind the last.
func (c *Column[T]) Append(all ...T) {
	for len(all) > 0 {
		n := min(len(all), c.each()-len(c.last))
		c.last = append(c.last, all[:n]...)
		all = all[n:]
		if len(c.last) == c.each() {
			c.full()
		}
	}
}

// Extend puts zeros behind the last value until there are so many.
func (c *Column[T]) Extend(n int) {
	zero := make([]T, min(c.each(), max(0, n-c.Len())))
	for c.Len() < n {
		c.Append(zero[:min(len(zero), n-c.Len())]...)
	}
}

// Clear takes all values out.
func (c *Column[T]) Clear() {
	c.free, c.pieces, c.last = append(c.free, c.pieces...), nil, c.last[:0]
}

// full moves the last piece to the room, or to where one was before.
func (c *Column[T]) full() {
	piece := c.piece()
	if piece == nil {
		c.pieces, c.last = append(c.pieces, c.last), nil
		return
	}
	copy(piece, c.last)
	c.pieces, c.last = append(c.pieces, piece), c.last[:0]
}

func (c *Column[T]) piece() (piece []T) {
	if n := len(c.free); n > 0 {
		piece, c.free = c.free[n-1], c.free[:n-1]
	} else if c.Room != nil {
		if b := c.Room.Piece(); b != nil {
			piece = unsafe.Slice((*T)(unsafe.Pointer(&b[0])), c.each())
		}
	}
	return piece
}
