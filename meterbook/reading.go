package meterbook

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/meter"
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

// Doubt is what the book has against a reading. Extra is the relative standard
// uncertainty that it adds; NaN where none can be given, since no factor holds.
type Doubt struct {
	Finding
	Extra quantity.Fraction
}

// rectangle is the standard uncertainty of a tolerance taken as the half-width of a
// rectangle (JCGM 100:2008, 4.3.7).
func rectangle(l Limit) quantity.Fraction { return l.Tolerance / quantity.Fraction(math.Sqrt(3)) }

// Doubts are what the book has against a reading: an instrument that was withdrawn,
// another basis, setting or insert than those of the calibration, a fill or a size that
// was not tested, an overdue test. There are none of an instrument that the book does
// not have.
func (b *Book) Doubts(r Reading) (out []Doubt) {
	i := b.Find(r.Meter)
	if i == nil || len(i.Versions) == 0 {
		return nil
	}
	say := func(code string, s Severity, extra quantity.Fraction, hint, text string, args ...any) {
		does := " No uncertainty can be given to it."
		if !math.IsNaN(float64(extra)) {
			does = fmt.Sprintf(" It adds %s to its standard uncertainty, in quadrature.", quantity.FormatDigits(extra, 2, "%"))
		}
		out = append(out, Doubt{Finding{code, s, i.ID, r.At, 0, fmt.Sprintf(text, args...) + does, hint}, extra})
	}
	none := quantity.Fraction(math.NaN())
	if x := i.As(r.At); x != nil && x.State == fact.Withdrawn {
		say(string(MeterWithdrawn), Stop, none, "Read again with an instrument in use.", "%s was withdrawn on %s.", i.ID, b.On(x.At))
	}
	b.doubtFactor(i, r, none, say)
	if low, high, ok := i.tested(r); ok && (r.Net > high || r.Net < low) {
		text := fmt.Sprintf("is %s of what its meter was tested up to, %s", times(float64(r.Net/high)), shown(float64(high), "Bq"))
		if r.Net < low {
			text = fmt.Sprintf("lies below what its meter was tested from, %s", shown(float64(low), "Bq"))
		}
		say(string(MeterRange), Warn, rectangle(b.Rules.Linearity), "Test the linearity over the range in use.", "The reading of %s %s.", shown(float64(r.Net), "Bq"), text)
	}
	for _, d := range i.overdue(b, r) {
		say(string(MeterOverdue), b.overdue(), rectangle(b.Rules.Constancy), "Make the test, or give the reason for working without it.", "%s", d)
	}
	return out
}

// times is how many times as large something is.
func times(x float64) string { return fmt.Sprintf("%.2g times the top", x) }

// overdue is how grave a test is that is overdue.
func (b *Book) overdue() Severity {
	if b.Rules.Blocks {
		return Stop
	}
	return Warn
}

// doubtFactor compares a reading with the calibration of its container.
func (b *Book) doubtFactor(i *Instrument, r Reading, none quantity.Fraction, say func(code string, s Severity, extra quantity.Fraction, hint, text string, args ...any)) {
	any := i.Calibration(r.Container, 0, r.Basis, r.At)
	c := i.Calibration(r.Container, r.Volume, r.Basis, r.At)
	name := strings.ReplaceAll(r.Container, "-", " ")
	switch {
	case any == nil && i.Calibration(r.Container, 0, "", r.At) != nil:
		say(string(MeterBasis), Stop, none, "Read on the scale of the prescriptions.", "%s has no factor for the %s on the %s basis.", i.ID, name, r.Basis)
		return
	case any == nil:
		return
	case c == nil:
		say(string(MeterFill), Warn, none, "Test the geometry at this volume; nothing is extrapolated.", "%s was tested with the %s up to other fills than %s.", i.ID, name, quantity.Show(r.Volume, 0))
		c = any
	}
	differs := func(what, noted, wanted string) {
		if noted != "" && wanted != "" && noted != wanted {
			say(string(MeterSetUp), Stop, none, "Read again with the "+what+" of the calibration.", "The %s was %s, and the factor of the %s holds for %s.", what, noted, name, wanted)
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
	for n := len(i.Tests) - 1; n >= 0; n-- {
		t := &i.Tests[n]
		if t.Test != fact.LinearityTest || t.At.After(r.At) || t.Verdict != Good && t.Verdict != Warned {
			continue
		}
		for k, x := range readings(t.MeterTest, nil) {
			if k == 0 {
				low, high = x.Net, x.Net
			}
			low, high = min(low, x.Net), max(high, x.Net)
		}
		return low, high, true
	}
	return 0, 0, false
}

// Tested is the range over which an instrument was tested for a kind of container at a
// moment; false where no entry says.
func (i *Instrument) Tested(container string, at time.Time) (low, high quantity.Activity, ok bool) {
	return i.tested(Reading{Container: container, At: at})
}

// overdue says which tests were overdue at the moment of a reading, and whether the
// calibration was that it rests on.
func (i *Instrument) overdue(b *Book, r Reading) (out []string) {
	then := *i
	then.Now, then.Due = i.As(r.At), nil
	as := *b
	as.At = r.At
	as.due(&then)
	if d, ends := as.lapse(&then, i.Calibration(r.Container, r.Volume, r.Basis, r.At)); ends && !slices.Contains(then.Due, d) {
		then.Due = append(then.Due, d)
	}
	for _, d := range then.Due {
		if d.Overdue {
			out = append(out, d.Text(b.Zone))
		}
	}
	return out
}

// Scales are the two scales of an instrument for one kind of container at a moment,
// where it has a factor on each.
func (i *Instrument) Scales(container string, at time.Time) (meter.Scale, bool) {
	label, traceable := i.Calibration(container, 0, quantity.LabelBasis, at), i.Calibration(container, 0, quantity.TraceableBasis, at)
	if label == nil || traceable == nil {
		return meter.Scale{}, false
	}
	s, err := meter.ScaleOf(quantity.Fraction(label.Factor.Value), label.U.Value, quantity.Fraction(traceable.Factor.Value), traceable.U.Value)
	return s, err == nil
}

// Moved is a figure on both scales.
type Moved struct{ What, Label, Traceable string }

// Change is what a planned change from the label-matched to the traceable scale does: a
// prescription and what is proportional to it move by the ratio, what is in percent does
// not.
func Change(s meter.Scale, prescribed []quantity.Activity, doses []quantity.AbsorbedDose, tolerance quantity.Fraction) (out []Moved) {
	for _, a := range prescribed {
		out = append(out, Moved{"Prescription", quantity.FormatDigits(a, 4, "GBq"), quantity.FormatDigits(s.Traceable(a), 4, "GBq")})
		t := a * quantity.Activity(tolerance)
		out = append(out, Moved{"Tolerance " + quantity.Show(tolerance, 0).String() + " of it", quantity.FormatDigits(t, 3, "GBq"), quantity.FormatDigits(s.Traceable(t), 3, "GBq")})
	}
	for _, d := range doses {
		out = append(out, Moved{"Absorbed dose", quantity.FormatDigits(d, 4, "Gy"), quantity.FormatDigits(d*quantity.AbsorbedDose(s.Ratio), 4, "Gy")})
	}
	return out
}

// Differences are the factors of doses that are not those of the calibration in force:
// another basis, or further apart than two standard uncertainties of their difference.
func (b *Book) Differences(m *fact.Meter) (out []Finding) {
	i := b.Find(m.ID)
	if i == nil || m.Geometry == nil {
		return nil
	}
	for _, kind := range fact.Containers() {
		for _, g := range m.Geometry.For(kind) {
			var v quantity.Volume
			if g.Fill != nil {
				v = (g.Fill.Min.Value + g.Fill.Max.Value) / 2
			}
			c := i.Calibration(kind, v, g.Basis, b.At)
			if c == nil {
				continue
			}
			u := math.Hypot(g.Factor.Value*float64(g.U.Value), c.Factor.Value*float64(c.U.Value))
			if d := math.Abs(g.Factor.Value - c.Factor.Value); d > 2*u && d > 1e-9 {
				out = append(out, Finding{
					"factor-differs", Warn, m.ID, c.From, 0,
					fmt.Sprintf("Doses are reckoned with a factor of %s for the %s, and the calibration of %s has %s.", g.Factor.Text, strings.ReplaceAll(kind, "-", " "), b.On(c.From), c.Factor.Text), "Set the meter anew, or enter the calibration that holds.",
				})
			}
		}
	}
	return out
}
