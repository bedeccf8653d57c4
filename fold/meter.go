package fold

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"time"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/journal"
	"vialwright/ledger"
	"vialwright/quantity"
)

// meter is a calibration of a meter with the factors made for it so far.
type meter struct {
	*fact.Meter
	recorded time.Time
	gains    map[gain]ledger.FactorID
	fills    map[ledger.Kind][]fill
}

// gain is what a calibration factor is common to: the readings of a set on one
// basis.
type gain struct {
	set   string
	basis quantity.Basis
}

// fill is a geometry with the volumes it is for, both ends included. factors
// are those in the book, by their set.
type fill struct {
	*fact.Geometry
	item     int // its number in the list, from 1
	min, max quantity.Volume
	factors  map[string]ledger.FactorID
}

// tinyVolume absorbs the rounding of added volumes, as the book does.
const tinyVolume = 1e-6 * quantity.Millilitre

// anyVolume is the upper end where a geometry names no volumes.
const anyVolume = 1e9 * quantity.Litre

// meter takes a meter, the nth of the case. It has a place of its own for each
// kind of container.
func (f *folder) meter(m *fact.Meter, e journal.Record, n int, work bool) *fact.Refusal {
	path := "meters[" + strconv.Itoa(n) + "]"
	share := func(name string, x quantity.Stated[quantity.Fraction]) *fact.Refusal {
		if x.Value >= 1 {
			return fact.AtTop(path+"."+name, "out-of-range", x.Text+" is not below 100 %", "check the number")
		}
		return nil
	}
	periods := f.meters[m.ID]
	if !work && m.From.IsZero() && m.Reason != "" {
		periods = nil // it was set again before anything was read
	}
	switch {
	case len(periods) > 0 && m.Reason == "":
		return fact.AtTop(path+".id", "duplicate-id", "there is a meter "+m.ID+" already", "give it another id, or write from: and reason: for a new calibration of it")
	case len(periods) > 0 && !m.From.After(periods[len(periods)-1].From):
		return fact.AtTop(path+".from", "from-past", "the calibration of "+m.ID+" before it does not begin earlier", "write them in the order in which they begin")
	}
	given := e
	if len(periods) > 0 && periods[0].recorded.Equal(e.Recorded) {
		given.Recorded = time.Time{} // it came with the meter itself, so that nothing rested on what was before
	}
	if err := cmp.Or(
		f.dated(path, m.From, given, work && len(periods) > 0, false),
		share("calibration-u", m.CalibrationU), share("repeatability", m.Repeatability),
	); err != nil {
		return err
	}
	own := &meter{Meter: m, recorded: e.Recorded, gains: map[gain]ledger.FactorID{}, fills: map[ledger.Kind][]fill{}}
	for _, kind := range []ledger.Kind{ledger.ShippingVial, ledger.Syringe, ledger.AdministrationVial, ledger.ResidualParts, ledger.WasteItem} {
		fills, err := fillsOf(m.Geometry.For(string(kind)), path+".geometry."+string(kind))
		if err != nil {
			return err
		}
		own.fills[kind] = fills
	}
	f.meters[m.ID] = append(periods, own)
	return nil
}

// meterAt is the calibration of a meter that held at a moment, nil where none
// had begun.
func (f *folder) meterAt(id string, at time.Time) *meter {
	for _, m := range slices.Backward(f.meters[id]) {
		if !m.From.After(at) {
			return m
		}
	}
	return nil
}

// fillsOf checks the geometries of a kind of container: factors above zero,
// and where there are several, volumes that neither overlap nor leave a gap.
func fillsOf(list []fact.Geometry, path string) ([]fill, *fact.Refusal) {
	var out []fill
	for i := range list {
		g := &list[i]
		at := path + "[" + strconv.Itoa(i+1) + "]"
		x := fill{Geometry: g, item: i + 1, max: anyVolume, factors: map[string]ledger.FactorID{}}
		switch {
		case g.Factor.Value <= 1/mostFactor || g.Factor.Value >= mostFactor:
			return nil, fact.AtTop(at+".factor", "out-of-range", g.Factor.Text+" is no factor of a meter", "it is reading over activity, near 1")
		case g.U.Value >= 1:
			return nil, fact.AtTop(at+".u", "out-of-range", g.U.Text+" is not below 100 %", "check the number")
		case g.Fill == nil && len(list) > 1:
			return nil, fact.AtTop(at, "fill-missing", "it is one of several factors and has no fill volumes", "write fill: [1 mL, 3 mL] in each")
		}
		if g.Fill != nil {
			if bad := checkRange(g.Fill); bad != "" {
				return nil, fact.AtTop(at+".fill", "out-of-range", bad, "write the smaller volume first")
			}
			x.min, x.max = g.Fill.Min.Value, g.Fill.Max.Value
		}
		out = append(out, x)
	}
	slices.SortStableFunc(out, func(a, b fill) int { return cmp.Compare(a.min, b.min) })
	for i := 1; i < len(out); i++ {
		if low, high := out[i-1], out[i]; low.max != high.min {
			return nil, fact.AtTop(fmt.Sprintf("%s[%d].fill", path, high.item), "fill-gap",
				fmt.Sprintf("the volumes from %s do not follow on those to %s", high.Fill.Min.Text, low.Fill.Max.Text), "let each begin where the one before ends")
		}
	}
	return out, nil
}

// gain is the factor common to all readings of a set under one calibration and
// on one basis:
//
//	k_m, prior 1, u = calibration-u
func (f *folder) gain(m *meter, basis quantity.Basis, set string) ledger.FactorID {
	at := gain{set, basis}
	id, ok := m.gains[at]
	if !ok {
		name := m.ID + " calibration"
		if basis != quantity.LabelBasis {
			name += ", " + string(basis)
		}
		id = f.out.Book.AddFactor(ledger.Factor{Name: name, Value: 1, U: float64(m.CalibrationU.Value), Same: m.period(name)})
		m.gains[at] = id
	}
	return id
}

// period names a factor of the meter as it is under this calibration: the readings
// of every set share its error.
func (m *meter) period(name string) string {
	return name + " from " + m.From.UTC().Format(time.RFC3339)
}

// meterUs says how well each vial would be read: by the least certain of the
// meters that read it on the basis of the prescriptions, since nobody knows yet
// which it will be.
func (f *folder) meterUs() {
	f.out.Meters = map[string]dispensing.MeterU{}
	for _, v := range f.out.Vials {
		worst := -1.0
		for _, id := range slices.Sorted(maps.Keys(f.meters)) {
			m := f.meters[id][len(f.meters[id])-1]
			g := m.fillFor(ledger.ShippingVial, f.out.Book.Volume(v.ID))
			if g == nil || g.Basis != f.out.Policy.Basis {
				continue
			}
			u := dispensing.MeterU{Repeat: float64(m.Repeatability.Value), Common: math.Hypot(float64(m.CalibrationU.Value), float64(g.U.Value))}
			if size := math.Hypot(u.Repeat, u.Common); size > worst {
				f.out.Meters[v.ID], worst = u, size
			}
		}
	}
}

// fillFor is the geometry of a meter for a kind of container with a volume in
// it, nil where it has none. At a volume where two meet, the lower is taken.
func (m *meter) fillFor(kind ledger.Kind, v quantity.Volume) *fill {
	fills := m.fills[kind]
	for i := range fills {
		if g := &fills[i]; v >= g.min-tinyVolume && v <= g.max+tinyVolume {
			return g
		}
	}
	return nil
}

// geometry is the factor common to all readings of a set by a meter in one
// geometry:
//
//	s_g, prior factor, u = factor·u
func (f *folder) geometry(m *meter, kind ledger.Kind, g *fill, set string) ledger.FactorID {
	id, ok := g.factors[set]
	if ok {
		return id
	}
	name := m.ID + " " + string(kind)
	if g.Fill != nil {
		name += " " + g.Fill.Min.Text + " to " + g.Fill.Max.Text
	}
	id = f.out.Book.AddFactor(ledger.Factor{Name: name, Value: g.Factor.Value, U: g.Factor.Value * float64(g.U.Value), Same: m.period(name)})
	g.factors[set] = id
	return id
}
