package replica

import (
	"context"
	"errors"
	"slices"
	"testing"
	"time"

	"vialwright/fact"
	"vialwright/journal"
	"vialwright/store"
	"vialwright/store/storetest"
	"vialwright/witness"
)

// told is a witness that answers as it is told to, and notes what it hears.
type told struct {
	answer error
	asked  []uint64
	heads  []uint64
	kinds  []string
}

func (w *told) Judge(_ context.Context, j witness.Journal) error {
	w.asked = append(w.asked, j.Records)
	return w.answer
}

func (w *told) Taken(j witness.Journal, added []journal.Record) {
	w.heads = append(w.heads, j.Records)
	for _, r := range added {
		w.kinds = append(w.kinds, fact.Word(r.Fact))
	}
}

func (*told) Standing() []witness.Standing { return nil }
func (*told) Faults() []witness.Fault      { return nil }

// TestWitness: a witness hears of every record, of others' too, in its turn; one
// that contradicts the journal stops it.
func TestWitness(t *testing.T) {
	log, w := &storetest.Memory{}, &told{}
	a, b := open(t, log), open(t, log)
	a.Watch(t.Context(), w)
	for _, err := range []error{order(t, a, "A"), order(t, b, "B"), a.CatchUp(t.Context()), sign(a, "A", 1)} {
		if err != nil {
			t.Fatal(err)
		}
	}
	if !slices.Equal(w.heads, []uint64{1, 2, 3}) || len(w.kinds) != 3 || w.kinds[0] != "order" {
		t.Errorf("told of %v, %v", w.heads, w.kinds)
	}
	against := &told{answer: &witness.Fault{Code: "older-copy", Place: "suite", Stop: true, Msg: "records 4 to 9 are missing", Hint: "work on paper"}}
	c := open(t, log)
	c.Watch(t.Context(), against)
	if err := order(t, c, "C"); !errors.Is(err, against.answer) || !errors.Is(c.Broken(), against.answer) || len(log.Records) != 3 || against.asked[0] != 3 {
		t.Errorf("contradicted, and answered %v with %d records", err, len(log.Records))
	}
	if s := c.Stops(t.Context(), time.Unix(1.9e9, 0)); len(s) != 1 || s[0].What != "the journal is not the one that was noted: suite: records 4 to 9 are missing" || s[0].Way != "work on paper" {
		t.Errorf("said: %+v", s)
	}
	if f := c.File("A"); len(f.Records) == 0 {
		t.Error("a journal that was contradicted cannot be looked at")
	}
}

// TestStoreBehind: records that were read are gone from the store, or are other
// ones: the next append stops, and says so.
func TestStoreBehind(t *testing.T) {
	for name, spoil := range map[string]func(*storetest.Memory){
		"shorter": func(m *storetest.Memory) { m.Records = m.Records[:1] },
		"emptied": func(m *storetest.Memory) { m.Records = nil },
		"another": func(m *storetest.Memory) { m.Records[1].Hash[0] ^= 1 },
	} {
		log := &storetest.Memory{}
		r := open(t, log)
		if err := errors.Join(order(t, r, "A"), order(t, r, "B")); err != nil {
			t.Fatal(err)
		}
		spoil(log)
		var conflict *store.ConflictError
		if err := order(t, r, "C"); !errors.As(err, &conflict) || !errors.As(r.Broken(), &conflict) {
			t.Errorf("%s: answered %v, broken %v", name, err, r.Broken())
		}
	}
}
