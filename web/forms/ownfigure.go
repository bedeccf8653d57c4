package forms

import (
	"slices"
	"strconv"
	"time"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/nuclide"
	"vialwright/web/live"
)

// ownFigure tells one who learns how to come from an own reading R of the dose
// to its activity A at the infusion, without a figure of anybody's:
//
//	A = (R − background) / g · 2^(−(infusion − now)/T)
//
// or, from the remainder R of the vial and the reading R1 before the draw, the
// difference of the two. g is the factor of the meter for the container. It is
// empty where the meter has no factor for the container, from paper, and outside
// practice.
func (b *Bench) ownFigure() string {
	if !b.Q.Practice || b.Q.Sheet() != nil {
		return ""
	}
	for _, w := range b.Out.Second {
		now, meter := b.perReading(w.Of, b.Q.Now)
		if meter == "" {
			continue
		}
		if len(w.Shared) == 0 {
			return "In practice: your reading of " + w.Of + " with " + meter + ", less the background, times " + now +
				" (factor and decay)."
		}
		for _, r := range b.Case.Readings {
			if r.Entry == w.Shared[len(w.Shared)-1] {
				before, _ := b.perReading(w.Of, r.At)
				return "In practice: the reading before the draw, less its background, times " + before + "; from that take your reading of " + w.Of + " with " + meter +
					", less your background, times " + now + " (factor and decay)."
			}
		}
	}
	return ""
}

// perReading is what a net reading of a container at a time is multiplied by
// to have its activity at the infusion, and with which meter; empty where no
// meter has a factor for it.
func (b *Bench) perReading(of string, at time.Time) (times, meter string) {
	i := slices.IndexFunc(b.Result.Containers, func(k dispensing.ContainerResult) bool { return k.Container.ID == of })
	if i < 0 {
		return "", ""
	}
	k := b.Result.Containers[i]
	_, _, all := fact.Settings(b.File.Facts())
	for _, m := range all {
		if g, ok := live.FactorOf(m, k.Container.Kind, k.Volume); ok && g > 0 {
			return strconv.FormatFloat(nuclide.Factor(b.Result.HalfLife, nuclide.Elapsed(at, b.Order.At))/g, 'f', 4, 64), m.ID
		}
	}
	return "", ""
}
