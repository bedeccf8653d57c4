package live

import (
	"io"
	"iter"
	"sync"

	"vialwright/instrument"
	"vialwright/journal"
)

// Query is what a form asks about.
type Query struct {
	// Who asks, in which case.
	Who     string
	Records []journal.Record
	// Of is the container said to stand in the well; empty for an empty well,
	// NotChosen where nobody has said.
	Of string
}

// NotChosen stands for a container that is not chosen yet.
const NotChosen = "?"

// Board is what the connected meters said last. It may be used by many
// goroutines.
type Board struct {
	*kept
	mu     sync.Mutex
	ids    []string
	meters map[string]Meter
}

// NewBoard makes the board of the meters with these ids. random is a
// cryptographic source, for the tokens.
func NewBoard(random io.Reader, ids ...string) *Board {
	b := &Board{kept: newKept(random), ids: ids, meters: map[string]Meter{}}
	for _, id := range ids {
		b.meters[id] = Meter{Line: Line{Meter: id}}
	}
	return b
}

// Now gives every meter in the order of the ids. A real meter shows what
// stands in its well, whatever is asked.
func (b *Board) Now(Query) []Meter {
	b.mu.Lock()
	defer b.mu.Unlock()
	out := make([]Meter, len(b.ids))
	for i, id := range b.ids {
		out[i] = b.meters[id]
	}
	return out
}

// Follow hears a meter until the events end.
func (b *Board) Follow(id string, events iter.Seq[instrument.Event]) {
	for e := range events {
		b.Hear(id, e)
	}
}

// Hear takes one event of a meter. A reading stands until the next; what goes
// wrong after it keeps it from being taken.
func (b *Board) Hear(id string, e instrument.Event) {
	line := Line{Meter: id, Source: e.Source, At: e.At, Reading: e.Reading}
	if e.Kind == instrument.Received {
		line = b.keep(line)
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	m := b.meters[id]
	switch e.Kind {
	case instrument.Received:
		m = Meter{Line: line}
	case instrument.Connected:
		m.Trouble = "the meter is connected, and no whole line has come yet"
	case instrument.Refused:
		m.Trouble = "the last line was not read: " + e.Err.Msg
	default:
		m.Trouble = "the meter cannot be heard: " + e.Err.Msg
	}
	b.meters[id] = m
}

// Meters are the activity meters that are connected; [Board] is one, and
// [Invented]. It is asked by many goroutines at once.
type Meters interface {
	// Now gives what each meter says of a well.
	Now(Query) []Meter
	// Find gives a line that Now has given, by its token; false for any other.
	Find(token string) (Line, bool)
}
