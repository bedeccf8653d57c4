package web

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

// readingWithin is how far off a reading may be by settling before the bench
// says so: an assumption, and said to be one.
const readingWithin = quantity.Fraction(0.01)

// curve is what one reading curve of the journal gave.
type curve struct {
	dispensing.SettlingTest
	fit settling.Settled
	// err is why there is no fit; nil where there is one.
	err error
}

// curves keeps the reading curves of the site, until one is recorded or
// corrected.
type curves struct {
	lab   *replica.Replica
	zones fact.Zones
	mu    sync.Mutex
	seen  int                 // the number of the last record that was looked at
	all   map[string][]*curve // by vial
}

func newCurves(lab *replica.Replica, zones fact.Zones) *curves {
	return &curves{lab: lab, zones: zones, all: map[string][]*curve{}}
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

// take looks at what was recorded since.
func (k *curves) take() {
	isCurve := func(f fact.Fact) bool { return curveOf(f) != "" }
	all, upTo := k.lab.Kept(isCurve)
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
				one := &curve{SettlingTest: x}
				one.fit, one.err = settling.FitReadings(x.Readings)
				k.all[of] = append(k.all[of], one)
			}
		}
	}
}

// newest is the newest settling test by a meter of a kind of vial; nil for none.
// Of two of one time it is that recorded last.
func (k *curves) newest(meter, kind string) (newest *curve) {
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

// within is for how long a reading can be taken as it stands.
func (x *curve) within() string {
	until, ends := x.fit.Within(readingWithin)
	at := quantity.ShowSpan(quantity.Span(math.Floor(float64(until))))
	switch {
	case !x.fit.Effect:
		return "up to " + at + " after shaking no change of the reading was found."
	case ends && until < 1:
		return "the reading is off by more than 1 % (an assumption) within the first second after shaking."
	case !ends:
		return "up to " + at + " after shaking the reading is off by no more than 1 % (an assumption)."
	}
	return "read within " + at + " of shaking, else the reading is off by more than 1 % (an assumption)."
}

// now is how far off a reading is so long after shaking.
func (x *curve) now(since quantity.Span) string {
	off, _, err := x.fit.Off(since)
	switch {
	case !x.fit.Effect:
		return ""
	case err != nil:
		return " None was read so long after shaking as now."
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
