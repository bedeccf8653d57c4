package slip

import (
	"cmp"
	"math"
	"slices"
	"time"

	"vialwright/ledger"
	"vialwright/quantity"
)

// Kind is what may have gone wrong with one entry.
type Kind string

// The slips of writing, then the explanations by what was done.
const (
	PointMoved     Kind = "point moved"
	OtherUnit      Kind = "another unit"
	Swapped        Kind = "two digits swapped"
	Misread        Kind = "one digit misread"
	GrossForNet    Kind = "gross and net confused"
	OtherContainer Kind = "another container's reading"
	WrongHour      Kind = "time off by whole hours"
	WrongDay       Kind = "time off by days"
	Unknown        Kind = "another slip"

	NothingMoved Kind = "nothing was drawn"
	MovedTwice   Kind = "drawn twice"
	OtherSource  Kind = "drawn from another container"
	OtherTarget  Kind = "drawn into another container"
)

// Physical says whether a kind is something that was done, and not a slip of
// writing: it is always named, and no correction is proposed for it.
func (k Kind) Physical() bool {
	return k == NothingMoved || k == MovedTwice || k == OtherSource || k == OtherTarget
}

// Part is the part of an entry that slipped.
type Part string

// The parts.
const (
	TheReading Part = "reading"
	TheLabel   Part = "label"
	TheVolume  Part = "volume"
	TheMove    Part = "movement"
)

// Typed is what a person wrote in an entry. A text is empty where nothing was
// written, or where a connected meter sent it.
type Typed struct {
	// Activity is a reading's gross or a label's activity, Volume a volume.
	Activity, Volume quantityText
	// Gross and Background of a reading; Usual is the background that the same
	// meter showed with its other readings.
	Gross, Background, Usual quantity.Activity
	// Timed says that the time came from the meter too.
	Timed bool
}

type quantityText = string

// Books are the books with what was written in them, by number of entry.
type Books struct {
	Book  *ledger.Book
	Typed map[int]Typed
}

// Explanation is one way in which the data of a set agree.
type Explanation struct {
	// Entry is the number of the entry suspected.
	Entry int
	// Part and Kind are what of it slipped, and how.
	Part Part
	Kind Kind
	// Meant is what was meant instead: "1.31 GBq", "2.2 mL"; empty where the
	// kind tells it.
	Meant string
	// Place is the container meant, for the kinds that name one.
	Place string
	// Hours is by how much the written time is too late (negative: too early).
	Hours int
	// Odds is its probability, 0 to 1, among all explanations.
	Odds float64
}

// Outcome is what the odds say of a set.
type Outcome string

// The outcomes. Agree: the entries agree well enough. Doubt: a slip is
// possible, and less likely than not. Named: one entry slipped. Undecided:
// something slipped, and two entries stand within a factor of twenty. Several:
// more than one entry disagrees.
const (
	Agree     Outcome = "agree"
	Doubt     Outcome = "doubt"
	Named     Outcome = "named"
	Undecided Outcome = "undecided"
	Several   Outcome = "several"
)

// Expected is what the other data say of one: in Bq for a reading or a label,
// as a share of the source for a volume.
type Expected struct {
	// Value, and U its standard uncertainty.
	Value, U float64
}

// Set is what was found of one set.
type Set struct {
	Containers []string
	Outcome    Outcome
	// Honest is the probability that no entry slipped, MoreThanOne that more
	// than one did.
	Honest, MoreThanOne float64
	// Explanations are those with at least a thousandth of the odds, the
	// likeliest first.
	Explanations []Explanation
	// Expect is what the others say of each reading, by number of entry.
	Expect map[int]Expected
}

// Said is the least share of the odds that is said, kept that which is kept.
const (
	Said = 0.01
	kept = 0.001
)

// Close is the factor within which two explanations are both said.
const Close = 20

// Find compares, for every set of the books, all entries honest with every
// single slip. It gives one Set for each, in the order of the books.
func Find(b Books) []Set {
	all := b.Book.Evidence()
	sets := make([]*search, len(all))
	for i, e := range all {
		sets[i] = newSearch(b, e)
	}
	out := make([]Set, len(all))
	var odd []*search
	for _, s := range sets {
		if !s.plain() {
			odd = append(odd, s)
		}
	}
	for _, s := range odd {
		s.values(sets)
		s.movements(sets)
		s.pairs()
	}
	share(sets)
	for i, s := range sets {
		out[i] = Set{Containers: s.e.Containers, Outcome: Agree, Honest: 1, Expect: map[int]Expected{}}
		if len(s.found) > 0 || slices.Contains(odd, s) {
			s.weigh()
			s.judge(&out[i])
		}
	}
	return out
}

// joint is an explanation that changes two sets: its odds are against all
// entries of both honest.
type joint struct {
	Explanation
	sets [2]*search
}

// share gives each of two sets what changes both: with the odds that it has
// beside the best that can be said of the other set without it.
func share(sets []*search) {
	alone := map[*search]float64{}
	for _, s := range sets {
		alone[s] = plus(0, s.pair)
		for _, x := range s.found {
			alone[s] = plus(alone[s], x.Odds)
		}
	}
	for _, s := range sets {
		for _, j := range s.joint {
			for i, t := range j.sets {
				x := j.Explanation
				if x.Odds -= alone[j.sets[1-i]]; x.Odds > small {
					t.found = append(t.found, x)
				}
			}
		}
	}
}

// search is the comparison for one set.
type search struct {
	Books
	e            *ledger.Evidence
	data         []ledger.Datum
	base         *ledger.Rest
	ways         []way // the ways in which labels and yields may be odd
	total        float64
	rests        [][]left
	bests        []float64
	found        []Explanation // Odds holds the logarithm of the odds against honest
	joint        []joint
	looked, fine bool
	pair         float64 // likewise, of more than one slip
}

// way is one choice of which weak data lie in their tails. log is its
// probability given that all entries are honest.
type way struct {
	fit   *ledger.Rest
	log   float64
	loose []float64 // nil for none
	prior float64   // its logarithm
}

func newSearch(b Books, e *ledger.Evidence) *search {
	return &search{Books: b, e: e, data: e.Data(), base: e.Fit(nil), pair: math.Inf(-1)}
}

// plainly is how many standard deviations a reading (a label, a volume) may lie
// from the others' prediction for books that are not searched.
const plainly = 2.5

// plain says whether nothing needs explaining.
func (s *search) plain() bool {
	if s.looked {
		return s.fine
	}
	s.looked = true
	for i := range s.data {
		if p := s.base.Predict(i); math.Abs(s.data[i].Value-p.Value) > plainly*math.Hypot(p.U, p.Own) {
			return false
		}
	}
	s.fine = true
	return true
}

// tail is how far a datum may lie off beside its stated uncertainty: relative
// standard deviation, or a multiple of the stated one, and prior probability.
type tail struct{ u, times, prior float64 }

var tails = map[ledger.DatumKind][]tail{
	ledger.LabelDatum:   {{u: 0.15, prior: 0.05}, {u: 1, prior: 2e-4}},
	ledger.VolumeDatum:  {{u: 0.20, prior: 0.20}, {u: 0.60, prior: 0.05}},
	ledger.ReadingDatum: {{times: odd, prior: oddOnes}},
}

// weigh fits the set for each way in which one weak datum, or two that each
// help, lie in their tails.
func (s *search) weigh() {
	if s.ways != nil {
		return
	}
	type single struct {
		at            int
		loose, log, z float64
	}
	s.ways = []way{{fit: s.base, log: s.base.LogEvidence()}}
	var help []single
	for i, d := range s.data {
		p := s.base.Predict(i)
		if math.Abs(d.Value-p.Value) < 2*math.Hypot(p.U, p.Own) {
			continue
		}
		for _, t := range tails[d.Kind] {
			x := single{at: i, loose: max(1, t.times, t.u*d.Value/p.Own), log: math.Log(t.prior)}
			x.z = s.way(s.loosen(x.at, x.loose, 0, 1), x.log)
			if x.z > s.ways[0].log+1 {
				help = append(help, x)
			}
		}
	}
	slices.SortStableFunc(help, func(a, b single) int { return cmp.Compare(b.z, a.z) })
	help = help[:min(len(help), mostPairs)]
	for i, x := range help {
		for _, y := range help[:i] {
			if x.at != y.at {
				s.way(s.loosen(x.at, x.loose, y.at, y.loose), x.log+y.log)
			}
		}
	}
	s.total = math.Inf(-1)
	for _, w := range s.ways {
		s.total = plus(s.total, w.log)
	}
	for i := range s.ways {
		s.ways[i].log -= s.total
	}
}

// mostPairs is among how many of the data in their tails pairs are tried.
const mostPairs = 4

func (s *search) way(loose []float64, prior float64) float64 {
	f := s.e.Fit(loose)
	s.ways = append(s.ways, way{f, f.LogEvidence() + prior, loose, prior})
	return f.LogEvidence() + prior
}

func (s *search) loosen(i int, by float64, j int, also float64) []float64 {
	out := make([]float64, len(s.data))
	for k := range out {
		out[k] = 1
	}
	out[i] *= by
	out[j] *= also
	return out
}

// plus is log(exp(a) + exp(b)).
func plus(a, b float64) float64 {
	if a < b {
		a, b = b, a
	}
	if math.IsInf(b, -1) {
		return a
	}
	return a + math.Log1p(math.Exp(b-a))
}

func elapsed(hours int) time.Duration { return time.Duration(hours) * time.Hour }
