package slip

import (
	"math"
	"slices"

	"vialwright/ledger"
	"vialwright/quantity"
)

// later is by how much the logarithm of a volume's odds may rise when the shares
// of the later draws from the same container follow.
const later = 12

// movements tries what may have been otherwise with a movement: its volume, its
// source, its target.
func (s *search) movements(sets []*search) {
	odd := map[string]bool{}
	for i, d := range s.data {
		if _, best := s.leave(i); d.Kind == ledger.ReadingDatum && gate(best, 1e-3) {
			odd[d.Of] = true
		}
	}
	for i, d := range s.data {
		switch d.Kind {
		case ledger.VolumeDatum:
			rest, best := s.leave(i)
			to, _ := s.Book.Target(d.Entry)
			if gate(best, 1e-3) {
				s.volume(i, d, rest)
				s.places(d, sets)
			} else if odd[to.ID] {
				s.places(d, sets)
			}
		case ledger.LabelDatum:
			s.received(d)
		}
	}
}

// volume tries other volumes of a movement that the others do not expect.
func (s *search) volume(i int, d ledger.Datum, rest []left) {
	t := s.Typed[d.Entry]
	v, err := quantity.Parse[quantity.Volume](t.Volume)
	if err != nil || v.Value <= 0 {
		return
	}
	try := func(x Explanation, meant quantity.Volume, scale bool, ways int) {
		x.Entry = d.Entry
		share, total := d.Value*float64(meant/v.Value), math.Inf(-1)
		for _, l := range rest {
			total = plus(total, l.log+density(l.pred, share))
		}
		total += logScale(scale, meant, v.Value)
		switch prior := priors[x.Part][x.Kind] / float64(ways); {
		case s.Book.Last(d.Entry):
			s.add(x, prior, total)
		case total+math.Log(prior) > small-later:
			s.suppose(x, ledger.Supposition{Entry: d.Entry, Volume: meant}, logScale(scale, meant, v.Value), ways, s)
		}
	}
	for _, w := range variants[quantity.Volume](t.Volume, nil) {
		try(Explanation{Part: TheVolume, Kind: w.kind, Meant: w.text}, w.value, w.scale, w.ways)
	}
	try(Explanation{Part: TheMove, Kind: NothingMoved}, 1e-6*v.Value, false, 1)
	try(Explanation{Part: TheMove, Kind: MovedTwice}, 2*v.Value, false, 1)
}

func logScale(scale bool, meant, written quantity.Volume) float64 {
	if !scale {
		return 0
	}
	return math.Log(float64(meant / written))
}

// received tries other volumes of a vial as it came in.
func (s *search) received(d ledger.Datum) {
	t := s.Typed[d.Entry]
	v, err := quantity.Parse[quantity.Volume](t.Volume)
	if err != nil || v.Value <= 0 {
		return
	}
	best := 0.0 // the factor on a share that the least odd draw asks for
	for i, x := range s.data {
		if x.Kind != ledger.VolumeDatum || x.Of != d.Of {
			continue
		}
		if _, gain := s.leave(i); gate(gain, 5e-4) {
			best = x.Value / max(s.base.Predict(i).Value, 1e-3)
			break
		}
	}
	if best == 0 {
		return
	}
	for _, w := range variants[quantity.Volume](t.Volume, nil) {
		if f := float64(w.value / v.Value); f > best/2 && f < best*2 {
			x := Explanation{Entry: d.Entry, Part: TheVolume, Kind: w.kind, Meant: w.text}
			s.suppose(x, ledger.Supposition{Entry: d.Entry, Volume: w.value}, logScale(w.scale, w.value, v.Value), w.ways, s)
		}
	}
}

// places tries whether a movement was out of another container of the same
// kind, or into another.
func (s *search) places(d ledger.Datum, sets []*search) {
	from, _ := s.Book.Container(d.Of)
	to, ok := s.Book.Target(d.Entry)
	if !ok {
		return
	}
	all := s.Book.Containers()
	for _, c := range all {
		with := s.of(sets, c.ID)
		if with == nil {
			continue
		}
		if c.Kind == from.Kind && c.ID != from.ID {
			s.suppose(Explanation{Entry: d.Entry, Part: TheMove, Kind: OtherSource, Place: c.ID},
				ledger.Supposition{Entry: d.Entry, From: c.ID, Volume: -1}, 0, len(all), s, with)
		}
		if c.Kind == to.Kind && c.ID != to.ID {
			s.suppose(Explanation{Entry: d.Entry, Part: TheMove, Kind: OtherTarget, Place: c.ID},
				ledger.Supposition{Entry: d.Entry, To: c.ID, Volume: -1}, 0, len(all), s, with)
		}
	}
}

// of is the search of the set that holds a container.
func (s *search) of(sets []*search, id string) *search {
	for _, x := range sets {
		if contains(x.e.Containers, id) {
			return x
		}
	}
	return nil
}

// suppose weighs the books as supposed against the sets they touch.
func (s *search) suppose(x Explanation, what ledger.Supposition, log float64, ways int, touched ...*search) {
	book, ok := s.Book.Suppose(what)
	if !ok {
		return
	}
	before := 0.0
	for i, t := range touched {
		if i > 0 && t == touched[0] {
			continue
		}
		t.weigh()
		before += t.total
	}
	after := 0.0
	for _, e := range book.Evidence() {
		for _, t := range touched {
			if slices.ContainsFunc(e.Containers, func(id string) bool { return contains(t.e.Containers, id) }) {
				other := newSearch(s.Books, e)
				other.weigh()
				after += other.total
				break
			}
		}
	}
	s.add(x, priors[x.Part][x.Kind]/float64(ways), after-before+log)
}
