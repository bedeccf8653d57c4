package procedure

import (
	"slices"
	"strconv"
	"time"

	"vialwright/fact"
	"vialwright/people"
)

// Signature is how the signature under an order stands.
type Signature struct {
	// By is who signed the order as it is, At when; both zero where nobody
	// did.
	By string
	At time.Time
	// Changed tells that it was signed, and changed since.
	Changed bool
	// Needed tells that the site releases no dose whose order is not signed.
	Needed bool
}

// Why says what is missing; empty where the order is signed as it is, and
// where the site asks for no signature.
func (s Signature) Why() string {
	switch {
	case s.By != "" || !s.Needed:
		return ""
	case s.Changed:
		return "the order changed after it was signed"
	}
	return "the order is not signed"
}

// Waits says that a revision waits for its signature: nothing is drawn, added or
// returned by it before; empty where none does.
func (s Signature) Waits() string {
	if !s.Changed || s.Why() == "" {
		return ""
	}
	return s.Why() + ": the revision waits for its signature, and nothing is drawn or returned by it before"
}

// signature finds the last signature under the order as it is: one that names
// its version and stands after it and after every change of what it prescribes.
func (v *view) signature() Signature {
	out := Signature{Needed: v.policy.OrderSignature != fact.NotRequired}
	own := -1
	for e := range mine[*fact.Order](v) {
		own = e.place
	}
	for _, c := range v.corrections {
		if v.prescribes(c.was, c.with) {
			own = max(own, c.place)
		}
	}
	for e, x := range mine[*fact.SignOrder](v) {
		switch {
		case e.place > own && x.Version == v.order.Version && (v.order.FromDose == "" || x.Activity.Value == v.order.Prescribed):
			out.By, out.At, out.Changed = e.by, e.when(), false
		case out.By == "":
			out.Changed = true
		}
	}
	return out
}

// prescribes tells whether a correction of the order changes what a signature
// stands under: everything that the order says.
func (v *view) prescribes(was, with fact.Fact) bool {
	old, _ := was.(*fact.Order)
	own := func(o *fact.Order) bool { return o != nil && o.ID == v.order.ID }
	now, _ := with.(*fact.Order)
	if !own(old) && !own(now) {
		return false
	}
	return old == nil || now == nil || !slices.Equal(signedFields(old), signedFields(now))
}

// signedFields are the fields of an order that a signature stands under. An
// activity in another unit is the same one.
func signedFields(o *fact.Order) (out []string) {
	for _, f := range fact.Fields(o) {
		switch f.Path {
		case "prescribed":
			f.Text = strconv.FormatFloat(float64(o.Prescribed.Value), 'g', -1, 64)
		case "at":
			f.Text = o.At.UTC().Format(time.RFC3339)
		case "confirmed", "by": // who signs says so by signing
			continue
		}
		out = append(out, f.Path+" "+f.Text)
	}
	return out
}

// MaySign says whether a person may sign the order of a preparation. It
// refuses, in this order:
//
//	what [people.May] refuses of sign-order
//	[CodeClosed]     the record of the order is closed
//	[CodeCancelled]  the preparation was cancelled
//	[CodeGiven]      the dose was given
//	[CodeAlready]    the order is signed as it is
func MaySign(p people.Person, prep Preparation) error {
	if err := people.May(p, people.SignOrder); err != nil {
		return err
	}
	switch {
	case prep.Closed:
		return refuse(CodeClosed, "the record of order "+prep.Order+" is closed", "write a deviation")
	case prep.Cancelled != "":
		return refuse(CodeCancelled, "the preparation of order "+prep.Order+" was cancelled: "+prep.Cancelled, "strike that entry out to resume it")
	case prep.Given:
		return refuse(CodeGiven, "the dose of order "+prep.Order+" was given", "write a deviation")
	case prep.Signature.By != "":
		return refuse(CodeAlready, "the order is signed already, by "+prep.Signature.By, "it is signed again when it has changed")
	}
	return nil
}

// signed refuses to release what nobody prescribed, then what is held.
func signed(p Preparation) *Error {
	if why := p.Signature.Why(); why != "" {
		return refuse(CodeUnsigned, why, signNow)
	}
	return held(p)
}

const signNow = "the authorised physician signs the present version"

// drawable refuses to draw by a revision that nobody signed, then under a hold.
func drawable(p Preparation) *Error {
	if why := p.Signature.Waits(); why != "" {
		return refuse(CodeUnsigned, why, signNow)
	}
	return held(p)
}

// untaken is who was named as taking the dose over and has not yet said so;
// empty where nobody has to.
func (v *view) untaken() string {
	out := ""
	for _, f := range mine[fact.Fact](v) {
		switch x := f.(type) {
		case *fact.HandOver:
			if out = x.To; x.Countersigned != "" {
				out = ""
			}
		case *fact.TakeOver:
			out = ""
		}
	}
	return out
}

// MayTakeOver says whether a person may take over the dose of a preparation.
// It refuses, in this order:
//
//	what [people.May] refuses of take-over
//	[CodeClosed]  the record of the order is closed
//	what [people.MayTakeOver] refuses
func MayTakeOver(p people.Person, prep Preparation) error {
	if err := people.May(p, people.TakeOver); err != nil {
		return err
	}
	if prep.Closed {
		return refuse(CodeClosed, "the record of order "+prep.Order+" is closed", "write a deviation")
	}
	return people.MayTakeOver(p, prep.Deeds)
}

// taken refuses to go on with a dose that nobody has taken over, unless the
// site does without.
func taken(p Preparation) *Error {
	if p.Untaken == "" || !p.takeOver {
		return nil
	}
	return refuse(CodeNotTaken, "the dose was handed over to "+p.Untaken+", who has not taken it over", "who holds it takes it over first")
}

// inHand refuses the infusion of a dose that nobody has taken over, until a
// deviation tells how it came to be given.
func inHand(p Preparation) *Error {
	if p.deviated {
		return nil
	}
	return taken(p)
}
