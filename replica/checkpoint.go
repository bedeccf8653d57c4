package replica

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"maps"
	"slices"

	"vialwright/journal"
	"vialwright/pack"
	"vialwright/state"
	"vialwright/store"
)

// checkpointForm is the form of a checkpoint; another is not read.
const checkpointForm = "vialwright checkpoint 5"

// Checkpoint writes down what the journal was verified to hold, so that a program
// that starts can show it before it has gone through the years again. It belongs
// to one version of the program. Nil where the journal does not hold, is still
// being verified, or has a record that cannot be written down again.
//
// Whoever keeps it must see to it that nobody can change it: OpenAt believes it
// until the journal is verified.
func (r *Replica) Checkpoint(version string) []byte {
	r.mu.RLock()
	defer r.mu.RUnlock()
	if r.broken != nil || r.behindIt.Load() != nil {
		return nil
	}
	w := &pack.Writer{}
	w.Text(checkpointForm)
	w.Text(version)
	r.pack(w)
	var open []string
	for g := range r.open.groups {
		if !g.Joined() {
			open = append(open, g.IDs()[0])
		}
	}
	slices.Sort(open)
	w.Texts(open)
	if w.Err != nil {
		return nil
	}
	return w.Buf
}

// pack writes what follows from the journal alone.
func (r *Replica) pack(w *pack.Writer) {
	report := r.verify.Report()
	for _, n := range []uint64{report.Records, report.Destroyed, report.Backwards} {
		w.Number(int(n))
	}
	w.Time(report.First)
	w.Time(report.Last)
	w.Bytes(r.chain.first[:])
	w.Bytes(report.Head.Hash[:])
	for i := range r.chain.each.Len() {
		w.Bytes(r.chain.each.At(i)[:])
	}
	r.labels.Write(w)
	r.received.Write(w)
	forms := slices.SortedFunc(maps.Keys(r.forms), func(a, b form) int { return r.forms[a].n - r.forms[b].n })
	w.Number(len(forms))
	for _, f := range forms {
		s := r.forms[f]
		w.Texts([]string{f.by, f.number, s.mark})
		w.Number(s.n)
		w.Time(s.at)
	}
	r.books.Checkpoint(w)
}

// unpack reads what pack wrote.
func (r *Replica) unpack(c *pack.Reader) (err error) {
	report := journal.Report{Records: uint64(c.Number()), Destroyed: uint64(c.Number()), Backwards: uint64(c.Number()), First: c.Time(), Last: c.Time()}
	if report.Records == 0 || report.Records/apart > uint64(c.Left()/len(journal.Hash{})) {
		return errors.New("it is of no record, or cut short")
	}
	report.Head.Seq = report.Records
	r.chain.length = int(report.Records)
	r.chain.each.Extend(int(report.Records / apart))
	c.Bytes(r.chain.first[:])
	c.Bytes(report.Head.Hash[:])
	for i := range r.chain.each.Len() {
		c.Bytes(r.chain.each.At(i)[:])
	}
	r.chain.tail = []journal.Hash{report.Head.Hash}
	r.verify = journal.VerifierAt(report)
	r.labels.Read(c)
	r.received.Read(c)
	for range c.Count() {
		t := c.Texts()
		if len(t) != 3 {
			return errors.New("a form has other parts")
		}
		r.forms[form{t[0], t[1]}] = sent{mark: t[2], n: c.Number(), at: c.Time()}
	}
	if r.books, err = state.Restore(c, r.reread, r.room); err == nil && r.books.Len() != r.chain.length {
		return errors.New("its books are not of as many records as its hashes")
	}
	return err
}

// OpenAt opens a journal with a checkpoint of it: what was recorded since is read and
// verified, and the journal is open. The rest is verified with [Replica.VerifyBehind].
// It fails, with the reason, where the checkpoint is not of this journal as it is
// now, of this version of the program, or cannot be read: then nothing of it was
// used, and [Open] is what is left.
func OpenAt(ctx context.Context, log store.Log, salt func() journal.Salt, room pack.Room, version string, checkpoint []byte) (*Replica, error) {
	r := empty(log, salt, room)
	c := pack.NewReader(checkpoint)
	if form := c.Text(); form != checkpointForm {
		return nil, errors.New("it has another form")
	}
	if made := c.Text(); made != version {
		return nil, fmt.Errorf("it was made by %s, and this is %s", made, version)
	}
	begin := len(checkpoint) - c.Left()
	if err := r.unpack(c); err != nil {
		return nil, err
	}
	whole := checkpoint[begin : len(checkpoint)-c.Left()]
	var open []state.Group
	for _, id := range c.Texts() {
		open = append(open, r.books.Groups(id)...)
	}
	if err := c.Err(); err != nil {
		return nil, err
	}
	if err := r.same(ctx, r.verify.Report().Head); err != nil {
		return nil, err
	}
	r.behindIt.Store(&behindIt{of: uint64(r.chain.length), sum: sha256.Sum256(whole)})
	err := r.goOn(ctx, open)
	if _, broken := errors.AsType[*journal.BrokenLink](err); broken {
		return r, nil
	}
	return r, err
}

// goOn brings what is open back into memory, and reads what came since.
func (r *Replica) goOn(ctx context.Context, groups []state.Group) error {
	err := caught(func() error {
		r.books.Hold(groups)
		r.open.touch(groups)
		_, err := r.readOn(ctx, false)
		return err
	})
	if e, ok := err.(*notAgainError); ok {
		return fmt.Errorf("what it left to be read is another: %v", e) // no broken link: the whole journal is read then
	}
	return err
}

// same tells whether the store has a record as it is in a checkpoint.
func (r *Replica) same(ctx context.Context, head journal.Head) error {
	for x, err := range r.log.Read(ctx, head.Seq, 1) {
		switch {
		case err != nil:
			return err
		case x.Hash == head.Hash:
			return nil
		}
		return fmt.Errorf("record %d of the journal is another one than in it", head.Seq)
	}
	return fmt.Errorf("it goes to record %d, which the journal does not have", head.Seq)
}

// behindIt is a verification that goes on behind the pages.
type behindIt struct {
	of  uint64 // records that are verified again
	sum [sha256.Size]byte
	// done are the records that were verified by now.
	done uint64
}

// Behind tells how many records are verified by now of those that a checkpoint was
// believed for; false where all are.
func (r *Replica) Behind() (done, of uint64, going bool) {
	b := r.behindIt.Load()
	if b == nil {
		return 0, 0, false
	}
	return b.done, b.of, true
}

// VerifyBehind verifies what OpenAt believed a checkpoint for: it reads the journal
// from its first record and compares what it comes to with the checkpoint, byte
// for byte. Where they differ recording stops. It returns early, with the error,
// where ctx ends or the store cannot be read; then nothing more is verified. Between
// some thousand records pause is called, so that pages go first.
func (r *Replica) VerifyBehind(ctx context.Context, pause func()) error {
	b := r.behindIt.Load()
	if b == nil {
		return nil
	}
	var room pack.Room
	if r.room != nil {
		room = r.room.Another()
		defer room.Close()
	}
	shadow := empty(r.log, r.salt, room)
	err := shadow.batches(ctx, int(b.of), func(links []journal.Link) error {
		if _, err := shadow.take(shadow.verified(links), false); err != nil {
			return err
		}
		r.behindIt.Store(&behindIt{b.of, b.sum, shadow.verify.Report().Head.Seq})
		pause()
		return nil
	})
	broken, isBroken := errors.AsType[*journal.BrokenLink](err)
	switch {
	case isBroken:
		err = broken
	case err != nil:
		return err
	default:
		w := &pack.Writer{}
		shadow.pack(w)
		if sha256.Sum256(w.Buf) == b.sum {
			r.behindIt.Store(nil)
			return nil
		}
		err = errors.New("the checkpoint that the program started from is not what the journal comes to: start the program again, which then reads the whole journal")
	}
	r.turn <- struct{}{}
	defer func() { <-r.turn }()
	r.stop(err)
	return err
}
