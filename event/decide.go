package event

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"vialwright/dispensing"
	"vialwright/dose"
	"vialwright/quantity"
	"vialwright/rules"
	"vialwright/uncertainty"
)

// Outcome is the answer.
type Outcome string

// The outcomes.
const (
	Within    Outcome = "no event: within"
	AtStasis  Outcome = "no event: stasis and the order allowed it"
	Emergent  Outcome = "no event: emergent condition, order to be revised"
	Revised   Outcome = "no event: emergent condition, order revised in time"
	ByPatient Outcome = "no event: patient intervention"
	IsEvent   Outcome = "event"
	CannotSay Outcome = "cannot say"
)

// Decision is what the profile says of a case.
type Decision struct {
	Outcome Outcome
	// ReviseBy is the end of the time to revise the order, for an emergent condition; zero
	// where none is asked for.
	ReviseBy time.Time
	// Remembered is what would take it out of the events and decides nothing, since the
	// profile has it from memory; empty for an event that nothing would.
	Remembered string
	// Missing is what the answer waits for; Undecided tells that it waits for more than
	// a limit of the amount, which the profile does not have, and that no person has
	// judged it meanwhile.
	Missing   []string
	Undecided bool
	// Because are the sentences that lead to it, with paragraph and mark.
	Because []string
	// Delivered is what was delivered and By how it is known; nil where it is not.
	Delivered  *Known
	By         string
	Deviations []Deviation
	// Beyond is the probability that the true value is beyond the limit on its side; nil
	// where no limit was held against it, or no uncertainty is stated.
	Beyond *quantity.Fraction
	// Questions are what somebody has to look at, whatever the outcome.
	Questions []string
	Clocks    []Clock
}

// Unfinished tells that the profile still asks for something: what it cannot say without,
// an order to be completed or revised, or an event to be told.
func (d Decision) Unfinished() bool { return d.Undecided || slices.ContainsFunc(d.Clocks, Clock.Runs) }

// Early tells that the answer need not wait for the dose rate of the jar: it is an event
// already, what was delivered is known by parts, or the infusion ended for what excuses
// nothing.
func (d Decision) Early(c Case) bool {
	return d.Outcome == IsEvent || d.Delivered != nil || c.Reason != nil && slices.Contains([]Reason{Blockage, Leak, Equipment, Operator}, c.Reason.Reason)
}

// Headline is the outcome with what belongs to it.
func (d Decision) Headline(zone *time.Location) string {
	switch d.Outcome {
	case Emergent:
		return string(d.Outcome) + " by " + quantity.ShowTime(d.ReviseBy.In(zone))
	case CannotSay:
		return string(d.Outcome) + ": " + strings.Join(d.Missing, "; ")
	}
	if d.Remembered != "" {
		return string(d.Outcome) + "; the exception for " + d.Remembered + " is from memory only: the physician or the radiation safety officer must check"
	}
	return string(d.Outcome)
}

type decider struct {
	Case
	out Decision
	// waits tells that something else is missing than a limit of the amount.
	waits bool
	// memory are the exceptions that were applied and nobody has read for the profile.
	memory []rules.Value
}

// Decide applies the profile of the case.
func Decide(c Case) Decision {
	d := &decider{Case: c}
	d.delivered()
	d.ask()
	d.decide()
	d.out.Undecided = d.out.Outcome == CannotSay && d.waits && d.Judged.IsZero()
	d.clocks()
	return d.out
}

func (d *decider) missing(format string, args ...any) {
	d.silent(format, args...)
	d.waits = true
}

// silent names a limit of the amount that the profile does not have: by such a
// profile no infusion is ever decided.
func (d *decider) silent(format string, args ...any) {
	d.out.Missing = append(d.out.Missing, fmt.Sprintf(format, args...))
}

func (d *decider) because(format string, args ...any) {
	d.out.Because = append(d.out.Because, fmt.Sprintf(format, args...))
}

func (d *decider) question(format string, args ...any) {
	d.out.Questions = append(d.out.Questions, fmt.Sprintf(format, args...))
}

// delivered finds what was delivered, and how it deviates.
func (d *decider) delivered() {
	all, problem := d.sources()
	if problem != "" {
		d.missing("what was delivered: %s", problem)
	}
	if len(all) == 0 {
		if problem == "" {
			d.missing("what was delivered: neither the jar nor the parts were read, and it is never taken for what was prescribed")
		}
		return
	}
	best := all[0]
	for i, a := range all {
		for _, b := range all[:i] {
			if a.disagrees(b) {
				d.missing("which is right: by %s %s was delivered, and by %s %s", b.name, quantity.Both(b.Activity, b.U), a.name, quantity.Both(a.Activity, a.U))
			}
		}
	}
	d.out.Delivered, d.out.By = &best.Known, best.name
	deviate := func(of, text string, amount quantity.Activity, u quantity.Fraction) {
		d.out.Deviations = append(d.out.Deviations, Deviation{Of: of, Amount: text, Value: quantity.Fraction(best.Activity/amount) - 1, U: u})
	}
	if p := d.Prescribed; p.Value > 0 {
		deviate("prescribed", p.Text, p.Value, quantity.Fraction(best.U/p.Value))
	}
	if k := d.Dispensed; k != nil && k.Activity > 0 {
		// 1 - f, so that it is as uncertain as f.
		deviate("dispensed", quantity.Show(k.Activity, k.U).String(), k.Activity, quantity.Fraction(best.sU))
	}
	switch {
	case best.share < 0:
	case best.share+2*best.sU >= 1:
		d.question("By %s all of the dose may have stayed behind, and none is shown to have been delivered: read the vial by itself, and check that each reading was of the right thing.", best.name)
	case best.share <= 2*best.sU:
		d.question("By %s nothing can be told to have stayed behind: check that vial, line, catheter and swabs were all read.", best.name)
	}
}

// ask looks for what contradicts the record, and for what it lacks.
func (d *decider) ask() {
	if k := d.out.Delivered; k != nil && !d.ContactRate.IsZero() && k.Activity > 0 {
		family := quantity.Family(d.ContactRate)
		want := quantity.MeterRate(dispensing.PerGBqAtContact[family] * float64(k.Activity/quantity.GigaBecquerel))
		if d.ContactRate.Value < want/10 {
			d.missing("a reading of the vial by itself: %s at contact with the patient, and about %s is usual of %s (Cournane et al., Phys Med 65 (2019) 121); the jar errs both ways",
				d.ContactRate.Text, quantity.FormatDigits(want, 2, family), quantity.Show(k.Activity, k.U))
		}
	}
	if len(d.unread()) > 0 {
		d.question("The residual by parts is incomplete: %s not read. What is in them counts as delivered until they are.", strings.Join(d.unread(), ", "))
	}
	if d.Contamination != "" && d.Contamination != "none" {
		d.question("Contamination was found (%s): what lies there is neither in the patient nor in the jar, and on the jar it is counted as left behind. Read the parts by themselves, and enter the spill.", d.Contamination)
	}
	if d.Later != nil && d.Reason != nil {
		d.question("The reason was given as %s, and as %s on %s. The first one is applied, both are kept, and no clock stops.", d.Reason.Reason, d.Later.Reason, quantity.ShowTime(d.Later.At.In(d.Zone)))
	}
	if r := d.Reason; r != nil && r.Reason == Stasis && len(d.out.Deviations) > 0 && d.out.Deviations[0].Value <= -0.5 {
		d.question("More than half was not delivered, and the reason is stasis: were tap, clamp, needle and line looked at before it was called so?")
	}
	if d.Released.After(d.Start) {
		d.question("The dose was released at %s, after the infusion began at %s: was it given before its release? Check both times.", quantity.ShowTime(d.Released.In(d.Zone)), quantity.ShowTime(d.Start.In(d.Zone)))
	}
	if !d.Released.IsZero() && d.Signed.After(d.Released) {
		d.question("The order was revised after the dose was released: release it again under version %s, or take the dose back.", d.Version)
	}
}

// ordered names what is missing of the order, without which no amount can be held
// against it, and tells whether all is known that an amount needs.
func (d *decider) ordered() bool {
	if d.Prescribed.Value <= 0 && d.Least.Value <= 0 && d.Most.Value <= 0 {
		d.missing("what was prescribed")
	}
	if d.Signed.After(d.Start) {
		d.missing("the order in force at the start: version %s was signed at %s, after the infusion began; enter the version before it, and the revision with its reason", d.Version, quantity.ShowTime(d.Signed.In(d.Zone)))
	}
	return len(d.out.Missing) == 0
}

// circumstances names what is missing of how the dose was given.
func (d *decider) circumstances() {
	if d.Reason == nil {
		d.missing("why the infusion ended")
	} else if d.Reason.Reason == Other && d.Reason.Text == "" {
		d.missing("what the other reason is, in words")
	}
	if d.RightPatient == nil {
		d.missing("whether it was the patient of the order")
	}
	if d.RightRoute == nil {
		d.missing("whether it was the route of the order")
	}
	if d.Territory == "" || d.Treated == "" {
		d.missing("the territory ordered, and the one treated")
	}
}

func (d *decider) decide() {
	known := d.ordered()
	d.circumstances()
	if d.elsewhere() {
		return
	}
	var beyond, under bool
	if known {
		beyond, under = d.amount()
	}
	switch {
	case beyond && !under: // whatever else is missing: nothing excuses too much
		d.out.Outcome = IsEvent
		if len(d.out.Missing) > 0 {
			d.question("Still to be entered: %s.", strings.Join(d.out.Missing, "; "))
		}
	case len(d.out.Missing) > 0:
		d.out.Outcome = CannotSay
	case !beyond && len(d.unread()) > 0 && d.Jar == nil:
		d.missing("the residual of the parts that were not read: %s", strings.Join(d.unread(), ", "))
		d.out.Outcome = CannotSay
	case !beyond:
		d.out.Outcome = Within
	default:
		d.excused()
	}
}

// elsewhere tells that the dose went to another patient, route or site, which
// needs no amount.
func (d *decider) elsewhere() bool {
	wrong := func(k rules.Key, what string) bool {
		v, ok, why := d.Rules.Get(k)
		if !ok || !d.Rules.Yes(k) {
			d.missing("what applies where %s: %s", what, why)
			return false
		}
		d.out.Outcome = IsEvent
		d.because("%s: an event by %s.%s", what, v.Source(), note(v))
		return true
	}
	switch {
	case d.RightPatient != nil && !*d.RightPatient:
		return wrong(rules.EventWrongPatient, "It was given to another patient than the order's")
	case d.RightRoute != nil && !*d.RightRoute:
		return wrong(rules.EventWrongRoute, "It was given by another route than the order's")
	case d.otherSite() && !d.Signed.After(d.Start):
		return wrong(rules.EventWrongSite, d.sites())
	}
	return false
}

func note(v rules.Value) string {
	if v.Note == "" {
		return ""
	}
	return " (" + strings.ToUpper(v.Note[:1]) + v.Note[1:] + ".)"
}

// amount holds what was delivered against the order: beyond its limits, and on
// which side.
func (d *decider) amount() (beyond, under bool) {
	a := *d.out.Delivered
	if d.Prescribed.IsZero() {
		return d.inRange(a)
	}
	off := float64(d.out.Deviations[0].Value)
	key, side := rules.EventUnder, "below"
	if off > 0 {
		key, side = rules.EventOver, "above"
	}
	v, ok, why := d.Rules.Get(key)
	if !ok {
		d.silent("the limit: %s", why)
		return false, false
	}
	limit := float64(d.Prescribed.Value) * (1 - float64(v.Share()))
	lim := uncertainty.Limits{Lower: math.Inf(-1), Upper: limit}
	if off > 0 {
		lim = uncertainty.Limits{Lower: float64(d.Prescribed.Value) * (1 + float64(v.Share())), Upper: math.Inf(1)}
	}
	if p, err := uncertainty.Conformance(float64(a.Activity), float64(a.U), lim); err == nil && a.U > 0 {
		beyond := quantity.Fraction(p)
		d.out.Beyond = &beyond
	}
	beyond = v.Reached(math.Abs(off))
	d.out.Deviations[0].limits = []quantity.Fraction{v.Share()}
	is := "not beyond"
	if beyond {
		is = "beyond"
	}
	d.because("Delivered departs by %s, %s the limit of %s %s by %s.%s", d.out.Deviations[0], is, v.Bound(), side, v.Source(), d.chance(v, side))
	if beyond {
		d.floor()
	} else {
		d.remembered(v)
	}
	return beyond, off < 0
}

// rangeText writes the prescribed range, which may have one side only.
func (c Case) rangeText() string {
	switch {
	case c.Least.IsZero():
		return "at most " + c.Most.Text
	case c.Most.IsZero():
		return "at least " + c.Least.Text
	}
	return c.Least.Text + " to " + c.Most.Text
}

// chance says the probability of being beyond where it is neither nothing nor
// certain.
func (d *decider) chance(v rules.Value, side string) string {
	if d.out.Beyond == nil {
		return " No uncertainty is stated, so no probability."
	}
	p := float64(*d.out.Beyond)
	if p < 0.01 || p > 0.99 {
		return ""
	}
	return fmt.Sprintf(" The probability that it is %s %s is %.0f %%; the rule goes by the best estimate.", v.Bound(), side, 100*p)
}

func (d *decider) inRange(a Known) (beyond, under bool) {
	v, ok, why := d.Rules.Get(rules.EventOutsideRange)
	if !ok {
		d.silent("what applies to a range: %s", why)
		return false, false
	}
	under = d.Least.Value > 0 && !quantity.Reaches(a.Activity, d.Least.Value)
	beyond = under || d.Most.Value > 0 && quantity.Beyond(a.Activity, d.Most.Value)
	is := "inside"
	if beyond {
		is = "outside"
	}
	d.because("Delivered %s is %s the prescribed range, %s, by %s; a range has no percentage.", quantity.Show(a.Activity, a.U), is, d.rangeText(), v.Source())
	if beyond = beyond && d.Rules.Yes(rules.EventOutsideRange); !beyond {
		d.remembered(v)
	}
	return beyond, under
}

// remembered holds back what would be no event by a limit that is from memory alone: the
// profile then has none, as far as anybody knows.
func (d *decider) remembered(v rules.Value) {
	if v.Mark == rules.Memory {
		d.silent("the limit: nobody has read %s for profile %s, and a figure from memory alone makes nothing no event", v.Citation, d.Rules.Profile.ID)
	}
}

// floor says what dose the departure makes to the treated mass, beside the floor
// of the profile. It changes no outcome: the effective dose is another floor.
func (d *decider) floor() {
	v, ok, _ := d.Rules.Get(rules.EventOrganFloor)
	if !ok || d.TreatedMass.Value <= 0 {
		return
	}
	off := math.Abs(float64(d.out.Delivered.Activity-d.Prescribed.Value)) / float64(quantity.GigaBecquerel)
	gray := dose.DefaultConstant().Value * off / float64(d.TreatedMass.Value/quantity.Kilogram)
	is := "does not reach"
	if v.Reached(gray * float64(quantity.Sievert)) { // of electrons 1 Gy is 1 Sv
		is = "reaches"
	}
	d.because("The departure is about %s to %s of tissue, which %s the floor of %s to an organ by %s; a floor of effective dose stands beside it.",
		quantity.FormatDigits(quantity.AbsorbedDose(gray), 2, "Gy"), d.TreatedMass.Text, is, v.Bound(), v.Source())
}
