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
	At time.Time `must:"at" label:"When"`
	// UpTo is the number of the last record of the journal that was looked
	// at, 0 where it is not known.
	UpTo int `may:"up-to" label:"Up to record"`
	// Yields are expected of the next draw, Residuals of the residual
	// after the next infusion. A row without a kind of vial is for a kind not
	// seen before, one without a person for anybody else.
	Yields    []ExpectedYield    `may:"yields" like:"a list of {vial: 3 GBq in 5 mL, by: rp-3, q: 93 %, u: 2 %, cases: 200, own: 40}" label:"Draw yields"`
	Residuals []ExpectedResidual `may:"residuals" like:"a list of {vial: 3 GBq in 5 mL, fraction: 3 %, u: 1 %, cases: 200}" label:"Residuals"`
	DoseRate  *ExpectedDoseRate  `may:"dose-rate" label:"Dose rate of a full dose per GBq"`
	// Reason is why it was taken over after the case was opened.
	Reason string `may:"reason" label:"Reason"`
}

func (x *Experience) is() (string, time.Time) { return "experience", x.At }

// ExpectedYield is what the next draw is expected to yield: the mean and the
// standard deviation of its predictive distribution.
type ExpectedYield struct {
	// Vial is the kind of vial in the words of dispensing.Vial.Kind, By the
	// person who draws; either may be empty.
	Vial string                             `may:"vial" label:"Vial"`
	By   string                             `may:"by" label:"Drawn by"`
	Q    quantity.Stated[quantity.Fraction] `must:"q" label:"Draw yield"`
	U    quantity.Stated[quantity.Fraction] `must:"u" label:"Its standard uncertainty"`
	// Cases are all draws it rests on.
	Cases int `must:"cases" as:"count" label:"Cases"`
	// Own are those of this row.
	Own int `may:"own" as:"count" label:"Of their own"`
}

// ExpectedResidual is the expected residual of the next infusion:
// mean and standard deviation of the predictive distributions.
type ExpectedResidual struct {
	// Vial is the kind of vial the dose is drawn from; it may be empty.
	Vial string `may:"vial" label:"Vial"`
	// Fraction of the dose and its U; Activity and its standard deviation, for
	// anyone who reads it: a plan takes the fraction.
	Fraction  quantity.Stated[quantity.Fraction] `must:"fraction" label:"Residual"`
	U         quantity.Stated[quantity.Fraction] `must:"u" label:"Its standard uncertainty"`
	Activity  quantity.Stated[quantity.Activity] `may:"activity" label:"Residual activity"`
	ActivityU quantity.Stated[quantity.Activity] `may:"activity-u" label:"Its standard uncertainty"`
	// Cases are all infusions it rests on.
	Cases int `must:"cases" as:"count" label:"Cases"`
	// Own are those of this kind of vial.
	Own int `may:"own" as:"count" label:"Of their own"`
}

// ExpectedDoseRate is what a survey meter reads of a full dose in the site's
// geometry for each GBq of it: the mean, and the standard deviation from dose to
// dose.
type ExpectedDoseRate struct {
	PerGBq quantity.Stated[quantity.MeterRate] `must:"per-gbq" label:"Dose rate per GBq"`
	SD     quantity.Stated[quantity.MeterRate] `must:"sd" label:"Its standard deviation"`
	// Cases are the doses it rests on.
	Cases int `must:"cases" as:"count" label:"Doses"`
}

// MostExperience bounds the rows of an experience: beyond it those with the
// fewest cases of their own are left to the row of their kind.
const MostExperience = 64

// Learning is whether plans rest on what the site's own finished preparations have shown.
type Learning string

// The words. Without one, what the policy states wins, and what it does not
// state is learned.
const (
	Learn    Learning = "yes"
	NotLearn Learning = "no"
)
