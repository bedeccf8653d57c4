package web

import (
	"slices"
	"strconv"
	"strings"
	"time"

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

// ownFigure tells one who learns how to come from an own reading R of the dose
// to its activity A at the infusion, without a figure of anybody's:
//
//	A = (R − background) / g · 2^(−(infusion − now)/T)
//
// or, from the remainder R of the vial and the reading R1 before the draw, the
// difference of the two. g is the factor of the meter for the container. It is
// empty where the meter has no factor for the container.
func (b *bench) ownFigure() string {
	for _, w := range b.out.Second {
		now, meter := b.perReading(w.Of, b.q.now)
		if meter == "" {
			continue
		}
		if len(w.Shared) == 0 {
			return "In practice: your reading of " + w.Of + " with " + meter + ", less the background, times " + now +
				": that divides by the meter's factor for it and lets it decay until then."
		}
		for _, r := range b.c.Readings {
			if r.Entry == w.Shared[len(w.Shared)-1] {
				before, _ := b.perReading(w.Of, r.At)
				return "In practice: the reading before the draw, less its background, times " + before + "; from that take your reading of " + w.Of + " with " + meter +
					", less your background, times " + now + ": that divides by the meter's factor for it and lets each decay until then."
			}
		}
	}
	return ""
}

// perReading is what a net reading of a container at a time is multiplied by
// to have its activity at the infusion, and with which meter; empty where no
// meter has a factor for it.
func (b *bench) perReading(of string, at time.Time) (times, meter string) {
	i := slices.IndexFunc(b.r.Containers, func(k dispensing.ContainerResult) bool { return k.Container.ID == of })
	if i < 0 {
		return "", ""
	}
	k := b.r.Containers[i]
	_, _, all := journal.Settings(b.file.Facts())
	for _, m := range all {
		if g, ok := live.FactorOf(m, k.Container.Kind, k.Volume); ok && g > 0 {
			return strconv.FormatFloat(nuclide.Factor(b.r.HalfLife, nuclide.Elapsed(at, b.order.At))/g, 'f', 4, 64), m.ID
		}
	}
	return "", ""
}
