package dispensing

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"vialwright/ledger"
	"vialwright/quantity"
	"vialwright/slip"
)

// thumb marks a finding whose bound is a rule of thumb.
const (
	thumbRule = "a rule of thumb: common practice, no source"
	thumb     = " (" + thumbRule + ")"
)

// nearlyConstantResidual is the median residual of resin administrations,
// 0.039 GBq of 662 administrations (Hoang et al., JVIR 2019): nearly constant
// in activity, so it weighs most on small prescriptions.
const nearlyConstantResidual = 39 * quantity.MegaBecquerel

// largeResidual is the share from which an expected residual looks like a slip
// if its activity is large too: three times the median 3.01 % of the same series.
const largeResidual = 0.09

// checkFacts looks at what was entered, before anything is reckoned.
func (r *reckoner) checkFacts() {
	for _, o := range r.Orders {
		if o.Cancelled {
			continue
		}
		r.plausible(o.Entry, Stop, "prescribed", o.Prescribed)
		if share := float64(nearlyConstantResidual / o.Prescribed); share >= float64(r.Policy.Tolerance) {
			r.find(SmallPrescription, Warn, o.Entry,
				"%s is small for order %s: the median residual of %s (662 administrations, Hoang et al., JVIR 2019) would be %.0f %% of it",
				show(o.Prescribed), o.ID, show(nearlyConstantResidual), 100*share)
		}
		if l, ok := r.UsualResidual(); ok {
			r.find(ResidualExperience, Note, o.Entry, "order %s allows %s for the residual; for information, the residual after this site's infusions is %s", o.ID, o.AllowedText(), l.Sentence())
		}
		switch {
		case o.Allowed() == 0:
			r.find(ResidualNotStated, Note, o.Entry, "order %s allows nothing for the residual; the draw aims at the prescription itself", o.ID)
		case o.Allowed() > 3*nearlyConstantResidual && o.AllowedShare() > largeResidual:
			r.find(ResidualLarge, Warn, o.Entry, "order %s allows %s for the residual, more than three times%s the usual %s or 3 %% (median of 662 administrations, Hoang et al., JVIR 2019): check the number",
				o.ID, o.AllowedText(), thumb, show(nearlyConstantResidual))
		}
	}
	for _, v := range r.Vials {
		r.plausible(v.Entry, Warn, "labelled", v.Labelled)
	}
	for _, m := range r.MakeUps {
		r.checkMakeUp(m)
	}
	for _, x := range r.Readings {
		r.checkReading(x)
	}
	for _, d := range r.Draws {
		r.checkClock(d)
	}
	for _, inf := range r.Infusions {
		r.checkTerritory(inf)
	}
	r.checkMeasured()
	r.checkRecord()
}

func (r *reckoner) checkReading(x Reading) {
	if x.Gross > 20*quantity.GigaBecquerel {
		r.plausible(x.Entry, Warn, "gross", x.Gross)
	}
	if highBackground(x.Gross, x.Background) {
		r.find(BackgroundHigh, Warn, x.Entry, "the background %s is high beside the reading %s%s: check it and its unit", show(x.Background), show(x.Gross), thumb)
	}
	if k, ok := r.Book.Container(x.Of); ok && k.Kind == ledger.ShippingVial && x.Gross <= x.Background {
		r.find(ReadingEmpty, Stop, x.Entry, "%s reads no more than the background: was it in the meter? Strike the reading out with a correction, and read again", x.Of)
	}
}

// checkTerritory compares the territory treated with the one ordered.
func (r *reckoner) checkTerritory(inf Infusion) {
	for _, o := range r.Orders {
		if o.ID == inf.For && OtherTerritory(o.Territory, inf.Treated) {
			r.find(TreatedElsewhere, Stop, inf.Entry, "order %s is for %s, and %s was treated: correct the entry if that is a slip; if it is so, tell the physician now, and report a deviation", o.ID, o.Territory, inf.Treated)
		}
	}
}

// checkRecord looks at how things were written down.
func (r *reckoner) checkRecord() {
	for _, b := range r.Backwards {
		r.find(TimeBackwards, Warn, b.Entry, "entry %d lies before entry %d in time: a late entry, or a slip of the clock; it is calculated at its own time", b.Entry, b.Above)
	}
	for _, v := range r.Vials {
		if !quantity.OffsetMatchesZone(v.Reference, r.zone()) {
			r.find(OffsetUnusual, Note, v.Entry, "the label of %s is stated for %s, in another zone than %s: taken as written it is %s here",
				v.ID, quantity.FormatTime(v.Reference, nil), r.zone(), quantity.ShowTime(v.Reference.In(r.zone())))
		}
	}
	for _, e := range r.OffsetOdd {
		r.find(OffsetUnusual, Warn, e, "the offset written in entry %d is not the one that %s had at that moment: a time from another zone, or a slip; it was taken as written", e, r.Zone)
	}
	if given := r.out.notFromExperience(); len(given) > 0 {
		names := make([]string, len(given))
		for i, a := range given {
			names[i] = cmp.Or(a.Name, a.Setting) + " " + a.Value
		}
		r.find(SettingAssumed, Note, 0, "these are not set, and are assumed: %s", strings.Join(names, "; "))
	}
}

// plausible tells of an activity outside 0.01 to 20 GBq, which no resin
// shipping vial or prescription is (common practice, no source), and names
// the slip of unit that would explain it. A prescription of that sort is a stop, said
// before what follows from it, such as a volume that no vial holds.
func (r *reckoner) plausible(entry int, severity Severity, field string, a quantity.Activity) {
	if a >= 10*quantity.MegaBecquerel && a <= 20*quantity.GigaBecquerel {
		return
	}
	r.find(ImplausibleActivity, severity, entry, "%s %s lies outside 0.01 to 20 GBq%s%s", capital(field), show(a), thumb, slips(a))
}

// slips lists the slips of unit that bring an activity into the usual range
// 0.1 to 10 GBq.
func slips(a quantity.Activity) string {
	type slip struct {
		factor float64
		words  string
	}
	large := []slip{
		{1 / 27.027027, "mCi written as GBq (x27)"},
		{1 / 37.0, "MBq written as mCi (x37)"},
		{1e-3, "MBq written as GBq (x1000)"},
	}
	small := []slip{
		{27.027027, "GBq written as mCi (/27)"},
		{37, "mCi written as MBq (/37)"},
		{1e3, "GBq written as MBq (/1000)"},
	}
	list := small
	if a > quantity.GigaBecquerel {
		list = large
	}
	var out []string
	for _, s := range list {
		if v := quantity.Activity(float64(a) * s.factor); v >= 100*quantity.MegaBecquerel && v <= 10*quantity.GigaBecquerel {
			out = append(out, fmt.Sprintf("%s: then %s", s.words, show(v)))
		}
	}
	if len(out) == 0 {
		return ": check the number and its unit"
	}
	return ": a slip of unit? " + strings.Join(out, ", or ")
}

// checkMakeUp judges the volume and the fluid. Saline is refused for resin:
// ion exchange frees the nuclide (common practice, no source seen).
func (r *reckoner) checkMakeUp(m MakeUp) {
	low, high := cmp.Or(m.Min, r.Policy.MakeUpMin), cmp.Or(m.Max, r.Policy.MakeUpMax)
	if m.After < low || m.After > high {
		r.find(MakeUpVolume, Warn, m.Entry, "%s holds %s after make-up; the site's limits are %s to %s: check the volumes that were entered",
			m.Of, mL(m.After), mL(low), mL(high))
	}
	switch fluid(m.Diluent) {
	case saline:
		r.find(DiluentRefused, Stop, m.Entry, "%q is refused for resin microspheres: salt frees the nuclide from the resin%s; correct the entry if it is a slip, else prepare another dose", m.Diluent, thumb)
	case unknownFluid:
		r.find(DiluentUnknown, Warn, m.Entry, "%q is not known here as water for injection or 5 %% glucose: check the package insert%s", m.Diluent, thumb)
	}
}

type fluidKind int

const (
	unknownFluid fluidKind = iota
	water
	saline
)

// waters are the names of fluids that pass without remark, in full: tap water
// and 50 % glucose are not among them.
var waters = []string{
	"water for injection", "water for injections", "sterile water", "sterile water for injection", "sterile water for injections", "wfi",
	"glucose 5 %", "5 % glucose", "glucose 5%", "5% glucose", "dextrose 5 %", "5 % dextrose", "dextrose 5%", "5% dextrose",
}

func fluid(name string) fluidKind {
	n := strings.ToLower(strings.TrimSpace(name))
	if slices.Contains(waters, n) {
		return water
	}
	for _, s := range []string{"saline", "sodium chloride", "nacl", "ringer", "0.9"} {
		if strings.Contains(n, s) {
			return saline
		}
	}
	return unknownFluid
}

// checkVial compares the vial with its label, where both are on one scale and
// its readings do not contradict one another.
func (r *reckoner) checkVial(v VialResult) {
	if !v.Assayed {
		r.find(VialNotAssayed, Warn, v.Vial.Entry, "what came in %s is not determined by readings: the activity on its label is used", v.Vial.ID)
		return
	}
	if v.Basis != quantity.LabelBasis {
		r.find(BasisStated, Note, v.Vial.Entry, "%s was read on the %s basis; it is not compared with its label", v.Vial.ID, v.Basis)
		return
	}
	off := math.Abs(v.LabelRatio - 1)
	allowed, double := v.LabelLimits[0], v.LabelLimits[1]
	if off <= float64(allowed)+edge {
		return
	}
	s, twice := Warn, ""
	if off > float64(double)+edge {
		s, twice = Stop, "; a stop at twice that, "+thumbRule
	}
	r.find(LabelMismatch, s, v.Vial.Entry, "%s holds %s of its labelled activity at the reference time (allowed: within %s%s)%s",
		v.Vial.ID, Share(v.LabelRatio, v.LabelLimits...), percent(allowed), twice, cmp.Or(r.says[v.Vial.Entry], r.labelSlip(v.LabelRatio)))
}

// labelSlip names the slip of the reference time that comes nearest to a ratio,
// where package slip found the label no less likely than its tolerance allows.
func (r *reckoner) labelSlip(ratio float64) string {
	h, late := slip.TimeOff(ratio, r.HalfLife.Value), "late"
	if h == 0 {
		return "; check the reference date, time and zone, and the meter's setting"
	}
	if h < 0 {
		h, late = -h, "early"
	}
	return fmt.Sprintf("; a reference time %d h too %s would explain it: check date, am/pm and zone", h, late)
}

// checkTotals adds up the orders still to be drawn from each vial.
func (r *reckoner) checkTotals() {
	for _, v := range r.Vials {
		var need quantity.Volume
		var ids []string
		for _, o := range r.out.Orders {
			if o.Plan != nil && o.Plan.From == v.ID && o.Container == "" {
				need += o.Plan.Draw
				ids = append(ids, o.Order.ID)
			}
		}
		if have := r.Book.Volume(v.ID); len(ids) > 1 && need > have+edge {
			r.find(VialInsufficient, Stop, v.Entry, "orders %s together need %s from %s, which holds %s: receive another vial, or ask for a revised order", strings.Join(ids, ", "), mL(need), v.ID, mL(have))
		}
	}
}

// Measured is a dose rate, a contamination or a staff dose as it was entered,
// beside the limit of the site for it.
type Measured struct {
	// Entry is the number of the entry it comes from, from 1.
	Entry int
	// What says what was measured, such as "dose rate at suite 2, less background".
	What string
	// Setting is what the limit is called, such as "body dose of one entry".
	Setting string
	// Shown is what was measured, Limit the limit, each with its unit; Limit is
	// empty where the site has set none.
	Shown, Limit string
	// Beyond tells that what was measured is more than the limit.
	Beyond bool
}

// checkMeasured warns of what is beyond a limit of the site. No limit is
// assumed: what could not be judged is said once for the case.
func (r *reckoner) checkMeasured() {
	var unset []string
	for _, m := range r.Measured {
		switch {
		case m.Limit == "" && !slices.Contains(unset, m.Setting):
			unset = append(unset, m.Setting)
		case m.Beyond:
			r.find(LimitExceeded, Warn, m.Entry, "%s: %s is beyond the site's limit of %s: act by the rule of your site", capital(m.What), m.Shown, m.Limit)
		}
	}
	if len(unset) > 0 {
		r.find(LimitNotSet, Note, 0, "what was measured was not compared with a limit, since the site has set none (%s): compare it with the rule of your site yourself, and set the limit in the settings of the site, which judges what is measured from then on", strings.Join(unset, "; "))
	}
}

// checkClock warns of a draw that was begun after the settling clock had said
// to shake again. Whole seconds are compared, as they are on the screen.
func (r *reckoner) checkClock(d Draw) {
	if d.Trusted == nil || d.Agitated.IsZero() {
		return
	}
	since := quantity.Span(d.At.Sub(d.Agitated).Truncate(1e9).Seconds())
	if since <= *d.Trusted {
		return
	}
	if *d.Trusted == 0 {
		r.find(DrawSettled, Warn, d.Entry, "this draw was begun %s after %s was resuspended; by the settling clock only a draw begun at once could be trusted", quantity.ShowSpan(since), d.From)
		return
	}
	r.find(DrawSettled, Warn, d.Entry, "this draw was begun %s after %s was resuspended; the settling clock said to resuspend again after %s",
		quantity.ShowSpan(since), d.From, quantity.ShowSpan(*d.Trusted))
}

// poorChance is the probability below which the readings agree poorly as a
// whole: one honest set of a thousand (no source for the choice).
const poorChance = 0.001

// checkReadings looks at the readings as a whole. Which of them has slipped is
// found by comparing hypotheses ([reckoner.checkSlips]).
func (r *reckoner) checkReadings() {
	for _, a := range r.bal.SetAside() {
		r.find(BasisSetAside, Warn, a.Entry, "left out: a reading on the %s basis, since the others of its vial are on the %s basis; the two are never compared or subtracted", a.Is, a.Others)
	}
	r.stateBasis()
}

// checkAgreement is for readings that agree poorly, with none to name.
func (r *reckoner) checkAgreement() {
	if c := r.out.Consistency; len(r.holds) == 0 && c.DOF > 0 && c.P < poorChance && !r.found(ReadingDisagrees, 0) {
		r.find(ReadingsDisagree, Warn, 0, "the readings scatter more than their meters allow, with none to name: read again, and test the meter (chi-square %.1f for %d degrees of freedom)", c.Chi2, c.DOF)
	}
}

// found says whether there is a finding of an entry already; of any, for 0.
func (r *reckoner) found(code Code, entry int) bool {
	return slices.ContainsFunc(r.out.Findings, func(f Finding) bool { return f.Code == code && (entry == 0 || f.Entry == entry) })
}

// stateBasis says which scale the case's activities are on.
func (r *reckoner) stateBasis() {
	seen := map[quantity.Basis]bool{}
	for _, x := range r.Readings {
		if !seen[x.Basis] {
			seen[x.Basis] = true
			r.find(BasisStated, Note, 0, "%s", basisText(x.Basis))
		}
	}
	if len(r.Readings) == 0 {
		r.find(BasisStated, Note, 0, "%s", basisText(quantity.LabelBasis))
	}
}

func basisText(b quantity.Basis) string {
	if b == quantity.TraceableBasis {
		return "Activities read are on the traceable basis: a calibration factor tied to a national standard"
	}
	return fmt.Sprintf("Activities are on the %s basis: a calibration factor matched to the supplier's label", b)
}
