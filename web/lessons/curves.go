package lessons

import (
	"fmt"
	"math"
	"sync"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/fold"
	"vialwright/quantity"
	"vialwright/replica"
	"vialwright/settling"
)

// ReadingWithin is how far off a reading may be by settling before the bench
// says so: an assumption, and said to be one.
const ReadingWithin = quantity.Fraction(0.01)

// Curve is what one reading curve of the journal gave.
type Curve struct {
	dispensing.SettlingTest
	Fit settling.CurveFit
	// Err is why there is no fit; nil where there is one.
	Err error
}

// Curves keeps the reading curves of the site, until one is recorded or
// corrected.
type Curves struct {
	lab   *replica.Replica
	zones fact.Zones
	mu    sync.Mutex
	seen  int                 // the number of the last record that was looked at
	all   map[string][]*Curve // by vial
}

// NewCurves keeps the reading curves of a journal.
func NewCurves(lab *replica.Replica, zones fact.Zones) *Curves {
	return &Curves{lab: lab, zones: zones, all: map[string][]*Curve{}}
}

// curveOf is the vial of a settling test that a fact is of; empty for another.
func curveOf(f fact.Fact) string {
	if c, ok := f.(*fact.Correct); ok {
		f = c.With
	}
	if x, ok := f.(*fact.SettlingTest); ok {
		return x.Of
	}
	return ""
}

func (k *Curves) take() {
	all, upTo := k.lab.Kept(func(f fact.Fact) bool { _, curve := f.(*fact.SettlingTest); return curve })
	again := map[string]bool{}
	for i, r := range all {
		if r.N <= k.seen {
			continue
		}
		again[curveOf(r.Fact)] = true
		if c, ok := r.Fact.(*fact.Correct); ok {
			for _, x := range all[:i] {
				if x.N == c.Entry {
					again[curveOf(x.Fact)] = true
				}
			}
		}
	}
	k.seen = upTo
	delete(again, "")
	for of := range again {
		delete(k.all, of)
		c, err := fold.Records(k.lab.File(of).Records, k.zones)
		if err != nil {
			continue // its page says what is wrong
		}
		for _, x := range c.Curves {
			if x.Of == of {
				one := &Curve{SettlingTest: x}
				one.Fit, one.Err = settling.FitReadings(x.Readings)
				k.all[of] = append(k.all[of], one)
			}
		}
	}
}

// Newest is the newest settling test by a meter of a kind of vial; nil for none.
// Of two of one time it is that recorded last.
func (k *Curves) Newest(meter, kind string) (newest *Curve) {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.take()
	for _, list := range k.all {
		for _, x := range list {
			later := newest == nil || x.At.After(newest.At) || x.At.Equal(newest.At) && x.Entry > newest.Entry
			if x.Meter == meter && x.Vial == kind && later {
				newest = x
			}
		}
	}
	return newest
}

// Within is for how long a reading can be taken as it stands.
func (x *Curve) Within() string {
	until, ends := x.Fit.Within(ReadingWithin)
	at := quantity.ShowSpan(quantity.Span(math.Floor(float64(until))))
	switch {
	case !x.Fit.Effect:
		return "up to " + at + " after resuspension no change of the reading was found."
	case ends && until < 1:
		return "the reading is off by more than 1 % (an assumption) within the first second after resuspension."
	case !ends:
		return "up to " + at + " after resuspension the reading is off by no more than 1 % (an assumption)."
	}
	return "read within " + at + " of resuspension, else the reading is off by more than 1 % (an assumption)."
}

// Now is how far off a reading is so long after resuspension.
func (x *Curve) Now(since quantity.Span) string {
	off, _, err := x.Fit.Off(since)
	switch {
	case !x.Fit.Effect:
		return ""
	case err != nil:
		return " No reading of the test is as late as now."
	}
	return " A reading now is off by " + offBy(off) + "."
}

// offBy is how far, and which way.
func offBy(off quantity.Fraction) string {
	size := math.Abs(100 * float64(off))
	switch {
	case size < 0.05:
		return "less than 0.1 %"
	case off < 0:
		return fmt.Sprintf("about %.1f %%, too low", size)
	}
	return fmt.Sprintf("about %.1f %%, too high", size)
}
