package live

import (
	"errors"
	"fmt"
	"slices"
	"time"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/fold"
	"vialwright/journal"
	"vialwright/ledger"
	"vialwright/quantity"
)

// drawn is the hidden yield of every draw: activity share over volume share.
const drawn = "97 %"

var errNotChosen = errors.New("choose what stands in the well")

// held is what an invented meter finds in its well: shows is the reading it
// would settle at without background, which is not the activity but that times
// the meter's factor.
type held struct {
	shows    quantity.Activity
	halfLife quantity.Span
}

// simulated is what a container holds at an instant in the invented world, as the
// meter would show it. The error is a sentence for the person.
func simulated(records []journal.Record, zones fact.Zones, m *fact.Meter, of string, at time.Time) (held, error) {
	c, err := fold.Records(unread(journal.Numbered(records)), zones)
	if err != nil {
		return held{}, fmt.Errorf("the case cannot be calculated: %w", err)
	}
	r := dispensing.Reckon(c, at)
	i := slices.IndexFunc(r.Containers, func(k dispensing.ContainerResult) bool { return k.Container.ID == of })
	if i < 0 || r.Containers[i].Container.Kind == ledger.Territory || !r.Containers[i].Here {
		return held{}, fmt.Errorf("there is no container %q to put into the well", of)
	}
	k := r.Containers[i]
	factor, ok := FactorOf(m, k.Container.Kind, k.Volume)
	if !ok {
		return held{}, fmt.Errorf("meter %s has no factor for %s as it is filled", m.ID, of)
	}
	return held{max(0, k.Activity) * quantity.Activity(factor), c.HalfLife.Value}, nil
}

// unread are the records with notes in the place of readings, and with the hidden
// yield.
func unread(records []journal.Record) []journal.Record {
	yield := &fact.DrawYield{}
	yield.Q, _ = quantity.Parse[quantity.Fraction](drawn) // constants are sound
	yield.U, _ = quantity.Parse[quantity.Fraction]("1 %")
	out := make([]journal.Record, 0, len(records)+1)
	policy := false
	for _, r := range records {
		switch x := r.Fact.(type) {
		case *fact.Read, *fact.SecondCheck:
			r.Fact = &fact.Note{Text: "a reading"}
		case *fact.Correct:
			switch x.With.(type) {
			case *fact.Read, *fact.SecondCheck:
				r.Fact = &fact.Correct{Entry: x.Entry, Reason: x.Reason, With: &fact.Note{Text: "a reading"}}
			}
		case *fact.Policy:
			p := *x
			p.DrawYield, policy = yield, true
			r.Fact = &p
		}
		out = append(out, r)
	}
	if !policy && len(out) > 0 {
		out = slices.Insert(out, 1, journal.Record{Fact: &fact.Policy{DrawYield: yield}})
	}
	return out
}

// FactorOf is the factor of a meter for a kind of container with so much in it,
// a reading over the activity; false where it has none.
func FactorOf(m *fact.Meter, kind ledger.Kind, v quantity.Volume) (float64, bool) {
	if m.Geometry == nil {
		return 0, false
	}
	for _, g := range m.Geometry.For(string(kind)) {
		if g.Fill == nil || g.Fill.Min.Value <= v && v <= g.Fill.Max.Value {
			return g.Factor.Value, true
		}
	}
	return 0, false
}
