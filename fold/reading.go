package fold

import (
	"cmp"
	"math"
	"strings"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/ledger"
	"vialwright/nuclide"
	"vialwright/quantity"
)

// enterRead takes a meter reading in. What is read and what is net:
//
//	y = gross − background
//	u(background) = background-u, or repeatability·background
//	floor = δ/√12, δ the step of the last digit of gross (JCGM 100:2008, F.2.2.1)
//
// No display has a finer step than 1 Bq.
func enterRead(x *fact.Read, f *folder, s *step) *fact.Refusal {
	if err := cmp.Or(f.knowsMeter(s, "meter", x.Meter), checkSources(&x.Sources, s)); err != nil {
		return err
	}
	if o := f.orders[x.For]; o != nil && o.from == "" {
		return s.refuse("for", "not-infused", "enter the infusion, at an earlier time", "nothing of order %s was given by then, so there is no residual", x.For)
	}
	c, err := f.is(s, "of", x.Of)
	if err != nil {
		return err
	}
	for _, a := range []struct {
		field string
		quantity.Stated[quantity.Activity]
	}{{"gross", x.Gross}, {"background", x.Background}, {"background-u", x.BackgroundU}} {
		if err := s.activity(a.field, a.Stated, 0); err != nil {
			return err
		}
	}
	if backgroundSlip(x) {
		return s.refuse("background", "background-above-gross", "check the background and its unit; gross is the reading before it is taken away",
			"the background %s is more than twice the reading %s", x.Background.Text, x.Gross.Text)
	}
	net, err := f.net(s, x, c)
	if err != nil {
		return err
	}
	if entered := f.out.Book.Read(net); entered != nil {
		return f.fromBook(s, entered)
	}
	f.out.Readings = append(f.out.Readings, dispensing.Reading{
		Entry: s.entry, Of: x.Of, Meter: x.Meter, At: x.At, Gross: x.Gross.Value, Background: x.Background.Value, Basis: net.Basis,
		Source: x.Source, Written: x.Gross.Text, Setting: x.Setting, Insert: x.Insert,
	})
	return nil
}

// net is a reading of a container with the background taken away, with the
// factors of its meter.
func (f *folder) net(s *step, x *fact.Read, c ledger.Container) (ledger.Reading, *fact.Refusal) {
	m, set := f.meterAt(x.Meter, x.At), f.sets.Of(x.Of)
	g, err := geometryFor(s, m, c, f.out.Book.Volume(x.Of))
	if err != nil {
		return ledger.Reading{}, err
	}
	repeat := float64(m.Repeatability.Value)
	bu := x.BackgroundU.Value
	if x.BackgroundU.IsZero() {
		bu = quantity.Activity(repeat) * x.Background.Value
	}
	return ledger.Reading{
		Entry: s.entry, Of: x.Of, At: s.at, Net: x.Gross.Value - x.Background.Value, Relative: repeat, Background: bu,
		Floor: max(x.Gross.Step(), quantity.Becquerel) / quantity.Activity(math.Sqrt(12)),
		Gain:  f.gain(m, g.Basis, set), Geometry: f.geometry(m, c.Kind, g, set), Basis: g.Basis,
	}, nil
}

// nearZero is what an activity meter may show beside nothing; a background is
// well below it (common practice, no source).
const nearZero = quantity.MegaBecquerel

// backgroundSlip tells that a background cannot belong to a reading, which
// holds it: an empty container may read a little less than the background
// taken before, but a background of more than twice the reading and nearZero
// is a slip of the unit or of the field.
func backgroundSlip(x *fact.Read) bool { return x.Background.Value > 2*x.Gross.Value+nearZero }

// geometryFor is the geometry of a meter for a container as filled.
func geometryFor(s *step, m *meter, c ledger.Container, v quantity.Volume) (*fill, *fact.Refusal) {
	if len(m.fills[c.Kind]) == 0 {
		return nil, s.refuse("meter", "no-geometry", "add the geometry from the meter's geometry test, or read it with another meter",
			"meter %s has no factor for the kind %s, which %s is of", m.ID, c.Kind, c.ID)
	}
	g := m.fillFor(c.Kind, v)
	if g == nil {
		return nil, s.refuse("meter", "no-fill", "add a factor for this volume, or check the volumes of the entries before",
			"meter %s has no factor for the kind %s with %g mL in it", m.ID, c.Kind, float64(v))
	}
	return g, nil
}

func enterInfuse(x *fact.Infuse, f *folder, s *step) *fact.Refusal {
	o := f.orders[x.For]
	if x.From != "" {
		if err := f.source(s, x.From); err != nil {
			return err
		}
		if of := f.out.Serves[x.From]; of != o.ID {
			return s.refuse("from", "order-mismatch", "check the ids before anything is given",
				"%s does not hold the dose of order %s", x.From, o.ID)
		}
	}
	return f.give(s, o, x.From, "from")
}

// give moves a dose from its container to the patient: all of the liquid, and
// of the activity what does not stay behind. With both readings of a residual
// that share is measured; until then the share r that the order allows for is
// expected:
//
//	share = 1 − f measured, or 1 − r with u = max(r, 2 %), [dispensing.Order.StaysU]
//
// One that was stopped gave anything from nothing to all (a rectangular
// distribution, JCGM 100:2008 4.3.7): share = 1/2, u = 1/√12.
func (f *folder) give(s *step, o *order, from, field string) *fact.Refusal {
	if from == "" {
		var err *fact.Refusal
		if from, err = f.holder(s, o); err != nil {
			return err
		}
	}
	out := infusionOf(s, o, from)
	share := ledger.Share{Value: 1 - float64(o.AllowedShare()), U: float64(o.StaysU())}
	if out.Stopped() {
		share = ledger.Share{Value: 0.5, U: 1 / math.Sqrt(12)}
	}
	m := ledger.Movement{
		Entry: s.entry, At: s.at, From: from, To: o.ID, Volume: f.out.Book.Volume(from),
		Yield: share,
	}
	if o.before != nil && o.after != nil && !o.halfMended() {
		stayed, u, err := dispensing.ResidualFraction(doseReading(o.before), doseReading(o.after), f.out.HalfLife.Value, f.policyOf(o.afterStep).ResidualU)
		if err != nil {
			return o.residualRefused(err)
		}
		m.Measured = ledger.Share{Value: 1 - stayed, U: u, Between: nuclide.Elapsed(o.before.At, o.after.At)}
	}
	if err := f.out.Book.Open(ledger.Container{ID: o.ID, Kind: ledger.Territory}, s.at); err != nil {
		return f.fromBook(s, err, "id", "for")
	}
	if err := f.out.Book.Move(m); err != nil {
		return f.fromBook(s, err, "into", "for", "from", field, "at", "start")
	}
	if err := f.setApart(o, from, s.at); err != nil {
		return err
	}
	o.from = from
	f.out.Infusions = append(f.out.Infusions, out)
	return nil
}

func infusionOf(s *step, o *order, from string) dispensing.Infusion {
	out := dispensing.Infusion{Entry: s.entry, For: o.ID, From: from, Start: s.at, Implied: s.implied}
	if x, ok := s.fact.(*fact.Infuse); ok {
		out.Stop, out.Reason, out.OfSet = x.Stop, string(x.Reason), x.Reason.OfSet()
		out.Evidence, out.Text, out.Treated, out.PathFree = x.Evidence, x.Text, x.Treated, saysOf(x.PathFree)
	}
	return out
}

// halfMended tells that one of the two readings was corrected, and the unit of the other
// does not turn into its own: where both were typed in a wrong unit, one is mended before
// the other. Until then they say nothing, and a stop says so.
func (o *order) halfMended() bool {
	mended := o.beforeStep.written != o.beforeStep.entry || o.afterStep.written != o.afterStep.entry
	return mended && quantity.Family(o.before.Background) != quantity.Family(o.after.Background)
}

// residualRefused puts a refusal of the two readings where the reading is.
func (o *order) residualRefused(err error) *fact.Refusal {
	r, _ := err.(*dispensing.ResidualError)
	at := o.afterStep
	if r.Field == "before" {
		at = o.beforeStep
	}
	return at.refuse(r.Field, r.Code, r.Hint, "%s", r.Msg)
}

// holder finds the container a dose is given from: the only administration
// vial of the order with something in it, or else the only such syringe.
func (f *folder) holder(s *step, o *order) (string, *fact.Refusal) {
	for _, kind := range []ledger.Kind{ledger.AdministrationVial, ledger.Syringe} {
		var found []string
		for _, id := range o.holders {
			if c, _ := f.out.Book.Container(id); c.Kind == kind && f.out.Book.Volume(id) > 0 {
				found = append(found, id)
			}
		}
		switch len(found) {
		case 0:
		case 1:
			return found[0], nil
		default:
			return "", s.refuse("for", "two-sources", "name the one it was given from in an infuse entry, with from:",
				"the dose of order %s is in %s", o.ID, strings.Join(found, " and "))
		}
	}
	return "", s.refuse(s.timeField("for"), "nothing-to-give", "enter the draw and the transfer, or check their times",
		"no container holds a dose of order %s at %s", o.ID, f.clock(s.at))
}

// checkSources refuses a line that no meter can have sent.
func checkSources(s *fact.Sources, at *step) *fact.Refusal {
	for _, x := range []struct{ field, source, line string }{
		{"line", s.Source, s.Line}, {"background-line", s.BackgroundSource, s.BackgroundLine},
	} {
		if x.line != "" && (x.source == "" || x.source == fact.Typed) {
			return at.refuse(x.field, "line-without-meter", "name the meter as the source, or leave the line out",
				"a line stands here as a meter sent it, and no meter is its source")
		}
	}
	return nil
}
