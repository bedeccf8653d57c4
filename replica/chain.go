package replica

import (
	"context"
	"fmt"

	"vialwright/journal"
	"vialwright/pack"
)

// apart is how many records lie between two whose hashes are held: what lies between
// is read from the store when somebody asks, and has to lead from one to the other.
const apart = 32

// newest is how many of the newest records have their hashes held at least.
const newest = 4 << 10

// chain are the hashes of a journal that was verified, as many as have to be held so
// that every record can be verified again: each 32nd, the first, and the newest.
type chain struct {
	length int
	first  journal.Hash
	each   pack.Column[journal.Hash] // of record (i+1)·apart
	tail   []journal.Hash            // of the newest records
}

func (c *chain) add(h journal.Hash) {
	if c.length++; c.length == 1 {
		c.first = h
	}
	if c.length%apart == 0 {
		c.each.Append(h)
	}
	if c.tail = append(c.tail, h); len(c.tail) == 2*newest {
		c.tail = append(make([]journal.Hash, 0, 2*newest), c.tail[newest:]...)
	}
}

// held gives the hash of a record, from 1, or of none before the first; false for
// one that is not held.
func (c *chain) held(n int) (h journal.Hash, ok bool) {
	switch tail := n - (c.length - len(c.tail)); {
	case n == 0:
		return h, true
	case n < 0 || n > c.length:
		return h, false
	case tail > 0:
		return c.tail[tail-1], true
	case n == 1:
		return c.first, true
	case n%apart == 0:
		return *c.each.At(n/apart - 1), true
	}
	return h, false
}

// around are the held hashes before and at or behind some records that follow one
// another: whatever leads from one to the other is as it was verified.
func (c *chain) around(first, last int) (before, behind int) {
	before, behind = first-1, last
	for _, ok := c.held(before); !ok; _, ok = c.held(before) {
		before--
	}
	for _, ok := c.held(behind); !ok; _, ok = c.held(behind) {
		behind++
	}
	return before, behind
}

// Safely does what goes on behind the pages, where nobody turns a fault into a page.
// Where the journal cannot be read again as it was verified, it stops recording, and
// not the program.
func (r *Replica) Safely(work func()) {
	err := caught(func() error { work(); return nil })
	if err != nil {
		r.turn <- struct{}{}
		r.stop(err)
		<-r.turn
	}
}

// caught does what may read the journal again, and gives as an error that it is not
// what was verified.
func caught(work func() error) (err error) {
	defer func() {
		fault := recover()
		if e, ok := fault.(*notAgainError); ok {
			err = e
		} else if fault != nil {
			panic(fault)
		}
	}()
	return work()
}

// hash is that of a record, which is read where it is not held. The caller may read
// the books.
func (r *Replica) hash(n int) (h journal.Hash) {
	if n < 1 || n > r.chain.length {
		return h
	}
	h, ok := r.chain.held(n)
	if !ok {
		err := r.between(n, n, func(l journal.Link, _ *journal.Verifier) error {
			if int(l.Seq) == n {
				h = l.Hash
			}
			return nil
		})
		if err != nil {
			panic(&notAgainError{err})
		}
	}
	return h
}

// notAgainError is a journal that is not what it was when it was verified.
type notAgainError struct{ err error }

// Error says so, and what differs.
func (e *notAgainError) Error() string {
	return "the journal cannot be read again as it was verified: " + e.err.Error()
}

// Unwrap is what differs.
func (e *notAgainError) Unwrap() error { return e.err }

// between reads the links that lead to some records that follow one another and on to the next
// whose hash is held, and verifies that they do. each is asked with the verifier before a
// link, and takes it there or leaves it; what it was given holds only where
// nothing fails.
func (r *Replica) between(first, last int, each func(journal.Link, *journal.Verifier) error) error {
	before, behind := r.chain.around(first, last)
	head := journal.Head{Seq: uint64(before)}
	head.Hash, _ = r.chain.held(before)
	v := journal.VerifierBehind(head)
	for x, err := range r.log.Read(context.Background(), uint64(before+1), behind-before) {
		if err != nil {
			return err
		}
		l := linkOf(x)
		if err := each(l, &v); err != nil {
			return err
		}
		if v.Report().Head != l.Head() { // nobody wanted its record
			if err := v.Pass(l); err != nil {
				return err
			}
		}
		if h, held := r.chain.held(int(x.Seq)); held && h != x.Hash {
			return fmt.Errorf("record %d is another one than was verified", x.Seq)
		}
	}
	if at := v.Report().Head.Seq; at != uint64(behind) {
		return fmt.Errorf("record %d is no longer there", at+1)
	}
	return nil
}
