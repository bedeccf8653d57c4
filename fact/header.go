package fact

import (
	"reflect"
	"slices"
	"time"

	"vialwright/quantity"
)

// Site is where it happens; it is the first record of a journal, and stands at
// the top of a case file.
type Site struct {
	Zone string `must:"zone" as:"zone" label:"Zone"`
	// HalfLife and HalfLifeU are the site's choice for Y-90, absent for the
	// evaluated one.
	HalfLife  quantity.Stated[quantity.Span] `may:"half-life" label:"Half-life"`
	HalfLifeU quantity.Stated[quantity.Span] `may:"half-life-u" label:"Uncertainty of the half-life"`
	// Use is whether patients are treated from this journal, or it is for practice
	// and everything in it is invented. It never changes.
	Use Use `may:"use" label:"Use of the journal"`
}

// Use is what a journal is for.
type Use string

// The uses. Without one a journal is for patients.
const (
	ForPatients Use = "patients"
	ForPractice Use = "practice"
)

func (*Site) is() (string, time.Time) { return "site", time.Time{} }

// Policy is what the site has decided; any field may be absent.
type Policy struct {
	// Tolerance, Limit and LabelTolerance are relative departures, Confidence
	// a probability; all are in percent, above 0 % and below 100 %.
	Tolerance      quantity.Stated[quantity.Fraction] `may:"tolerance" label:"Tolerance of a dose"`
	Limit          quantity.Stated[quantity.Fraction] `may:"limit" label:"Limit of the site"`
	LabelTolerance quantity.Stated[quantity.Fraction] `may:"label-tolerance" label:"Tolerance of the supplier's label"`
	Confidence     quantity.Stated[quantity.Fraction] `may:"confidence" label:"Wanted confidence"`
	// LabelDrift is how far the reckoned dose may move from its printed label;
	// in percent too.
	LabelDrift quantity.Stated[quantity.Fraction] `may:"label-drift" label:"Bound of a printed label"`
	// MakeUp is the range of volumes after make-up.
	MakeUp *Range `may:"make-up" as:"make-up" label:"Volume after make-up, from and to"`
	// Graduation is the syringe's smallest division.
	Graduation quantity.Stated[quantity.Volume] `may:"graduation" label:"Smallest division of the syringe"`
	// DrawYield is the site's own activity share per volume share.
	DrawYield *DrawYield `may:"draw-yield"`
	// ResidualU is the relative standard uncertainty of a residual by dose
	// rate, beyond the display's resolution.
	ResidualU quantity.Stated[quantity.Fraction] `may:"residual-u" label:"Uncertainty of a residual by dose rate"`
	// Basis is the scale prescriptions are written on.
	Basis quantity.Basis `may:"basis" label:"Calibration basis of prescriptions"`
	// Verdicts are the site's words.
	Verdicts *Verdicts `may:"verdicts" label:"Your term for"`
	// Learn is whether plans rest on what the site's own finished preparations have shown.
	// Without a word what stands here wins, and what does not is learned.
	Learn Learning `may:"learn" label:"Plan with site experience"`
	// OrderSignature is whether a release needs the order signed, which it
	// does unless the site says otherwise; TakeOver whether a time-out and an
	// infusion need the dose taken over, which they do unless the site says
	// otherwise.
	OrderSignature Demand `may:"order-signature" label:"A release needs the order signed"`
	TakeOver       Demand `may:"take-over" label:"Time-out and infusion need the dose taken over"`
	// CheckLimit is how far a second check may lie from the record, in percent
	// of it; CheckReads is what a second check may be made by.
	CheckLimit quantity.Stated[quantity.Fraction] `may:"check-limit" label:"Second check: largest difference from the record"`
	CheckReads CheckReads                         `may:"check-reads" label:"Second check: may be made by reading"`
	// Limits are for surveys and staff doses; nil where the site sets none.
	Limits *Limits `may:"limits" label:"Limit"`
	// From is when it begins to hold; zero for one at the top of a case file.
	From time.Time `may:"from" label:"Holds from"`
	// Reason is why this replaces the policy before it; empty for the first.
	Reason    string `may:"reason" label:"Reason"`
	Confirmed string `may:"confirmed" label:"Asked about, and confirmed"`
	// Settling is for the clock that tells how a vial settles.
	Settling *Settling `may:"settling" label:"Settling clock"`
}

func (*Policy) is() (string, time.Time) { return "policy", time.Time{} }

// Range is a closed range of volumes.
type Range struct {
	Min, Max quantity.Stated[quantity.Volume]
}

// DrawYield is the activity share per volume share of a draw and its standard
// uncertainty, absolute and in the same unit: 97 % and 3 %.
type DrawYield struct {
	Q quantity.Stated[quantity.Fraction] `must:"q" label:"Draw yield"`
	U quantity.Stated[quantity.Fraction] `must:"u" label:"Standard uncertainty of the draw yield"`
}

// Verdicts are the site's words for a decision; absent ones are ours.
type Verdicts struct {
	Conforms    string `may:"conforms" label:"Conforms"`
	Unsure      string `may:"unsure" label:"Within tolerance, confidence too low"`
	Outside     string `may:"outside" label:"Outside tolerance"`
	BeyondLimit string `may:"beyond-limit" label:"Beyond your limit"`
}

// Meter is an activity meter. Meters have ids of their own: a meter and a
// container may share one.
type Meter struct {
	ID string `must:"id" id:"meter" label:"Activity meter"`
	// CalibrationU is the relative standard uncertainty common to all its
	// readings, Repeatability that of one reading.
	CalibrationU  quantity.Stated[quantity.Fraction] `must:"calibration-u" label:"Uncertainty of the calibration"`
	Repeatability quantity.Stated[quantity.Fraction] `must:"repeatability" label:"Repeatability"`
	Geometry      *Geometries                        `must:"geometry"`
	// From is when this calibration begins to hold; zero for one at the top of
	// a case file. A reading rests on the one that held when it was taken, and
	// each has common factors of its own.
	From time.Time `may:"from" label:"Holds from"`
	// Reason is why this replaces the meter of the same id; empty for the
	// first.
	Reason    string `may:"reason" label:"Reason"`
	Confirmed string `may:"confirmed" label:"Asked about, and confirmed"`
}

func (*Meter) is() (string, time.Time) { return "meter", time.Time{} }

// Geometries are the factors of a meter for each kind of container it reads.
type Geometries struct {
	ShippingVial       []Geometry `may:"shipping-vial" label:"Shipping vial"`
	Syringe            []Geometry `may:"syringe" label:"Syringe"`
	AdministrationVial []Geometry `may:"administration-vial" label:"Administration vial"`
	ResidualParts      []Geometry `may:"residual-parts" label:"Residual parts"`
	WasteItem          []Geometry `may:"waste-item" label:"Waste item"`
}

// Containers are the kinds of container that a meter has factors for, by their words.
func Containers() (out []string) {
	for _, f := range reflect.VisibleFields(reflect.TypeFor[Geometries]()) {
		out = append(out, f.Tag.Get("may"))
	}
	return out
}

// For gives the factors for a kind of container by its word, nil where there are
// none.
func (g *Geometries) For(container string) []Geometry {
	v := reflect.ValueOf(g).Elem()
	for _, d := range declarationOf(v.Type()) {
		if d.name == container {
			all, _ := v.FieldByIndex(d.index).Interface().([]Geometry)
			return all
		}
	}
	return nil
}

// Geometry is the factor of a meter for one kind of container: reading is
// factor times activity. Where a kind has more than one, each names the
// volumes it is for.
type Geometry struct {
	Factor Number `must:"factor" label:"Factor"`
	// U is the relative standard uncertainty of Factor.
	U     quantity.Stated[quantity.Fraction] `must:"u" label:"Uncertainty of the factor"`
	Basis quantity.Basis                     `must:"basis" label:"Calibration basis"`
	Fill  *Range                             `may:"fill" label:"Fill volume"`
}

// Limits are what the site allows of dose rates, contamination and staff doses.
// Any may be absent; none is assumed. Dose rates are compared less their
// background. A place whose name begins with "hands" or "package" has limits of
// its own; every other place is an area.
type Limits struct {
	AreaRate    quantity.Stated[quantity.DoseRate]       `may:"area-rate" label:"Dose rate of a place, less background"`
	AreaWipe    quantity.Stated[quantity.Contamination]  `may:"area-wipe" label:"Removable contamination of a place"`
	HandsRate   quantity.Stated[quantity.DoseRate]       `may:"hands-rate" label:"Dose rate at the hands, less background"`
	HandsWipe   quantity.Stated[quantity.Contamination]  `may:"hands-wipe" label:"Contamination of the hands"`
	PackageRate quantity.Stated[quantity.DoseRate]       `may:"package-rate" label:"Dose rate at a package, less background"`
	PackageWipe quantity.Stated[quantity.Contamination]  `may:"package-wipe" label:"Removable contamination of a package"`
	Finger      quantity.Stated[quantity.DoseEquivalent] `may:"finger" label:"Finger dose of one entry"`
	Body        quantity.Stated[quantity.DoseEquivalent] `may:"body" label:"Body dose of one entry"`
}

// Settling is what a site has measured or decided for the clock that tells how
// a vial settles; any field may be absent.
type Settling struct {
	// Bore is the inner diameter of the shipping vial, Cone the height of a
	// pointed floor, absent for a flat one, Tip the height of the needle tip
	// above the lowest point.
	Bore     quantity.Stated[quantity.Length] `may:"bore" label:"Inner diameter of the shipping vial"`
	Cone     quantity.Stated[quantity.Length] `may:"cone" label:"Height of the pointed floor"`
	Tip      quantity.Stated[quantity.Length] `may:"tip" label:"Needle tip above the lowest point"`
	DrawTime quantity.Stated[quantity.Span]   `may:"draw-time" label:"How long a draw takes"`
	// Within is how far the mean of a draw may depart from the mixed
	// concentration.
	Within      quantity.Stated[quantity.Fraction]    `may:"within" label:"How far a draw may depart from the mixed vial"`
	Temperature quantity.Stated[quantity.Temperature] `may:"temperature" label:"Temperature of the suspension"`
	// Spheres is the number of spheres in a vial as it comes; instead of it,
	// SphereActivity is the activity of one at the reference time of the label.
	Spheres        Number                             `may:"spheres" label:"Number of spheres in a vial as received"`
	SphereActivity quantity.Stated[quantity.Activity] `may:"sphere-activity" label:"Activity of one sphere at the reference time"`
	// Diameter and DiameterSD are the mean by number and the standard
	// deviation.
	Diameter   quantity.Stated[quantity.Length] `may:"diameter" label:"Mean diameter of the spheres"`
	DiameterSD quantity.Stated[quantity.Length] `may:"diameter-sd" label:"Standard deviation of the diameters"`
	Density    Number                           `may:"density" as:"density" label:"Density of the spheres"`
}

// Demand is whether a site asks for something that it may leave out.
type Demand string

// The demands.
const (
	Required    Demand = "required"
	NotRequired Demand = "not-required"
)

// Settings gives the header facts in force: the case, the last policy, nil if
// there is none, and the last meter of each id, in the order in which each id
// came first.
func Settings(facts []Fact) (open *Site, policy *Policy, meters []*Meter) {
	for _, fact := range facts {
		switch x := fact.(type) {
		case *Site:
			open = x
		case *Policy:
			policy = x
		case *Meter:
			if i := slices.IndexFunc(meters, func(m *Meter) bool { return m.ID == x.ID }); i >= 0 {
				meters[i] = x
			} else {
				meters = append(meters, x)
			}
		}
	}
	return open, policy, meters
}
