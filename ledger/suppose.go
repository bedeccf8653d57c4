package ledger

import (
	"slices"
	"time"

	"vialwright/quantity"
)

// Supposition is a movement that differs from what was entered. An empty From or To
// and a negative Volume stay as entered.
type Supposition struct {
	// Entry is the caller's number of the movement.
	Entry int
	// From and To are ids of containers.
	From, To string
	Volume   quantity.Volume
}

// Suppose is the book as it would be had a movement been otherwise: the volumes
// of the containers it touches, and so the shares of later movements out of
// them, follow. ok is false where the entry is no movement, where a container
// is unknown or empty then, or where more would leave it than it held.
func (b *Book) Suppose(s Supposition) (out *Book, ok bool) {
	at := b.movement(s.Entry)
	if at < 0 {
		return nil, false
	}
	c := *b
	c.moves = append([]move(nil), b.moves...)
	old, m := b.moves[at], &c.moves[at]
	if s.Volume >= 0 {
		m.Volume, m.Whole = s.Volume, false
	}
	for _, end := range []struct {
		id   string
		to   *int
		name *string
	}{{s.From, &m.from, &m.From}, {s.To, &m.to, &m.To}} {
		if end.id == "" {
			continue
		}
		if *end.to, ok = b.byID[end.id]; !ok || b.vessels[*end.to].opened.After(old.At) {
			return nil, false
		}
		*end.name = end.id
	}
	if m.from == m.to {
		return nil, false
	}
	m.toKind = b.vessels[m.to].Kind
	c.shift(at, old.from, old.Volume)
	c.shift(at, old.to, -old.Volume)
	c.shift(at, m.from, -m.Volume)
	c.shift(at, m.to, m.Volume)
	if m.from >= 0 {
		if m.from != old.from {
			m.had = b.VolumeAt(m.From, m.At)
		}
		if m.had <= 0 || m.Volume > m.had+1e-6 {
			return nil, false
		}
		m.share = float64(m.Volume / m.had)
	}
	return &c, true
}

// shift adds a volume to what the movements after one found in a vessel.
func (b *Book) shift(after, v int, by quantity.Volume) {
	for i := after + 1; v >= 0 && i < len(b.moves); i++ {
		if m := &b.moves[i]; m.from == v && !m.Whole {
			m.had += by
			m.share = 0
			if m.had > 0 {
				m.share = min(1, float64(m.Volume/m.had))
			}
		}
	}
}

// Decay is the share of an activity that is left after a time, above 1 for a
// time that is negative.
func (b *Book) Decay(d time.Duration) float64 { return b.decay(quantity.Span(d.Seconds())) }

// Target is the container that the movement of an entry went into.
func (b *Book) Target(entry int) (Container, bool) {
	if i := b.movement(entry); i >= 0 {
		return b.vessels[b.moves[i].to].Container, true
	}
	return Container{}, false
}

// WithoutReadings is the book without the readings of some containers.
func (b *Book) WithoutReadings(ids []string) *Book {
	c := *b
	c.readings, c.events = nil, nil
	for _, e := range b.events {
		if e.read >= 0 {
			if slices.Contains(ids, b.readings[e.read].Of) {
				continue
			}
			c.readings = append(c.readings, b.readings[e.read])
			e.read = len(c.readings) - 1
		}
		c.events = append(c.events, e)
	}
	return &c
}
