package replica

import (
	"context"

	"vialwright/fact"
	"vialwright/journal"
	"vialwright/witness"
)

// Witness knows of heads of the journal that were noted elsewhere, and notes more.
type Witness interface {
	// Judge compares the journal, as it was verified, with what was noted. What it
	// gives stops recording.
	Judge(ctx context.Context, j witness.Journal) error
	// Taken is told of the journal when records were added, which are given. It is
	// asked before they are answered, so it must not wait for anything that is slow.
	Taken(j witness.Journal, added []journal.Record)
	// Standing says how each place does.
	Standing() []witness.Standing
	// Faults is what was found when the journal was judged, also what does not stop
	// recording.
	Faults() []witness.Fault
}

// Watch asks a witness about the journal, and tells it of what is recorded from
// now on. Where it contradicts the journal nothing is appended any more, and Broken
// says why. Call it once, before anything is appended.
func (r *Replica) Watch(ctx context.Context, w Witness) {
	r.turn <- struct{}{}
	defer func() { <-r.turn }()
	if r.broken != nil {
		return
	}
	// A hash that it wants and that cannot be read again stops the journal too.
	if err := caught(func() error { return w.Judge(ctx, r.judged()) }); err != nil {
		r.stop(err)
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	r.witness = w
}

// Witness is the one that was asked; nil where none was.
func (r *Replica) Witness() Witness { return reading(r, func() Witness { return r.witness }) }

// stop ends recording. The caller has the turn.
func (r *Replica) stop(err error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.broken = err
}

// judged is the journal as a witness sees it. It is for who has the turn.
func (r *Replica) judged() witness.Journal {
	j := witness.Journal{Records: uint64(r.chain.length), Hash: func(n uint64) journal.Hash { return r.hash(int(n)) }}
	if first, ok := r.books.Record(1); ok {
		site, of := first.Fact.(*fact.Site)
		j.Practice = of && site.Use == fact.ForPractice
	}
	return j
}

// tellWitness tells of the newest records. The caller has the turn.
func (r *Replica) tellWitness(added int) {
	if r.witness != nil && r.broken == nil && added > 0 {
		r.witness.Taken(r.judged(), r.books.Last(added))
	}
}
