package forms

import (
	"cmp"
	"errors"
	"slices"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/procedure"
	"vialwright/web/books"
	"vialwright/web/kit"
	"vialwright/web/view"
)

// rates are the fields of a dose-rate reading, in a unit until another is chosen; rate is
// what it may be in practice.
func rates(half, unit, rate string) []kit.Input {
	units := kit.MeterUnits
	if !slices.Contains(units, unit) { // in the place of the first: four are too wide for a phone
		units = append([]string{unit}, units[1:]...)
	}
	return []kit.Input{
		{Name: half + ".rate", Label: "Dose rate, in each direction", Kind: "amounts", Units: units, Unit: unit, Must: true, Focus: true, Hint: "Several with a space between, such as 182 180; another unit behind each, such as 18 mrem/h.", Practice: kit.PracticeSays(rate)},
		{Name: half + ".background", Label: "Background", Kind: "amount", Units: units, Unit: unit, Must: true, Practice: kit.PracticeSays("0.2")},
		{Name: half + ".at", Label: "When", Kind: "time", Must: true},
	}
}

func (b *Bench) baseline() []kit.Part {
	return b.entry("residual", rates("before", "uSv/h", "182 180 184 181")...)
}

// residual asks for the dose rate of the residual or, where there is none to compare it
// with, for a reading of it in the activity meter.
func (b *Bench) residual() []kit.Part {
	if b.Prep.Given && !b.Case.HasBaseline(b.Order.ID) {
		return b.reading().Parts
	}
	unit := "uSv/h"
	for _, r := range b.Case.Residuals {
		if r.For == b.Order.ID {
			unit = cmp.Or(r.Before.Unit, unit) // the two are read with one meter
		}
	}
	return b.entry("residual", rates("after", unit, "5.4 5.2 5.6 5.3")...)
}

// check is the blind second check: own readings and an own figure, with
// nothing of the first one's proposed.
func (b *Bench) check() []kit.Part {
	var of []view.Choice
	ways := b.Out.Second
	if b.Q.Sheet() != nil {
		ways = b.everyWay()
	}
	for _, w := range ways {
		says := w.Of + ", which holds the dose"
		if b.Case.Serves[w.Of] == "" {
			says = w.Of + ", what is left in it"
		}
		of = append(of, view.Choice{Value: w.Of, Text: says})
	}
	container := kit.Chosen("of", "What I read", of)
	container.Small = false
	gross, background := b.lastUnits()
	return []kit.Part{{Kind: "second-check", Fixed: map[string]any{"for": b.Order.ID}, Inputs: append([]kit.Input{
		container, b.meter(),
		{Name: "gross", Label: "My reading, as displayed", Unit: gross, Focus: true},
		{Name: "background", Label: "My background", Unit: background},
		{Name: "activity", Label: "My own figure of the dose at infusion time", Practice: b.ownFigure()},
		kit.At,
	}, b.setUp()...)}}
}

// setCheck: the check has a page of its own, and is compared with the record.
func (b *Bench) setCheck(e *kit.Form) {
	e.Aid = b.Taker()
	e.Action, e.To, e.Amend, e.After = b.Href()+"/check", b.Href()+"/check", b.share, b.checkable
}

// everyWay are the vials the dose was drawn from and its container: what may
// have been read when the sheet was written, whatever was done since.
func (b *Bench) everyWay() (out []dispensing.CheckWay) {
	for _, d := range b.Case.Draws {
		if d.For == b.Order.ID && !slices.ContainsFunc(out, func(w dispensing.CheckWay) bool { return w.Of == d.From }) {
			out = append(out, dispensing.CheckWay{Of: d.From})
		}
	}
	for _, id := range b.Out.Containers {
		out = append(out, dispensing.CheckWay{Of: id})
	}
	return out
}

// share notes which reading before the draw the checker was given.
func (b *Bench) share(now *kit.State, facts []fact.Fact) error {
	x, err := b.in(now)
	if err != nil {
		return err
	}
	for _, v := range fact.Of[*fact.SecondCheck](facts) {
		for _, w := range x.Out.Second {
			if n := len(w.Shared); w.Of == v.Of && n > 0 {
				v.Shared = w.Shared[n-1]
			}
		}
	}
	return nil
}

// checkable refuses what can be no second check, with the case as it would be.
func (b *Bench) checkable(_, after *kit.State) error {
	if n := len(after.Result.Checks); n > 0 {
		last := slices.MaxFunc(after.Result.Checks, func(a, b dispensing.CheckResult) int { return a.Entry - b.Entry })
		if wrong, ok := errors.AsType[*procedure.Error](procedure.Checkable(last)); ok && wrong.Code == procedure.CodeWorking {
			return kit.Faults{kit.Control(0, "activity"): {Text: wrong.Msg, Way: wrong.Hint}}
		}
		return procedure.Checkable(last)
	}
	return nil
}

// scan asks for the label.
var scan = kit.Input{Name: "serial", Label: "Scan the label on the dose", Kind: "id", Must: true, Focus: true, Small: true, Hint: "Or type its 12 characters."}

func scanned(kind string) func(*Bench) []kit.Part {
	return func(b *Bench) []kit.Part { return b.entry(kind, scan, kit.At) }
}

func (b *Bench) handOver() []kit.Part {
	return b.entry("hand-over", scan, kit.Input{Name: "to", Label: "Who takes it: id", Small: true, Hint: "Their name, where they have no account."}, kit.Input{Name: "place", Small: true}, kit.At)
}

// timeOut asks what was read out; nothing is proposed, since what stands there
// already is not read.
func (b *Bench) timeOut() []kit.Part {
	second := kit.Input{Name: "second-identifier", Label: "Second identifier, as read out", Must: true}
	second.Collapsible = b.Prep.Expect.Second == "" // the order has none
	second.Must = !second.Collapsible
	return []kit.Part{{Kind: "time-out", Fixed: map[string]any{"for": b.Order.ID}, Inputs: []kit.Input{
		{Name: "patient", Label: "Identifier: scan the wristband", Focus: true},
		second,
		{Name: "territory", Label: "Territory, as read out", Must: b.Order.Territory != ""},
		{Name: "activity", Label: "Activity at infusion, as read out from the label"},
		{Name: "with", Label: "The physician who takes part: id", Kind: "id", Hint: "If you are the physician yourself: another person of the team."},
		{Name: "set-lot", Collapsible: true, Hint: "You are warned of a lot that failed within a week."},
		{Name: "extra", Collapsible: true, Hint: "Such as 40 cm extension tube."},
		kit.At,
	}}}
}

func (b *Bench) infusion() []kit.Part {
	return []kit.Part{{Kind: "infuse", Fixed: map[string]any{"for": b.Order.ID}, Inputs: []kit.Input{
		{Name: "start", Kind: "text", Focus: true, Small: true, Now: "Started now", Hint: "The time on the clock, such as " + b.Q.Now.In(b.Zone.Loc()).Format("15:04") + "."},
		{Name: "stop", Kind: "text", Must: true, Small: true, Now: "Stopped now"},
		{Name: "reason"},
		{Name: "evidence", Hint: "For stasis or an emergent condition: such as radiologist, no forward flow on two runs.", Collapsible: true},
		{Name: "path-free", Collapsible: true},
		{Name: "treated", Collapsible: true},
		{Name: "catheter", Small: true, Hint: "Use the site's own terms, always the same."},
		{Name: "text", Label: "Remark; for other, why", Small: true},
	}}}
}

func (b *Bench) survey() []kit.Part {
	out := []kit.Part{}
	for _, place := range []string{"hot lab", "suite", "hands"} {
		p := books.SurveyPart(place, true)
		for i, in := range p.Inputs { // one background, one time and one remark for all
			switch in.Name {
			case "background", "at", "text":
				if len(out) > 0 {
					p.Inputs[i].SharedWith = kit.Control(0, in.Name)
				} else if in.Name == "background" {
					p.Inputs[i].Label, p.Inputs[i].Incidental = "Background, for all three", true
				}
			}
		}
		out = append(out, p)
	}
	return out
}

// close closes the record, and asks of each container of the order with something left in it
// which waste item it goes into, unless it was said that it is kept in stock or has left.
func (b *Bench) close() []kit.Part {
	parts := b.entry("close", kit.At)
	for _, id := range b.Prep.Untold {
		parts = append(parts, kit.Part{Kind: "discard", Fixed: map[string]any{"from": id}, Inputs: []kit.Input{
			{Name: "into", Label: "What is left in " + id + " goes into waste item", Small: true, Must: true, Hint: "Such as W1. If it stays in stock or leaves, enter that first, under Waste bins."},
			{Name: "at", Kind: "time", Must: true, SharedWith: kit.Control(0, "at")},
		}})
	}
	return parts
}
