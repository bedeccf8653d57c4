package live

import (
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/iotest"
	"time"

	"vialwright/instrument"
	"vialwright/quantity"
)

// counting are bytes that follow from how often they were asked for; no secret
// is needed here.
type counting struct {
	mu sync.Mutex
	n  uint64
}

func (c *counting) Read(p []byte) (int, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.n++
	sum := sha256.Sum256(binary.BigEndian.AppendUint64(nil, c.n))
	return copy(p, sum[:]), nil
}

var eleven = time.Date(2027, 3, 4, 12, 0, 0, 0, time.UTC)

// received is an event with a line.
func received(text string, s instrument.State, at time.Time) instrument.Event {
	a, err := quantity.Parse[quantity.Activity](text)
	if err != nil {
		panic(err)
	}
	return instrument.Event{
		Kind: instrument.Received, Source: "tcp://198.51.100.7:4001", At: at, Raw: "A17 " + text,
		Reading: instrument.Reading{Activity: a, State: s, Raw: "A17 " + text},
	}
}

func trouble(k instrument.Kind, msg string) instrument.Event {
	return instrument.Event{Kind: k, At: eleven, Err: &instrument.Error{Msg: msg}}
}

func TestWhatMayBeTaken(t *testing.T) {
	settled := received("3.24 GBq", instrument.Stable, eleven)
	for _, c := range []struct {
		name   string
		events []instrument.Event
		after  time.Duration
		why    string
	}{
		{"nothing came", nil, 0, "nothing has come from the meter yet"},
		{"connected", []instrument.Event{{Kind: instrument.Connected}}, 0, "the meter is connected, and no whole line has come yet"},
		{"settled", []instrument.Event{settled}, 0, ""},
		{"the meter does not say", []instrument.Event{received("3.24 GBq", instrument.Unflagged, eleven)}, 0, ""},
		{"moving", []instrument.Event{received("3.24 GBq", instrument.Unstable, eleven)}, 0, "the display is not stable"},
		{"settled, then moving", []instrument.Event{settled, received("1.1 GBq", instrument.Unstable, eleven)}, 0, "the display is not stable"},
		{"10 s old", []instrument.Event{settled}, 10 * time.Second, ""},
		{"more than 10 s old", []instrument.Event{settled}, 10*time.Second + 1, "the line is 10 s old"},
		{"minutes old", []instrument.Event{settled}, 5 * time.Minute, "the line is 5 min old"},
		{"lost after it", []instrument.Event{settled, trouble(instrument.Lost, "the connection was closed at the other end")}, 0, "the meter cannot be heard: the connection was closed at the other end"},
		{"silent after it", []instrument.Event{settled, trouble(instrument.Silent, "nothing has come for 30s")}, 0, "the meter cannot be heard: nothing has come for 30s"},
		{"damaged after it", []instrument.Event{settled, trouble(instrument.Refused, "the line was damaged")}, 0, "the last line was not read: the line was damaged"},
		{"again after damage", []instrument.Event{trouble(instrument.Refused, "the line was damaged"), settled}, 0, ""},
		{"connected again", []instrument.Event{settled, {Kind: instrument.Connected}}, 0, "the meter is connected, and no whole line has come yet"},
	} {
		b := NewBoard(&counting{}, "M1", "M2")
		b.Follow("M1", slices.Values(c.events))
		all := b.Now(Query{Of: "S1"})
		if len(all) != 2 || all[0].Meter != "M1" || all[1].Refuses(eleven) != "nothing has come from the meter yet" {
			t.Fatalf("%s: %+v", c.name, all)
		}
		if got := all[0].Refuses(eleven.Add(c.after)); got != c.why {
			t.Errorf("%s: %q, want %q", c.name, got, c.why)
		}
		if token := all[0].Token; (token == "") != (all[0].At.IsZero() || all[0].Reading.State == instrument.Unstable) {
			t.Errorf("%s: token %q", c.name, token)
		}
	}
}

// A line is found by its token for as long as it is kept, and by nothing else.
func TestLinesAreFoundByTheirTokens(t *testing.T) {
	b := NewBoard(&counting{}, "M1")
	var first, last string
	for i := range most + 1 {
		b.Hear("M1", received("3.24 GBq", instrument.Stable, eleven.Add(time.Duration(i)*time.Second)))
		if last = b.Now(Query{})[0].Token; i == 0 {
			first = last
		}
		if i == most-1 {
			if l, ok := b.Find(first); !ok || !l.At.Equal(eleven) || l.Source != "tcp://198.51.100.7:4001" || l.Reading.Raw != "A17 3.24 GBq" {
				t.Errorf("%+v, %v", l, ok)
			}
		}
	}
	if _, ok := b.Find(first); ok {
		t.Error("the oldest line is still kept")
	}
	if l, ok := b.Find(last); !ok || l.Token != last {
		t.Errorf("%+v, %v", l, ok)
	}
	if b.lines.Len() != most {
		t.Errorf("%d lines are kept", b.lines.Len())
	}
	for _, token := range []string{"", "?", strings.Repeat("0", 24), last[:23], last + "0"} {
		if l, ok := b.Find(token); ok {
			t.Errorf("%q finds %+v", token, l)
		}
	}
}

// Readers and meters do not get in each other's way.
func TestBoardByManyAtOnce(t *testing.T) {
	b := NewBoard(&counting{}, "M1", "M2")
	var all sync.WaitGroup
	for _, id := range []string{"M1", "M2"} {
		all.Go(func() {
			for i := range 200 {
				b.Hear(id, received("3.24 GBq", instrument.Stable, eleven.Add(time.Duration(i)*time.Second)))
			}
		})
		all.Go(func() {
			for range 200 {
				for _, m := range b.Now(Query{}) {
					if l, ok := b.Find(m.Token); m.Token != "" && (!ok || l != m.Line) {
						t.Errorf("%+v, %v", l, ok)
					}
				}
			}
		})
	}
	all.Wait()
}

func TestNoRandomBytesIsAFault(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("a token was made of nothing")
		}
	}()
	NewBoard(iotest.ErrReader(errors.New("none")), "M1").Hear("M1", received("3.24 GBq", instrument.Stable, eleven))
}
