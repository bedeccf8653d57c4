package slip

import (
	"math"
	"slices"
	"time"

	"vialwright/ledger"
	"vialwright/quantity"
)

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
		switch _, best := s.leave(i); {
		case d.Kind == ledger.LabelDatum:
			s.received(i)
		case d.Kind != ledger.VolumeDatum:
		case gate(best, 1e-3):
			s.volume(i)
			s.places(d, sets, odd, true)
		default:
			s.places(d, sets, odd, false)
		}
	}
}

// trialWays is in how many of the likeliest ways a volume is tried.
const trialWays = 2

// volume tries other volumes of a movement that the others do not expect, the
// shares of later movements out of the same container with it.
func (s *search) volume(i int) {
	d := s.data[i]
	v, err := quantity.Parse[quantity.Volume](s.Typed[d.Entry].Volume)
	if err != nil || v.Value <= 0 {
		return
	}
	try := func(x Explanation, meant quantity.Volume, scale bool, ways int) {
		x.Entry = d.Entry
		s.shares(x, i, d.Of, i, v.Value-meant, map[int]float64{i: float64(meant / d.Had)}, logScale(scale, meant, v.Value), ways)
	}
	for _, w := range variants[quantity.Volume](s.Typed[d.Entry].Volume, nil) {
		try(Explanation{Part: TheVolume, Kind: w.kind, Meant: w.text}, w.value, w.scale, w.ways)
	}
	try(Explanation{Part: TheMove, Kind: NothingMoved}, 0, false, 1)
	try(Explanation{Part: TheMove, Kind: MovedTwice}, 2*v.Value, false, 1)
}

func logScale(scale bool, meant, written quantity.Volume) float64 {
	if !scale {
		return 0
	}
	return math.Log(float64(meant / written))
}

// received tries other volumes of a vial as it came in, where a draw from it is
// odd.
func (s *search) received(i int) {
	d := s.data[i]
	v, err := quantity.Parse[quantity.Volume](s.Typed[d.Entry].Volume)
	if err != nil || v.Value <= 0 {
		return
	}
	for j, x := range s.data {
		if x.Kind != ledger.VolumeDatum || x.Of != d.Of {
			continue
		}
		if _, gain := s.leave(j); gate(gain, 5e-4) {
			for _, w := range variants[quantity.Volume](s.Typed[d.Entry].Volume, nil) {
				x := Explanation{Entry: d.Entry, Part: TheVolume, Kind: w.kind, Meant: w.text}
				s.shares(x, j, d.Of, i, w.value-v.Value, map[int]float64{}, logScale(w.scale, w.value, v.Value), w.ways)
			}
			return
		}
	}
}

// shares weighs the set with more in a container, from the movement after one
// on, than was thought: each later share out of it changes, and those given.
// The ways tried are those that matter without datum of.
func (s *search) shares(x Explanation, of int, id string, after int, more quantity.Volume, to map[int]float64, log float64, ways int) {
	for j, d := range s.data {
		if d.Kind != ledger.VolumeDatum || d.Of != id || j == after || d.At.Before(s.data[after].At) {
			continue
		}
		if d.Had+more <= 0 {
			return
		}
		to[j] = d.Value * float64(d.Had/(d.Had+more))
	}
	var at []int
	var by []float64
	for j, d := range s.data {
		share, ok := to[j]
		if share > 1+1e-6 {
			return // more than there was
		}
		if ok {
			at, by = append(at, j), append(by, share-d.Value)
		}
	}
	rest, _ := s.leave(of)
	total, prior := math.Inf(-1), priors[x.Part][x.Kind]/float64(ways)
	for _, l := range rest[:min(trialWays, len(rest))] {
		if l.way.log+l.way.fit.Shift(at, by)+math.Log(prior) < small-unlikely {
			continue
		}
		f := s.with(l.way, to)
		total = plus(total, f.LogEvidence()+f.Shift(at, by)+l.way.prior-s.total)
	}
	s.add(x, prior, total+log)
}

// with fits a way with the uncertainties of shares that are changed; a small
// change of them is let be.
func (s *search) with(w *way, to map[int]float64) *ledger.Rest {
	loose := s.loosen(0, 1, 0, 1)
	if w.loose != nil {
		copy(loose, w.loose)
	}
	changed := false
	for j, share := range to {
		by := s.e.Own(j, share) / s.e.Own(j, s.data[j].Value)
		changed = changed || math.Abs(math.Log(by)) > 0.25
		loose[j] *= by
	}
	if !changed {
		return w.fit
	}
	return s.e.Fit(loose)
}

// unlikely is by how much the logarithm of the odds of a volume may rise when
// the uncertainties of the shares follow.
const unlikely = 25

// places tries whether a movement was out of another container of the same
// kind, or into another, where a reading or the volume speaks for that.
func (s *search) places(d ledger.Datum, sets []*search, odd map[string]bool, volume bool) {
	from, _ := s.Book.Container(d.Of)
	to, ok := s.Book.Target(d.Entry)
	if !ok {
		return
	}
	var sources, targets []ledger.Container
	for _, c := range s.Book.Containers() {
		with := s.of(sets, c.ID)
		switch {
		case with == nil || c.ID == from.ID || c.ID == to.ID:
		case c.Kind == from.Kind && (volume || odd[to.ID] || odd[from.ID] && !with.plain()) && !(with != s && with.plain() && with.readAfter(c.ID, d.At)):
			sources = append(sources, c)
		case c.Kind == to.Kind && (odd[to.ID] || odd[c.ID]):
			targets = append(targets, c)
		}
	}
	for _, c := range sources {
		s.suppose(Explanation{Entry: d.Entry, Part: TheMove, Kind: OtherSource, Place: c.ID},
			ledger.Supposition{Entry: d.Entry, From: c.ID, Volume: -1}, len(sources), s, s.of(sets, c.ID))
	}
	for _, c := range targets {
		s.suppose(Explanation{Entry: d.Entry, Part: TheMove, Kind: OtherTarget, Place: c.ID},
			ledger.Supposition{Entry: d.Entry, To: c.ID, Volume: -1}, len(targets), s, s.of(sets, c.ID))
	}
}

func (s *search) readAfter(id string, at time.Time) bool {
	return slices.ContainsFunc(s.data, func(d ledger.Datum) bool {
		return d.Kind == ledger.ReadingDatum && d.Of == id && d.At.After(at)
	})
}

// of is the search of the set that holds a container.
func (s *search) of(sets []*search, id string) *search {
	for _, x := range sets {
		if slices.Contains(x.e.Containers, id) {
			return x
		}
	}
	return nil
}

// suppose weighs the books as supposed against the sets they touch: first
// without any tail, which bounds what is worth the whole.
func (s *search) suppose(x Explanation, what ledger.Supposition, ways int, touched ...*search) {
	book, ok := s.Book.Suppose(what)
	if !ok {
		return
	}
	var ids []string
	before := 0.0
	touched = slices.Compact(touched)
	for _, t := range touched {
		t.weigh()
		before += t.total
		ids = append(ids, t.e.Containers...)
	}
	prior := priors[x.Part][x.Kind] / float64(ways)
	var others []*search
	first := 0.0
	for _, e := range book.EvidenceOf(ids) {
		o := newSearch(s.Books, e)
		first += o.base.LogEvidence()
		others = append(others, o)
	}
	if first-before+math.Log(prior) < small-3*unlikely {
		return
	}
	after := 0.0
	for _, o := range others {
		o.weigh()
		after += o.total
	}
	if len(touched) == 1 {
		s.add(x, prior, after-before)
		return
	}
	x.Odds = math.Log(prior) + after - before
	s.joint = append(s.joint, joint{x, [2]*search{touched[0], touched[1]}})
}
