package fact

import (
	"time"

	"vialwright/quantity"
)

// Experience is what the finished preparations of the site had shown when it was
// entered: at the opening of a case, or later with a reason. A plan rests on
// the figures in it, so that the case alone gives the same plan years later,
// whatever the journal has learned since.
type Experience struct {
	At time.Time
	// UpTo is the number of the last record of the journal that was looked
	// at, 0 where it is not known.
	UpTo int
	// Yields are expected of the next draw, Residuals of the residual
	// after the next infusion. A row without a kind of vial is for a kind not
	// seen before, one without a person for anybody else.
	Yields    []ExpectedYield
	Residuals []ExpectedResidual
	// DoseRate is what a full dose reads for each GBq of it; nil for no history.
	DoseRate *ExpectedDoseRate
	// Reason is why it was taken over after the case was opened.
	Reason string
}

// Kind is "experience".
func (*Experience) Kind() string        { return "experience" }
func (x *Experience) moment() time.Time { return x.At }

func (x *Experience) fields(f []Slot) []Slot {
	return append(f,
		Slot{"at", must, instant{&x.At}, "When"},
		Slot{"up-to", may, whole{&x.UpTo}, "Up to record"},
		Slot{"yields", may, rowsOf[ExpectedYield, *ExpectedYield]{&x.Yields, "a list of {vial: 3 GBq in 5 mL, by: rp-3, q: 93 %, u: 2 %, cases: 200, own: 40}"}, "Draw yields"},
		Slot{"residuals", may, rowsOf[ExpectedResidual, *ExpectedResidual]{&x.Residuals, "a list of {vial: 3 GBq in 5 mL, fraction: 3 %, u: 1 %, cases: 200}"}, "Residuals"},
		Slot{"dose-rate", may, GroupAt(&x.DoseRate), "Dose rate of a full dose per GBq"},
		Slot{"reason", may, text{&x.Reason}, "Reason"},
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

func (y *ExpectedYield) fields(f []Slot) []Slot {
	return append(f,
		Slot{"vial", may, text{&y.Vial}, "Vial"},
		Slot{"by", may, text{&y.By}, "Drawn by"},
		Slot{"q", must, amount(&y.Q), "Draw yield"},
		Slot{"u", must, amount(&y.U), "Its standard uncertainty"},
		Slot{"cases", must, counted{whole{&y.Cases}}, "Cases"},
		Slot{"own", may, counted{whole{&y.Own}}, "Of their own"},
	)
}

// ExpectedResidual is the expected residual of the next infusion:
// mean and standard deviation of the predictive distributions.
type ExpectedResidual struct {
	// Vial is the kind of vial the dose is drawn from; it may be empty.
	Vial string
	// Fraction of the dose and its U; Activity and its standard deviation, for
	// anyone who reads it: a plan takes the fraction.
	Fraction, U         quantity.Stated[quantity.Fraction]
	Activity, ActivityU quantity.Stated[quantity.Activity]
	// Cases are all infusions it rests on, Own those of this kind of vial.
	Cases, Own int
}

func (r *ExpectedResidual) fields(f []Slot) []Slot {
	return append(f,
		Slot{"vial", may, text{&r.Vial}, "Vial"},
		Slot{"fraction", must, amount(&r.Fraction), "Residual"},
		Slot{"u", must, amount(&r.U), "Its standard uncertainty"},
		Slot{"activity", may, amount(&r.Activity), "Residual activity"},
		Slot{"activity-u", may, amount(&r.ActivityU), "Its standard uncertainty"},
		Slot{"cases", must, counted{whole{&r.Cases}}, "Cases"},
		Slot{"own", may, counted{whole{&r.Own}}, "Of their own"},
	)
}

// ExpectedDoseRate is what a survey meter reads of a full dose in the site's
// geometry for each GBq of it: the mean, and the standard deviation from dose to
// dose.
type ExpectedDoseRate struct {
	PerGBq, SD quantity.Stated[quantity.DoseRate]
	// Cases are the doses it rests on.
	Cases int
}

func (r *ExpectedDoseRate) fields(f []Slot) []Slot {
	return append(f,
		Slot{"per-gbq", must, amount(&r.PerGBq), "Dose rate per GBq"},
		Slot{"sd", must, amount(&r.SD), "Its standard deviation"},
		Slot{"cases", must, counted{whole{&r.Cases}}, "Doses"},
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

func (r rowsOf[T, P]) Given() bool      { return len(*r.p) > 0 }
func (r rowsOf[T, P]) Want() string     { return r.words }
func (r rowsOf[T, P]) Len() int         { return len(*r.p) }
func (r rowsOf[T, P]) At(i int) Value   { return ItemAt[T, P](Grow(r.p, i)) }
func (rowsOf[T, P]) Limits() (int, int) { return 1, MostExperience }
func (rowsOf[T, P]) Alone() bool        { return false }

// counted is how many there are, from 1.
type counted struct{ whole }

func (counted) Want() string { return "how many, such as 41" }

func (c counted) Read(text string, how How) *Refusal {
	if bad := c.whole.Read(text, how); bad != nil {
		return &Refusal{Code: "bad-count", Msg: Quote(text) + " is no whole number above 0", Hint: "count them from 1, or leave it out"}
	}
	return nil
}

func (c counted) Write() (string, *Refusal) {
	s, _ := c.whole.Write()
	return s, counted{whole{new(int)}}.Read(s, How{})
}

// Learning is whether plans rest on what the site's own finished preparations have shown.
type Learning string

// The words. Without one, what the policy states wins, and what it does not
// state is learned.
const (
	Learn    Learning = "yes"
	NotLearn Learning = "no"
)

var learnings = []Learning{Learn, NotLearn}
