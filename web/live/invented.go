package live

import (
	"hash/fnv"
	"io"
	"sync"
	"time"

	"vialwright/fact"
	"vialwright/instrument"
	"vialwright/quantity"
)

// Of an invented meter, as in the package comment.
const (
	background    = 0.2 * quantity.MegaBecquerel
	repeatability = 0.008
	settles       = quantity.Span(4) // s
	// leaves is how long a container that nobody looks at stays in the well.
	leaves = time.Minute
)

// InventedSource is what a record names an invented meter by.
const InventedSource = "invented meter, practice"

// Invented is the meters of an invented laboratory: each meter of a case shows
// what the container in question would read. It may be used by many
// goroutines.
type Invented struct {
	*kept
	clock  func() time.Time
	zones  fact.Zones
	parser *instrument.Parser
	seed   uint64

	mu    sync.Mutex
	wells map[place]*standing
}

// place is a container in the well of a meter, as one person looks at it.
type place struct{ who, meter, of string }

// standing is since when a container stands there, when it was last looked at,
// and the line of that second.
type standing struct {
	in, seen time.Time
	line     Line
}

// NewInvented makes invented meters that write lines which parser reads; the
// same seed gives the same readings. random is a cryptographic source, for the
// tokens.
func NewInvented(clock func() time.Time, random io.Reader, zones fact.Zones, parser *instrument.Parser, seed uint64) *Invented {
	return &Invented{kept: newKept(random), clock: clock, zones: zones, parser: parser, seed: seed, wells: map[place]*standing{}}
}

// Now gives every meter of the case with what it shows of the well.
func (v *Invented) Now(w Query) []Meter {
	now := v.clock().Truncate(time.Second)
	var out []Meter
	var facts []fact.Fact
	for _, r := range w.Records {
		facts = append(facts, r.Fact)
	}
	_, _, meters := fact.Settings(facts)
	for _, m := range meters {
		line := Line{Meter: m.ID, Source: InventedSource, Of: w.Of, Invented: true}
		s, err := v.sample(w, m, now)
		if err != nil {
			out = append(out, Meter{line, err.Error()})
			continue
		}
		if line, err = v.read(line, w, s, now); err != nil {
			out = append(out, Meter{line, "the invented meter is out of order: " + err.Error()})
			continue
		}
		out = append(out, Meter{Line: line})
	}
	return out
}

func (v *Invented) sample(w Query, m *fact.Meter, now time.Time) (held, error) {
	switch w.Of {
	case NotChosen:
		return held{}, errNotChosen
	case "":
		return held{halfLife: 64 * quantity.Hour}, nil // of nothing, any will do
	}
	return simulated(w.Records, v.zones, m, w.Of, now)
}

func (v *Invented) read(line Line, w Query, s held, now time.Time) (Line, error) {
	v.mu.Lock()
	defer v.mu.Unlock()
	at := place{w.Who, line.Meter, w.Of}
	st := v.stand(at, now)
	if st.line.At.Equal(now) {
		return st.line, nil
	}
	text, err := v.simulation(at, s, st.in, now).Line(v.parser, uint64(now.Unix()), now)
	if err != nil {
		return line, err
	}
	line.At = now
	if line.Reading, err = v.parser.Parse(text); err != nil {
		return line, err
	}
	st.line = v.keep(line)
	return st.line, nil
}

// stand puts a container into the well, or finds it there; those that nobody
// has looked at are taken out.
func (v *Invented) stand(at place, now time.Time) *standing {
	for p, s := range v.wells {
		if now.Sub(s.seen) > leaves {
			delete(v.wells, p)
		}
	}
	s := v.wells[at]
	if s == nil {
		s = &standing{in: now}
		v.wells[at] = s
	}
	s.seen = now
	return s
}

func (v *Invented) simulation(at place, s held, in, now time.Time) instrument.Simulation {
	h := fnv.New64a()
	for _, part := range []string{at.who, at.meter, at.of} {
		h.Write([]byte(part + "\n"))
	}
	unit, decimals := display(s.shows + background)
	out := instrument.Simulation{
		In: in, HalfLife: s.halfLife, Background: background, Repeatability: repeatability, Settling: settles,
		Unit: unit, Decimals: decimals, Nuclide: "Y-90", Serial: "PRACTICE-" + at.meter, Seed: v.seed ^ h.Sum64(),
	}
	out.Activity = 1 // to find what it decays by since it was put in
	out.Activity = s.shows / out.True(now)
	return out
}

func display(a quantity.Activity) (unit string, decimals int) {
	switch mbq := a / quantity.MegaBecquerel; {
	case mbq >= 1000:
		return "GBq", 3
	case mbq >= 100:
		return "MBq", 1
	case mbq >= 10:
		return "MBq", 2
	}
	return "MBq", 3
}
