package web

import (
	"slices"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/procedure"
	"vialwright/web/view"
)

// rates are the fields of a dose-rate reading; rate is what it may be in practice.
func rates(half, rate string) []input {
	return []input{
		{name: half + ".rate", label: "Dose rate, in each direction", kind: "amounts", units: rateUnits, unit: "uSv/h", must: true, focus: true, hint: "Several with a space between, such as 182 180 184 181.", practice: practiceSays(rate)},
		{name: half + ".background", label: "Background", kind: "amount", units: rateUnits, unit: "uSv/h", must: true, practice: practiceSays("0.2")},
		{name: half + ".at", label: "When", kind: "time", must: true},
	}
}

func (b *bench) baseline() []part {
	return []part{{kind: "residual", fixed: map[string]any{"for": b.order.ID}, inputs: rates("before", "182 180 184 181")}}
}

func (b *bench) residual() []part {
	return []part{{kind: "residual", fixed: map[string]any{"for": b.order.ID}, inputs: rates("after", "5.4 5.2 5.6 5.3")}}
}

// check is the blind second check: own readings and an own figure, with
// nothing of the first one's proposed.
func (b *bench) check() []part {
	var of []view.Choice
	ways := b.out.Second
	if b.q.sheet() != nil {
		ways = b.everyWay()
	}
	for _, w := range ways {
		says := w.Of + ", which holds the dose"
		if b.Case.Serves[w.Of] == "" {
			says = w.Of + ", what is left in it"
		}
		of = append(of, view.Choice{Value: w.Of, Text: says})
	}
	container := chosen("of", "What I read", of)
	container.small = false
	gross, background := b.lastUnits()
	return []part{{kind: "second-check", fixed: map[string]any{"for": b.order.ID}, inputs: []input{
		container, b.meter(),
		{name: "gross", label: "My reading, as displayed", unit: gross, focus: true},
		{name: "background", label: "My background", unit: background},
		{name: "activity", label: "My own figure of the dose at infusion time", hint: "For " + b.onDay(b.order.At) + ".", practice: b.ownFigure()},
		now,
	}}}
}

// everyWay are the vials the dose was drawn from and its container: what may
// have been read when the sheet was written, whatever was done since.
func (b *bench) everyWay() (out []dispensing.CheckWay) {
	for _, d := range b.Case.Draws {
		if d.For == b.order.ID && !slices.ContainsFunc(out, func(w dispensing.CheckWay) bool { return w.Of == d.From }) {
			out = append(out, dispensing.CheckWay{Of: d.From})
		}
	}
	for _, id := range b.out.Containers {
		out = append(out, dispensing.CheckWay{Of: id})
	}
	return out
}

// share notes which reading before the draw the checker was given.
func (b *bench) share(now *state, facts []fact.Fact) error {
	x, ok := b.q.bench(now, b.order.ID)
	for _, f := range facts {
		v, is := f.(*fact.SecondCheck)
		if !ok || !is {
			continue
		}
		for _, w := range x.out.Second {
			if n := len(w.Shared); w.Of == v.Of && n > 0 {
				v.Shared = w.Shared[n-1]
			}
		}
	}
	return nil
}

// checkable refuses what can be no second check, with the case as it would be.
func (b *bench) checkable(_, after *state) error {
	if n := len(after.Result.Checks); n > 0 {
		last := slices.MaxFunc(after.Result.Checks, func(a, b dispensing.CheckResult) int { return a.Entry - b.Entry })
		return procedure.Checkable(last)
	}
	return nil
}

// scan asks for the label.
var scan = input{name: "serial", label: "Scan the label on the dose", kind: "id", must: true, focus: true, small: true, hint: "Or type its 12 characters."}

func (b *bench) scanned(kind string) func() []part {
	return func() []part {
		return []part{{kind: kind, fixed: map[string]any{"for": b.order.ID}, inputs: []input{scan, now}}}
	}
}

func (b *bench) handOver() []part {
	return []part{{kind: "hand-over", fixed: map[string]any{"for": b.order.ID}, inputs: []input{
		scan,
		{name: "to", label: "Who takes it: id", small: true, hint: "Their name, where they have no account."},
		{name: "place", small: true},
		now,
	}}}
}

// timeOut asks what was read out; nothing is proposed, since what stands there
// already is not read.
func (b *bench) timeOut() []part {
	return []part{{kind: "time-out", fixed: map[string]any{"for": b.order.ID}, inputs: []input{
		{name: "patient", label: "Identifier: scan the wristband", focus: true},
		{name: "territory", label: "Territory, as read out", must: b.order.Territory != ""},
		{name: "activity", label: "Activity at infusion, as read out from the label"},
		{name: "with", label: "The physician who takes part: id", kind: "id", hint: "Where you are the physician yourself: another of the team."},
		now,
	}}}
}

func (b *bench) infusion() []part {
	return []part{{kind: "infuse", fixed: map[string]any{"for": b.order.ID}, inputs: []input{
		{name: "start", kind: "text", focus: true, small: true, hint: "The time on the clock, such as " + b.q.now.In(b.zone.loc()).Format("15:04") + "."},
		{name: "stop", kind: "text", must: true, small: true},
		{name: "reason"},
		{name: "catheter", small: true, hint: "In the site's words, always the same."},
		{name: "text", label: "Remark; for other, why", small: true},
	}}}
}

func (b *bench) survey() []part {
	out := []part{}
	for _, place := range []string{"hot lab", "suite", "hands"} {
		p := surveyPart(place, true)
		for i, in := range p.inputs { // one background, one time and one remark for all
			switch in.name {
			case "background", "at", "text":
				if len(out) > 0 {
					p.inputs[i].same = control(0, in.name)
				} else if in.name == "background" {
					p.inputs[i].label, p.inputs[i].aside = "Background, for all three", true
				}
			}
		}
		out = append(out, p)
	}
	return out
}

func (b *bench) close() []part {
	return []part{{kind: "close", fixed: map[string]any{"for": b.order.ID}, inputs: []input{now}}}
}
