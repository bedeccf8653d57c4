package dispensing

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"vialwright/ledger"
	"vialwright/quantity"
)

// Check is a second check: what another person read and worked out.
type Check struct {
	// Entry is the number of the entry it comes from, from 1.
	Entry             int
	For, Of, Meter    string
	At                time.Time
	Gross, Background quantity.Activity
	// Figure is the dose at its planned infusion, as that person worked it
	// out.
	Figure quantity.Activity
	// Reading is the net reading with the factors of its meter; Unread says
	// why there are none, and is empty where there are.
	Reading ledger.Reading
	Unread  string
	// Setting and Insert are how the meter was set; empty where nobody noted it. Nothing is
	// reckoned from them.
	Setting, Insert string
}

// CheckWay is a container by which a second reader can tell a dose.
type CheckWay struct {
	// Of is the container.
	Of string
	// Shared are the entries of the readings before the draw that its reading
	// is taken from; none where it holds the dose.
	Shared []int
}

// checkWays are those at the moment asked that the site takes.
func (r *reckoner) checkWays(dose ledger.Amount, holds []string, draws []Draw) (out []CheckWay) {
	at := r.out.At
	for _, d := range draws {
		if s := r.bal.ByRemainder(dose, d.From, at); len(s) > 0 && !slices.ContainsFunc(out, func(w CheckWay) bool { return w.Of == d.From }) {
			out = append(out, CheckWay{d.From, s})
		}
	}
	if len(out) > 0 && !r.Policy.CheckEither {
		return out
	}
	for _, id := range holds {
		if r.bal.IsHeld(dose, id, at) {
			out = append(out, CheckWay{Of: id})
		}
	}
	return out
}

// CheckResult is a second check beside the record. All activities are those of
// the dose at its planned infusion.
type CheckResult struct {
	Check
	// Why says why the two cannot be compared; empty where they can.
	Why string
	// Shared are the entries of the readings of the record that the second
	// figure rests on too: those of the vial before the draw. None where the
	// container with the dose was read.
	Shared []int
	// Remainder tells that the remainder of the vial could be read, Allowed
	// that the site takes what was read.
	Remainder, Allowed bool
	// Read is the dose by the second reading with the factors of the meter,
	// First that of the record, Difference the one less the other; U is the
	// standard uncertainty of the difference, in which shared readings and
	// common factors cancel.
	Read, First, Difference, U quantity.Activity
	// Limit is the site's, as a fraction of First.
	Limit quantity.Fraction
}

// SharedText names the entries of Shared.
func (c CheckResult) SharedText() string {
	var of []string
	for _, n := range c.Shared {
		of = append(of, strconv.Itoa(n))
	}
	return strings.Join(of, ", ")
}

// Own is how far a figure that was worked out by hand may lie from what the
// same readings give: 1 %, the rounding of three digits twice over (no source).
const Own quantity.Fraction = 0.01

// Deviates is how many standard uncertainties of their difference two figures
// may lie apart: 3, so that 3 honest checks of 1000 are made again (normal
// distribution, no source for the choice).
const Deviates = 3

// Ratio is the difference as a fraction of the first figure.
func (c CheckResult) Ratio() float64 { return float64(c.Difference / c.First) }

// Worked tells that the figure worked out is that of the own readings:
//
//	|figure − read| ≤ 1 % · read
func (c CheckResult) Worked() bool { return c.Why == "" && within(c.Figure-c.Read, c.Read, Own) }

// InLimit tells that the difference is no more than the site's limit.
func (c CheckResult) InLimit() bool { return within(c.Difference, c.First, c.Limit) }

// Agrees tells that the check confirms the record: it was made in a way that
// the site takes, was worked out right, and
//
//	|read − first| ≤ limit · first  and  |read − first| ≤ 3 · u
func (c CheckResult) Agrees() bool {
	return c.Allowed && c.Worked() && c.InLimit() && quantity.Within(max(c.Difference, -c.Difference), Deviates*c.U)
}

// within tells whether a difference is no more than a share of a figure.
func within(difference, of quantity.Activity, share quantity.Fraction) bool {
	return quantity.Within(max(difference, -difference), quantity.Activity(share)*max(of, -of))
}

// doseAt is what the order's containers held at a moment: what a syringe kept
// when it was emptied afterwards was part of the dose that was checked.
func (r *reckoner) doseAt(order string, at time.Time) (sum ledger.Amount) {
	for _, k := range r.Book.Containers() {
		if r.Serves[k.ID] == order && (k.Kind == ledger.Syringe || k.Kind == ledger.AdministrationVial) {
			sum = sum.Plus(r.bal.Held(k.ID, at))
		}
	}
	return sum
}

// checkTransferred finds doses that went into their administration vial, which is done
// once, after a second check that does not confirm them. The last check of an order
// counts, and entries of one minute go by their numbers. What it says stands without a figure, since another may still check.
func (r *reckoner) checkTransferred() {
	last := map[string]CheckResult{}
	for _, c := range r.out.Checks {
		if c.Entry >= last[c.For].Entry {
			last[c.For] = c
		}
	}
	for _, o := range r.out.Orders {
		c, checked := last[o.Order.ID]
		k, _ := r.Book.Container(o.Container)
		if !checked || c.Agrees() || k.Kind != ledger.AdministrationVial || o.Dispensed == nil {
			continue
		}
		inSyringe := func(k ledger.Container) bool {
			return k.Kind == ledger.Syringe && r.Serves[k.ID] == o.Order.ID && r.Book.VolumeWhen(k.ID, c.At, c.Entry) > 0
		}
		if slices.ContainsFunc(r.Book.Containers(), inSyringe) {
			severity := Stop
			if _, given := r.infusion(o.Order.ID); given {
				severity = Warn
			}
			r.find(TransferUnconfirmed, severity, c.Entry, "the dose of order %s was transferred after a second check that does not confirm it: the person who prepared reads again, then another person checks again; it is not released before", o.Order.ID)
		}
	}
}

// check sets a second check beside the record as it is now.
func (r *reckoner) check(c Check) CheckResult {
	out := CheckResult{Check: c, Limit: r.Policy.CheckLimit}
	i := slices.IndexFunc(r.out.Orders, func(o OrderResult) bool { return o.Order.ID == c.For })
	switch {
	case c.Unread != "":
		out.Why = c.Unread
		return out
	case i < 0 || r.out.Orders[i].Dispensed == nil:
		out.Why = "the record determines no dose of order " + c.For
		return out
	}
	order := r.out.Orders[i].Order
	dose := r.doseAt(order.ID, c.At)
	for _, d := range r.drawsFor(c.For) {
		out.Remainder = out.Remainder || len(r.bal.ByRemainder(dose, d.From, c.At)) > 0
	}
	second, ok := r.bal.Second(dose, c.Reading, order.At)
	if !ok {
		out.Why = "a reading of " + c.Of + " at that time does not tell the dose of order " + c.For + " alone"
		return out
	}
	out.Read, out.First, out.Difference, out.U, out.Shared = second.Value, second.First, second.Difference, second.DifferenceU, second.Shared
	out.Allowed = len(out.Shared) > 0 || !out.Remainder || r.Policy.CheckEither
	return out
}
