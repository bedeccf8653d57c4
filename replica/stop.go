package replica

import (
	"context"
	"errors"
	"time"

	"vialwright/quantity"
	"vialwright/store"
	"vialwright/witness"
)

// Stop is why nothing is recorded, or why what is recorded may be wrong, as a board
// says it.
type Stop struct {
	// What is the cause and Way the way out, each a clause without a full stop.
	What, Way string
	// Since is when it was first asked about and found; zero for a journal that does
	// not hold, which was found when it was read.
	Since time.Time
}

// Prober is a log that can tell whether the next append would be stored, without
// one.
type Prober interface {
	// Probe gives a *store.Error where nothing would be stored.
	Probe(ctx context.Context) error
}

// trouble is what kept the last append from being stored, or would keep the next.
type trouble struct {
	err   error
	since time.Time
}

// ahead is how far the newest record may lie ahead of the clock: benches on one
// journal, and a machine that sets its clock by another, differ by seconds.
const ahead = 2 * time.Minute

// Stops are the reasons for which nothing is recorded at a moment, or for which what
// is recorded may be wrong: a journal that does not hold or of which records are gone,
// a store that takes no record, and a clock that lies behind the newest record. Each
// has its cause and the way out.
func (r *Replica) Stops(ctx context.Context, now time.Time) (out []Stop) {
	if err := r.Broken(); err != nil {
		if f, ok := errors.AsType[*witness.Fault](err); ok {
			return []Stop{{What: "the journal is not the one that was noted: " + f.Says(), Way: f.Hint}}
		}
		return []Stop{{What: "the journal does not hold: " + err.Error(), Way: "nothing more is recorded; work on paper, and tell the person who looks after the program"}}
	}
	if t := r.troubled(ctx, now); t != nil {
		s := Stop{What: "nothing can be recorded: " + t.err.Error(), Way: "work on paper until the store is put right; what was answered as recorded is there", Since: t.since}
		if e, ok := errors.AsType[*store.Error](t.err); ok && e.Hint != "" {
			s.What, s.Way = "nothing can be recorded: "+e.Msg, e.Hint
			if e.Err != nil {
				s.What += ": " + e.Err.Error()
			}
		}
		out = append(out, s)
	}
	if report := r.Report(); report.Records > 0 && report.Last.Sub(now) > ahead {
		by := quantity.ShowSpan(quantity.Span(report.Last.Sub(now).Round(time.Second).Seconds()))
		out = append(out, Stop{
			What: "the newest entry was recorded at " + quantity.ShowTime(report.Last) + ", which lies " + by + " ahead of the clock of this machine",
			Way:  "compare the machine's clock with one that you trust; where it is slow, set it; where it is right, it was ahead before: look at the times of the newest entries in the history, and correct those that are wrong",
		})
	}
	return out
}

// troubled asks the store whether it would take a record. What an append failed by
// stays until one succeeds, or the store says that it would.
func (r *Replica) troubled(ctx context.Context, now time.Time) *trouble {
	p, asks := r.log.(Prober)
	var err error
	if asks {
		err = p.Probe(ctx)
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	switch {
	case asks && err == nil:
		r.trouble = nil
	case asks && (r.trouble == nil || store.CodeOf(r.trouble.err) != store.CodeOf(err)):
		r.trouble = &trouble{err: err}
	}
	if r.trouble != nil && r.trouble.since.IsZero() {
		r.trouble.since = now
	}
	if r.trouble == nil {
		return nil
	}
	t := *r.trouble
	return &t
}

// appended notes how an append ended: by a fault of the store, or well. A conflict and
// a turn that others had are no fault.
func (r *Replica) appended(err error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	switch code := store.CodeOf(err); {
	case err == nil:
		r.trouble = nil
	case code == store.CodeConflict || code == store.CodeBusy || code == "":
	case r.trouble == nil:
		r.trouble = &trouble{err: err}
	}
}
