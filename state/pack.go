package state

import (
	"cmp"
	"encoding/binary"
	"errors"
	"fmt"
	"maps"
	"slices"
	"time"

	"vialwright/fact"
	"vialwright/journal"
)

// errCheckpoint is what cannot be read as books.
var errCheckpoint = errors.New("the checkpoint is not one that this program wrote")

// Packer writes a checkpoint.
type Packer struct {
	// Buf is what was written so far.
	Buf []byte
	// Err is a record that could not be written: then nothing is to be kept.
	Err error
}

// Number writes a number.
func (w *Packer) Number(n int) { w.Buf = binary.AppendVarint(w.Buf, int64(n)) }

// Numbers writes numbers, which mostly rise.
func (w *Packer) Numbers(all []int) {
	w.Number(len(all))
	last := 0
	for _, n := range all {
		w.Number(n - last)
		last = n
	}
}

// Text writes a text.
func (w *Packer) Text(s string) {
	w.Number(len(s))
	w.Buf = append(w.Buf, s...)
}

// Texts writes texts.
func (w *Packer) Texts(all []string) {
	w.Number(len(all))
	for _, s := range all {
		w.Text(s)
	}
}

// Bytes writes bytes, of which the reader knows how many they are.
func (w *Packer) Bytes(b []byte) { w.Buf = append(w.Buf, b...) }

// PackMap writes how many a map has, and each with key and value in the order of the keys.
func PackMap[K cmp.Ordered, V any](w *Packer, all map[K]V, key func(K), value func(V)) {
	w.Number(len(all))
	for _, k := range slices.Sorted(maps.Keys(all)) {
		key(k)
		value(all[k])
	}
}

// UnpackMap reads into a map what PackMap wrote.
func UnpackMap[K comparable, V any](c *Unpacker, into map[K]V, key func() K, value func() V) {
	for range c.Count() {
		k := key()
		into[k] = value()
	}
}

// Time writes a moment, without its zone.
func (w *Packer) Time(t time.Time) {
	if t.IsZero() {
		w.Number(0)
		return
	}
	w.Number(1)
	w.Number(int(t.Unix()))
	w.Number(t.Nanosecond())
}

// record writes a record with its number, a destroyed one without content.
func (w *Packer) record(r journal.Record) {
	w.Number(r.N)
	if _, gone := r.Fact.(*fact.Destroyed); gone {
		w.Text("")
		w.Time(r.Recorded)
		return
	}
	body, err := r.Marshal()
	if err != nil {
		w.Err = fmt.Errorf("record %d: %w", r.N, err)
	}
	w.Text(string(body))
}

// Unpacker reads a checkpoint. What cannot be read stops it: everything behind that
// is zero, and Err says so.
type Unpacker struct {
	src []byte
	err error
}

// NewUnpacker reads what a Packer wrote, which nobody changes any more. What it gives
// holds nothing of it.
func NewUnpacker(src []byte) *Unpacker { return &Unpacker{src: src} }

// Err is what could not be read; nil where all could.
func (c *Unpacker) Err() error { return c.err }

// Left is how many bytes were not read yet.
func (c *Unpacker) Left() int { return len(c.src) }

// Number reads a number.
func (c *Unpacker) Number() int {
	var x uint64
	for i := range min(len(c.src), binary.MaxVarintLen64) {
		d := c.src[i]
		x |= uint64(d&0x7f) << (7 * i)
		if d < 0x80 {
			c.src = c.src[i+1:]
			return int(int64(x>>1) ^ -int64(x&1)) // as binary.AppendVarint has it
		}
	}
	c.fail()
	return 0
}

func (c *Unpacker) fail() { c.src, c.err = nil, errCheckpoint }

// Count reads how many follow: no more than there are bytes.
func (c *Unpacker) Count() int {
	n := c.Number()
	if n < 0 || n > mostRecords {
		c.fail()
		return 0
	}
	return n
}

// mostRecords bounds what one number can make a reader ask for.
const mostRecords = 1 << 28

// Numbers reads numbers.
func (c *Unpacker) Numbers() []int {
	n := c.Count()
	if n > len(c.src) {
		c.fail()
		return nil
	}
	out := make([]int, n)
	last := 0
	for i := range out {
		last += c.Number()
		out[i] = last
	}
	return out
}

// Text reads a text.
func (c *Unpacker) Text() string {
	n := c.Count()
	if n > len(c.src) {
		c.fail()
		return ""
	}
	s := string(c.src[:n])
	c.src = c.src[n:]
	return s
}

// Texts reads texts.
func (c *Unpacker) Texts() []string {
	n := c.Count()
	if n > len(c.src) {
		c.fail()
		return nil
	}
	out := make([]string, n)
	for i := range out {
		out[i] = c.Text()
	}
	return out
}

// Bytes reads as many bytes as there is room for.
func (c *Unpacker) Bytes(into []byte) {
	if len(into) > len(c.src) {
		c.fail()
		return
	}
	copy(into, c.src)
	c.src = c.src[len(into):]
}

// Time reads a moment, in UTC.
func (c *Unpacker) Time() time.Time {
	if c.Number() == 0 {
		return time.Time{}
	}
	seconds := c.Number()
	return time.Unix(int64(seconds), int64(c.Number())).UTC()
}

// record reads a record; false behind the last.
func (c *Unpacker) record() (r journal.Record, more bool) {
	n := c.Number()
	if n == 0 {
		return r, false
	}
	body := c.Text()
	if body == "" {
		return journal.Record{N: n, Recorded: c.Time(), Fact: &fact.Destroyed{}}, true
	}
	r, err := journal.Parse(body)
	if err != nil {
		c.fail()
		c.err = fmt.Errorf("record %d of the checkpoint: %w", n, err)
		return r, false
	}
	r.N = n
	return r, true
}
