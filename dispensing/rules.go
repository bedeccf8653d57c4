package dispensing

import (
	"cmp"
	"math"
	"slices"
	"strings"
	"time"

	"vialwright/ledger"
	"vialwright/quantity"
	"vialwright/rules"
)

// threshold is a departure from what was prescribed that a published rule
// names, as a share of it: over and under it, 0 where the rule names none.
type threshold struct {
	over, under quantity.Fraction
	text        string
}

// published are thresholds in print for reporting what was delivered, each
// inclusive. None of them is law here: a site chooses what applies to it. They
// are in 10 CFR 35.3045(a)(1), "differs … by 20 percent or more"; South
// Australia, Radiation Protection and Control Regulations 2022, Schedule 3, which
// says it of radioactive material for therapy; and the Care Quality Commission's
// table of notification codes for the Ionising Radiation (Medical Exposure)
// Regulations 2017, which names 1.1 times for too much. What it says of too
// little is known from memory alone, and stands nowhere here.
var published = []threshold{
	{0.20, 0.20, "20 % or more (United States, 10 CFR 35.3045, beside a dose)"},
	{0.15, 0.15, "15 % or more (South Australia, Radiation Protection and Control Regulations 2022, schedule 3)"},
	{0.10, 0, "1.1 times what was planned or more (United Kingdom, notification codes for IR(ME)R 2017)"},
}

// notLaw says that the program has no country's rule by default.
const notLaw = "the site has set no limit, so this does not say which rule applies"

// reached tells that a departure is at or beyond any published threshold.
func reached(departure float64) bool {
	return slices.ContainsFunc(published, func(t threshold) bool {
		return t.over > 0 && departure >= float64(t.over)-edge || t.under > 0 && -departure >= float64(t.under)-edge
	})
}

// reportable are the departures that what was delivered is held against: those in print too
// where the site sets no limit.
func (x Rules) reportable() []quantity.Fraction {
	out := x.departures()
	for _, t := range published {
		if x.Limit == 0 {
			out = append(out, t.over)
		}
	}
	return out
}

func publishedText() string {
	all := make([]string, len(published))
	for i, t := range published {
		all[i] = t.text
	}
	return notLaw + "; published thresholds: " + strings.Join(all, "; ")
}

// notUsedBeyond is the departure from the prescription beyond which a dose is not
// to be used in the United States: 10 CFR 35.63(d), "differs … by more than 20
// percent", exclusive, where the report of 10 CFR 35.3045 is inclusive.
const notUsedBeyond = 0.20

// notUsed adds to a dose outside tolerance what is in print of one that
// differs by more than a fifth, where the site names no limit.
func (r *reckoner) notUsed(o OrderResult) string {
	if off := math.Abs(float64(o.Dispensed.Activity/o.Order.Prescribed) - 1); len(r.Policy.Rules.limits()) > 0 || off <= notUsedBeyond+edge {
		return ""
	}
	return "; " + notLaw + ", and a published rule says: not to be used where it differs by more than 20 % from what is prescribed, unless the authorised user directs it (United States, 10 CFR 35.63(d))"
}

// Stopped tells that an infusion ended before all was given.
func (i Infusion) Stopped() bool { return i.Reason != "" && i.Reason != "complete" }

// ForPatient tells that an infusion ended for the state or the act of the
// patient. What was not given then is no fault of the delivery, as it is after
// a blockage or a leak (10 CFR 35.3045 sets patient intervention apart; of
// stasis and an emergent condition the written directive speaks).
func (i Infusion) ForPatient() bool {
	return slices.Contains([]string{"stasis", "emergent-condition", "patient-intervention"}, i.Reason)
}

// ending says why the infusion of an order ended, or asks for it once.
func (i Infusion) ending() string {
	switch {
	case i.Reason == "":
		return "record why the infusion ended"
	case i.ForPatient():
		return "the infusion ended for " + strings.ReplaceAll(i.Reason, "-", " ") + ", and the physician says whether the rules of the site make an exception of that"
	}
	return "the reason given for its end is: " + i.Reason
}

// leastDelivered is the share below the prescription at which what was delivered is
// reported, with its name: the limit of the site, or that of its rule profile on the day
// that the infusion is planned for; 0 where neither names one.
func (r *reckoner) leastDelivered(o Order) (quantity.Fraction, string) {
	if r.Policy.Limit > 0 {
		return r.Policy.Limit, "the site's limit of " + percent(r.Policy.Limit)
	}
	if r.Profile != nil {
		if v, ok, _ := r.Profile.On(o.At.In(r.zone())).Get(rules.EventUnder); ok {
			return v.Share(), v.Bound() + " below it by " + v.Source()
		}
	}
	return 0, ""
}

// marginUsed is the share of what may be lost on the way to the patient from which a dose
// that is short already is warned of: a third of it gone with a usual residual, before
// anything is spilt or late (common practice, no source).
const marginUsed = 1.0 / 3

// checkMargin warns, until the dose is given, of one within tolerance that is short of the
// prescription: small losses add up, none of which is one to stop for.
func (r *reckoner) checkMargin(o OrderResult) {
	d := o.Dispensed
	if _, given := r.infusion(o.Order.ID); given || d.Standing != Conforms && d.Standing != Unsure {
		return
	}
	limit, name := r.leastDelivered(o.Order)
	may, short := o.Order.Prescribed*quantity.Activity(limit), o.Order.Prescribed-d.Activity
	left := may - short - nearlyConstantResidual
	if may <= 0 || short <= 0 || float64(left/may) > 1-marginUsed+edge {
		return
	}
	spare := "no more may be lost"
	if left > 0 {
		spare = "no more than " + quantity.AtMost(left) + " may be lost beside that, by a late infusion, in gauze or in the line"
	}
	r.find(MarginSmall, Warn, o.Order.Entry, "order %s has %s from the prescribed %s before it is given, and a usual residual is %s (median of 662 administrations, Hoang et al., JVIR 2019): %s, until %s is reached%s",
		o.Order.ID, departure(float64(d.Activity/o.Order.Prescribed)-1, r.Policy.Tolerance), o.Order.PrescribedText(), show(nearlyConstantResidual), spare, name, thumb)
}

// checkDelivered compares what reached the patient with the prescription. A
// limit is inclusive here. Without one of the site the thresholds in print
// stand beside the departure, as a warning.
func (r *reckoner) checkDelivered(o OrderResult) {
	d := o.Delivered
	entry := o.Order.Entry
	if res, ok := r.residual(o.Order.ID); ok {
		entry = res.Entry
	}
	inf, _ := r.infusion(o.Order.ID)
	off, limit := d.Ratio-1, r.Policy.Limit
	said := "order " + o.Order.ID + ", delivered " + Said(d.Activity, d.U) + ", "
	if d.OfPrescribed() != "" {
		said += quantity.Signed(quantity.Fraction(off), d.decimals(), d.Limits...) + " from "
	}
	said += "the prescribed " + o.Order.PrescribedText()
	switch {
	case limit > 0 && math.Abs(off) >= float64(limit)-edge:
		s := Stop
		if inf.ForPatient() {
			s = Warn
		}
		r.find(DeliveredReportable, s, entry, "at or beyond the site's limit of %s: %s; report clocks may be running; %s", percent(limit), said, inf.ending())
	case limit == 0 && reached(off):
		r.find(DeliveredReportable, Warn, entry, "a threshold in print is reached: %s; %s; %s", said, publishedText(), inf.ending())
	case math.Abs(off) > float64(r.Policy.Tolerance)+edge:
		r.find(DeliveredOutside, Warn, entry, "more than %s from what is prescribed: %s; %s", percent(r.Policy.Tolerance), said, inf.ending())
	}
	r.checkExtreme(o, entry)
	r.checkPartsSum(o, inf.From, entry)
	if len(d.Unread) > 0 {
		r.find(PartsMissing, Warn, entry, "the residual of order %s is by %s, and these parts are missing from them: %s; what is in them counts as delivered until they are read", o.Order.ID, d.KnownBy(), strings.Join(d.Unread, ", "))
	}
	f := quantity.Show(quantity.Fraction(d.Fraction), quantity.Fraction(d.FractionU))
	switch {
	case d.How == ledger.ByDoseRate && len(d.Read) > 0:
		r.find(ResidualUncertain, Note, entry, "the residual of order %s is by dose rate and by readings of %s in the activity meter together, %s: each further reading of a part changes it", o.Order.ID, strings.Join(d.Read, ", "), f)
	case d.How == ledger.ByDoseRate:
		r.find(ResidualUncertain, Note, entry, "the residual of order %s is by dose rate, %s: spread waste and a point vial are different geometries; a second method is an activity meter on the parts", o.Order.ID, f)
	}
}

// checkExtreme asks about a residual that cannot be told from all of the dose,
// or from nothing, within two standard uncertainties, and stops at one that is more than
// all of it beyond them.
func (r *reckoner) checkExtreme(o OrderResult, entry int) {
	d := o.Delivered
	switch {
	case d.Fraction-2*d.FractionU > 1:
		r.find(ResidualExtreme, Stop, entry, "by %s, the residual is %s of the dose of order %s, and it cannot be more than the dose: one of the readings is wrong; read again, and correct the entry",
			d.KnownBy(), quantity.Show(quantity.Fraction(d.Fraction), quantity.Fraction(d.FractionU)), o.Order.ID)
	case d.Fraction+2*d.FractionU >= 1:
		r.find(ResidualExtreme, Warn, entry, "by %s, the residual is %s of the dose of order %s, and may be the whole dose: check that the dose was given, and that each reading was of the right thing",
			d.KnownBy(), quantity.Show(quantity.Fraction(d.Fraction), quantity.Fraction(d.FractionU)), o.Order.ID)
	case d.Fraction <= 2*d.FractionU:
		r.find(ResidualExtreme, Warn, entry, "by %s, no residual of order %s was found: check that the vial, the line, the catheter and the swabs were all read",
			d.KnownBy(), o.Order.ID)
	}
}

// checkPartsSum warns where the parts that were read hold more than the whole residual by dose
// rate, beyond two standard uncertainties: then less than nothing would be left in the vial.
func (r *reckoner) checkPartsSum(o OrderResult, vial string, entry int) {
	if o.Delivered.How != ledger.ByDoseRate {
		return
	}
	if left, u := r.bal.Activity(r.bal.Now(vial), r.out.At); left < -2*u {
		r.find(ResidualExtreme, Warn, entry, "the parts of the residual of order %s that were read hold more than all of it by dose rate: one of the readings is wrong; read again, and correct the entry", o.Order.ID)
	}
}

// ResidualParts are where a dose stays behind apart from its vial.
var ResidualParts = []string{"line", "catheter", "swabs"}

// holds tells whether a part is among what is in a container.
func (p Part) holds(part string) bool {
	return strings.Contains(strings.ToLower(p.Holds), strings.ToLower(strings.TrimSuffix(part, "s")))
}

// unread are the residual parts of an order that no reading holds.
func (r *reckoner) unread(order string) []string {
	parts := slices.Clone(ResidualParts)
	if u, ok := r.setUse(order); ok && u.Extra != "" {
		parts = append(parts, u.Extra)
	}
	return slices.DeleteFunc(parts, func(part string) bool {
		return slices.ContainsFunc(r.Parts, func(x Part) bool {
			return x.For == order && x.holds(part)
		})
	})
}

// Dated is a policy with what it leaves to be assumed, and the time from which
// it holds; zero for one that always held.
type Dated struct {
	From     time.Time
	Policy   Policy
	Settling Settling
	Assumed  []Assumed
}

// AsOf gives the case with the policy that holds at a moment, for what is still
// to be done then. What was done keeps what was in force when it was recorded.
func (c Case) AsOf(at time.Time) Case {
	for i := len(c.Policies) - 1; i >= 0; i-- {
		if d := c.Policies[i]; i == 0 || !d.From.After(at) {
			c.Policy, c.Settling, c.Assumed = d.Policy, d.Settling, d.Assumed
			break
		}
	}
	return c
}

// Rules are what the site had decided about an order when that revision of it
// was signed: by them the order is judged, whatever is decided later.
type Rules struct {
	// Tolerance is the allowed departure of dispensed from wanted activity, Limit the site's
	// outer departure from the prescribed activity itself, zero where the site names none.
	Tolerance, Limit quantity.Fraction
	// Confidence is the least conformance probability for release.
	Confidence quantity.Fraction
	// Basis is the scale prescriptions are written on.
	Basis quantity.Basis
	// Verdicts are the site's words, empty for ours.
	Verdicts Verdicts
	// Law is the value of the site's rule profile from which a dose is not used, in force
	// on the day of the infusion; nil for none.
	Law *rules.Value
}

// RulesOf are the rules by which an order is judged: its own, or those of the
// policy where it has none; with the limit of the profile on the day of the infusion.
func (c Case) RulesOf(o Order) Rules {
	x := c.Policy.Rules
	if o.Rules != nil {
		x = *o.Rules
	}
	if c.Profile != nil {
		if v, ok, _ := c.Profile.On(o.At.In(cmp.Or(c.Zone, time.UTC))).Get(rules.DispenseLimit); ok {
			x.Law = &v
		}
	}
	return x
}

// under puts an order's own rules in force until undo is called.
func (r *reckoner) under(o Order) (undo func()) {
	was := r.Policy
	r.Policy.Rules = r.RulesOf(o)
	return func() { r.Policy = was }
}
