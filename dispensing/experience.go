package dispensing

import (
	"fmt"

	"vialwright/ledger"
	"vialwright/quantity"
)

// Experience is what the site's own finished preparations had shown when it was
// entered in a case; see the package comment for what a plan makes of it.
type Experience struct {
	Yields    []ExpectedYield
	Residuals []ExpectedResidual
	// Jar is what full doses have read on a survey meter.
	Jar JarUsual
}

// ExpectedYield is the predictive distribution of the next draw's yield.
type ExpectedYield struct {
	// Vial is the kind of vial, empty for one not seen before; By who draws,
	// empty for anybody else.
	Vial, By string
	// Share is its mean and standard deviation.
	Share ledger.Share
	// Cases are the draws it rests on, Own those of this kind and person.
	Cases, Own int
}

// ExpectedResidual is the predictive distribution of the residual.
type ExpectedResidual struct {
	// Vial is the kind of vial, empty for one not seen before.
	Vial string
	// Share is the fraction of the dose: mean and standard deviation.
	Share ledger.Share
	// Activity left behind, and its standard deviation; 0 where not given.
	Activity, ActivityU quantity.Activity
	// Cases are the infusions it rests on.
	Cases int
}

// Kind is what vials are called alike by, since a label names no more: labelled
// activity and volume to two digits, such as "3.0 GBq in 5.0 mL".
func (v Vial) Kind() string {
	return quantity.FormatDigits(v.Labelled, 2, "GBq") + " in " + quantity.FormatDigits(v.Volume, 2, "mL")
}

// KindOf is the kind of a shipping vial of the case, empty for anything else.
func (c Case) KindOf(id string) string {
	for _, v := range c.Vials {
		if v.ID == id {
			return v.Kind()
		}
	}
	return ""
}

// KindOfAll is the kind that all vials of the case are of; empty where there
// is none, or more than one.
func (c Case) KindOfAll() string {
	kind := ""
	for i, v := range c.Vials {
		if k := v.Kind(); i == 0 {
			kind = k
		} else if k != kind {
			return ""
		}
	}
	return kind
}

// Has tells whether there is a row for exactly this kind of vial and person.
func (e *Experience) Has(vial, by string) bool {
	_, ok := e.yield(vial, by)
	return ok
}

func (e *Experience) yield(vial, by string) (ExpectedYield, bool) {
	for _, y := range e.Yields {
		if y.Vial == vial && y.By == by {
			return y, true
		}
	}
	return ExpectedYield{}, false
}

// Yield is what a draw is expected to yield: by the row of the kind of vial and
// the person, or else of the kind alone, or else that for a kind not seen
// before. ok is false where none of them is there.
func (e *Experience) Yield(vial, by string) (y ExpectedYield, ok bool) {
	for _, at := range [][2]string{{vial, by}, {vial, ""}, {"", ""}} {
		if y, ok = e.yield(at[0], at[1]); ok {
			return y, true
		}
	}
	return ExpectedYield{}, false
}

// HasResidual tells whether there is a row for exactly this kind of vial.
func (e *Experience) HasResidual(vial string) bool {
	_, ok := e.residual(vial)
	return ok
}

func (e *Experience) residual(vial string) (ExpectedResidual, bool) {
	for _, r := range e.Residuals {
		if r.Vial == vial {
			return r, true
		}
	}
	return ExpectedResidual{}, false
}

// Residual is the expected residual, by the row of the kind of vial,
// or else that for a kind not seen before.
func (e *Experience) Residual(vial string) (r ExpectedResidual, ok bool) {
	if r, ok = e.residual(vial); ok {
		return r, true
	}
	return e.residual("")
}

// Sentence says what is expected and on how much it rests: "93.1 % ± 2.4 %,
// from 200 draws of this site, 41 of them by NT1 with 3.0 GBq in 5.0 mL".
func (y ExpectedYield) Sentence() string { return showShare(y.Share) + ", " + y.source() }

func (y ExpectedYield) source() string {
	s := "from " + Plural(y.Cases, "draw") + " of this site"
	switch {
	case y.By != "":
		s += fmt.Sprintf(", %d of them by %s with %s", y.Own, y.By, y.Vial)
	case y.Vial != "":
		s += fmt.Sprintf(", %d of them with %s", y.Own, y.Vial)
	default:
		s += ", none of them with such a vial"
	}
	return s
}

// Sentence says how large the residual is, the activity first, and on how much it
// rests: "42 ± 12 MBq, 3.2 ± 1.1 % of the dose (12 infusions)".
func (r ExpectedResidual) Sentence() string {
	s := showShare(r.Share) + " of the dose"
	if r.Activity > 0 {
		s = quantity.Show(r.Activity, r.ActivityU).String() + ", " + showShare(r.Share) + " of the dose"
	}
	return s + " (" + Plural(r.Cases, "infusion") + ")"
}

// YieldOf is the yield expected of a draw still to be made, from a kind of vial by a person:
// what the finished preparations have shown, where the policy goes by it, else the policy's own.
func (c Case) YieldOf(kind, by string) ledger.Share {
	if c.Experience != nil && c.Policy.LearnYield {
		if y, ok := c.Experience.Yield(kind, by); ok {
			return y.Share
		}
	}
	return c.Policy.Yield
}

// UsualResidual is what the finished preparations have shown of the residual, for
// the vials of the case. It informs; no draw aims higher for it.
func (c Case) UsualResidual() (ExpectedResidual, bool) {
	if c.Experience == nil {
		return ExpectedResidual{}, false
	}
	return c.Experience.Residual(c.KindOfAll())
}

// Plural is so many of a thing: "1 draw", "200 draws".
func Plural(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

func showShare(s ledger.Share) string {
	return quantity.Show(quantity.Fraction(s.Value), quantity.Fraction(s.U)).String()
}

// expects is the policy with the yield that a draw from a vial rests on: one
// that was made rests on what was known then, one still to be made on what is
// known of who is to draw.
func (r *reckoner) expects(vial string, made *Draw) Policy {
	p := r.Policy
	switch {
	case made != nil && made.Yield.Value > 0:
		p.Yield = made.Yield
	case made == nil:
		p.Yield = r.YieldOf(r.KindOf(vial), r.Drawer)
	}
	return p
}

// yieldFrom says where the yield comes from that a draw rests on, with what
// the policy alone would expect beside it; empty where nothing was
// learned, and the policy of today and what is assumed say it all.
func (r *reckoner) yieldFrom(vial string, made *Draw, used ledger.Share) string {
	from := showShare(r.Policy.Yield) + r.stated()
	by := r.Drawer
	if made != nil {
		by = made.By
	}
	var y ExpectedYield
	var ok bool
	if r.Experience != nil {
		y, ok = r.Experience.Yield(r.KindOf(vial), by)
	}
	switch {
	case ok && used == y.Share:
		return y.Sentence() + "; without them: " + from
	case made != nil && made.Learned:
		return showShare(used) + ", by the site experience at the time of the draw; without it: " + from
	case used != r.Policy.Yield:
		from = showShare(used) + ", by the policy at the time of the draw"
	case r.Experience == nil:
		return ""
	}
	if ok {
		from += "; not used: " + y.Sentence()
	}
	return from
}

// stated says where the policy's own yield comes from.
func (r *reckoner) stated() string {
	for _, a := range r.Case.Assumed {
		if a.Setting == yieldSetting {
			return " (" + a.Source + ")"
		}
	}
	return " (the site's policy)"
}

const yieldSetting = "draw-yield"

// assumed are the settings of the case with what was learned in the place of
// what would have been assumed, so that no learned figure is used in silence.
func (r *reckoner) assumed() []Assumed {
	var out []Assumed
	l := r.Experience
	kind := r.KindOfAll()
	for _, a := range r.Case.Assumed {
		if l == nil || a.Setting != yieldSetting || !r.Policy.LearnYield {
			out = append(out, a)
		}
	}
	if l == nil {
		return out
	}
	if y, ok := l.Yield(kind, r.Drawer); ok {
		before := "without them: " + showShare(r.Policy.Yield) + r.stated()
		if r.Policy.LearnYield {
			out = append(out, Assumed{Setting: yieldSetting, Name: "draw yield", Value: showShare(y.Share), Source: y.source() + "; " + before, FromExperience: true})
		} else {
			out = append(out, Assumed{Setting: yieldSetting + " not used", Name: "draw yield of site experience, not used,", Value: showShare(y.Share), Source: y.source() + "; the policy states another, which is used unless it says learn: yes", FromExperience: true})
		}
	}
	return out
}
