package procedure

import (
	"slices"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/meterbook"
	"vialwright/people"
	"vialwright/quantity"
)

// OutsideWindow is the code of the hold on a dose that is no longer, or not
// yet, inside tolerance at the moment asked.
const OutsideWindow dispensing.Code = "outside-window"

// adjusted are the stops that an adjustment of the dose puts right.
var adjusted = []dispensing.Code{dispensing.OutsideTolerance, dispensing.BeyondLimit, dispensing.WindowClosed, OutsideWindow}

// holds are the findings that keep the dose from the next gate and that nobody
// lifted: before the draw every stop; with a dose every stop but those of a
// draw to come, and too low a confidence; after the infusion none.
func (v *view) holds() []Hold {
	if v.given != nil {
		return nil
	}
	var out []Hold
	for _, f := range append(slices.Clone(v.r.Findings), v.late()...) {
		if v.keeps(f) && v.r.Concerns(f, v.order.ID) && !v.lifted(f.Code, f.Entry) {
			out = append(out, Hold{f, actFor(f)})
		}
	}
	return out
}

// keeps tells whether a finding holds a dose up.
func (v *view) keeps(f dispensing.Finding) bool {
	switch f.Code {
	case dispensing.DrawNotAssayed: // the step remainder asks for the reading
		return false
	case dispensing.VialInsufficient: // of draws to come
		return !v.drawn()
	case dispensing.ConfidenceLow:
		return true
	case dispensing.LabelDrift: // after the hand-over it is said, and refuses no true label
		return v.drawn() && v.handed() == nil
	case dispensing.WindowClosed, OutsideWindow: // the same of its window
		return !v.labelHolds()
	case dispensing.OutsideTolerance, dispensing.BeyondLimit: // of an emptied syringe
		return v.drawn()
	}
	return f.Severity == dispensing.Stop
}

// labelHolds tells whether the dose was handed over with a label in force whose
// printed window holds now. Then readings made since, which move the window, are
// said to who holds the dose, and refuse nothing.
func (v *view) labelHolds() bool {
	return v.handed() != nil && slices.ContainsFunc(v.labels(len(v.records)), func(l Printed) bool {
		return l.Void == "" && l.Figures != nil && !v.now.Before(l.Figures.ValidFrom) && !v.now.After(l.Figures.ValidUntil)
	})
}

// ByCorrection tells that a finding ends when an entry is corrected or struck out, or
// with a further reading, and that no override lifts it: its figures are withheld, so
// that there is nothing to go on with, or a second check speaks against them.
func ByCorrection(code dispensing.Code) bool {
	return slices.Contains([]dispensing.Code{dispensing.ReadingDisagrees, dispensing.NotReconciled, dispensing.DrawYieldUnusual, dispensing.TransferUnconfirmed}, code)
}

// actFor is the act that lifts a finding.
func actFor(f dispensing.Finding) people.Act {
	switch {
	case f.Code == dispensing.BeyondLimit:
		return people.OverrideLimit
	case f.Severity == dispensing.Stop:
		return people.OverrideStop
	}
	return people.OverrideWarning
}

// late is the finding that the window of a conforming dose is over.
func (v *view) late() []dispensing.Finding {
	d := v.res.Dispensed
	if d == nil || d.Standing == dispensing.Outside || d.Standing == dispensing.Beyond || !v.now.After(d.ValidUntil) {
		return nil
	}
	text := "the dose was within tolerance until " + quantity.ShowTime(d.ValidUntil.In(v.zone()))
	if d.ValidUntil.IsZero() {
		text = "the dose is never valid"
	}
	return []dispensing.Finding{{Code: OutsideWindow, Severity: dispensing.Stop, Entry: v.order.Entry, Order: v.order.ID, Text: "order " + v.order.ID + ": " + text}}
}

// uses tells whether a container may matter to the order: it is the order's,
// or a vial that the dose came from or, before the draw, may come from, which has not left.
func (v *view) uses(id string) bool {
	if of := v.c.Serves[id]; of != "" {
		return of == v.order.ID
	}
	return slices.Contains(v.sources, id) || len(v.sources) == 0 && !v.c.Gone(id, v.now)
}

// lifted tells whether a finding was overridden for the order. An override
// holds for what stood when it was made: of a finding of the order itself or
// of the whole case until further work on the dose, of a finding of another
// entry until that entry is corrected, and of an overdue meter for the day.
func (v *view) lifted(code dispensing.Code, of int) bool {
	if ByCorrection(code) {
		return false
	}
	since := v.lastWork
	if code == meterbook.MeterOverdue { // work does not make it another
		since = -1
	}
	for _, e := range v.list {
		if e.n != of || of == v.order.Entry || code == meterbook.MeterOverdue {
			continue
		}
		since = e.place
		if e.fixed {
			since = v.fixedAt(e.n)
		}
	}
	for e, x := range mine[*fact.Override](v) {
		if x.Code == string(code) && e.place > since && (code != meterbook.MeterOverdue || v.ofTheDay(x.At)) {
			return true
		}
	}
	return false
}

// fixedAt is the place of the last correction of an entry.
func (v *view) fixedAt(n int) (place int) {
	for i, r := range v.records {
		if x, ok := r.Fact.(*fact.Correct); ok && x.Entry == n {
			place = i
		}
	}
	return place
}
