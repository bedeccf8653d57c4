package procedure

import (
	"vialwright/fact"
	"vialwright/people"
)

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
