package replica

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"runtime"
	"runtime/debug"
	"slices"
	"strings"
	"time"

	"vialwright/fact"
	"vialwright/journal"
	"vialwright/state"
	"vialwright/store"
)

// Entry is what somebody wants appended.
type Entry struct {
	// IDs are those of the orders and containers that it bears on and the page
	// rests on.
	IDs []string
	// Of is the number of the entry that it corrects; 0 for none.
	Of int
	// Site is true where what it asks to be recorded is of the site, such as a setting: it
	// is alone in its batch, since the files of all others may hold it. See [OfSite].
	Site bool
	// Behind is the number of the newest record that the page was made from.
	Behind uint64
	// Class says what happens where the groups have moved since.
	Class fact.Class
	// Seen is the newest number that was shown as moved, when an act is sent again.
	Seen uint64
	// By and Form are those of the records; an entry of the same two that is in the
	// journal already is not appended again. Without a form every entry is new. A form
	// is [Mark] of what numbers it and of what it says.
	By, Form string
	// Decide is asked in its turn, with the groups as they are and the number that
	// the first record will have, so that nothing can come between the question and
	// the answer. What it gives is recorded.
	Decide func(f *File, next int) ([]journal.Record, error)
}

// OfSite tells whether files of orders and containers that it does not name may hold a fact.
func OfSite(f fact.Fact) bool {
	return state.OfPatient(f) || len(fact.Names(f)) == 0 && !fact.Beside(f)
}

// MovedError refuses an append because others have recorded something in its
// groups since the page was made. Nothing was stored.
type MovedError struct {
	Since []journal.Record
	Class fact.Class
}

// UpTo is the number of the newest of what has moved: an act is sent again with
// it as seen.
func (e *MovedError) UpTo() uint64 { return uint64(e.Since[len(e.Since)-1].N) }

// Error says that something has moved.
func (*MovedError) Error() string { return "something was recorded here meanwhile" }

// SentError says that the same form was recorded before, as entry N; nothing was
// stored now.
type SentError struct {
	N int
	// Other is true where the form said something else then, so that what it says
	// now is not recorded.
	Other bool
}

// Error names the entry.
func (e *SentError) Error() string {
	if e.Other {
		return fmt.Sprintf("this form was recorded before with other content, as entry %d", e.N)
	}
	return fmt.Sprintf("this was recorded before, as entry %d", e.N)
}

// Mark is how a record names the form that it was made with: by the hash of what
// numbers the form, and of what it says, which only this form would repeat.
func Mark(number, content string) string {
	n, c := sha256.Sum256([]byte(number)), sha256.Sum256([]byte(number+"\n"+content))
	return hex.EncodeToString(n[:9]) + contentBehind + hex.EncodeToString(c[:9])
}

// contentBehind stands between the two parts of a mark.
const contentBehind = "."

// Sent gives the number of the entry that a person's form with a mark was recorded as,
// whatever it said; false where it was not, or more than some days ago.
func (r *Replica) Sent(by, mark string) (n int, sent bool) {
	r.mu.RLock()
	defer r.mu.RUnlock()
	s, sent := r.forms[numbered(by, mark)]
	return s.n, sent
}

// numbered is the key of a form, whatever it says.
func numbered(by, mark string) form {
	number, _, _ := strings.Cut(mark, contentBehind)
	return form{by, number}
}

// UsedError refuses an id that is new here and was used before on the site, or one that
// differs from it in letter case alone.
type UsedError struct {
	ID string
	By journal.Record
}

// Error names the id and the record that used it.
func (e *UsedError) Error() string {
	if o, _ := fact.Opens(e.By.Fact); o.ID != e.ID {
		return fmt.Sprintf("the id %s differs in letter case alone from %s of entry %d; give it another", e.ID, o.ID, e.By.N)
	}
	return fmt.Sprintf("the id %s was used in entry %d; an id is used once, for ever", e.ID, e.By.N)
}

// patience bounds how long a turn waits for other processes that write, over all its
// tries, so that whoever waits for the next turn is kept no longer.
const patience = 10 * time.Second

// Append has an entry decided on and appended. It refuses with a *MovedError, a
// *UsedError, or what Decide gives. What others wrote of other groups is no
// conflict: it is read, and the append goes behind it. Who waits may leave, and
// has appended nothing, until the turn has come.
func (r *Replica) Append(ctx context.Context, e Entry) error {
	p := &pending{Entry: e, ctx: ctx, done: make(chan error, 1)}
	r.queue.join(p)
	for {
		select {
		case err := <-p.done:
			return err
		default:
		}
		select {
		case err := <-p.done:
			return err
		case r.turn <- struct{}{}:
			r.flush()
		case <-ctx.Done():
			if r.queue.leave(p) {
				return ctx.Err()
			}
			return <-p.done
		}
	}
}

// mostInTurn bounds the batches of one turn, since others wait for the next.
const mostInTurn = 32

// flush appends for those who wait, and ends the turn or lets it go on by itself. Where several had
// their answer together a moment ago, they come to the queue first, so that they are not one turn
// behind; one who records alone does not wait for others.
func (r *Replica) flush() {
	ends := true
	defer func() {
		if ends {
			<-r.turn
		}
	}()
	if r.several && !r.queue.decided() {
		runtime.Gosched()
	}
	last := r.appendAll(r.queue.next(r.together()), nil)
	if next := r.following(last); len(next) > 0 {
		ends = false
		go r.runOn(next, last) // who had the turn waits no longer than for their own answer
		return
	}
	r.finish(last)
}

// runOn appends what was decided on ahead, a batch at a time, while the one before is finished.
// It has the turn, and ends it.
func (r *Replica) runOn(next []*pending, last *inStore) {
	defer func() { <-r.turn }()
	for most := mostInTurn; len(next) > 0; most-- {
		last, next = r.appendAll(next, last), nil
		if most > 1 {
			next = r.following(last)
		}
	}
	r.finish(last)
}

// appendAll decides on entries and stores them, and finishes the batch before, behind which
// they stand as they were sealed; nil where that is done. It gives those that are stored.
// The others have their answer when it ends.
func (r *Replica) appendAll(batch []*pending, before *inStore) (now *inStore) {
	err := recovered(func() (err error) {
		now, err = r.tries(&batch, before)
		return err
	})
	r.finish(before) // should it not have come to that
	if now == nil {
		for _, p := range batch {
			p.answer(err)
		}
	}
	return now
}

// tries are those of appendAll. Where the first fails, the entries are decided on anew.
func (r *Replica) tries(batch *[]*pending, before *inStore) (*inStore, error) {
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	why := "the store did not answer in time, and nothing was recorded"
	for ctx.Err() == nil {
		if r.broken != nil {
			return nil, r.broken
		}
		if before == nil {
			*batch = r.prepare(*batch)
		}
		now, err := r.store(ctx, *batch, before)
		before = nil
		conflict, ok := errors.AsType[*store.ConflictError](err)
		switch {
		case store.CodeOf(err) == store.CodeReplaced, ok && !conflict.GoneOn():
			r.stop(err)
			return nil, err
		case ctx.Err() != nil && errors.Is(err, ctx.Err()) && store.CodeOf(err) == "": // nothing was stored; a lost answer has a code
			continue
		case !ok:
			return now, err
		}
		why = "other benches recorded without pause"
		news, err := r.readOn(context.Background(), true)
		r.hub.publish(news...)
		if err != nil {
			return nil, err
		}
		*batch = r.queue.again(*batch, r.together())
	}
	return nil, &store.Error{Code: store.CodeBusy, Msg: why, Hint: "try again"}
}

// prepare decides on each entry and seals it behind the one before, unless that was
// done ahead and holds. It answers those that are refused, and gives the others; what comes
// behind one that has a record of the site waits for the next batch.
func (r *Replica) prepare(batch []*pending) (left []*pending) {
	head := r.verify.Report().Head
	for i, p := range batch {
		if !r.holds(p, head) {
			if err := r.seal(p, head); err != nil || len(p.links) == 0 {
				p.answer(err)
				continue
			}
		}
		head = p.head()
		left = append(left, p)
		if p.site {
			r.queue.back(batch[i+1:])
			break
		}
	}
	return left
}

// recovered makes an error of a fault in a part of a turn, so that the turn goes on.
func recovered(work func() error) (err error) {
	defer func() {
		if fault := recover(); fault != nil {
			err = fmt.Errorf("fault: %v\n%s", fault, debug.Stack())
		}
	}()
	return work()
}

// seal decides on one entry and seals it behind a head; without links where it has
// nothing to record. A fault in that is an error of this one alone.
func (r *Replica) seal(p *pending, head journal.Head) error {
	return recovered(func() error { return r.sealed(p, head) })
}

func (r *Replica) sealed(p *pending, head journal.Head) error {
	p.links, p.behind, p.ofSite = nil, head, r.books.OfSite()
	records, err := r.decide(p, int(head.Seq)+1)
	if err != nil || len(records) == 0 {
		return err
	}
	links, err := journal.Seal(head, r.salt, records...)
	if err != nil {
		return err
	}
	p.records, p.site = stored(links), slices.ContainsFunc(records, func(rec journal.Record) bool { return r.ofSite(rec.Fact, head) })
	if err := store.Check(context.Background(), storeHead(head), p.records); err != nil {
		return err
	}
	p.links = links
	return nil
}

// ofSite tells whether the files of others may hold a fact that comes behind a head, or
// another entry since it corrects that.
func (r *Replica) ofSite(f fact.Fact, head journal.Head) bool {
	if c, ok := f.(*fact.Correct); ok && 1 <= c.Entry && c.Entry <= r.books.Len() && len(r.books.Home(c.Entry)) == 0 {
		return true
	}
	first, _, mark := fact.Marked(f)
	return OfSite(f) && !(mark && first > int(head.Seq)) // what marks entries of its own form is where those are
}

// decide decides on one entry.
func (r *Replica) decide(p *pending, next int) (records []journal.Record, err error) {
	if err := p.ctx.Err(); err != nil {
		return nil, err
	}
	if s, again := r.forms[numbered(p.By, p.Form)]; again && p.Form != "" {
		return nil, &SentError{s.n, s.mark != p.Form}
	}
	f := r.fileFor(&p.Entry)
	if err := r.stale(p, f); err != nil {
		return nil, err
	}
	records, err = p.Decide(f, next)
	if err != nil {
		return nil, err
	}
	for i := range records {
		records[i].Form = p.Form
	}
	return records, r.unused(records)
}

// stale refuses what rests on figures that have moved: a consent always, an act
// until it was shown what moved.
func (r *Replica) stale(p *pending, f *File) error {
	if p.Class == fact.Observation {
		return nil
	}
	moved := &MovedError{Class: p.Class}
	for _, rec := range slices.Concat(f.Records, f.Elsewhere) {
		if uint64(rec.N) > p.Behind && moves(rec.Fact, f) {
			moved.Since = append(moved.Since, rec)
		}
	}
	slices.SortFunc(moved.Since, func(a, b journal.Record) int { return a.N - b.N })
	if len(moved.Since) == 0 || p.Class == fact.Act && p.Seen >= moved.UpTo() {
		return nil
	}
	return moved
}

// moves tells whether figures or consents rest on a fact of a file: not on a
// note, on the resuspension of a vial, on what was learned, which a draw takes when it
// is recorded, nor on a meter that the groups were not read with.
func moves(one fact.Fact, f *File) bool {
	switch x := one.(type) {
	case *fact.Read, *fact.Residual:
		return true
	case *fact.Experience, *fact.Destroyed:
		return false
	case *fact.Meter:
		return len(f.IDs) == 0 || slices.ContainsFunc(f.Records, func(r journal.Record) bool {
			return slices.Contains(fact.Subjects(r.Fact), fact.Subject{Kind: fact.AboutMeter, ID: x.ID}) && !fact.IsSetting(r.Fact)
		})
	}
	return fact.ClassOf(one) != fact.Observation
}

// unused refuses ids that are opened here and were used before, those that differ from one in
// letter case alone among them, unless it is in the group of what the entry takes it from or
// for, or of the entry that is corrected: a syringe is topped up.
func (r *Replica) unused(records []journal.Record) error {
	for _, rec := range records {
		o, ok := fact.Opens(rec.Fact)
		by, used := r.books.Record(r.books.Taken(o.ID))
		if _, waste := rec.Fact.(*fact.Discard); !ok || !used || waste && r.books.IsBin(o.ID) {
			continue
		}
		if r.books.Used(o.ID) == 0 {
			return &UsedError{o.ID, by}
		}
		var with []state.Group
		for _, s := range fact.Subjects(rec.Fact) {
			if s.ID != o.ID {
				with = append(with, r.books.Groups(s.ID)...)
			}
		}
		if c, ok := rec.Fact.(*fact.Correct); ok && 1 <= c.Entry && c.Entry <= r.books.Len() {
			with = append(with, r.books.Home(c.Entry)...)
		}
		if !slices.ContainsFunc(r.books.Groups(o.ID), func(g state.Group) bool { return slices.Contains(with, g) }) {
			return &UsedError{o.ID, by}
		}
	}
	return nil
}
