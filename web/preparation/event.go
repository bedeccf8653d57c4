package preparation

import (
	"slices"
	"strings"

	"vialwright/dispensing"
	"vialwright/dose"
	"vialwright/event"
	"vialwright/web/view"
	"vialwright/web/words"
)

// prescription is the check of what was prescribed, folded away; nothing where the
// order does not say what it rests on.
func (b *bench) prescription() []Fold {
	d := b.Out.Dose
	if d == nil {
		return nil
	}
	f := Fold{Title: dose.CheckTitle, Pairs: b.Followed()}
	for _, l := range append(d.Lines(), d.AfterLines()...) {
		f.Pairs = append(f.Pairs, view.Pair(l))
	}
	return []Fold{f}
}

// decided puts on the page what the rule profile says: the outcome among what is
// to be said, and the rest folded away.
func (b *bench) decided(p *Bench) []view.Notice {
	c, d, ok := b.Event()
	if !ok {
		return nil
	}
	f := Fold{Title: "Which paragraph applies, by profile " + c.Rules.Profile.ID}
	add := func(name, value string) {
		f.Pairs = append(f.Pairs, view.Pair{Name: name, Value: words.Sentence(value)})
	}
	add("Decision", d.Headline(c.Zone))
	for _, s := range d.Because {
		add("Because", s)
	}
	for _, x := range d.Deviations {
		add("Deviation", x.String())
	}
	for _, s := range d.Questions {
		add("Open question", s)
	}
	for _, k := range d.Clocks {
		left := k.Left(b.Q.Now)
		if left != "" {
			left = " (" + left + ")"
		}
		add(k.What, k.Says(c.Zone)+left+"; "+k.Source)
	}
	f.Pairs = append(f.Pairs, view.Pair{Name: "Profile", Value: c.Rules.Profile.ID + ", " + c.Rules.Profile.ApprovedText()})
	p.Folds = append(p.Folds, f)
	p.Links = append(p.Links, view.Link{Text: "Draft of a report", Href: b.Href() + "/draft"})
	n := view.Notice{Kind: "note", Word: "Rules", Text: d.Headline(c.Zone), Hint: "A person decides, and signs."}
	if d.Outcome == event.IsEvent || d.Outcome == event.CannotSay {
		n.Kind = "warn"
	}
	return []view.Notice{n}
}

// superseded tells a finding that cannot say which rule applies, where a profile does.
func (b *bench) superseded(f dispensing.Finding) bool {
	return b.Case.Profile != nil && b.Case.Policy.Limit == 0 && slices.Contains([]dispensing.Code{dispensing.DeliveredReportable, dispensing.DeliveredOutside}, f.Code)
}

// completion says how the order stands after the infusion, for the facts of the bench.
func (b *bench) completion() []view.Pair {
	a := b.Prep.After
	var out []view.Pair
	switch {
	case a.Completion == nil:
	case a.Changed:
		out = append(out, view.Pair{Name: "Order completed", Value: "By " + a.By + ", and a figure or the reason has changed since: it is completed again."})
	default:
		says := a.By + ", " + b.Zone.Clock(a.Completion.At)
		if a.Completion.Late != "" {
			says += ", " + a.Completion.Late
		}
		out = append(out, view.Pair{Name: "Order completed", Value: says})
	}
	if r := a.Release; r != nil {
		out = append(out, view.Pair{Name: "Patient released", Value: b.Zone.Clock(r.At) + ", " + r.Basis})
	}
	for _, i := range a.Imaging {
		out = append(out, view.Pair{Name: "Imaging", Value: strings.TrimSpace(strings.ReplaceAll(string(i.Result), "-", " ") + " " + string(i.Modality) + ", " + b.Zone.Clock(i.At))})
	}
	return out
}
