package web

import (
	"reflect"
	"runtime"
	"slices"
	"sync"
	"time"

	"vialwright/dispensing"
	"vialwright/experience"
	"vialwright/fact"
	"vialwright/fold"
	"vialwright/replica"
)

// lessons are what the finished cases of the journal have taught, kept up with it
// when somebody asks. What takes long to work out is kept until a case changes.
type lessons struct {
	lab   *replica.Replica
	mu    sync.Mutex
	tally *experience.Tally
	// rows, unusual and left are those of the tally as it is; fresh is false
	// after a change.
	rows    []experience.Row
	unusual []experience.Unusual
	left    []experience.Left
	fresh   bool
	// kept is what was learned as a fact, nil for nothing, known whether it was
	// worked out since the tally had this count of changes.
	kept    *fact.Experience
	known   bool
	changes int
	// upTo is the number of the last record that was looked at.
	upTo int
}

func newLessons(lab *replica.Replica, zones fact.Zones) *lessons {
	return &lessons{lab: lab, tally: experience.New(zones)}
}

// taught asks what the finished cases have taught. What is asked holds the
// lock, and keeps nothing of the tally.
func (p *lessons) taught(ask func(*lessons)) {
	p.mu.Lock()
	defer p.mu.Unlock()
	news, upTo := p.lab.ChangedSince(p.upTo)
	p.upTo = upTo
	if len(news) > 0 {
		p.tally.TakeAll(news, runtime.GOMAXPROCS(0))
	}
	if now := p.tally.Changes(); now != p.changes {
		p.fresh, p.changes, p.known = false, now, false
	}
	ask(p)
}

// fact is what was learned, as of a moment and a record; nil for nothing.
func (p *lessons) fact(at time.Time, upTo int) *fact.Experience {
	if !p.known {
		p.kept, p.known = p.tally.Fact(at, upTo), true
	}
	if p.kept == nil {
		return nil
	}
	x := *p.kept // its rows are not changed by anybody
	x.At, x.UpTo = at.Truncate(time.Second), upTo
	return &x
}

// look works out what the page shows, if a case has changed since.
func (p *lessons) look() {
	if !p.fresh {
		p.rows, p.unusual, p.left, p.fresh = p.tally.Rows(), p.tally.Unusual(), p.tally.Left(), true
	}
}

// withExperience puts what the finished preparations have taught by now behind the
// receipt of a vial, where it differs from what is in force: whatever is drawn
// from it is planned with that.
func (p *lessons) withExperience(q *request) func(now *state, facts []fact.Fact) []fact.Fact {
	return func(now *state, facts []fact.Fact) []fact.Fact {
		if !slices.ContainsFunc(facts, func(f fact.Fact) bool { _, ok := f.(*fact.Receive); return ok }) {
			return facts
		}
		if x := p.news(q.now, now.Case); x != nil {
			return append(facts[:len(facts):len(facts)], x)
		}
		return facts
	}
}

// news is what the finished cases have taught by now, where other figures than
// that are in force; nil for nothing.
func (p *lessons) news(now time.Time, c dispensing.Case) (x *fact.Experience) {
	upTo := int(p.lab.Report().Head.Seq)
	p.taught(func(p *lessons) { x = p.fact(now.In(zoned{c.Zone}.loc()), upTo) })
	if x == nil || !differs(c.Experience, x) {
		return nil
	}
	return x
}

// differs tells whether other figures are learned now than are in force.
func differs(in *dispensing.Experience, x *fact.Experience) bool {
	if in == nil {
		return true
	}
	f, err := fold.Facts([]fact.Fact{&fact.Site{Zone: "UTC"}, x}, time.LoadLocation)
	return err != nil || !reflect.DeepEqual(in.Yields, f.Experience.Yields) || !reflect.DeepEqual(in.Residuals, f.Experience.Residuals)
}
