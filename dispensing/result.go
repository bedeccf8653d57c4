package dispensing

import (
	"math"
	"slices"
	"strconv"
	"time"

	"vialwright/dose"
	"vialwright/ledger"
	"vialwright/nuclide"
	"vialwright/quantity"
)

// Result is a case reckoned. Every U in it is one standard uncertainty (k = 1);
// [quantity.Interval] gives the 95 % interval.
type Result struct {
	// HalfLife is the value used, and Source where it comes from.
	HalfLife       quantity.Span
	HalfLifeSource string
	// At is the moment the plans and container activities are for.
	At         time.Time
	Vials      []VialResult
	Containers []ContainerResult
	Orders     []OrderResult
	// Checks are the second checks in force, each beside the record as it is
	// now, in the order of time.
	Checks []CheckResult
	// Consistency has DOF 0 where no reading checks another.
	Consistency ledger.Consistency
	Findings    []Finding
	Assumed     []Assumed
	// Withheld are the figures that are not shown, since entries of their set
	// contradict one another.
	Withheld []Withheld
}

// Stopped says whether any finding is a stop.
func (r Result) Stopped() bool {
	return slices.ContainsFunc(r.Findings, func(f Finding) bool { return f.Severity == Stop })
}

// FromExperience are those of what was assumed that the finished preparations have shown.
func (r Result) FromExperience() []Assumed { return r.assumed(true) }

func (r Result) notFromExperience() []Assumed { return r.assumed(false) }

func (r Result) assumed(fromExperience bool) []Assumed {
	return slices.DeleteFunc(slices.Clone(r.Assumed), func(a Assumed) bool { return a.FromExperience != fromExperience })
}

// Budget is what an activity and its uncertainty were reckoned from:
//
//	u² = Σ u(part)² + Common² + HalfLife²
type Budget struct {
	Parts []ledger.Part
	// Common is what the factors common to all readings bring, and more
	// readings cannot remove; HalfLife what that of the nuclide brings.
	Common, HalfLife quantity.Activity
}

// Source names the datum of a part, such as "reading of entry 3".
func Source(p ledger.Part) string {
	what := "share by " + p.By.Words()
	switch p.By {
	case ledger.ByReading:
		what = "reading"
	case ledger.ByLabel:
		what = "label"
	}
	return what + " of entry " + strconv.Itoa(p.Entry)
}

// Term is what one source brings into a standard uncertainty, in Bq.
type Term struct {
	Source string
	U      quantity.Activity
}

// Terms are the terms of the uncertainty of an amount at an instant, whose squares
// add up to its own: of a datum |weight|·u/factor·exp(-λ(t - t_read))
// (JCGM 100:2008, 5.1.2), then the common factors and the half-life.
func (b Budget) Terms(halfLife quantity.Span, at time.Time) []Term {
	var out []Term
	for _, p := range b.Parts {
		u := math.Abs(p.Weight) * float64(p.U) / p.Factor * nuclide.Factor(halfLife, nuclide.Elapsed(p.At, at))
		out = append(out, Term{Source(p), quantity.Activity(u)})
	}
	return append(out, Term{"calibration and geometry", b.Common}, Term{"half-life", b.HalfLife})
}

// VialResult is a shipping vial: what was found in it, at its reference time.
type VialResult struct {
	Vial Vial
	// Assayed says whether readings determine what came in the vial; if not,
	// Measured is the label's own activity and LabelRatio is 0.
	Assayed     bool
	Measured, U quantity.Activity
	Budget      Budget // of Measured
	// LabelRatio is measured over labelled; 0 where the two are on different
	// bases or the vial was not read. LabelLimits are its tolerance and twice that.
	LabelRatio  float64
	LabelLimits []quantity.Fraction
	// Remaining is what is left, at the reference time too.
	Remaining, RemainingU quantity.Activity
	RemainingVolume       quantity.Volume
	Basis                 quantity.Basis
	// Withheld is the finding that keeps every figure back; they are zero then.
	// VolumeHeld keeps back the volume alone, whose entry is in doubt.
	Withheld, VolumeHeld Code
}

// ContainerResult is a container at the moment asked.
type ContainerResult struct {
	Container   ledger.Container
	Activity, U quantity.Activity
	At          time.Time
	// Volume is what it holds; Stopped says that an infusion from it ended before
	// all was given, so that its volume is not known and Volume is 0.
	Volume  quantity.Volume
	Stopped bool
	Assayed bool
	// Known says by what Activity is known where readings do not determine it.
	Known []ledger.Estimate
	Basis quantity.Basis
	// Here is false before anything came into it.
	Here bool
	// Withheld is the finding that keeps the figures back; the activity is zero
	// then, and the volume is only what was typed. VolumeHeld keeps back the
	// volume alone.
	Withheld, VolumeHeld Code
}

// KnownBy says in words by what the activity is known.
func (k ContainerResult) KnownBy() string {
	switch {
	case k.Assayed && k.Basis == "": // waste of several bases
		return ledger.ByReading.Words()
	case k.Assayed:
		return ledger.ByReading.Words() + ", " + string(k.Basis) + " basis"
	}
	return ledger.KnownBy(k.Known)
}

// ToCome says of a container that nothing is in it yet.
func (k ContainerResult) ToCome() string {
	switch k.Container.Kind {
	case ledger.Syringe:
		return "not drawn yet"
	case ledger.AdministrationVial:
		return "not filled yet"
	case ledger.ShippingVial:
		return "not received"
	}
	return "nothing in it yet"
}

// Act is what an order asks for next.
type Act string

// The acts, in the order of the work.
const (
	ReceiveVial    Act = "receive-vial"
	AssayVial      Act = "assay-vial"
	NotEnough      Act = "not-enough"
	ConfirmTime    Act = "confirm-time"
	AwaitSignature Act = "await-signature" // of a revision; package procedure knows of it
	DrawDose       Act = "draw"
	AssayRemainder Act = "assay-remainder"
	AdjustDose     Act = "adjust"
	MakeUpDose     Act = "make-up"
	TransferDose   Act = "transfer"
	Infuse         Act = "infuse"
	ReadResidual   Act = "read-residual"
	AssayResidual  Act = "assay-residual" // where there is no baseline
	Complete       Act = "complete"
	Cancelled      Act = "cancelled"
)

// OrderResult is an order: its plan, what was achieved, and what is next.
type OrderResult struct {
	Order Order
	// Wanted is the activity to draw, at WantedAt.
	Wanted   quantity.Activity
	WantedAt time.Time
	Plan     *Plan
	// Sources are the vials that the draws for the order were made from.
	Sources []string
	// Containers hold the dose, or held it when it was infused; Container is
	// the first of them, and Volume what they hold together.
	Containers []string
	Container  string
	Volume     quantity.Volume
	// Read is the container whose reading would tell what is not known yet.
	Read      string
	Dispensed *Dispensed
	// Second are the containers by which a second check can be made now.
	Second []CheckWay
	// Rough is what volume alone says of a dose no reading has determined.
	Rough *Rough
	// Adjust is the volume to add or take back to reach the target.
	Adjust    *Adjust
	Delivered *Delivered
	// Dose is the check of the prescription, with the doses of what was delivered
	// once that is known; nil where the order does not say what it rests on.
	Dose *dose.Result
	Next Act
	// Withheld is the finding that keeps every figure of the dose back: Plan,
	// Dispensed, Rough, Adjust and Delivered are nil then, and Read is what to
	// read again.
	Withheld Code
	// Hidden are the keys of the order's figures that are withheld, and HiddenBy
	// the finding that keeps them back. A plan may be hidden alone.
	Hidden   []string
	HiddenBy Code
}

// Rough is an unmeasured estimate at infusion time.
type Rough struct {
	Activity, U quantity.Activity
	At          time.Time
}

// Adjust is a volume to draw in addition (TopUp) or to give back.
type Adjust struct {
	TopUp  bool
	Volume quantity.Volume
	At     time.Time
}
