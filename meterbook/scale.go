package meterbook

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"vialwright/dispensing"
	"vialwright/dose"
	"vialwright/fact"
	"vialwright/meter"
	"vialwright/quantity"
)

// Scales are the two scales of an instrument for a shipping vial at a moment, where it has
// a factor on each.
func (i *Instrument) Scales(at time.Time) (meter.Scale, bool) {
	label, traceable := i.Calibration(shippingVial, 0, quantity.LabelBasis, at), i.Calibration(shippingVial, 0, quantity.TraceableBasis, at)
	if label == nil || traceable == nil {
		return meter.Scale{}, false
	}
	s, err := meter.ScaleOf(quantity.Fraction(label.Factor.Value), label.U.Value, quantity.Fraction(traceable.Factor.Value), traceable.U.Value)
	return s, err == nil
}

// Ordered is an order as a change of scale sees it: Tolerance is that of its rules, Basis
// the scale that it is written on, Doses are the mean absorbed doses that its check has.
type Ordered struct {
	Order      string
	Prescribed quantity.Activity
	Tolerance  quantity.Fraction
	Basis      quantity.Basis
	Doses      []dose.Dose
}

// ToGive are the orders of a case of which no dose was given.
func ToGive(c dispensing.Case) (out []Ordered) {
	given := map[string]bool{}
	for _, i := range c.Infusions {
		given[i.For] = true
	}
	for _, o := range c.Orders {
		if o.Cancelled || given[o.ID] {
			continue
		}
		by := c.RulesOf(o)
		x := Ordered{Order: o.ID, Prescribed: o.Prescribed, Tolerance: by.Tolerance, Basis: by.Basis}
		if o.Dosimetry != nil && o.Dosimetry.Method != "" {
			if r, err := dose.Check(*o.Dosimetry); err == nil {
				x.Doses = r.Doses
			}
		}
		out = append(out, x)
	}
	return out
}

// Moved is a figure of an order on the scale that it is written on, and on the other.
type Moved struct{ What, Now, Then string }

// Change is what a planned change of scale does to an order: the prescription, the bounds
// of its tolerance and the absorbed doses move by the ratio of the scales, and a tolerance
// in percent does not. Kept is what the patient would get, on the scale of now, if the
// figure of the prescription were kept.
func Change(s meter.Scale, o Ordered) (out []Moved, kept string) {
	ratio, u := s.From(o.Basis)
	k, ku := float64(ratio), float64(u)
	add := func(what, now, then string) { out = append(out, Moved{what, now, then}) }
	moved := func(a quantity.Activity) string {
		return quantity.Show(a*quantity.Activity(k), a*quantity.Activity(ku)).String()
	}
	gbq := func(a quantity.Activity) string { return quantity.FormatDigits(a, 4, "GBq") }
	add("Prescription", gbq(o.Prescribed), moved(o.Prescribed))
	low, high := o.Prescribed*quantity.Activity(1-o.Tolerance), o.Prescribed*quantity.Activity(1+o.Tolerance)
	add("Tolerance of "+quantity.Show(o.Tolerance, 0).String(), gbq(low)+" to "+gbq(high), gbq(low*quantity.Activity(k))+" to "+gbq(high*quantity.Activity(k)))
	for _, d := range o.Doses {
		then := d
		then.Dose, then.U = d.Dose*quantity.AbsorbedDose(k), quantity.AbsorbedDose(math.Hypot(float64(d.U)*k, float64(d.Dose)*ku))
		add("Mean absorbed dose, "+string(d.Of), d.String(), then.String())
	}
	kept = fmt.Sprintf("If the figure of %s were kept, the patient would get %s on the scale in use now, %s.", gbq(o.Prescribed), gbq(o.Prescribed/quantity.Activity(k)), quantity.Signed(1/ratio-1, 2))
	return out, kept
}

// Fills are the factors that the tests of geometry of a kind of container come to, at each
// fill that has runs enough, the least first; of the setting and insert of the last test.
func (b *Book) Fills(i *Instrument, container string) (out []meter.FillFactor) {
	seen := map[quantity.Volume]bool{}
	var as *Test
	for n := len(i.Tests) - 1; n >= 0; n-- {
		t := &i.Tests[n]
		v := t.Fill()
		if t.Test != fact.GeometryTest || t.Container != container || t.Verdict == Unjudged || v.IsZero() || seen[v.Value] {
			continue
		}
		if as == nil {
			as = t
		}
		if spelled(t.Setting) != spelled(as.Setting) || spelled(t.Insert) != spelled(as.Insert) {
			continue
		}
		seen[v.Value] = true
		if f, err := b.Geometry(i, n); err == nil && f.Lacks(geometryU) == 0 {
			out = append(out, meter.FillFactor{Volume: v.Value, Value: f.Value, U: f.U})
		}
	}
	slices.SortFunc(out, func(x, y meter.FillFactor) int { return cmp.Compare(x.Volume, y.Volume) })
	return out
}

// Differences are the factors of doses that lie further than two standard uncertainties of
// the difference from the calibration in force on the same basis, where there is one, or from
// what the tests of geometry come to at their fills.
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
			out = append(out, b.atFills(i, m, kind, g)...)
			c := i.Calibration(kind, v, g.Basis, b.At)
			if c == nil {
				continue
			}
			u := math.Hypot(g.Factor.Value*float64(g.U.Value), c.Factor.Value*float64(c.U.Value))
			if apart(g.Factor.Value, c.Factor.Value, u) {
				out = append(out, differs(m, c.From, "Doses are calculated with a factor of %s for the %s, and the calibration of %s has %s.", g.Factor.Text, plain(kind), b.On(c.From), c.Factor.Text))
			}
		}
	}
	return out
}

// apart tells that two factors differ by more than two standard uncertainties u of their
// difference.
func apart(x, y, u float64) bool { return math.Abs(x-y) > 2*u && math.Abs(x-y) > 1e-9 }

func differs(m *fact.Meter, at time.Time, format string, args ...any) Finding {
	return Finding{"factor-differs", dispensing.Warn, m.ID, at, 0, fmt.Sprintf(format, args...), "Set the factor of the meter again, or enter the calibration or the test that is missing."}
}

func plain(kind string) string { return strings.ReplaceAll(kind, "-", " ") }

// atFills holds a factor of doses against the tests of geometry at the ends and in the
// middle of its fills: it should be s of the fill, interpolated, times the factor of the
// shipping vial on the same basis, which the tests move activity out of.
func (b *Book) atFills(i *Instrument, m *fact.Meter, kind string, g fact.Geometry) []Finding {
	tested := b.Fills(i, kind)
	vials := slices.DeleteFunc(slices.Clone(m.Geometry.For(shippingVial)), func(v fact.Geometry) bool { return v.Basis != g.Basis })
	if kind == shippingVial || len(tested) == 0 || len(vials) != 1 {
		return nil
	}
	low, high := tested[0].Volume, tested[len(tested)-1].Volume
	if g.Fill != nil {
		from, to := g.Fill.Min.Value, g.Fill.Max.Value
		if from < low || to > high {
			return []Finding{differs(m, b.At, "The factor of %s for the %s is used from %s to %s, and its geometry was tested from %s to %s: nothing is extrapolated.",
				g.Factor.Text, plain(kind), g.Fill.Min.Text, g.Fill.Max.Text, quantity.Show(low, 0), quantity.Show(high, 0))}
		}
		low, high = from, to
	}
	for _, v := range []quantity.Volume{low, (low + high) / 2, high} {
		s, err := meter.AtFill(tested, v)
		if err != nil {
			continue // between fills that were tested there is a factor
		}
		want := vials[0].Factor.Value * float64(s.Value)
		u := math.Hypot(g.Factor.Value*float64(g.U.Value), want*math.Hypot(float64(vials[0].U.Value), float64(s.U/s.Value)))
		if apart(g.Factor.Value, want, u) {
			return []Finding{differs(m, b.At, "Doses are calculated with a factor of %s for the %s, and at %s the tests of geometry come to %.4g.", g.Factor.Text, plain(kind), quantity.Show(v, 0), want)}
		}
	}
	return nil
}

// shippingVial is the container that tests of geometry move activity out of.
const shippingVial = "shipping-vial"
