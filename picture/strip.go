package picture

import (
	"html/template"
	"math"
	"time"

	"vialwright/nuclide"
	"vialwright/quantity"
)

// Strip is what [TimeStrip] draws. Form says for which room, ID tells this
// picture from the others on a page.
type Strip struct {
	ID   string
	Form Form
	// Zone is the site's: all clock times are its. nil is UTC.
	Zone *time.Location
	Now  time.Time
	// From and Until bound the axis. Without them, and where Until does not
	// lie after From, it spans now and the infusions: see [TimeStrip]. An axis
	// longer than 400 days is cut there.
	From, Until time.Time
	// HalfLife bends the curves; below a minute, above 10⁶ years and without
	// one none is drawn.
	HalfLife quantity.Span
	// Tracks lie below each other on the one axis, one for each dose.
	Tracks []Track
	// Mark is written across the top where not empty: "PRACTICE - not for
	// patient use".
	Mark string
}

// Track is one dose on the strip. A zero time is one that is not known.
type Track struct {
	// Name says whose dose it is: "P1, right lobe". On a bench screen, which says it
	// elsewhere, leave it empty.
	Name string
	// Target is the wanted activity at infusion time; Lower and Upper bound the
	// tolerance band.
	Lower, Target, Upper Level
	// LimitLow and LimitHigh are what no dose may lie beyond; a line each where it is in
	// the range of the plot.
	LimitLow, LimitHigh Level
	// Dose is what was dispensed, Planned what the plan expects. One curve is drawn:
	// the first that is known.
	Dose, Planned Curve
	Infusion      time.Time
	// ValidFrom and ValidUntil bound the valid window; those of the plan while
	// there is no dose.
	ValidFrom, ValidUntil time.Time
	Readings              []Reading
}

// Level is an activity and its text: "1.327 GBq".
type Level struct {
	Activity quantity.Activity
	Text     string
}

// Curve is a decaying activity, given at one moment, with the words written at
// it and the activity as a text for those who do not see it. An activity that
// is not from 1 mBq to 10¹⁸ Bq is not known.
type Curve struct {
	Activity quantity.Activity
	At       time.Time
	Words    string
	Text     string
}

// Reading is a measured activity, with its text.
type Reading struct {
	At       time.Time
	Activity quantity.Activity
	Text     string
}

// usable tells an activity that can be drawn: from a millibecquerel, below what
// no meter counts, to far above any vial.
func usable(a quantity.Activity) bool { return a >= 1e-3 && a < 1e18 }

func (c Curve) known() bool { return usable(c.Activity) && !c.At.IsZero() }

func (t Track) window() bool {
	return !t.ValidFrom.IsZero() && !t.ValidUntil.IsZero() && !t.ValidUntil.Before(t.ValidFrom)
}

func (t Track) banded() bool {
	return usable(t.Lower.Activity) && usable(t.Upper.Activity) && t.Lower.Activity < t.Upper.Activity
}

// nature is what a curve shows.
type nature int

const (
	nothing nature = iota
	dispensed
	planned
)

// shown is the curve to draw.
func (t Track) shown() (Curve, nature) {
	switch {
	case t.Dose.known():
		return t.Dose, dispensed
	case t.Planned.known():
		return t.Planned, planned
	}
	return Curve{}, nothing
}

// at is the activity of a curve at an instant:
//
//	A(t) = A(t₀)·2^(−(t − t₀)/T½)
func (c Curve) at(t time.Time, halfLife quantity.Span) float64 {
	return float64(c.Activity) * nuclide.Factor(halfLife, nuclide.Elapsed(c.At, t))
}

// when is the instant at which a curve has an activity:
//
//	t = t₀ + T½ log2(A(t₀)/A)
//
// in seconds from an instant, so that one far away does no harm.
func (c Curve) when(a float64, halfLife quantity.Span, from time.Time) float64 {
	return float64(nuclide.Elapsed(from, c.At)) + float64(halfLife)*math.Log2(float64(c.Activity)/a)
}

// TimeStrip draws doses against the time of day: the activity decaying, the
// tolerance band of the target, the time of infusion, now, the readings, and
// below each the valid window.
//
// A window that goes on beyond the axis ends in an arrow, and its words say
// where; so do now and an infusion outside the axis. Without From and Until
// the axis begins an hour before the earliest and ends two hours after the
// latest of now and the infusions, at a full hour; readings of the last twelve
// hours before now count as well. The height of a track is fitted to its band
// and to its curve at now and at infusion; a reading beyond it is drawn as a
// triangle at the edge.
func TimeStrip(s Strip) template.HTML { return drawStrip(s).svg }

func drawStrip(in Strip) drawn {
	s := newSheet(in.cleaned())
	s.mark()
	for i, t := range s.Tracks {
		s.track(i, t)
	}
	if len(s.Tracks) == 0 {
		s.y = s.write(s.key, ink, "No dose yet") + 6
	}
	s.foot()
	title, desc := s.words()
	return drawn{s.finish(s.Form.class(), s.width, s.y, title, desc, false), s.used}
}

func (s Strip) cleaned() Strip {
	if s.Zone == nil {
		s.Zone = time.UTC
	}
	s.Form, s.Mark = s.Form.settled(), clean(s.Mark)
	tracks := make([]Track, len(s.Tracks))
	for i, t := range s.Tracks {
		tracks[i] = t.cleaned(s.HalfLife >= quantity.Minute && s.HalfLife < 1e6*quantity.Year)
	}
	s.Tracks = tracks
	s.From, s.Until = s.axis()
	return s
}

func (t Track) cleaned(decays bool) Track {
	for _, s := range []*string{
		&t.Name, &t.Lower.Text, &t.Target.Text, &t.Upper.Text, &t.LimitLow.Text, &t.LimitHigh.Text,
		&t.Dose.Words, &t.Dose.Text, &t.Planned.Words, &t.Planned.Text,
	} {
		*s = clean(*s)
	}
	if !decays {
		t.Dose, t.Planned = Curve{}, Curve{}
	}
	readings := make([]Reading, 0, len(t.Readings))
	for _, r := range t.Readings {
		if usable(r.Activity) && !r.At.IsZero() {
			r.Text = clean(r.Text)
			readings = append(readings, r)
		}
	}
	t.Readings = readings
	return t
}
