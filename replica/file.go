package replica

import (
	"sync"

	"vialwright/fact"
	"vialwright/fold"
	"vialwright/journal"
)

// File is the records of some groups with the settings of the site. It never
// changes.
type File struct {
	Records []journal.Record
	// Elsewhere are the orders of the same patients that are not in the groups, with what cancelled
	// or corrected them ([state.Books.Elsewhere]).
	Elsewhere []journal.Record
	// Newest is the number of the last record that touched the groups, or of the
	// last setting where the file is of no group.
	Newest uint64
	// Taken is the number of the newest record of the journal when the file was
	// given out: a page made from it rests on nothing behind that.
	Taken uint64
	// IDs are those the file was asked for.
	IDs []string

	memo *memo // nil where nothing is kept with the file
}

// memo is what was worked out from a file last, and for what.
type memo struct {
	mu        sync.Mutex
	key, what any
}

// Worked gives what was worked out from the file before under the same key, and else
// works it out; others wait for that. Only the newest is kept, and only with a file
// of what is open.
func (f *File) Worked(key any, work func() any) any {
	if f.memo == nil {
		return work()
	}
	f.memo.mu.Lock()
	defer f.memo.mu.Unlock()
	if f.memo.key != key {
		f.memo.key, f.memo.what = key, work()
	}
	return f.memo.what
}

// Facts are the facts of the records, in their order.
func (f *File) Facts() []fact.Fact {
	out := make([]fact.Fact, len(f.Records))
	for i, r := range f.Records {
		out[i] = r.Fact
	}
	return out
}

// Entries are the entries of the file as their last corrections have them.
func (f *File) Entries() []fold.Entry { return fold.Entries(f.Records) }

// Entry gives an entry by its number; false where the file has none.
func (f *File) Entry(number int) (fold.Entry, bool) {
	e, ok := fold.Find(f.Entries(), number)
	if !ok {
		return fold.Entry{}, false
	}
	return *e, true
}

// With is the file with further records, such as those about to be appended.
func (f *File) With(records ...journal.Record) *File {
	out := *f
	out.memo = nil
	out.Records = append(f.Records[:len(f.Records):len(f.Records)], records...)
	return &out
}
