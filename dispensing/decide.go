package dispensing

import (
	"cmp"
	"math"
	"slices"
	"time"

	"vialwright/ledger"
	"vialwright/nuclide"
	"vialwright/quantity"
)

// Standing is where a dispensed activity stands against the order.
type Standing string

// The standings. Conforms: inside tolerance with at least the wanted
// confidence. Unsure: inside, with less. Outside tolerance and beyond the
// limit are different stops.
const (
	Conforms Standing = "conforms"
	Unsure   Standing = "unsure"
	Outside  Standing = "outside"
	Beyond   Standing = "beyond-limit"
)

// Dispensed is what an order's container holds, at infusion time and before
// any residual is taken off.
type Dispensed struct {
	Activity, U quantity.Activity
	Budget      Budget // of Activity
	At          time.Time
	// Ratio is against the target A_p + R.
	Ratio float64
	// Conformance is the probability, 0 to 1, of lying between Least and Most.
	Conformance float64
	Standing    Standing
	// Verdict is the standing in the site's words.
	Verdict string
	// Least and Most are the bounds of the target's tolerance and, where there
	// is one, of the limit, whichever is closer.
	Least, Most quantity.Activity
	// Limits are the departures that it was judged by, the tolerance of the target
	// first, and Confidence is the probability wanted.
	Limits     []quantity.Fraction
	Confidence quantity.Fraction
	// ValidFrom and ValidUntil bound the times, from when the dose exists, at
	// which the activity, taken to that time, lies inside tolerance of the
	// target; both are zero where there is no such time.
	ValidFrom, ValidUntil time.Time
	Basis                 quantity.Basis
}

// decide judges a dispensed activity.
func decide(o Order, p Policy, y, u quantity.Activity, at time.Time, hl nuclide.HalfLife) Dispensed {
	d := Dispensed{Activity: y, U: u, At: at, Ratio: float64(y / o.Target()), Limits: p.departures(), Confidence: p.Confidence}
	d.Least, d.Most = p.Rules.Bounds(o)
	d.Conformance = inside(d.Least, d.Most, y, u)
	d.ValidFrom, d.ValidUntil = window(d, hl)
	d.Standing = standing(o, p, d)
	d.Verdict = p.Verdicts.word(d.Standing)
	return d
}

func standing(o Order, p Policy, d Dispensed) Standing {
	switch {
	case len(p.Rules.beyond(o, d.Activity)) > 0:
		return Beyond
	case math.Abs(d.Ratio-1) > float64(p.Tolerance)+edge:
		return Outside
	case d.Conformance < float64(p.Confidence):
		return Unsure
	default:
		return Conforms
	}
}

// word gives the site's word for a standing, or ours.
func (v Verdicts) word(s Standing) string {
	switch s {
	case Unsure:
		return cmp.Or(v.Unsure, "within tolerance, confidence too low")
	case Outside:
		return cmp.Or(v.Outside, "outside tolerance")
	case Beyond:
		return cmp.Or(v.BeyondLimit, "beyond the limit")
	}
	return cmp.Or(v.Conforms, "within tolerance")
}

// edge is the rounding noise allowed at a limit, which counts as inside it:
// 0.9 written in binary is not quite nine tenths.
const edge = 1e-9

// Bounds are the least and most that an order is dispensed within: the
// tolerance of the target and the limits of the prescription, whichever is closer. The
// probability of conforming and the
// valid window are of these, and so is the decision, which says the worse of
// the two where the activity lies beyond both.
func (x Rules) Bounds(o Order) (low, high quantity.Activity) {
	t, tol := o.Target(), quantity.Activity(x.Tolerance)
	low, high = t*(1-tol), t*(1+tol)
	for _, l := range x.limits() {
		low = max(low, o.Prescribed*quantity.Activity(1-l.Share))
		high = min(high, o.Prescribed*quantity.Activity(1+l.Share))
	}
	return low, high
}

// Limit is an outer departure from the prescribed activity itself, which is how the
// law speaks (10 CFR 35.63(d): "differs … by more than 20 percent").
type Limit struct {
	Share quantity.Fraction
	// Name is what it is called, with its paragraph and mark.
	Name    string
	reached func(departure float64) bool
	// note is what the law says beside it; empty for the site's own.
	note string
}

// limits are that of the site and that of its rule profile.
func (x Rules) limits() (out []Limit) {
	if x.Limit > 0 {
		out = append(out, Limit{x.Limit, "the site's limit of " + percent(x.Limit), func(d float64) bool { return d > float64(x.Limit)+edge }, ""})
	}
	if l := x.Law; l != nil {
		out = append(out, Limit{l.Share(), "the limit of " + l.Bound() + " by " + l.Source(), l.Reached, l.Note})
	}
	return out
}

// departures are the tolerance and the limits.
func (x Rules) departures() []quantity.Fraction {
	out := []quantity.Fraction{x.Tolerance}
	for _, l := range x.limits() {
		out = append(out, l.Share)
	}
	return out
}

// beyond are the limits that an activity lies beyond, each by its own comparison.
func (x Rules) beyond(o Order, a quantity.Activity) []Limit {
	off := math.Abs(float64(a/o.Prescribed) - 1)
	return slices.DeleteFunc(x.limits(), func(l Limit) bool { return !l.reached(off) })
}

// Outer is the closest limit; false where none is closer than the tolerance.
func (x Rules) Outer(o Order) (out Limit, closer bool) {
	all := x.limits()
	if len(all) == 0 {
		return Limit{}, false
	}
	wide := x
	wide.Limit, wide.Law = 0, nil
	low, high := x.Bounds(o)
	l, h := wide.Bounds(o)
	return slices.MinFunc(all, func(a, b Limit) int { return cmp.Compare(a.Share, b.Share) }), l != low || h != high
}

// andLimit names the limit where it is closer than the tolerance.
func (x Rules) andLimit(o Order) string {
	if l, closer := x.Outer(o); closer {
		return " and " + l.Name
	}
	return ""
}

// window is when a dispensed activity, taken to another time, lies inside its
// bounds; to the second, rounded into the window at both ends. It does not ask
// whether the dose already existed then.
func window(d Dispensed, hl nuclide.HalfLife) (from, until time.Time) {
	from, until, err := hl.Window(d.Activity, d.At, d.Least, d.Most)
	if err != nil {
		return time.Time{}, time.Time{} // nothing dispensed is never valid
	}
	return quantity.FullSecond(from), until.Truncate(time.Second)
}

// Delivered is what reached the patient, at infusion time.
type Delivered struct {
	Activity, U quantity.Activity
	At          time.Time
	// Fraction stayed behind, with its standard uncertainty.
	Fraction, FractionU float64
	Budget              Budget // of Activity
	// Ratio is delivered over prescribed, and Limits are the departures it is held against.
	Ratio  float64
	Limits []quantity.Fraction
	How    ledger.Estimate
	// Read are the containers of the residual whose readings in the activity meter tell it,
	// also beside the dose rates. Unread are then the residual parts that no reading holds:
	// what is in them counts as delivered.
	Read, Unread []string
}
