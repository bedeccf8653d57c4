package inventory

import (
	"fmt"
	"time"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/fold"
	"vialwright/journal"
	"vialwright/quantity"
)

// LookBack is how long what nothing touched stays in the sum of a page: 45 half-lives of
// Y-90, after which a vial of 10 GBq holds less than a millibecquerel.
const LookBack = 120 * 24 * time.Hour

// Kept tells what an inventory is made from beside the groups: the entries of the site's
// own books, and of what left.
func Kept(f fact.Fact) bool {
	_, left := f.(*fact.LeftSite)
	return left || fact.Is(f, fact.SiteBook)
}

// Read folds the groups of a site, one after the other, and takes the entries of its
// own books. settings are the records of no group: they say the half-life. It fails
// where a group cannot be folded, or not even its labels and volumes be reckoned, since then
// the sum would be short of it.
func Read(settings, own []journal.Record, groups [][]journal.Record, zones fact.Zones) (Books, error) {
	site, err := fold.Records(settings, zones)
	if err != nil {
		return Books{}, fmt.Errorf("the settings of the site cannot be read: %w", err)
	}
	b := Books{Entries: fold.Entries(own), HalfLife: site.HalfLife.Value, LabelTolerance: site.Policy.LabelTolerance, Cases: make([]dispensing.Case, len(groups))}
	for i, g := range groups {
		if b.Cases[i], err = fold.Records(g, zones); err == nil {
			_, err = byLabels(b.Cases[i])
		}
		if err != nil {
			return Books{}, fmt.Errorf("what was recorded from entry %d on cannot be reckoned: %w", g[len(g)-1].N, err)
		}
	}
	return b, nil
}

// With gives the books with a delivery that might be ordered.
func (b Books) With(order *fact.ExpectParcel) Books {
	b.Entries = append(b.Entries[:len(b.Entries):len(b.Entries)], fold.Entry{Fact: order})
	return b
}

// Most is the inventory with the most on hand of some: of one line the highest share of
// what it allows, or without a limit the most activity.
func Most(all []Inventory) (most Inventory) {
	share := func(v Inventory) (s float64) {
		for _, l := range v.Lines {
			x := float64(l.Held / quantity.TeraBecquerel)
			if !l.Most.IsZero() {
				x = float64(l.Held / l.Most.Value)
			}
			s = max(s, x)
		}
		return s
	}
	for i, v := range all {
		if i == 0 || share(v) > share(most) {
			most = v
		}
	}
	return most
}
