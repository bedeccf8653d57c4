package event

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"vialwright/dispensing"
	"vialwright/quantity"
	"vialwright/rules"
)

// Reason is why an infusion ended. It is asked, never a default.
type Reason string

// The reasons.
const (
	Complete            Reason = "complete"
	Stasis              Reason = "stasis"
	EmergentCondition   Reason = "emergent-condition"
	PatientIntervention Reason = "patient-intervention"
	Blockage            Reason = "blockage"
	Leak                Reason = "leak"
	Equipment           Reason = "equipment"
	Operator            Reason = "operator"
	Other               Reason = "other"
)

// Reasons are all of them.
var Reasons = []Reason{Complete, Stasis, EmergentCondition, PatientIntervention, Blockage, Leak, Equipment, Operator, Other}

// Given is a reason as somebody gave it.
type Given struct {
	Reason Reason
	// Evidence is who saw what, Text what else was said.
	Evidence, Text string
	At             time.Time
}

// Known is an activity with its standard uncertainty.
type Known struct{ Activity, U quantity.Activity }

// Jar is the dose rate around the jar before and after, as dispensing takes it.
type Jar struct {
	Before, After dispensing.DoseReading
	// GeometryU is the relative uncertainty of spread waste against a point vial.
	GeometryU quantity.Fraction
}

// Case is what was ordered and what was recorded. A nil pointer and a zero time
// are what nobody recorded.
type Case struct {
	ID, Version string
	Zone        *time.Location
	Rules       rules.Set
	HalfLife    quantity.Span
	// Prescribed is one activity, or Least and Most bound it.
	Prescribed, Least, Most quantity.Stated[quantity.Activity]
	// OrStasis tells whether the order says "or at stasis".
	OrStasis *bool
	// Territory is the one ordered, Treated the one that was treated.
	Territory, Treated string
	Record
	// Released is when the dose was.
	Released, Start, End, Discovered time.Time
	Dispensed, Delivered             *Known
	// DeliveredBy says how Delivered is known; empty where it was entered.
	DeliveredBy string
	// ShareU is the uncertainty of the share of Dispensed that stayed behind by
	// Delivered; 0 where it is not known.
	ShareU quantity.Fraction
	Jar    *Jar
	// Parts is what the activity meter found at infusion time. Read names what was read of
	// the parts where what was delivered is known by them, here or in Delivered.
	Parts *Known
	Read  []string
	// PathFree tells that tap, clamp, needle and line were seen to be free.
	PathFree *bool
	// RightPatient and RightRoute tell that they were those of the order.
	RightPatient, RightRoute *bool
	// ContactRate is the dose rate at contact with the patient after.
	ContactRate quantity.Stated[quantity.MeterRate]
	// TreatedMass is that of the treated volume, for the dose of the departure.
	TreatedMass quantity.Stated[quantity.Mass]
	// Reason is the one given at the end, Later one that was added.
	Reason, Later *Given
	// Contamination says what was found outside; "none" for nothing.
	Contamination string
}

// Parts are where a dose stays behind.
var Parts = append([]string{"vial"}, dispensing.ResidualParts...)

// unread are the parts that nobody read, where what was delivered is known by parts.
func (c Case) unread() []string {
	if len(c.Read) == 0 {
		return nil
	}
	return slices.DeleteFunc(slices.Clone(Parts), func(p string) bool { return slices.Contains(c.Read, p) })
}

// otherSite tells that another territory was treated than the one ordered.
func (c Case) otherSite() bool {
	return dispensing.OtherTerritory(c.Territory, c.Treated)
}

// sites says which territory was ordered and which was treated, as people wrote them.
func (c Case) sites() string { return "Ordered was " + c.Territory + ", treated was " + c.Treated }

// source is one way of knowing what was delivered.
type source struct {
	name string
	Known
	share float64 // that stayed behind; below 0 if not asked
	sU    float64 // its uncertainty; 0 if not known
}

// disagrees tells that two sources lie further apart than twice their combined
// uncertainty. Where each says a share of what was dispensed, it is the shares that
// are compared: how well the dispensed activity is known is common to both.
func (s source) disagrees(t source) bool {
	if s.sU > 0 && t.sU > 0 {
		return math.Abs(s.share-t.share) > 2*math.Hypot(s.sU, t.sU)
	}
	return math.Abs(float64(s.Activity-t.Activity)) > 2*math.Hypot(float64(s.U), float64(t.U))
}

// sources are all ways there are, the best first: parts, what was entered, jar.
func (c Case) sources() (out []source, problem string) {
	d := c.Dispensed
	if c.Parts != nil && d != nil {
		f := float64(c.Parts.Activity / d.Activity)
		fu := math.Hypot(float64(c.Parts.U/d.Activity), f*float64(d.U/d.Activity))
		if f > 1+2*fu {
			return out, fmt.Sprintf("the parts are said to hold %s, and %s was dispensed", quantity.Both(c.Parts.Activity, c.Parts.U), quantity.Both(d.Activity, d.U))
		}
		// Nothing says that the two rest on one reading or factor (JCGM 100:2008, 5.1.2).
		u := quantity.Activity(math.Hypot(float64(d.U), float64(c.Parts.U)))
		left := max(0, d.Activity-c.Parts.Activity) // less than nothing is not shown to have left
		out = append(out, source{"the parts in the activity meter", Known{left, u}, min(f, 1), fu})
	}
	if c.Delivered != nil {
		s := source{cmp.Or(c.DeliveredBy, "what was entered"), *c.Delivered, -1, 0}
		if d != nil && d.Activity > 0 {
			if s.Activity < -2*s.U {
				return out, fmt.Sprintf("by %s %s was delivered, since more than the dose stayed behind", s.name, quantity.Show(s.Activity, s.U))
			}
			if over := float64(s.Activity - d.Activity); over > 2*math.Hypot(float64(s.U), float64(d.U)) {
				return out, fmt.Sprintf("%s is said to be delivered, and %s was dispensed", quantity.Both(s.Activity, s.U), quantity.Both(d.Activity, d.U))
			}
			s.share, s.sU = max(0, 1-float64(s.Activity/d.Activity)), float64(c.ShareU)
		}
		out = append(out, s)
	}
	if c.Jar != nil && d != nil {
		f, u, err := dispensing.ResidualFraction(c.Jar.Before, c.Jar.After, c.HalfLife, c.Jar.GeometryU)
		if err != nil {
			return out, err.Error()
		}
		// A = D (1 - f), u² = ((1 - f) u_D)² + (D u_f)²
		left := Known{d.Activity * quantity.Activity(1-f), quantity.Activity(math.Hypot((1-f)*float64(d.U), u*float64(d.Activity)))}
		out = append(out, source{"the dose rates of the jar", left, f, u})
	}
	return out, ""
}

// Deviation is how far what was delivered is from something, which it names.
type Deviation struct {
	// Of is "prescribed" or "dispensed", Amount what that is.
	Of     string
	Amount string
	// Value is A/amount - 1, U its standard uncertainty; 0 where it is not known, as
	// it is of the dispensed where somebody entered what was delivered.
	Value, U quantity.Fraction
	// limits are those that it reads as above, at or below.
	limits []quantity.Fraction
}

// String writes it to the place of its uncertainty, or to where its side of a limit shows,
// and always with what it is of: "-20.2 % ± 2.8 % of the prescribed 1.300 GBq".
func (d Deviation) String() string {
	least, u := 1, ""
	if d.U > 0 {
		f := quantity.Round(d.Value, d.U, "%")
		_, decimals, _ := strings.Cut(f.Value, ".")
		least, u = len(decimals), " ± "+f.U+" %"
	}
	return quantity.Signed(d.Value, least, d.limits...) + u + " of the " + d.Of + " " + d.Amount
}
