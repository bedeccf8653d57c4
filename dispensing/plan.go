package dispensing

import (
	"math"
	"strings"
	"time"

	"vialwright/ledger"
	"vialwright/nuclide"
	"vialwright/quantity"
	"vialwright/uncertainty"
)

// Plan is the draw that would give an order its wanted activity.
type Plan struct {
	From string
	// At is the moment the draw is planned for.
	At time.Time
	// Draw is the volume rounded to the syringe's graduation, Exact before
	// rounding, in mL.
	Draw, Exact quantity.Volume
	// Had is what the vial held at At, HadU its standard uncertainty, HadVolume
	// its volume. Then and ThenU are what that would be at infusion time.
	Had, HadU   quantity.Activity
	HadVolume   quantity.Volume
	Then, ThenU quantity.Activity
	Budget      Budget // of Had
	// Expect is what the rounded draw is expected to be at infusion time.
	Expect, ExpectU quantity.Activity
	// Conformance is the probability that the rounded draw lies inside
	// [Rules.Bounds] at infusion time; 0 where the vial does not hold it.
	Conformance float64
	// Readings is the number of replicate readings, before and after, that
	// brings the assay to the wanted confidence if the draw lands as planned;
	// 0 if MostReadings would not do.
	Readings int
	// Basis is the scale the vial's activity is on; Assayed says whether it
	// was read or is the label's.
	Basis   quantity.Basis
	Assayed bool
	// Yield is what the draw is expected to carry of what its volume holds,
	// and YieldFrom says in a sentence where that comes from; empty where the
	// site's cases have taught nothing.
	Yield     ledger.Share
	YieldFrom string
}

// Possible says whether the vial holds what the order needs. Where it does not,
// the draw has no chance: Conformance and Readings are 0.
func (p Plan) Possible() bool { return p.Exact <= p.HadVolume+nanolitre }

// MostReadings is the largest number of replicate readings worth proposing:
// each costs hand dose, and the common factors do not shrink.
const MostReadings = 20

// Wanted is the activity to draw at a moment for an order:
//
//	A_d = (A_p + R) · exp(λ(t_a − t_d))
//
// A_p prescribed at infusion time t_a, R the residual that the order allows for.
func (o Order) Wanted(at time.Time, halfLife quantity.Span) quantity.Activity {
	grow := 1 / nuclide.Factor(halfLife, nuclide.Elapsed(at, o.At))
	return quantity.Activity(float64(o.Target()) * grow)
}

// Target is the wanted activity at infusion time, A_p + R.
func (o Order) Target() quantity.Activity { return o.Prescribed + o.Allowed() }

// Allowed is the residual activity R that the order lets the draw aim higher
// by, at infusion time; 0 where it states none. A percentage r is one of what
// is dispensed:
//
//	R = A_p·r/(1 − r)
func (o Order) Allowed() quantity.Activity {
	if o.ResidualActivity > 0 {
		return o.ResidualActivity
	}
	return quantity.Activity(float64(o.Prescribed) * float64(o.Residual) / (1 - float64(o.Residual)))
}

// PrescribedText is the prescription in both units, the first as written:
// "24.3 mCi (0.8991 GBq)".
func (o Order) PrescribedText() string {
	first, other := o.PrescribedPair()
	return first + " (" + other + ")"
}

// PrescribedPair is the prescription as written, and in the other unit.
func (o Order) PrescribedPair() (first, other string) {
	f, older := quantity.Pair(o.Prescribed, 0)
	switch {
	case o.Written == "":
		return f.String(), older.String()
	case strings.HasSuffix(o.Written, "Ci"):
		return o.Written, f.String()
	}
	return o.Written, older.String()
}

// AllowedShare is the share of the wanted activity that is expected to stay
// behind, R/(A_p + R).
func (o Order) AllowedShare() quantity.Fraction {
	return quantity.Fraction(o.Allowed() / o.Target())
}

// StaysU is the standard uncertainty of the share that stays behind when an infusion is
// complete: that share itself, and 2 % at least (common practice, no source).
func (o Order) StaysU() quantity.Fraction { return max(o.AllowedShare(), 0.02) }

// AllowedText is the residual as the order states it: "2 %", "42 MBq (1.135
// mCi)" or "nothing".
func (o Order) AllowedText() string {
	switch {
	case o.ResidualActivity > 0:
		return show(o.ResidualActivity)
	case o.Residual > 0:
		return percent(o.Residual)
	}
	return "nothing"
}

// source is a vial as it stands at the moment of a draw.
type source struct {
	id       string
	at       time.Time
	activity quantity.Activity
	u        quantity.Activity
	volume   quantity.Volume
	budget   Budget
	// carried is the activity carried to a time, with its uncertainty then.
	carried func(to time.Time) (a, u quantity.Activity)
	// meter is that of its last reading, or that which would read it; nil where
	// there is none.
	meter   *MeterU
	basis   quantity.Basis
	assayed bool
}

// plan works out the draw from a source:
//
//	V = V_vial · A_d/(q·A_vial)
//
// rounded to the graduation. ok is false where the source holds nothing.
func plan(o Order, s source, p Policy, halfLife quantity.Span) (Plan, bool) {
	if s.activity <= 0 || s.volume <= 0 {
		return Plan{}, false
	}
	q := p.Yield.Value
	exact := s.volume * quantity.Volume(float64(o.Wanted(s.at, halfLife))/(q*float64(s.activity)))
	out := Plan{From: s.id, At: s.at, Exact: exact, Draw: round(exact, p.Graduation), Basis: s.basis, Assayed: s.assayed}
	if exact <= s.volume && out.Draw > s.volume+nanolitre {
		out.Draw = round(out.Draw-p.Graduation, p.Graduation) // the last mark that the vial can fill
	}
	out.Had, out.HadU, out.HadVolume, out.Budget = s.activity, s.u, s.volume, s.budget
	carry := nuclide.Factor(halfLife, nuclide.Elapsed(s.at, o.At))
	share := q * float64(out.Draw/s.volume)
	out.Expect = quantity.Activity(share * float64(s.activity) * carry)
	out.Then, out.ThenU = s.carried(o.At)
	out.ExpectU = quantity.Activity(float64(out.Expect) * drawU(float64(out.ThenU/out.Then), p, out.Draw))
	if !out.Possible() {
		return out, true
	}
	low, high := p.Rules.Bounds(o)
	out.Conformance = inside(low, high, out.Expect, out.ExpectU)
	if s.meter != nil {
		out.Readings = readingsNeeded(o, p, s, out, carry)
	}
	return out, true
}

// drawU is the relative standard uncertainty of a draw before it is assayed:
//
//	u² = (u_A/A)² + (u_q/q)² + (g/(√12·V))²
//
// the vial's activity carried to the infusion, the yield, and the setting of the plunger to within
// half a graduation g either way (JCGM 100:2008, 5.1.2 and 4.3.7).
func drawU(vial float64, p Policy, v quantity.Volume) float64 {
	if v <= 0 {
		return 0
	}
	set := float64(p.Graduation/v) / math.Sqrt(12)
	return math.Sqrt(sq(vial) + sq(p.Yield.U/p.Yield.Value) + sq(set))
}

// readingsNeeded looks for the least n with
//
//	u_n² = u_r²(y1² + y2²)/n + u_c²·D²,   y1 = vial before, y2 = y1 − D
//
// for which the conformance probability of the planned draw reaches the
// wanted confidence (JCGM 100:2008, 4.2.3: the mean of n readings).
func readingsNeeded(o Order, p Policy, s source, planned Plan, carry float64) int {
	y1 := float64(s.activity) * carry
	d := float64(planned.Expect)
	low, high := p.Rules.Bounds(o)
	random := sq(s.meter.Repeat) * (sq(y1) + sq(y1-d))
	for n := 1; n <= MostReadings; n++ {
		u := math.Sqrt(random/float64(n) + sq(s.meter.Common*d))
		if inside(low, high, planned.Expect, quantity.Activity(u)) >= float64(p.Confidence) {
			return n
		}
	}
	return 0
}

// inside is the probability that an activity at infusion time lies between two
// bounds (JCGM 106:2012, 7.2).
func inside(low, high, y, u quantity.Activity) float64 {
	prob, err := uncertainty.Conformance(float64(y), float64(u), uncertainty.Limits{Lower: float64(low), Upper: float64(high)})
	if err != nil {
		return 0 // what cannot be worked out is not known to lie inside
	}
	return prob
}

// round takes a volume to the nearest graduation mark.
func round(v, graduation quantity.Volume) quantity.Volume {
	n := math.Round(float64(v / graduation))
	// n/(1/g) instead of n·g where 1/g is whole: 21 marks of 0.1 mL is 2.1.
	if inv := math.Round(1 / float64(graduation)); math.Abs(inv*float64(graduation)-1) < 1e-9 {
		return quantity.Volume(n / inv)
	}
	return quantity.Volume(n) * graduation
}

func sq(x float64) float64 { return x * x }
