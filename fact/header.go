package fact

import (
	"time"

	"vialwright/quantity"
)

// Site is where it happens; it is the first record of a journal, and stands at
// the top of a case file.
type Site struct {
	// Zone is the IANA name of the site's zone.
	Zone string
	// HalfLife and HalfLifeU are the site's choice for Y-90, absent for the
	// evaluated one.
	HalfLife, HalfLifeU quantity.Stated[quantity.Span]
	// Use is whether patients are treated from this journal, or it is for practice
	// and everything in it is invented. It never changes.
	Use Use
}

// Use is what a journal is for.
type Use string

// The uses. Without one a journal is for patients.
const (
	ForPatients Use = "patients"
	ForPractice Use = "practice"
)

var uses = []Use{ForPatients, ForPractice}

// Kind is "site".
func (*Site) Kind() string      { return "site" }
func (*Site) moment() time.Time { return time.Time{} }

func (c *Site) fields(f []Slot) []Slot {
	return append(f,
		Slot{"zone", must, zoneName{&c.Zone}, "Zone"},
		Slot{"half-life", may, amount(&c.HalfLife), "Half-life"},
		Slot{"half-life-u", may, amount(&c.HalfLifeU), "Uncertainty of the half-life"},
		Slot{"use", may, oneWord[Use]{&c.Use, uses}, "Use of the journal"},
	)
}

// Policy is what the site has decided; any field may be absent.
type Policy struct {
	// Tolerance, Limit and LabelTolerance are relative departures, Confidence
	// a probability; all are in percent, above 0 % and below 100 %.
	Tolerance, Limit, LabelTolerance, Confidence quantity.Stated[quantity.Fraction]
	// LabelDrift is how far the reckoned dose may move from its printed label;
	// in percent too.
	LabelDrift quantity.Stated[quantity.Fraction]
	// MakeUp is the range of volumes after make-up.
	MakeUp *Range
	// Graduation is the syringe's smallest division.
	Graduation quantity.Stated[quantity.Volume]
	// DrawYield is the site's own activity share per volume share.
	DrawYield *DrawYield
	// ResidualU is the relative standard uncertainty of a residual by dose
	// rate, beyond the display's resolution.
	ResidualU quantity.Stated[quantity.Fraction]
	// Basis is the scale prescriptions are written on.
	Basis quantity.Basis
	// Verdicts are the site's words.
	Verdicts *Verdicts
	// Learn is whether plans rest on what the site's own finished preparations have shown.
	// Without a word what stands here wins, and what does not is learned.
	Learn Learning
	// OrderSignature is whether a release needs the order signed, which it
	// does unless the site says otherwise; TakeOver whether a time-out and an
	// infusion need the dose taken over, which they do unless the site says
	// otherwise.
	OrderSignature, TakeOver Demand
	// CheckLimit is how far a second check may lie from the record, in percent
	// of it; CheckReads is what a second check may be made by.
	CheckLimit quantity.Stated[quantity.Fraction]
	CheckReads CheckReads
	// Limits are for surveys and staff doses; nil where the site sets none.
	Limits *Limits
	// From is when it begins to hold; zero for one at the top of a case file.
	From time.Time
	// Reason is why this replaces the policy before it; empty for the first.
	Reason string
	// Settling is for the clock that tells how a vial settles.
	Settling *Settling
}

// Kind is "policy".
func (*Policy) Kind() string      { return "policy" }
func (*Policy) moment() time.Time { return time.Time{} }

func (p *Policy) fields(f []Slot) []Slot {
	return append(f,
		Slot{"tolerance", may, amount(&p.Tolerance), "Tolerance of a dose"},
		Slot{"limit", may, amount(&p.Limit), "Limit of the site"},
		Slot{"label-tolerance", may, amount(&p.LabelTolerance), "Tolerance of the supplier's label"},
		Slot{"confidence", may, amount(&p.Confidence), "Wanted confidence"},
		Slot{"label-drift", may, amount(&p.LabelDrift), "Bound of a printed label"},
		Slot{"make-up", may, madeUp{between{&p.MakeUp}}, "Volume after make-up, from and to"},
		Slot{"graduation", may, amount(&p.Graduation), "Smallest division of the syringe"},
		Slot{"draw-yield", may, GroupAt(&p.DrawYield), ""},
		Slot{"residual-u", may, amount(&p.ResidualU), "Uncertainty of a residual by dose rate"},
		Slot{"basis", may, oneWord[quantity.Basis]{&p.Basis, bases}, "Calibration basis of prescriptions"},
		Slot{"verdicts", may, GroupAt(&p.Verdicts), "Your term for"},
		Slot{"learn", may, oneWord[Learning]{&p.Learn, learnings}, "Plan with site experience"},
		Slot{"order-signature", may, oneWord[Demand]{&p.OrderSignature, demands}, "A release needs the order signed"},
		Slot{"take-over", may, oneWord[Demand]{&p.TakeOver, demands}, "Time-out and infusion need the dose taken over"},
		Slot{"check-limit", may, amount(&p.CheckLimit), "Second check: largest difference from the record"},
		Slot{"check-reads", may, oneWord[CheckReads]{&p.CheckReads, checkReads}, "Second check: may be made by reading"},
		Slot{"limits", may, GroupAt(&p.Limits), "Limit"},
		Slot{"from", may, instant{&p.From}, "Holds from"},
		Slot{"reason", may, text{&p.Reason}, "Reason"},
		Slot{"settling", may, GroupAt(&p.Settling), "Settling clock"},
	)
}

// Range is a closed range of volumes.
type Range struct {
	Min, Max quantity.Stated[quantity.Volume]
}

// DrawYield is the activity share per volume share of a draw and its standard
// uncertainty, absolute and in the same unit: 97 % and 3 %.
type DrawYield struct {
	Q, U quantity.Stated[quantity.Fraction]
}

func (y *DrawYield) fields(f []Slot) []Slot {
	return append(f,
		Slot{"q", must, amount(&y.Q), "Draw yield"},
		Slot{"u", must, amount(&y.U), "Standard uncertainty of the draw yield"},
	)
}

// Verdicts are the site's words for a decision; absent ones are ours.
type Verdicts struct {
	Conforms, Unsure, Outside, BeyondLimit string
}

func (v *Verdicts) fields(f []Slot) []Slot {
	return append(f,
		Slot{"conforms", may, text{&v.Conforms}, "Conforms"},
		Slot{"unsure", may, text{&v.Unsure}, "Within tolerance, confidence too low"},
		Slot{"outside", may, text{&v.Outside}, "Outside tolerance"},
		Slot{"beyond-limit", may, text{&v.BeyondLimit}, "Beyond your limit"},
	)
}

// Meter is an activity meter. Meters have ids of their own: a meter and a
// container may share one.
type Meter struct {
	ID string
	// CalibrationU is the relative standard uncertainty common to all its
	// readings, Repeatability that of one reading.
	CalibrationU, Repeatability quantity.Stated[quantity.Fraction]
	Geometry                    *Geometries
	// From is when this calibration begins to hold; zero for one at the top of
	// a case file. A reading rests on the one that held when it was taken, and
	// each has common factors of its own.
	From time.Time
	// Reason is why this replaces the meter of the same id; empty for the
	// first.
	Reason string
}

// Kind is "meter".
func (*Meter) Kind() string      { return "meter" }
func (*Meter) moment() time.Time { return time.Time{} }

func (m *Meter) fields(f []Slot) []Slot {
	return append(f,
		Slot{"id", must, id{&m.ID, AboutMeter}, "Activity meter"},
		Slot{"calibration-u", must, amount(&m.CalibrationU), "Uncertainty of the calibration"},
		Slot{"repeatability", must, amount(&m.Repeatability), "Repeatability"},
		Slot{"geometry", must, GroupAt(&m.Geometry), ""},
		Slot{"from", may, instant{&m.From}, "Holds from"},
		Slot{"reason", may, text{&m.Reason}, "Reason"},
	)
}

// Geometries are the factors of a meter for each kind of container it reads.
type Geometries struct {
	ShippingVial, Syringe, AdministrationVial, ResidualParts, WasteItem []Geometry
}

// Containers are the kinds of container that a meter has factors for, by their words.
func Containers() (out []string) {
	for _, x := range (&Geometries{}).fields(nil) {
		out = append(out, x.Name)
	}
	return out
}

// For gives the factors for a kind of container by its word, nil where there are
// none.
func (g *Geometries) For(container string) []Geometry {
	for _, x := range g.fields(nil) {
		if x.Name == container {
			list, _ := x.V.(geometries)
			return *list.p
		}
	}
	return nil
}

func (g *Geometries) fields(f []Slot) []Slot {
	return append(f,
		Slot{"shipping-vial", may, geometries{&g.ShippingVial}, "Shipping vial"},
		Slot{"syringe", may, geometries{&g.Syringe}, "Syringe"},
		Slot{"administration-vial", may, geometries{&g.AdministrationVial}, "Administration vial"},
		Slot{"residual-parts", may, geometries{&g.ResidualParts}, "Residual parts"},
		Slot{"waste-item", may, geometries{&g.WasteItem}, "Waste item"},
	)
}

// Geometry is the factor of a meter for one kind of container: reading is
// factor times activity. Where a kind has more than one, each names the
// volumes it is for.
type Geometry struct {
	Factor Number
	// U is the relative standard uncertainty of Factor.
	U     quantity.Stated[quantity.Fraction]
	Basis quantity.Basis
	Fill  *Range
}

func (g *Geometry) fields(f []Slot) []Slot {
	return append(f,
		Slot{"factor", must, number{&g.Factor}, "Factor"},
		Slot{"u", must, amount(&g.U), "Uncertainty of the factor"},
		Slot{"basis", must, oneWord[quantity.Basis]{&g.Basis, bases}, "Calibration basis"},
		Slot{"fill", may, between{&g.Fill}, "Fill volume"},
	)
}
