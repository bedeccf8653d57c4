package site_test

import (
	"context"
	"net/http"
	"testing"
	"time"

	"vialwright/journal"
	"vialwright/web"
	"vialwright/web/webtest"
	"vialwright/witness"
)

// stubborn is a witness with a place that takes nothing, and one that does.
type stubborn struct{ since time.Time }

func (*stubborn) Judge(context.Context, witness.Journal) error { return nil }
func (*stubborn) Taken(witness.Journal, []journal.Record)      {}
func (s *stubborn) Faults() []witness.Fault {
	return []witness.Fault{{Code: "unknown-key", Place: "/mnt/suite", Msg: "the note is signed by a key that is not known here", Hint: "find out who put it there"}}
}

func (s *stubborn) Standing() []witness.Standing {
	return []witness.Standing{
		{Place: "/mnt/full", Since: s.since, Why: "no space left on device"},
		{Place: "/mnt/suite", Last: witness.Note{Head: journal.Head{Seq: 12}, At: s.since}},
	}
}

// A place that is full or gone is said on the board and under System status, with
// since when; entries are recorded as before. What was found at the start is said to
// who looks after the program.
func TestWitnessIsFull(t *testing.T) {
	w := &stubborn{}
	l := webtest.New(t, func(c *web.Config) {
		w.since = c.Clock()
		c.Witness = w
	}).Hire()
	s := webtest.NewStory(l).Until("receipt")
	const says = "The witness /mnt/full has taken no note of the journal since"
	s.RP.Look("/").Says(http.StatusOK, says, "no space left on device", "Entries are recorded as before")
	s.MP.Look("/health").Says(http.StatusOK, says, "Witness /mnt/suite: has the head of record 12", "signed by a key that is not known here")
	s.MP.Look("/metrics").Says(http.StatusOK, "vialwright_witnesses_late 1")
	if p := l.Browser().Get("/health"); p.Status != http.StatusOK {
		t.Errorf("a witness that is full makes the program unwell: %d", p.Status)
	}
}

// Without a witness System status says what is not protected.
func TestNoWitness(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("receipt")
	s.MP.Look("/health").Says(http.StatusOK, "Witness: none is named")
}
