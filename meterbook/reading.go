package meterbook

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/quantity"
)

// The codes of what the book has against a reading.
const (
	MeterWithdrawn dispensing.Code = "meter-withdrawn"
	MeterRange     dispensing.Code = "meter-range"
	MeterFill      dispensing.Code = "meter-fill"
	MeterSetUp     dispensing.Code = "meter-set-up"
	MeterBasis     dispensing.Code = "meter-basis"
	MeterOverdue   dispensing.Code = "meter-overdue"
)

// Reading is a reading of a dose or a vial, as far as the book has to know it.
type Reading struct {
	Meter string
	At    time.Time
	Net   quantity.Activity
	// Setting and Insert are as noted; empty where nobody noted them.
	Setting, Insert string
	// Container is its kind, Volume its fill, 0 where not known, Basis the scale that
	// the reading is taken on; empty where not known.
	Container string
	Volume    quantity.Volume
	Basis     quantity.Basis
}

// rectangle is the standard uncertainty of a tolerance taken as the half-width of a
// rectangle (JCGM 100:2008, 4.3.7).
func rectangle(l Limit) quantity.Fraction { return l.Tolerance / quantity.Fraction(math.Sqrt(3)) }

// Doubts are what the book has against a reading: an instrument that was withdrawn,
// another basis, setting or insert than those of the calibration, a fill or a size that
// was not tested, an overdue test; each says what it adds to the relative standard
// uncertainty. There are none of an instrument that the book does not have.
func (b *Book) Doubts(r Reading) (out []Finding) {
	i := b.Find(r.Meter)
	if i == nil || len(i.Versions) == 0 {
		return nil
	}
	say := func(code dispensing.Code, s dispensing.Severity, extra quantity.Fraction, hint, text string, args ...any) {
		does := " No uncertainty can be given to the reading."
		if !math.IsNaN(float64(extra)) {
			does = fmt.Sprintf(" It adds %s to the standard uncertainty of the reading, in quadrature.", quantity.FormatDigits(extra, 2, "%"))
		}
		out = append(out, Finding{code, s, i.ID, r.At, 0, fmt.Sprintf(text, args...) + does, hint})
	}
	none := quantity.Fraction(math.NaN())
	if x := i.As(r.At); x != nil && x.State == fact.Withdrawn {
		say(MeterWithdrawn, dispensing.Stop, none, "Read again with an instrument in use.", "%s was withdrawn on %s.", i.ID, b.On(x.At))
	}
	b.doubtFactor(i, r, none, say)
	if low, high, ok := i.tested(r); ok && (r.Net > high || r.Net < low) {
		text := fmt.Sprintf("is %.2g times the top of the range that its meter was tested for, %s", float64(r.Net/high), shown(float64(high), "Bq"))
		if r.Net < low {
			text = "is below the range that its meter was tested for, from " + shown(float64(low), "Bq")
		}
		say(MeterRange, dispensing.Warn, rectangle(b.Rules.Linearity), "Test the linearity over the range in use.", "The reading of %s %s.", shown(float64(r.Net), "Bq"), text)
	}
	grave := dispensing.Warn
	if b.Rules.Blocks {
		grave = dispensing.Stop
	}
	for _, d := range i.overdue(b, r) {
		say(MeterOverdue, grave, rectangle(b.Rules.Constancy), "Make the test, or give the reason for working without it.", "%s", d)
	}
	return out
}

func (b *Book) doubtFactor(i *Instrument, r Reading, none quantity.Fraction, say func(code dispensing.Code, s dispensing.Severity, extra quantity.Fraction, hint, text string, args ...any)) {
	any := i.Calibration(r.Container, 0, r.Basis, r.At)
	c := i.Calibration(r.Container, r.Volume, r.Basis, r.At)
	name := plain(r.Container)
	switch {
	case any == nil && i.Calibration(r.Container, 0, "", r.At) != nil:
		say(MeterBasis, dispensing.Stop, none, "Read on the scale of the prescriptions.", "%s has no factor for the %s on the %s basis.", i.ID, name, r.Basis)
		return
	case any == nil:
		return
	case c == nil:
		say(MeterFill, dispensing.Warn, none, "Test the geometry at this volume; nothing is extrapolated.", "%s was not tested with the %s at a fill of %s.", i.ID, name, quantity.Show(r.Volume, 0))
		c = any
	}
	differs := func(what, noted, wanted string) {
		if noted != "" && wanted != "" && spelled(noted) != spelled(wanted) {
			say(MeterSetUp, dispensing.Stop, none, "Read again with the "+what+" of the calibration.", "The %s was %s, and the factor of the %s holds for %s.", what, noted, name, wanted)
		}
	}
	differs("setting", r.Setting, c.Setting)
	differs("insert", r.Insert, c.Insert)
}

// tested is the range over which an instrument was tested: that of its calibration
// for the container, or else of its last good linearity test.
func (i *Instrument) tested(r Reading) (low, high quantity.Activity, ok bool) {
	if c := i.Calibration(r.Container, r.Volume, r.Basis, r.At); c != nil && !c.High.IsZero() {
		return c.Low.Value, c.High.Value, true
	}
	if t := i.Range(r.Setting, r.At); t != nil {
		return t.Low, t.High, true
	}
	return 0, 0, false
}

// Tested is the range over which an instrument was tested for a kind of container at a
// moment; false where no entry says.
func (i *Instrument) Tested(container string, at time.Time) (low, high quantity.Activity, ok bool) {
	return i.tested(Reading{Container: container, At: at})
}

// Range is the last good test of linearity of an instrument up to a moment, by decay or by
// sleeves, whose range it was tested over; nil for none. One on another setting counts for
// nothing where both are noted: as much current is another activity there.
func (i *Instrument) Range(setting string, at time.Time) *Test {
	return i.Last(func(t *Test) bool {
		other := t.Setting != "" && setting != "" && spelled(t.Setting) != spelled(setting)
		return t.High > 0 && !other && !t.At.After(at) && (t.Verdict == Good || t.Verdict == Warned)
	})
}

// overdue says which tests were overdue at the moment of a reading, and whether the
// calibration was that it rests on; those of other containers are left out.
func (i *Instrument) overdue(b *Book, r Reading) (out []string) {
	then := *i
	then.Now, then.Due = i.As(r.At), nil
	as := *b
	as.At = r.At
	as.due(&then)
	if r.Container != "" {
		then.Due = slices.DeleteFunc(then.Due, func(d Due) bool { return d.Container != "" })
		c := cmp.Or(i.Calibration(r.Container, r.Volume, r.Basis, r.At), i.Calibration(r.Container, 0, r.Basis, r.At))
		if d, ends := as.lapse(&then, c); ends {
			then.Due = append(then.Due, d)
		}
	}
	for _, d := range then.Due {
		if d.Overdue {
			out = append(out, d.Text(b.Zone))
		}
	}
	return out
}
