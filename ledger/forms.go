package ledger

import (
	"slices"
	"sort"
	"time"
)

// term is one unknown with its coefficient.
type term struct {
	u int
	c float64
}

// form is a linear form over the unknown movement activities, sorted by
// unknown: what a container holds, at the epoch.
type form []term

// plus gives f + k·g, dropping terms that cancel. Coefficients are sums of
// ±1 (and of exact shares), so cancellation is exact.
func (f form) plus(k float64, g form) form {
	out := make(form, 0, len(f)+len(g))
	i, j := 0, 0
	for i < len(f) || j < len(g) {
		switch {
		case j == len(g) || (i < len(f) && f[i].u < g[j].u):
			out = append(out, f[i])
			i++
		case i == len(f) || g[j].u < f[i].u:
			out = append(out, term{g[j].u, k * g[j].c})
			j++
		default:
			if c := f[i].c + k*g[j].c; c != 0 {
				out = append(out, term{f[i].u, c})
			}
			i, j = i+1, j+1
		}
	}
	return out
}

// unknown is the epoch activity of one movement that is not fixed by others.
type unknown struct {
	move int
	// src is what the source held just before; nil for a receipt.
	src form
}

// state is what a vessel holds from an event on.
type state struct {
	event int
	form  form
}

// layout is the book turned into linear forms.
type layout struct {
	unknowns []unknown
	// history of each vessel, in event order.
	history [][]state
	// moved is the form of each movement; before, of its source just before.
	moved, before []form
	// read is the form of each reading's container when it was read.
	read []form
	// root is the union-find parent of each vessel: a component is a set of
	// vessels that activity has moved between.
	root []int
	// waste is what went into each waste item, by the vessel it came from.
	waste map[int][]int
}

// lay replays the events. Every movement conserves activity by construction:
// the same form is added to one vessel and taken from another.
func (b *Book) lay() *layout {
	l := &layout{
		history: make([][]state, len(b.vessels)),
		moved:   make([]form, len(b.moves)),
		before:  make([]form, len(b.moves)),
		read:    make([]form, len(b.readings)),
		root:    make([]int, len(b.vessels)),
	}
	for i := range l.root {
		l.root[i] = i
	}
	heldUp := b.heldUp()
	for e, ev := range b.events {
		if ev.read >= 0 {
			l.read[ev.read] = l.now(b.readings[ev.read].of)
			continue
		}
		l.apply(b.moves[ev.move], ev.move, e, heldUp[ev.move])
	}
	l.joinWaste(b)
	return l
}

// joinWaste joins a waste item with the set that all of it came from, and with
// each of several where the item itself was read. Many sets end in one bin, and
// that alone says nothing of one by the other.
func (l *layout) joinWaste(b *Book) {
	l.waste = map[int][]int{}
	for _, m := range b.moves {
		if m.toKind == WasteItem && m.from >= 0 {
			l.waste[m.to] = append(l.waste[m.to], m.from)
		}
	}
	for _, r := range b.readings {
		for _, v := range l.waste[r.of] {
			l.join(v, r.of)
		}
	}
	for v := range b.vessels {
		if of := l.sets(v); len(of) == 1 {
			l.join(of[0], v)
		}
	}
}

// sets are the roots of the sets that what a vessel holds is of: one, or several
// for a waste item.
func (l *layout) sets(v int) []int {
	if len(l.waste[v]) == 0 {
		return []int{l.find(v)}
	}
	var out []int
	for _, x := range l.waste[v] {
		if r := l.find(x); !slices.Contains(out, r) {
			out = append(out, r)
		}
	}
	return out
}

// home is the vessel in whose set a movement is known: where it came from, since
// a waste item is of no set where several end in it.
func (m *move) home() int {
	if m.from >= 0 {
		return m.from
	}
	return m.to
}

// heldUp says which whole movements are followed by a reading of the source
// before anything comes into it again: what that reading finds was held up,
// so the movement is an unknown and not all there was.
func (b *Book) heldUp() []bool {
	out := make([]bool, len(b.moves))
	lastWhole := make([]int, len(b.vessels))
	for i := range lastWhole {
		lastWhole[i] = -1
	}
	for _, ev := range b.events {
		if ev.read >= 0 {
			if m := lastWhole[b.readings[ev.read].of]; m >= 0 {
				out[m] = true
			}
			continue
		}
		m := b.moves[ev.move]
		if m.from >= 0 && m.Whole {
			lastWhole[m.from] = ev.move
		}
		lastWhole[m.to] = -1
	}
	return out
}

func (l *layout) now(v int) form {
	h := l.history[v]
	if len(h) == 0 {
		return nil
	}
	return h[len(h)-1].form
}

// heldAt is what a vessel held at an instant, everything of that instant included.
func (b *Book) heldAt(l *layout, v int, at time.Time) form {
	t, h := b.since(at), l.history[v]
	n := sort.Search(len(h), func(n int) bool { return b.moves[b.events[h[n].event].move].span > t })
	if n == 0 {
		return nil
	}
	return h[n-1].form
}

func (l *layout) apply(m move, i, e int, heldUp bool) {
	var src form
	if m.from >= 0 {
		src = l.now(m.from)
		if m.toKind != WasteItem {
			l.join(m.from, m.to)
		}
	}
	l.before[i] = src
	switch {
	case m.from >= 0 && m.Whole && !heldUp:
		l.moved[i] = src
	case m.from >= 0 && m.Measured.Value > 0 && m.Measured.U == 0:
		l.moved[i] = form(nil).plus(m.Measured.Value, src)
	default:
		l.moved[i] = form{{len(l.unknowns), 1}}
		l.unknowns = append(l.unknowns, unknown{move: i, src: src})
	}
	if m.from >= 0 {
		l.history[m.from] = append(l.history[m.from], state{e, src.plus(-1, l.moved[i])})
	}
	l.history[m.to] = append(l.history[m.to], state{e, l.now(m.to).plus(1, l.moved[i])})
}

func (l *layout) find(v int) int {
	for l.root[v] != v {
		l.root[v] = l.root[l.root[v]]
		v = l.root[v]
	}
	return v
}

// join keeps the smaller root, so that component order follows opening order.
func (l *layout) join(a, c int) {
	a, c = l.find(a), l.find(c)
	if a > c {
		a, c = c, a
	}
	l.root[c] = a
}
