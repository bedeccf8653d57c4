package web

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"sync"
	"time"

	"vialwright/dispensing"
	"vialwright/journal"
	"vialwright/procedure"
	"vialwright/quantity"
	"vialwright/settling"
)

// readingWithin is how far off a reading may be by settling before the bench
// says so: an assumption, and said to be one.
const readingWithin = quantity.Fraction(0.01)

// curve is what one reading curve of the journal gave.
type curve struct {
	dispensing.ReadingCurve
	// name is that of its case.
	name string
	fit  settling.Settled
	// err is why there is no fit; nil where there is one.
	err error
}

// curves keeps the reading curves of each case, until the case grows.
type curves struct {
	mu   sync.Mutex
	seen map[string]int
	of   map[string][]*curve
}

func newCurves() *curves { return &curves{seen: map[string]int{}, of: map[string][]*curve{}} }

// take looks at a case again if it has grown.
func (k *curves) take(f *file, zones journal.Zones) []*curve {
	if k.seen[f.Name] == len(f.Records) {
		return k.of[f.Name]
	}
	k.seen[f.Name] = len(f.Records)
	delete(k.of, f.Name)
	if !hasCurve(f) {
		return nil
	}
	c, err := journal.Fold(f.Facts(), zones)
	if err != nil {
		return nil // the page of the case says what is wrong
	}
	for _, x := range c.Curves {
		one := &curve{ReadingCurve: x, name: f.Name}
		one.fit, one.err = settling.FitReadings(x.Readings)
		k.of[f.Name] = append(k.of[f.Name], one)
	}
	return k.of[f.Name]
}

func hasCurve(f *file) bool {
	return slices.ContainsFunc(f.Entries(), func(e journal.Entry) bool {
		_, ok := e.Fact.(*journal.ReadingCurve)
		return ok
	})
}

// curve is the newest reading curve of a meter and a kind of vial over all
// cases; nil for none. Of two of one time it is that recorded last.
func (s *Server) curve(meter, kind string) (newest *curve) {
	all := s.lab.Cases()
	s.curves.mu.Lock()
	defer s.curves.mu.Unlock()
	for i := range all {
		for _, x := range s.curves.take(all[len(all)-1-i], s.Zones) {
			if x.Meter == meter && x.Vial == kind && (newest == nil || !x.At.Before(newest.At)) {
				newest = x
			}
		}
	}
	return newest
}

// off says beside the clock, where a vial is read, how long a reading of it can
// be taken as it stands, by each meter for which that was measured. It corrects
// nothing.
func (b *bench) off(key procedure.Key, v dispensing.VialResult, shaken time.Time) (out []string) {
	if key != procedure.Assay && key != procedure.Remainder || b.q.blind(b.state, b.order.ID) {
		return nil
	}
	for _, m := range meters(b.file) {
		x := b.q.curve(m, v.Vial.Kind())
		if x == nil || x.err != nil {
			continue
		}
		text := m + ": " + x.within()
		if !shaken.IsZero() {
			text += x.now(quantity.Span(math.Max(0, b.q.now.Sub(shaken).Seconds())))
		}
		if math.Abs(float64(v.RemainingVolume-x.Volume)) > 0.1*float64(x.Volume) {
			text += " That was measured with " + quantity.FormatDigits(x.Volume, 3, "mL") + " in the vial, which holds " + quantity.FormatDigits(v.RemainingVolume, 3, "mL") + " now."
		}
		out = append(out, strings.ReplaceAll(text, " %", "\u00a0%"))
	}
	return out
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
