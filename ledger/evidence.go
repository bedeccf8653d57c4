package ledger

import (
	"math"
	"slices"
	"sort"
	"time"

	"vialwright/nuclide"
	"vialwright/quantity"
)

// DatumKind says what a datum is a statement of.
type DatumKind int

// The kinds of datum. A reading is strong; a label and a volume are weak, and
// are used in [Evidence] whether or not readings determine the same thing. A
// share measured in dose rate, or expected of an infusion, is never suspected.
const (
	ReadingDatum DatumKind = iota
	LabelDatum
	VolumeDatum
	ShareDatum
)

// Datum is one statement about a set. Value is in the unit of its kind: a net
// reading in Bq, a label's activity at the epoch in Bq, or the share, 0 to 1, of
// what the source held.
type Datum struct {
	Kind DatumKind
	// Entry is the caller's number of the fact it is from.
	Entry int
	// Of is the container that was read or received, or the source of the
	// movement.
	Of    string
	At    time.Time
	Value float64
	// Had is what the source of a movement held just before it, in mL.
	Had quantity.Volume
}

// leastShareU is the least standard uncertainty of a share, absolute: one
// graduation of 0.1 mL in 5 mL, rectangular (JCGM 100:2008 4.3.7).
const leastShareU = 0.006

// wide is the standard uncertainty of a movement of which nothing is known, in
// multiples of the largest activity of the set: it informs of nothing and keeps
// the equations solvable (no source: any large number does).
const wide = 10

// labelScatter is the standard uncertainty of a label whose tolerance is not
// stated, relative: a tolerance of 10 % (common practice, no source), rectangular
// (JCGM 100:2008 4.3.7).
const labelScatter = 0.1 / 1.7320508

// Evidence is one set (the containers that activity has moved between) as data
// that check one another: every reading, every label and every volume. The
// model is that of [Reconcile], made linear about contents that the bulk of the
// data agree on, so that one false datum does not bend it.
type Evidence struct {
	book *Book
	lay  *layout
	// Containers of the set, in the order they were opened.
	Containers []string
	rows       []evidence
	unknowns   []int
	params     []FactorID
	// x is the point about which the model is linear, in units of scale (Bq).
	x     []float64
	scale float64
}

// evidence is a datum with its equation.
type evidence struct {
	Datum
	terms          []term // what was read, or the source of a share
	own            int    // the unknown a share or a label speaks of
	factor         float64
	rel, floor, bg float64
	gain, geom     int // places among params, -1 for a constant
}

// Evidence gives every set that has a datum, in the order of the containers.
func (b *Book) Evidence() []*Evidence { return b.EvidenceOf(nil) }

// EvidenceOf gives the sets that hold any of some containers; nil asks for all.
func (b *Book) EvidenceOf(ids []string) []*Evidence {
	lay := b.lay()
	wanted := map[int]bool{}
	for _, id := range ids {
		if v, ok := b.byID[id]; ok {
			wanted[lay.find(v)] = true
		}
	}
	var out []*Evidence
	at := map[int]*Evidence{}
	for v := range b.vessels {
		for _, r := range lay.sets(v) {
			if ids != nil && !wanted[r] {
				continue
			}
			if at[r] == nil {
				at[r] = &Evidence{book: b, lay: lay}
				out = append(out, at[r])
			}
			at[r].Containers = append(at[r].Containers, b.vessels[v].ID)
		}
	}
	for u, un := range lay.unknowns {
		if e := at[lay.find(b.moves[un.move].home())]; e != nil {
			e.unknowns = append(e.unknowns, u)
		}
	}
	read := map[*Evidence]quantity.Basis{}
	for i := range b.readings {
		r := &b.readings[i]
		e := at[lay.find(r.of)]
		if e == nil {
			continue
		}
		if _, ok := read[e]; !ok {
			read[e] = r.Basis
		}
		if r.Basis == read[e] {
			e.rows = append(e.rows, e.reading(i))
		}
	}
	for _, e := range out {
		for j := range e.unknowns {
			e.statement(j, read[e])
		}
		e.point()
	}
	return out
}

func (e *Evidence) local(f form) []term {
	out := make([]term, len(f))
	for i, t := range f {
		out[i] = term{sort.SearchInts(e.unknowns, t.u), t.c}
	}
	return out
}

func (e *Evidence) reading(i int) evidence {
	r := &e.book.readings[i]
	return evidence{
		Datum: Datum{Kind: ReadingDatum, Entry: r.Entry, Of: r.Of, At: r.At, Value: float64(r.Net)},
		terms: e.local(e.lay.read[i]), own: -1,
		factor: e.book.factors[r.Gain].Value * e.book.factors[r.Geometry].Value * e.book.decay(r.span),
		rel:    r.Relative, floor: float64(r.Floor), bg: float64(r.Background),
		gain: e.param(r.Gain), geom: e.param(r.Geometry),
	}
}

func (e *Evidence) param(id FactorID) int {
	if e.book.factors[id].U <= 0 {
		return -1
	}
	if i := slices.Index(e.params, id); i >= 0 {
		return i
	}
	e.params = append(e.params, id)
	return len(e.params) - 1
}

// statement adds what label or volume says of an unknown. A label is on the
// label basis, so readings on the other say nothing of it.
func (e *Evidence) statement(j int, basis quantity.Basis) {
	m := &e.book.moves[e.lay.unknowns[e.unknowns[j]].move]
	row := evidence{Datum: Datum{Entry: m.Entry, At: m.At, Had: m.had}, own: j, terms: e.local(e.lay.unknowns[e.unknowns[j]].src), gain: -1, geom: -1, factor: 1}
	switch q := m.yield(); {
	case m.from < 0 && (m.Label <= 0 || basis == quantity.TraceableBasis):
		return
	case m.from < 0:
		row.Kind, row.Of = LabelDatum, m.To
		row.Value = float64(m.Label) / e.book.decay(e.book.since(m.Reference))
		row.rel = labelScatter
		if m.LabelU > 0 {
			row.rel = float64(m.LabelU / m.Label)
		}
	case m.Measured.U > 0:
		row.Kind, row.Of, row.Value, row.floor = ShareDatum, m.From, m.Measured.Value, max(m.Measured.U, leastShareU)
	case m.share <= 0:
		return
	default:
		row.Kind, row.Of, row.Value, row.factor = VolumeDatum, m.From, m.share, q.Value
		row.rel, row.bg = q.U/q.Value, leastShareU
		if m.toKind == Territory {
			row.Kind = ShareDatum
		}
	}
	e.rows = append(e.rows, row)
}

// point looks for the contents to be linear about: first what labels and
// volumes say, then, a few times, what all data say but the one that is worst
// predicted by the others.
func (e *Evidence) point() {
	e.stated()
	for range pointRounds {
		r := e.Fit(nil)
		worst, size := -1, float64(worstKept)
		for i := range e.rows {
			if z := math.Abs(r.deviate(i)); z > size {
				worst, size = i, z
			}
		}
		step := r.d
		if worst >= 0 {
			step = r.without(worst)
		}
		moved := 0.0
		for j := range e.x {
			e.x[j] += step[j]
			moved = max(moved, math.Abs(step[j]))
		}
		if moved < pointStill {
			return
		}
	}
}

// A datum that lies worstKept standard deviations from what the others predict
// is left out of the point (common practice, no source). The point need not be
// exact: it sets the weights.
const (
	pointRounds = 5
	pointStill  = 0.02
	worstKept   = 4
)

// stated sets the point to what labels and volumes say, in order of time.
func (e *Evidence) stated() {
	e.x = make([]float64, len(e.unknowns))
	e.scale = 1
	for i := range e.rows {
		if e.rows[i].Kind == ReadingDatum || e.rows[i].Kind == LabelDatum {
			e.scale = max(e.scale, e.rows[i].Value/e.rows[i].factor)
		}
	}
	for j, u := range e.unknowns {
		m := &e.book.moves[e.lay.unknowns[u].move]
		switch {
		case m.from >= 0:
			share := m.share * m.yield().Value
			if m.Measured.U > 0 {
				share = m.Measured.Value
			}
			e.x[j] = share * dot(e.local(e.lay.unknowns[u].src), e.x)
		case m.Label > 0:
			e.x[j] = float64(m.Label) / e.book.decay(e.book.since(m.Reference)) / e.scale
		}
	}
}

func dot(f []term, x []float64) float64 {
	s := 0.0
	for _, t := range f {
		s += t.c * x[t.u]
	}
	return s
}

// Data are the set's data: readings first, each kind in the order of the books.
func (e *Evidence) Data() []Datum {
	out := make([]Datum, len(e.rows))
	for i := range e.rows {
		out[i] = e.rows[i].Datum
	}
	return out
}

// held is what a container held at an instant, as a row for a reading of it
// with the factors of row i; false where it held nothing of this set.
func (e *Evidence) held(i int, id string, at time.Time) (evidence, bool) {
	v, ok := e.book.byID[id]
	if !ok || len(e.rows) == 0 {
		return evidence{}, false
	}
	holds := e.book.heldAt(e.lay, v, at)
	if len(holds) == 0 || e.lay.find(v) != e.lay.find(e.book.byID[e.Containers[0]]) {
		return evidence{}, false
	}
	row := e.rows[i]
	row.factor *= nuclide.Factor(e.book.halfLife.Value, quantity.Span(at.Sub(row.At).Seconds()))
	row.Of, row.At, row.terms = id, at, e.local(holds)
	return row, true
}

// Sets are the containers that activity has moved between, set by set. A waste
// item in which several sets end is named with each.
func (b *Book) Sets() [][]string {
	lay := b.lay()
	at := map[int]int{}
	var out [][]string
	for v := range b.vessels {
		for _, root := range lay.sets(v) {
			if _, ok := at[root]; !ok {
				at[root] = len(out)
				out = append(out, nil)
			}
			out[at[root]] = append(out[at[root]], b.vessels[v].ID)
		}
	}
	return out
}
