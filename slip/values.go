package slip

import (
	"cmp"
	"math"
	"slices"
	"time"

	"vialwright/ledger"
	"vialwright/quantity"
)

// left is what the others say of one datum in each way that matters once the
// datum is left out: log is the weight of the way, the datum being unknown.
type left struct {
	log  float64
	way  *way
	pred ledger.Prediction
}

// small is the logarithm of odds that are not kept, worth that which a datum's
// likeliest slip has to reach for any to be tried, and drop that of a way's
// weight that adds nothing.
const (
	small = -8
	worth = -5
	drop  = 10
)

// gate says whether a datum is so far from what the others say that a slip of
// it, with at most this prior, is worth trying: the gain cannot be more than
// from where it is to the middle of the prediction.
func gate(best, prior float64) bool { return best+math.Log(prior) > worth }

// leave leaves datum i out. The odds of a hypothesis that changes this datum
// alone, to y, against all honest are then Σ prior·w·p(y); best is the most that
// sum can be, without the prior.
func (s *search) leave(i int) (out []left, best float64) {
	if s.rests == nil {
		s.rests, s.bests = make([][]left, len(s.data)), make([]float64, len(s.data))
	}
	if s.rests[i] != nil {
		return s.rests[i], s.bests[i]
	}
	top := math.Inf(-1)
	for k := range s.ways {
		w := &s.ways[k]
		p := w.fit.Predict(i)
		v := w.log - density(p, s.data[i].Value)
		out = append(out, left{v, w, p})
		top = max(top, v)
	}
	best = math.Inf(-1)
	out = slices.DeleteFunc(out, func(l left) bool { return l.log < top-drop })
	slices.SortStableFunc(out, func(a, b left) int { return cmp.Compare(b.log, a.log) })
	for _, l := range out {
		best = plus(best, l.log+density(l.pred, l.pred.Value))
	}
	s.rests[i], s.bests[i] = out, best
	return out, best
}

// weight is the logarithm of the weight of all the ways together.
func weight(rest []left) float64 {
	total := math.Inf(-1)
	for _, l := range rest {
		total = plus(total, l.log)
	}
	return total
}

// density is the logarithm of the density of a datum about its prediction.
func density(p ledger.Prediction, y float64) float64 {
	return normal(y-p.Value, math.Hypot(p.U, p.Own))
}

func normal(x, s float64) float64 { return -x*x/(2*s*s) - math.Log(s) - math.Log(2*math.Pi)/2 }

// add keeps an explanation whose odds against honest are worth it.
func (s *search) add(x Explanation, prior, log float64) {
	if x.Odds = math.Log(prior) + log; x.Odds > small {
		s.found = append(s.found, x)
	}
}

func (s *search) values(sets []*search) {
	s.weigh()
	for i, d := range s.data {
		if d.Kind != ledger.ReadingDatum && d.Kind != ledger.LabelDatum {
			continue
		}
		rest, best := s.leave(i)
		if !gate(best, 5e-4) {
			continue
		}
		t := s.Typed[d.Entry]
		try := func(x Explanation, y, logScale float64, ways int) {
			total := math.Inf(-1)
			for _, l := range rest {
				total = plus(total, l.log+density(l.pred, y))
			}
			x.Entry = d.Entry
			s.add(x, priors[x.Part][x.Kind]/float64(ways), total+logScale)
		}
		if d.Kind == ledger.LabelDatum {
			s.label(d, t, try)
			continue
		}
		s.reading(d, t, try)
		s.elsewhere(i, d, t, rest, sets)
		s.add(Explanation{Entry: d.Entry, Part: TheReading, Kind: Unknown}, priors[TheReading][Unknown], weight(rest)+logUniform(d.Value))
	}
}

// activityUnits are those a person may take for one another.
var activityUnits = []string{"GBq", "MBq", "mCi"}

type trial func(x Explanation, y, logScale float64, ways int)

// reading tries what may have been meant by the text of a reading. net is the
// gross less its background; a slip that multiplies, multiplies the gross.
func (s *search) reading(d ledger.Datum, t Typed, try trial) {
	for _, v := range variants[quantity.Activity](t.Activity, activityUnits) {
		logScale := 0.0
		if v.scale {
			logScale = math.Log(float64(v.value / t.Gross))
		}
		try(Explanation{Part: TheReading, Kind: v.kind, Meant: v.text}, float64(v.value-t.Background), logScale, v.ways)
	}
	if t.Activity == "" {
		return
	}
	if t.Background > 0 {
		try(Explanation{Part: TheReading, Kind: GrossForNet, Meant: quantity.Both(t.Gross, 0) + " net"}, float64(t.Gross), 0, 2)
	}
	if missing := t.Usual - t.Background; missing > t.Usual/2 {
		try(Explanation{Part: TheReading, Kind: GrossForNet, Meant: quantity.Both(t.Gross-t.Usual, 0) + " net"}, d.Value-float64(missing), 0, 2)
	}
}

// apart is the relative standard uncertainty of a reading against another set's
// balance: the meter's factors and repeatability together.
const apart = 0.03

// Hours that a time or a zone may be off, and days that a reference may be.
const mostHours = 14

var days = []int{24, 48, 72, 168}

// TimeOff is by how many hours a reference time would have to be written too late
// (negative: too early) to explain a vial that holds so much of its label: whole
// hours, or days to within five times half an hour's decay; 0 for none.
//
//	ratio = 2^(−h/T½)
func TimeOff(ratio float64, halfLife quantity.Span) int {
	h := -int(math.Round(math.Log2(ratio) * halfLife.Hours()))
	size := max(h, -h)
	for _, d := range days {
		if size >= d-2 && size <= d+2 {
			h = h / size * d
		}
	}
	if off := ratio*math.Exp2(float64(h)/halfLife.Hours()) - 1; size > mostHours && math.Abs(off) > 5*halfHour {
		return 0
	}
	return h
}

// halfHour is what half an hour's decay takes: 1 − 2^(−0.5/64).
const halfHour = 0.0055

// label tries what may have been meant by a label's activity and reference.
func (s *search) label(d ledger.Datum, t Typed, try trial) {
	stated, err := quantity.Parse[quantity.Activity](t.Activity)
	if err != nil || stated.Value <= 0 {
		return
	}
	grow := d.Value / float64(stated.Value)
	for _, v := range variants[quantity.Activity](t.Activity, activityUnits) {
		logScale := 0.0
		if v.scale {
			logScale = math.Log(float64(v.value / stated.Value))
		}
		try(Explanation{Part: TheLabel, Kind: v.kind, Meant: v.text}, float64(v.value)*grow, logScale, v.ways)
	}
	each := func(kind Kind, h, ways int) {
		for _, hours := range []int{h, -h} {
			f := s.Book.Decay(elapsed(hours))
			try(Explanation{Part: TheLabel, Kind: kind, Hours: hours}, d.Value*f, math.Log(f), 2*ways)
		}
	}
	for h := 1; h <= mostHours; h++ {
		each(WrongHour, h, mostHours)
	}
	for _, h := range days {
		each(WrongDay, h, len(days))
	}
}

// elsewhere tries whether a reading was of another container, or at another
// time than was written.
func (s *search) elsewhere(i int, d ledger.Datum, t Typed, rest []left, sets []*search) {
	top, total := rest[0].way.fit, weight(rest)
	try := func(x Explanation, ways int, id string, at time.Time) {
		if p, ok := top.Elsewhere(i, id, at); ok && p.Value > 0 {
			x.Entry, x.Part = d.Entry, TheReading
			s.add(x, priors[TheReading][x.Kind]/float64(ways), total+density(p, d.Value))
		}
	}
	all := s.Book.Containers()
	for _, c := range all {
		x := Explanation{Entry: d.Entry, Part: TheReading, Kind: OtherContainer, Place: c.ID}
		switch in := s.of(sets, c.ID); {
		case c.ID == d.Of || in == nil:
		case in == s:
			try(x, len(all), c.ID, d.At)
		default:
			if p, ok := in.base.Contents(c.ID, d.At); ok && p.Value > 0 {
				p.Own = math.Hypot(p.Own, apart*p.Value)
				s.add(x, priors[TheReading][OtherContainer]/float64(len(all)), total+density(p, d.Value))
			}
		}
	}
	if t.Timed {
		return
	}
	for h := -mostHours; h <= mostHours; h++ {
		if h != 0 {
			try(Explanation{Kind: WrongHour, Hours: h}, 2*mostHours, d.Of, d.At.Add(-elapsed(h)))
		}
	}
	for _, h := range []int{-24, 24} {
		try(Explanation{Kind: WrongDay, Hours: h}, 2, d.Of, d.At.Add(-elapsed(h)))
	}
}
