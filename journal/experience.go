package journal

import (
	"cmp"
	"slices"
	"strconv"
	"time"

	"vialwright/dispensing"
	"vialwright/ledger"
	"vialwright/quantity"
)

// Experience is what the finished cases of the site had taught when it was
// entered: at the opening of a case, or later with a reason. A plan rests on
// the figures in it, so that the case alone gives the same plan years later,
// whatever the journal has learned since.
type Experience struct {
	At time.Time
	// UpTo is the number of the last record of the journal that was looked
	// at, 0 where it is not known.
	UpTo int
	// Yields are expected of the next draw, Residuals of what stays behind
	// after the next infusion. A row without a kind of vial is for a kind not
	// seen before, one without a person for anybody else.
	Yields    []ExpectedYield
	Residuals []ExpectedResidual
	// Reason is why it was taken over after the case was opened.
	Reason string
}

// Kind is "experience".
func (*Experience) Kind() string        { return "experience" }
func (x *Experience) moment() time.Time { return x.At }

func (x *Experience) fields(f []field) []field {
	return append(f,
		field{"at", must, instant{&x.At}, "When"},
		field{"up-to", may, whole{&x.UpTo}, "Up to record"},
		field{"yields", may, rowsOf[ExpectedYield, *ExpectedYield]{&x.Yields, "a list of {vial: 3 GBq in 5 mL, by: rp-3, q: 93 %, u: 2 %, cases: 200, own: 40}"}, "Draw yields"},
		field{"residuals", may, rowsOf[ExpectedResidual, *ExpectedResidual]{&x.Residuals, "a list of {vial: 3 GBq in 5 mL, fraction: 3 %, u: 1 %, cases: 200}"}, "Residuals"},
		field{"reason", may, text{&x.Reason}, "Reason"},
	)
}

// ExpectedYield is what the next draw is expected to yield: the mean and the
// standard deviation of its predictive distribution.
type ExpectedYield struct {
	// Vial is the kind of vial in the words of dispensing.Vial.Kind, By the
	// person who draws; either may be empty.
	Vial, By string
	Q, U     quantity.Stated[quantity.Fraction]
	// Cases are all draws it rests on, Own those of this row.
	Cases, Own int
}

func (y *ExpectedYield) fields(f []field) []field {
	return append(f,
		field{"vial", may, text{&y.Vial}, "Vial"},
		field{"by", may, text{&y.By}, "Drawn by"},
		field{"q", must, amount(&y.Q), "Draw yield"},
		field{"u", must, amount(&y.U), "Its standard uncertainty"},
		field{"cases", must, counted{whole{&y.Cases}}, "Cases"},
		field{"own", may, counted{whole{&y.Own}}, "Own cases"},
	)
}

// ExpectedResidual is what is expected to stay behind after the next infusion:
// mean and standard deviation of the predictive distributions.
type ExpectedResidual struct {
	// Vial is the kind of vial the dose is drawn from; it may be empty.
	Vial string
	// Fraction of the dose and its U; Activity and its standard deviation, for
	// whoever reads it: a plan takes the fraction.
	Fraction, U         quantity.Stated[quantity.Fraction]
	Activity, ActivityU quantity.Stated[quantity.Activity]
	// Cases are all infusions it rests on, Own those of this kind of vial.
	Cases, Own int
}

func (r *ExpectedResidual) fields(f []field) []field {
	return append(f,
		field{"vial", may, text{&r.Vial}, "Vial"},
		field{"fraction", must, amount(&r.Fraction), "Residual"},
		field{"u", must, amount(&r.U), "Its standard uncertainty"},
		field{"activity", may, amount(&r.Activity), "Residual activity"},
		field{"activity-u", may, amount(&r.ActivityU), "Its standard uncertainty"},
		field{"cases", must, counted{whole{&r.Cases}}, "Cases"},
		field{"own", may, counted{whole{&r.Own}}, "Own cases"},
	)
}

// MostExperience bounds the rows of an experience: beyond it those with the
// fewest cases of their own are left to the row of their kind.
const MostExperience = 64

// rowsOf is a list of groups.
type rowsOf[T any, P groupPointer[T]] struct {
	p     *[]T
	words string
}

func (r rowsOf[T, P]) given() bool      { return len(*r.p) > 0 }
func (r rowsOf[T, P]) want() string     { return r.words }
func (r rowsOf[T, P]) len() int         { return len(*r.p) }
func (r rowsOf[T, P]) at(i int) value   { return item[T, P](grow(r.p, i)) }
func (rowsOf[T, P]) limits() (int, int) { return 1, MostExperience }
func (rowsOf[T, P]) alone() bool        { return false }

// counted is how many there are, from 1.
type counted struct{ whole }

func (counted) want() string { return "how many, such as 41" }

func (c counted) read(text string, how reading) *Refusal {
	if bad := c.whole.read(text, how); bad != nil {
		return &Refusal{Code: "bad-count", Msg: quote(text) + " is no number of cases", Hint: "count them from 1, or leave it out"}
	}
	return nil
}

func (c counted) write() (string, *Refusal) {
	s, _ := c.whole.write()
	return s, counted{whole{new(int)}}.read(s, reading{})
}

// Learning is whether plans rest on what the site's own cases have taught.
type Learning string

// The words. Without one, what the policy states wins, and what it does not
// state is learned.
const (
	Learn    Learning = "yes"
	NotLearn Learning = "no"
)

var learnings = []Learning{Learn, NotLearn}

// learns says what of the policy is learned.
func (f *folder) learns(p *Policy) {
	f.out.Policy.LearnYield = p.Learn == Learn || p.Learn == "" && p.DrawYield == nil
}

// placedExperience is an experience at its place in the list.
type placedExperience struct {
	place int
	*dispensing.Experience
}

// experienceBy is what had been taken over when an entry was recorded, nil for
// nothing.
func (f *folder) experienceBy(s *step) *dispensing.Experience {
	for _, l := range slices.Backward(f.experience) {
		if l.place < s.place {
			return l.Experience
		}
	}
	return nil
}

// enter does nothing: what was learned is taken over before anything else, for
// whatever was recorded after it.
func (x *Experience) enter(*folder, *step) *Refusal { return nil }

// takeOver takes what was learned over. Refused: nothing learned, a yield, a share or an uncertainty that cannot be one, and
// two rows for the same kind and person.
func (x *Experience) takeOver(f *folder, s *step) *Refusal {
	if len(x.Yields) == 0 && len(x.Residuals) == 0 {
		return s.refuse("", "experience-empty", "write yields: or residuals:", "nothing was learned")
	}
	out := &dispensing.Experience{Entry: s.entry, At: s.at, UpTo: x.UpTo}
	for i, y := range x.Yields {
		if err := y.check(s, "yields["+strconv.Itoa(i+1)+"]."); err != nil {
			return err
		}
		if out.Has(y.Vial, y.By) {
			return s.refuse("yields["+strconv.Itoa(i+1)+"]", "experience-twice", "keep one of the two rows", "two rows are for the yield %s by %s", of(y.Vial), cmp.Or(y.By, "anybody"))
		}
		out.Yields = append(out.Yields, dispensing.ExpectedYield{
			Vial: y.Vial, By: y.By, Share: ledger.Share{Value: float64(y.Q.Value), U: float64(y.U.Value)}, Cases: y.Cases, Own: y.Own,
		})
	}
	for i, r := range x.Residuals {
		if err := r.check(s, "residuals["+strconv.Itoa(i+1)+"]."); err != nil {
			return err
		}
		if out.HasResidual(r.Vial) {
			return s.refuse("residuals["+strconv.Itoa(i+1)+"]", "experience-twice", "keep one of the two rows", "two rows are for the residual %s", of(r.Vial))
		}
		out.Residuals = append(out.Residuals, dispensing.ExpectedResidual{
			Vial: r.Vial, Share: ledger.Share{Value: float64(r.Fraction.Value), U: float64(r.U.Value)},
			Activity: r.Activity.Value, ActivityU: r.ActivityU.Value, Cases: r.Cases, Own: r.Own,
		})
	}
	f.experience = append(f.experience, placedExperience{s.place, out})
	f.out.Experience = out
	return nil
}

func of(vial string) string { return "of " + cmp.Or(vial, "other vials") }

func (y *ExpectedYield) check(s *step, at string) *Refusal {
	switch {
	case y.Q.Value <= 0 || y.Q.Value >= 2:
		return s.refuse(at+"q", "out-of-range", "it is activity share per volume share, near 100 %", "%s is not above 0 %% and below 200 %%", y.Q.Text)
	case y.U.Value <= 0 || y.U.Value >= 1:
		return s.refuse(at+"u", "out-of-range", "it is the standard uncertainty of q in the same unit", "%s is not above 0 %% and below 100 %%", y.U.Text)
	}
	return nil
}

func (r *ExpectedResidual) check(s *step, at string) *Refusal {
	switch {
	case r.Fraction.Value < 0 || r.Fraction.Value >= 1:
		return s.refuse(at+"fraction", "out-of-range", "write what is expected to stay behind, such as 2 %", "a residual of %s leaves nothing to give", r.Fraction.Text)
	case r.U.Value <= 0 || r.U.Value >= 1:
		return s.refuse(at+"u", "out-of-range", "it is the standard uncertainty of the fraction in the same unit", "%s is not above 0 %% and below 100 %%", r.U.Text)
	}
	return nil
}

// experienceFor is the yield that a draw rests on: that of the person who draws
// and the kind of vial, as learned by then, where the policy lets it; else zero.
func (f *folder) experienceFor(s *step, x *Draw) ledger.Share {
	if l := f.experienceBy(s); l != nil && f.policyOf(s).LearnYield {
		if y, ok := l.Yield(f.out.KindOf(x.From), x.By); ok {
			return y.Share
		}
	}
	return ledger.Share{}
}
