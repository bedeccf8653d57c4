package lessons

import (
	"sync"
	"time"

	"vialwright/fact"
	"vialwright/fold"
	"vialwright/journal"
	"vialwright/meterbook"
	"vialwright/replica"
	"vialwright/rules"
)

// Instruments keep the entries of the meter book, and the book of the last moment that
// somebody asked for.
type Instruments struct {
	lab   *replica.Replica
	rules *rules.Profile
	mu    sync.Mutex
	upTo  int // the number of the last record that was looked at
	list  []fold.Entry
	book  *meterbook.Book
}

// NewInstruments keeps the meter book of a journal, held to a rule profile; nil for
// none.
func NewInstruments(lab *replica.Replica, p *rules.Profile) *Instruments {
	return &Instruments{lab: lab, rules: p}
}

// fresh is how old a book may be: what is due moves with the minutes.
const fresh = time.Minute

// Book is the meter book as of a moment, in the zone of the site. It is not to be
// changed.
func (k *Instruments) Book(at time.Time, zone *time.Location) *meterbook.Book {
	k.mu.Lock()
	defer k.mu.Unlock()
	changed := k.book == nil
	if !changed {
		for _, e := range k.lab.Since(uint64(k.upTo)) {
			changed, k.upTo = changed || meterbook.Kept(fact.Blank(e.Kind)), int(e.Seq)
		}
	}
	if !changed && at.Sub(k.book.At) < fresh { // what is asked of an earlier moment names it
		return k.book
	}
	if changed {
		var kept []journal.Record
		kept, k.upTo = k.lab.Kept(meterbook.Kept)
		k.list = k.list[:0:0]
		for _, e := range fold.Entries(kept) {
			if _, correction := e.Fact.(*fact.Correct); !correction && e.Fact != nil {
				k.list = append(k.list, e)
			}
		}
	}
	var set rules.Set
	if k.rules != nil {
		set = k.rules.On(at.In(zone))
	}
	k.book = meterbook.Of(k.list, meterbook.RulesOf(set), zone, at)
	return k.book
}
