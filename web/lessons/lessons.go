// Package lessons keeps what the books have taught, up with the journal: what is
// expected of the next draw and the next residual, and what each meter reads while
// a vial settles. What takes long to work out is kept until a case changes.
package lessons

import (
	"context"
	"reflect"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"vialwright/dispensing"
	"vialwright/experience"
	"vialwright/fact"
	"vialwright/fold"
	"vialwright/pack"
	"vialwright/replica"
	"vialwright/web/kit"
	"vialwright/web/words"
)

// Lessons are what the finished cases of the journal have taught, kept up with it
// when somebody asks. What takes long to work out is kept until a case changes.
type Lessons struct {
	lab   *replica.Replica
	mu    sync.Mutex
	Tally *experience.Tally
	// rows, unusual and left are those of the tally as it is; fresh is false
	// after a change.
	Rows    []experience.Row
	Unusual []experience.Unusual
	Left    []experience.Left
	fresh   bool
	// kept is the site experience as a fact, nil for nothing, known whether it was
	// worked out since the tally had this count of changes.
	kept    *fact.Experience
	known   bool
	changes int
	// upTo is the number of the last record that was looked at.
	upTo atomic.Int64
}

// atOnce is how many records are looked at in one go, and how many may be left for
// a page to wait for them.
const atOnce = 2000

// New keeps what the finished cases of a journal have taught.
// What they hold lies in a room; nil for none.
func New(lab *replica.Replica, zones fact.Zones, room pack.Room) *Lessons {
	p := &Lessons{lab: lab, Tally: experience.New(zones)}
	p.Tally.In(room)
	return p
}

// Begin goes through the years, beside the first pages.
func (p *Lessons) Begin(ctx context.Context) {
	for ctx.Err() == nil && !p.Ready() {
		p.next(1)
	}
}

// Ready tells that what the years have taught was worked out, but for what is
// quick.
func (p *Lessons) Ready() bool {
	return p.lab.Report().Records-uint64(p.upTo.Load()) <= atOnce
}

// next looks at the next records with so many workers.
func (p *Lessons) next(workers int) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.look(workers)
}

func (p *Lessons) look(workers int) (more bool) {
	from := int(p.upTo.Load())
	news, upTo := p.lab.ChangedSince(from, atOnce)
	if len(news) > 0 {
		p.Tally.TakeAll(news, workers)
	}
	p.upTo.Store(int64(upTo))
	return upTo > from
}

// Taught asks what the finished cases have taught. What is asked holds the
// lock, and keeps nothing of the tally.
func (p *Lessons) Taught(ask func(*Lessons)) {
	p.mu.Lock()
	defer p.mu.Unlock()
	for p.look(runtime.GOMAXPROCS(0)) {
	}
	if now := p.Tally.Changes(); now != p.changes {
		p.fresh, p.changes, p.known = false, now, false
	}
	ask(p)
}

// fact is the site experience, as of a moment and a record; nil for nothing.
func (p *Lessons) fact(at time.Time, upTo int) *fact.Experience {
	if !p.known {
		p.kept, p.known = p.Tally.Fact(at, upTo), true
	}
	if p.kept == nil {
		return nil
	}
	x := *p.kept // its rows are not changed by anybody
	x.At, x.UpTo = at.Truncate(time.Second), upTo
	return &x
}

// Look works out what the page shows, if a case has changed since.
func (p *Lessons) Look() {
	if !p.fresh {
		p.Rows, p.Unusual, p.Left, p.fresh = p.Tally.Rows(), p.Tally.Unusual(), p.Tally.Left(), true
	}
}

// WithExperience puts what the finished preparations have taught by now behind the
// receipt of a vial, where it differs from what is in force: whatever is drawn
// from it is planned with that.
func (p *Lessons) WithExperience(q *kit.Request) func(now *kit.State, facts []fact.Fact) []fact.Fact {
	return func(now *kit.State, facts []fact.Fact) []fact.Fact {
		if !slices.ContainsFunc(facts, func(f fact.Fact) bool { _, ok := f.(*fact.Receive); return ok }) {
			return facts
		}
		if x := p.News(q.Now, now.Case); x != nil {
			return append(facts[:len(facts):len(facts)], x)
		}
		return facts
	}
}

// News is what the finished cases have taught by now, where other figures than
// that are in force; nil for nothing.
func (p *Lessons) News(now time.Time, c dispensing.Case) (x *fact.Experience) {
	upTo := int(p.lab.Report().Head.Seq)
	p.Taught(func(p *Lessons) { x = p.fact(now.In(words.Zoned{Location: c.Zone}.Loc()), upTo) })
	if x == nil || !differs(c.Experience, x) {
		return nil
	}
	return x
}

// differs tells whether the site experience is now another than that in force.
func differs(in *dispensing.Experience, x *fact.Experience) bool {
	if in == nil {
		return true
	}
	f, err := fold.Facts([]fact.Fact{&fact.Site{Zone: "UTC"}, x}, time.LoadLocation)
	return err != nil || !reflect.DeepEqual(in.Yields, f.Experience.Yields) || !reflect.DeepEqual(in.Residuals, f.Experience.Residuals)
}
