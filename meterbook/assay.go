package meterbook

import (
	"slices"
	"time"

	"vialwright/dispensing"
	"vialwright/quantity"
)

// Assays are the first readings of the vials of a case by each meter, before anything was
// drawn from them, over the activity on the label at that time:
//
//	ratio = (gross - background)/(A_label 2^(-t/T))
func Assays(c dispensing.Case) (out []Assay) {
	for _, v := range c.Vials {
		seen := map[string]bool{}
		for _, r := range c.Readings { // in the order of time
			if r.Of != v.ID || seen[r.Meter] || drawnBefore(c, v.ID, r.At) {
				continue
			}
			seen[r.Meter] = true
			label, err := c.HalfLife.Carry(v.Labelled, v.Reference, r.At)
			if err == nil && label > 0 {
				out = append(out, Assay{Meter: r.Meter, Basis: r.Basis, At: r.At, Entry: r.Entry, Ratio: quantity.Fraction((r.Gross - r.Background) / label)})
			}
		}
	}
	return out
}

func drawnBefore(c dispensing.Case, vial string, at time.Time) bool {
	return slices.ContainsFunc(c.Draws, func(d dispensing.Draw) bool { return d.From == vial && !d.At.After(at) })
}

// Witnesses are those of every meter and basis of some assays, by meter.
func Witnesses(all []Assay, zone *time.Location) (out []Witness) {
	seen := map[[2]string]bool{}
	for _, a := range all {
		if key := [2]string{a.Meter, string(a.Basis)}; !seen[key] {
			seen[key] = true
			out = append(out, WitnessOf(all, a.Meter, a.Basis, zone))
		}
	}
	return out
}
