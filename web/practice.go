package web

import (
	"slices"
	"strconv"
	"strings"

	"vialwright/dispensing"
	"vialwright/journal"
	"vialwright/nuclide"
	"vialwright/web/live"
)

// practiceHints are what may be typed in practice where no meter is.
var practiceHints = map[string]string{
	"residual before.rate": "182 180 184 181", "residual before.background": "0.2",
	"residual after.rate": "5.4 5.2 5.6 5.3", "residual after.background": "0.2",
	"survey rate": "0.2", "survey background": "0.2", "survey wipe": "0.1", "makeup lot": "PRACTICE-W1",
}

// practise says beside a field what may be typed in practice.
func (q *request) practise(e *entryForm, all formFields) {
	if !q.Practice {
		return
	}
	for n, p := range e.parts {
		for _, in := range p.inputs {
			f := all.named(control(n, in.name))
			if f == nil {
				continue
			}
			hint := practiceHints[p.kind+" "+in.name]
			if hint != "" {
				hint = "In practice enter e.g. " + hint + "."
			}
			if p.kind == "verify" && in.name == "activity" && e.live != nil {
				hint = e.live.ownFigure()
			}
			f.Hint = strings.TrimSpace(f.Hint + " " + hint)
		}
	}
}

// ownFigure tells one who learns how to come from an own reading of the dose to
// its activity A at the infusion, without a figure of anybody's:
//
//	A = (reading - background) / g · 2^(-(infusion - now)/T)
//
// g is the factor of the meter for the container. It is empty where the
// container is none that the meter has a factor for.
func (b *bench) ownFigure() string {
	i := slices.IndexFunc(b.r.Containers, func(k dispensing.ContainerResult) bool { return k.Container.ID == b.prep.Container })
	if i < 0 {
		return ""
	}
	k := b.r.Containers[i]
	for _, r := range slices.Backward(b.file.Records) { // a meter may be set anew
		m, ok := r.Fact.(*journal.Meter)
		if !ok {
			continue
		}
		g, ok := live.FactorOf(m, k.Container.Kind, k.Volume)
		if !ok || g <= 0 {
			continue
		}
		times := nuclide.Factor(b.r.HalfLife, nuclide.Elapsed(b.q.now, b.order.At)) / g
		return "In practice: your reading of " + k.Container.ID + " with " + m.ID + ", less the background, times " + strconv.FormatFloat(times, 'f', 4, 64) +
			": that divides by the meter's factor for it and lets it decay until then."
	}
	return ""
}
