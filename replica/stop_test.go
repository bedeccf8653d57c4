package replica

import (
	"context"
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"vialwright/store"
	"vialwright/store/storetest"
)

// full is a log whose appends fail while it is full.
type full struct {
	storetest.Memory
	err error
}

func (f *full) Append(ctx context.Context, expect store.Head, records ...store.Record) error {
	if f.err != nil {
		return f.err
	}
	return f.Memory.Append(ctx, expect, records...)
}

// probed is one that can also be asked.
type probed struct{ full }

func (p *probed) Probe(context.Context) error { return p.err }

var noRoom = &store.Error{Code: store.CodeFailed, Msg: "no room is left", Hint: "make room"}

func whats(all []Stop) string {
	var out []string
	for _, s := range all {
		out = append(out, s.What+" | "+s.Way)
	}
	return strings.Join(out, "; ")
}

// What keeps entries from being recorded is said with its cause and the way out from
// when it was found until it is over, by a store that can be asked before anybody
// tries.
func TestStopsOfTheStore(t *testing.T) {
	plain, asked := &full{}, &probed{}
	for name, c := range map[string]struct {
		log  store.Log
		fail *error
	}{"found by an append": {plain, &plain.err}, "asked before": {asked, &asked.err}} {
		r := open(t, c.log)
		now := time.Date(2027, 3, 4, 12, 0, 0, 0, time.UTC)
		if got := r.Stops(t.Context(), now); len(got) != 0 {
			t.Errorf("%s: %s", name, whats(got))
		}
		*c.fail = noRoom
		if err := order(t, r, "A"); !errors.Is(err, noRoom) {
			t.Fatalf("%s: appended with %v", name, err)
		}
		for _, at := range []time.Time{now, now.Add(time.Hour)} {
			got := r.Stops(t.Context(), at)
			if whats(got) != "nothing can be recorded: no room is left | make room" || !got[0].Since.Equal(now) {
				t.Errorf("%s: %s, since %v", name, whats(got), got)
			}
		}
		*c.fail = nil
		if err := order(t, r, "A"); err != nil {
			t.Fatal(err)
		}
		if got := r.Stops(t.Context(), now.Add(2*time.Hour)); len(got) != 0 {
			t.Errorf("%s: after it is over %s", name, whats(got))
		}
	}
}

// A store that lost what was read from it, or holds another journal, is a stop as soon
// as anybody looks; one that was merely ahead of a page is not.
func TestStopBehind(t *testing.T) {
	for name, spoil := range map[string]func(*storetest.Memory){
		"shorter": func(m *storetest.Memory) { m.Records = m.Records[:1] },
		"emptied": func(m *storetest.Memory) { m.Records = nil },
		"another": func(m *storetest.Memory) { m.Records = slices.Clone(m.Records); m.Records[1].Hash[0] ^= 1 },
	} {
		log := &storetest.Memory{}
		r := open(t, log)
		if err := errors.Join(order(t, r, "A"), order(t, r, "B"), r.CatchUp(t.Context())); err != nil {
			t.Fatal(err)
		}
		spoil(log)
		var gone *store.ConflictError
		if err := r.CatchUp(t.Context()); !errors.As(err, &gone) {
			t.Errorf("%s: looked, and got %v", name, err)
		}
		if got := r.Stops(t.Context(), time.Now()); len(got) != 1 || !strings.Contains(got[0].What, "the journal does not hold") {
			t.Errorf("%s: %s", name, whats(got))
		}
	}
}

// A clock that lies behind the newest record is said to be, until it has caught up.
func TestStopClock(t *testing.T) {
	r := open(t, &storetest.Memory{})
	if err := order(t, r, "A"); err != nil {
		t.Fatal(err)
	}
	last := r.Report().Last
	for back, want := range map[time.Duration]bool{0: false, time.Minute: false, 3 * time.Minute: true, 48 * time.Hour: true} {
		got := r.Stops(t.Context(), last.Add(-back))
		if (len(got) == 1) != want || want && !strings.Contains(got[0].What, "ahead of the clock") {
			t.Errorf("%v behind: %s", back, whats(got))
		}
	}
}
