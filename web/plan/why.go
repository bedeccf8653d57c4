package plan

import (
	"strings"

	"vialwright/dayplan"
	"vialwright/fact"
	"vialwright/ledger"
	"vialwright/quantity"
	"vialwright/web/view"
	"vialwright/web/words"
)

// tested is the range of the activity meter in use that was tested up to the highest
// activity: the least that it was tested for in a syringe, the most in a vial. Where no
// entry says, nothing is known, and 0 is no limit.
func (q *request) tested(zone words.Zoned) (least, most quantity.Activity) {
	for _, i := range q.instruments.Book(q.Now, zone.Loc()).Instruments {
		if x := i.As(q.Now); x != nil && (x.State == fact.Withdrawn || x.What != fact.ActivityMeter) {
			continue
		}
		if _, high, ok := i.Tested(string(ledger.ShippingVial), q.Now); ok && high > most {
			low, _, _ := i.Tested(string(ledger.Syringe), q.Now)
			least, most = max(low, 0), high
		}
	}
	return least, most
}

// why says of each order that is not served why not, and of each vial that no plan goes
// by; and which limits exclude one another.
func (a *asked) why() (out []view.Pair) {
	for _, id := range a.plan.Unserved {
		for _, r := range a.plan.Reasons[id] {
			name := id
			if r.From != "" {
				name += " from " + r.From
			}
			out = append(out, view.Pair{Name: name, Value: words.Sentence(r.Text) + "."})
		}
	}
	for _, x := range a.out {
		out = append(out, view.Pair{Name: "Not planned with " + x.Vial, Value: words.Sentence(x.Why) + "."})
	}
	if len(a.plan.Unserved) > 0 {
		found, whole, _ := dayplan.Conflicts(a.day, a.steps()/4) // the day was checked
		for _, c := range found {
			out = append(out, view.Pair{Name: "Exclude one another", Value: words.Sentence(c.String()) + "."})
		}
		if !whole && len(found) > 0 {
			out = append(out, view.Pair{Name: "Exclude one another", Value: "There may be more."})
		}
	}
	return out
}

// explained are the limits that bind, and what a little more of each thing would bring.
// It solves the day many times, and so is asked for.
func (a *asked) explained() (out []view.Pair) {
	x := dayplan.Explain(a.day, a.plan, searchSteps/20)
	for _, e := range append(x.Binding, x.More...) {
		out = append(out, view.Pair{Name: e.What, Value: words.Sentence(e.Gain) + "."})
	}
	if len(out) == 0 {
		out = append(out, view.Pair{Name: "What binds", Value: "No limit alone: without any one of them, and with one more vial or half an hour more, the plan would be no better."})
	}
	return out
}

// until says of each drawn dose and of each vial until when it still serves.
func (a *asked) until() (out []view.Pair) {
	for _, x := range a.day.Doses {
		says := a.within(x)
		value := "Within tolerance of no order that is open."
		switch {
		case x.Unknown:
			value = "A plan cannot go by its figures. It stays with " + x.For + "; look at its bench."
		case len(says) > 0:
			value = "Serves " + strings.Join(says, "; ") + "."
		}
		out = append(out, view.Pair{Name: "Dose " + x.ID + ", drawn for " + x.For, Value: value})
	}
	for _, h := range a.day.Hold(a.plan) {
		out = append(out, view.Pair{Name: "Vial " + h.Vial, Value: words.Sentence(h.Text()) + "."})
	}
	return out
}

// notLookedAt says what the books have no figures for, so that nobody takes the plan for
// more than it is. Vials in hand are on the licence already.
func (a *asked) notLookedAt() []view.Pair {
	var out []string
	if len(a.day.People) == 0 {
		out = append(out, "who is present for draw and second check, which the set-up of the day does not say")
	}
	if a.setup.Punctures == 0 {
		out = append(out, "punctures of the vials, since the set-up of the day has no limit")
	}
	if a.unlimited {
		out = append(out, "the licence for the vials still to come, since no line of it for Y-90 has a limit")
	}
	if a.day.MeterMost == 0 && !a.beyond {
		out = append(out, "the range of the activity meter, which no test says")
	}
	if len(out) == 0 {
		return nil
	}
	return []view.Pair{{Name: "Not looked at", Value: words.Sentence(strings.Join(out, "; ")) + "."}}
}
