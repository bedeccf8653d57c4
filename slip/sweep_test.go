package slip_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"time"

	"vialwright/ledger"
	"vialwright/quantity"
	"vialwright/slip"
)

// put is a slip that was put into honest books: entry is the culprit, of kind
// datum; meant is what was meant, in Bq, mL or hours, to compare with what is
// found.
type put struct {
	entry int
	datum ledger.DatumKind
	kind  slip.Kind
	meant float64
	place string
}

// A slipper puts one slip of a kind in; ok is false where these books offer no
// place for it.
type slipper func(w *world, rng *rand.Rand) (p put, ok bool)

// one chooses an entry of a kind.
func (w *world) one(rng *rand.Rand, kind string) int {
	var of []int
	for i, x := range w.entries {
		if x.kind == kind {
			of = append(of, i)
		}
	}
	if len(of) == 0 {
		return -1
	}
	return of[rng.IntN(len(of))]
}

// rewritten changes the number of a text; it gives up where the change would be
// refused or changes nothing.
func rewritten(kind string, text func(*entry) *string, datum ledger.DatumKind, k slip.Kind, change func(rng *rand.Rand, number, unit string) (string, string)) slipper {
	return func(w *world, rng *rand.Rand) (put, bool) {
		i := w.one(rng, kind)
		if i < 0 {
			return put{}, false
		}
		t := text(&w.entries[i])
		number, unit, _ := strings.Cut(*t, " ")
		n, u := change(rng, number, unit)
		was, now := *t, n+" "+u
		if datum == ledger.VolumeDatum {
			if v, err := quantity.Parse[quantity.Volume](now); err != nil || v.Value == volume(was) || v.Value < 0.05 {
				return put{}, false
			}
			*t = now
			return put{i + 1, datum, k, float64(volume(was)), ""}, true
		}
		a, err := quantity.Parse[quantity.Activity](now)
		if err != nil || a.Value == activity(was) || a.Value < background {
			return put{}, false
		}
		*t = now
		return put{i + 1, datum, k, float64(activity(was)), ""}, true
	}
}

func pointOff(rng *rand.Rand, number, unit string) (string, string) {
	v, _ := quantity.Parse[quantity.Volume](number + " mL")
	f := []float64{10, 0.1}[rng.IntN(2)]
	return strings.TrimSuffix(fmt.Sprintf("%.4f", float64(v.Value)*f), "0"), unit
}

func digitsSwapped(rng *rand.Rand, number, unit string) (string, string) {
	b := []byte(number)
	i := rng.IntN(len(b) - 1)
	j := i + 1
	if b[j] == '.' && j+1 < len(b) {
		j++
	}
	if b[i] == '.' {
		i--
	}
	b[i], b[j] = b[j], b[i]
	return string(b), unit
}

func digitMisread(rng *rand.Rand, number, unit string) (string, string) {
	b := []byte(number)
	i := rng.IntN(len(b))
	if b[i] == '.' {
		i = 0
	}
	b[i] = byte('0' + rng.IntN(10))
	return string(b), unit
}

func unitTaken(rng *rand.Rand, number, unit string) (string, string) {
	other := map[string][]string{"GBq": {"mCi"}, "MBq": {"mCi"}, "mCi": {"GBq", "MBq"}}[unit]
	return number, other[rng.IntN(len(other))]
}

func grossActivity(e *entry) *string { return &e.activity }
func movedVolume(e *entry) *string   { return &e.volume }

// hoursOff writes another time; of a label, the reference.
func hoursOff(kind string, datum ledger.DatumKind, k slip.Kind, hours func(*rand.Rand) int) slipper {
	return func(w *world, rng *rand.Rand) (put, bool) {
		i := w.one(rng, kind)
		if i < 0 {
			return put{}, false
		}
		h := hours(rng)
		if datum == ledger.LabelDatum {
			w.entries[i].reference = w.entries[i].reference.Add(time.Duration(h) * time.Hour)
		} else {
			w.entries[i].at = w.entries[i].at.Add(time.Duration(h) * time.Hour)
		}
		return put{i + 1, datum, k, float64(h), ""}, true
	}
}

func either(rng *rand.Rand, h int) int { return h * (1 - 2*rng.IntN(2)) }

// notDrawn, twice and others change what was done, and leave what was written:
// all that came after it is made again from the truth by the generator.
func done(k slip.Kind) slipper {
	return func(w *world, rng *rand.Rand) (put, bool) {
		i := w.one(rng, "draw")
		if i < 0 {
			return put{}, false
		}
		return w.redo(rng, i, k)
	}
}

// otherRead puts another container's reading in place of one.
func otherRead(w *world, rng *rand.Rand) (put, bool) {
	i, j := w.one(rng, "read"), w.one(rng, "read")
	if i < 0 || w.entries[i].id == w.entries[j].id || j > i {
		return put{}, false
	}
	is := w.entries[i].id
	w.entries[i].activity = w.entries[j].activity
	for k := j + 1; k < i; k++ {
		if w.entries[k].id == w.entries[j].id || w.entries[k].into == w.entries[j].id {
			return put{}, false
		}
	}
	_ = is
	return put{i + 1, ledger.ReadingDatum, slip.OtherContainer, 0, w.entries[j].id}, true
}

func background2(w *world, rng *rand.Rand) (put, bool) {
	i := w.one(rng, "read")
	net := activity(w.entries[i].activity) - w.entries[i].background
	// The site is noisy today: a background of a tenth of the reading.
	b := net / 10
	was := net
	w.entries[i].background = b
	w.entries[i].activity = display(float64(net), w.unit)
	return put{i + 1, ledger.ReadingDatum, slip.GrossForNet, float64(was), ""}, true
}

// row is a line of the table.
type row struct {
	name string
	put  slipper
}

var rows = []row{
	{"reading, point moved", rewritten("read", grossActivity, ledger.ReadingDatum, slip.PointMoved, pointOff)},
	{"reading, another unit", rewritten("read", grossActivity, ledger.ReadingDatum, slip.OtherUnit, unitTaken)},
	{"reading, two digits swapped", rewritten("read", grossActivity, ledger.ReadingDatum, slip.Swapped, digitsSwapped)},
	{"reading, one digit misread", rewritten("read", grossActivity, ledger.ReadingDatum, slip.Misread, digitMisread)},
	{"reading, gross and net confused", background2},
	{"reading, another container's", otherRead},
	{"reading, time off by 1 to 14 h", hoursOff("read", ledger.ReadingDatum, slip.WrongHour, func(r *rand.Rand) int { return either(r, 1+r.IntN(14)) })},
	{"reading, time off by a day", hoursOff("read", ledger.ReadingDatum, slip.WrongDay, func(r *rand.Rand) int { return either(r, 24) })},
	{"label, point moved", rewritten("receive", grossActivity, ledger.LabelDatum, slip.PointMoved, pointOff)},
	{"label, another unit", rewritten("receive", grossActivity, ledger.LabelDatum, slip.OtherUnit, unitTaken)},
	{"label, two digits swapped", rewritten("receive", grossActivity, ledger.LabelDatum, slip.Swapped, digitsSwapped)},
	{"label, one digit misread", rewritten("receive", grossActivity, ledger.LabelDatum, slip.Misread, digitMisread)},
	{"label, reference or zone off by 1 to 14 h", hoursOff("receive", ledger.LabelDatum, slip.WrongHour, func(r *rand.Rand) int { return either(r, 1+r.IntN(14)) })},
	{"label, reference off by 1 to 7 days", hoursOff("receive", ledger.LabelDatum, slip.WrongDay, func(r *rand.Rand) int { return either(r, []int{24, 48, 72, 168}[r.IntN(4)]) })},
	{"volume, point moved", rewritten("draw", movedVolume, ledger.VolumeDatum, slip.PointMoved, pointOff)},
	{"volume, two digits swapped", rewritten("draw", movedVolume, ledger.VolumeDatum, slip.Swapped, digitsSwapped)},
	{"volume, one digit misread", rewritten("draw", movedVolume, ledger.VolumeDatum, slip.Misread, digitMisread)},
	{"nothing was drawn", done(slip.NothingMoved)},
	{"drawn twice", done(slip.MovedTwice)},
	{"drawn from another vial", done(slip.OtherSource)},
	{"drawn into another syringe", done(slip.OtherTarget)},
}

// identifiable says whether the books can tell: the slip moves its datum by
// more than six standard uncertainties of the datum against what all the others
// say, and by more than three against what they say without any single one of
// them, so that two predict it. It is asked of the honest books, with labels and
// yields as they scatter here. What was drawn from or into another container
// moves no datum of its own: there both containers have to be read after it,
// twice together.
func identifiable(w *world, was, is slip.Books, p put) bool {
	if p.kind == slip.OtherSource || p.kind == slip.OtherTarget {
		return w.shows(p)
	}
	then, i := datum(was, p)
	now, j := datum(is, p)
	if then == nil || now == nil {
		return false
	}
	data := then.Data()
	shift := math.Abs(now.Data()[j].Value - data[i].Value)
	switch {
	case p.kind.Physical():
		shift = data[i].Value
	case p.kind == slip.WrongHour || p.kind == slip.WrongDay:
		shift = data[i].Value * math.Abs(math.Exp2(p.meant/halfLife.Hours())-1)
	}
	loose := make([]float64, len(data))
	for k, d := range data {
		loose[k] = map[ledger.DatumKind]float64{ledger.ReadingDatum: 1, ledger.LabelDatum: 1.5, ledger.VolumeDatum: 2}[d.Kind]
	}
	if pr := then.Fit(loose).Predict(i); shift <= 6*math.Hypot(pr.U, pr.Own) {
		return false
	}
	for k := range loose {
		if k == i {
			continue
		}
		kept := loose[k]
		loose[k] = 1e3
		q := then.Fit(loose).Predict(i)
		loose[k] = kept
		if shift <= 3*math.Hypot(q.U, q.Own) {
			return false
		}
	}
	return true
}

// shows says whether two readings after a draw show where it went: of the other
// vial and of its own, or of either syringe.
func (w *world) shows(p put) bool {
	x, seen := w.entries[p.entry-1], map[string]int{}
	for _, y := range w.entries[p.entry:] {
		if y.kind == "read" {
			seen[y.id]++
		}
	}
	if p.kind == slip.OtherSource {
		return seen[p.place] > 0 && seen[x.id] > 0
	}
	return seen[p.place] > 0 && seen[x.into] > 0
}

// datum finds the set and the datum of what was put in.
func datum(b slip.Books, p put) (*ledger.Evidence, int) {
	for _, e := range b.Book.Evidence() {
		for i, d := range e.Data() {
			if d.Entry == p.entry && d.Kind == p.datum {
				return e, i
			}
		}
	}
	return nil, 0
}

// right says whether the likeliest explanation names the culprit, and whether
// what was meant is said: by the first, or by one within a factor of twenty of
// it, which is said beside it. A value is right where the data cannot tell it
// from the true one: within three standard deviations of the datum.
func right(s slip.Set, p put, own float64) (first, meant bool) {
	for i, x := range s.Explanations {
		if i == 0 && x.Entry != p.entry {
			return false, false
		}
		if x.Entry == p.entry && x.Odds*slip.Close >= s.Explanations[0].Odds && says(x, p, own) {
			return true, true
		}
	}
	return len(s.Explanations) > 0, false
}

func says(x slip.Explanation, p put, own float64) bool {
	if x.Kind == p.kind && x.Place == p.place && (x.Hours == 0 || math.Abs(float64(x.Hours)-p.meant) < 1+3*own*float64(halfLife.Hours())) {
		return true
	}
	got := 0.0
	if v, err := quantity.Parse[quantity.Volume](x.Meant); err == nil {
		got = float64(v.Value)
	} else if a, err := quantity.Parse[quantity.Activity](x.Meant); err == nil {
		got = float64(a.Value)
	}
	return math.Abs(got/p.meant-1) < 3*own
}

// owns is the relative standard deviation of a datum about the truth.
var owns = map[ledger.DatumKind]float64{ledger.ReadingDatum: repeatability, ledger.LabelDatum: 0.0577, ledger.VolumeDatum: yieldU}
