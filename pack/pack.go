// Package pack keeps much in few bytes: numbers, texts and times written one behind the
// other, for a checkpoint or for what is held of many years; and texts that are found by
// what they are. Nothing of it is a pointer, so that the collector of the language passes
// over it, however many years there are, and so that it may lie in a file.
package pack

import (
	"cmp"
	"encoding/binary"
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"time"
)

// Err is what cannot be read.
var Err = errors.New("it is not one that this program wrote")

// Writer writes.
type Writer struct {
	// Buf is what was written so far.
	Buf []byte
	// Err is what could not be written: then nothing is to be kept.
	Err error
}

// Number writes a number.
func (w *Writer) Number(n int) { w.Buf = binary.AppendVarint(w.Buf, int64(n)) }

// Numbers writes numbers, which mostly rise.
func (w *Writer) Numbers(all []int) {
	w.Number(len(all))
	last := 0
	for _, n := range all {
		w.Number(n - last)
		last = n
	}
}

// Text writes a text.
func (w *Writer) Text(s string) {
	w.Number(len(s))
	w.Buf = append(w.Buf, s...)
}

// Texts writes texts.
func (w *Writer) Texts(all []string) {
	w.Number(len(all))
	for _, s := range all {
		w.Text(s)
	}
}

// Bytes writes bytes, of which the reader knows how many they are.
func (w *Writer) Bytes(b []byte) { w.Buf = append(w.Buf, b...) }

// Map writes how many a map has, and each with key and value in the order of the keys.
func Map[K cmp.Ordered, V any](w *Writer, all map[K]V, key func(K), value func(V)) {
	w.Number(len(all))
	for _, k := range slices.Sorted(maps.Keys(all)) {
		key(k)
		value(all[k])
	}
}

// ReadMap reads into a map what Map wrote.
func ReadMap[K comparable, V any](c *Reader, into map[K]V, key func() K, value func() V) {
	for range c.Count() {
		k := key()
		into[k] = value()
	}
}

// Time writes a moment, without its zone.
func (w *Writer) Time(t time.Time) {
	if t.IsZero() {
		w.Number(0)
		return
	}
	w.Number(1)
	w.Number(int(t.Unix()))
	w.Number(t.Nanosecond())
}

// Float writes a number with a fraction, exactly.
func (w *Writer) Float(x float64) {
	w.Buf = binary.LittleEndian.AppendUint64(w.Buf, math.Float64bits(x))
}

// Bool writes yes or no.
func (w *Writer) Bool(yes bool) {
	n := 0
	if yes {
		n = 1
	}
	w.Number(n)
}

// Reader reads. What cannot be read stops it: everything behind that
// is zero, and Err says so.
type Reader struct {
	src []byte
	err error
}

// NewReader reads what a Writer wrote, which nobody changes any more. What it gives
// holds nothing of it.
func NewReader(src []byte) *Reader { return &Reader{src: src} }

// Err is what could not be read; nil where all could.
func (c *Reader) Err() error { return c.err }

// Left is how many bytes were not read yet.
func (c *Reader) Left() int { return len(c.src) }

// Number reads a number.
func (c *Reader) Number() int {
	var x uint64
	for i := range min(len(c.src), binary.MaxVarintLen64) {
		d := c.src[i]
		if i == binary.MaxVarintLen64-1 && d > 1 {
			break // more than 64 bits
		}
		x |= uint64(d&0x7f) << (7 * i)
		if d < 0x80 {
			c.src = c.src[i+1:]
			return int(int64(x>>1) ^ -int64(x&1)) // as binary.AppendVarint has it
		}
	}
	c.fail()
	return 0
}

// Fail stops it, for what the reader of it cannot take.
func (c *Reader) Fail(err error) { c.src, c.err = nil, err }

func (c *Reader) fail() { c.Fail(Err) }

// Count reads how many follow, each of at least one byte: no more than there are bytes left,
// so that nothing unreadable makes the reader ask for much memory, or go round for long.
func (c *Reader) Count() int {
	n := c.Number()
	if n < 0 || n > len(c.src) {
		c.fail()
		return 0
	}
	return n
}

// Int32 reads a number that is held as one of 32 bits.
func (c *Reader) Int32() int32 {
	n := c.Number()
	if n != int(int32(n)) {
		c.fail()
		return 0
	}
	return int32(n)
}

// Int32 is a number as it is held in 32 bits. It panics where it does not fit: it would be
// another number then.
func Int32(n int) int32 {
	if n != int(int32(n)) {
		panic(fmt.Sprintf("fault: %d is more than can be held in 32 bits", n))
	}
	return int32(n)
}

// Numbers reads numbers.
func (c *Reader) Numbers() []int {
	out := make([]int, c.Count())
	last := 0
	for i := range out {
		last += c.Number()
		out[i] = last
	}
	return out
}

// Text reads a text.
func (c *Reader) Text() string {
	n := c.Count()
	s := string(c.src[:n])
	c.src = c.src[n:]
	return s
}

// Texts reads texts.
func (c *Reader) Texts() []string {
	out := make([]string, c.Count())
	for i := range out {
		out[i] = c.Text()
	}
	return out
}

// Bytes reads as many bytes as there is room for.
func (c *Reader) Bytes(into []byte) {
	if len(into) > len(c.src) {
		c.fail()
		return
	}
	copy(into, c.src)
	c.src = c.src[len(into):]
}

// Time reads a moment, in UTC.
func (c *Reader) Time() time.Time {
	if c.Number() == 0 {
		return time.Time{}
	}
	seconds := c.Number()
	return time.Unix(int64(seconds), int64(c.Number())).UTC()
}

// Float reads a number with a fraction.
func (c *Reader) Float() float64 {
	var b [8]byte
	c.Bytes(b[:])
	return math.Float64frombits(binary.LittleEndian.Uint64(b[:]))
}

// Bool reads yes or no.
func (c *Reader) Bool() bool { return c.Number() != 0 }
