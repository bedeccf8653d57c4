package inventory

import (
	"fmt"
	"time"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/fold"
	"vialwright/journal"
	"vialwright/ledger"
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

// fitted is a case that was reconciled: by its readings, and by its labels and volumes alone
// for the containers whose readings contradict one another; label is nil where none do.
type fitted struct {
	dispensing.Case
	read, label *ledger.Balances
	withheld    map[string]bool
}

// Fitted are books whose cases are reconciled, so that the inventories of many instants can be
// made of them.
type Fitted struct {
	Books
	cases []fitted
}

// Fit reconciles all cases of books, by the policy of an instant. It panics where the labels and
// volumes of one cannot be reckoned, which Read refuses: without it too little would be held.
func Fit(b Books, at time.Time) Fitted {
	out := Fitted{Books: b}
	for _, c := range b.Cases {
		f := fitted{Case: c, withheld: map[string]bool{}}
		var err error
		f.read, err = ledger.Reconcile(c.Book)
		contradicted := err != nil
		for _, k := range dispensing.Reckon(c, at).Containers {
			f.withheld[k.Container.ID] = k.Withheld != "" || err != nil
			contradicted = contradicted || k.Withheld != ""
		}
		if contradicted {
			f.label = must(byLabels(c))
		}
		if err != nil {
			f.read = f.label
		}
		out.cases = append(out.cases, f)
	}
	return out
}

// byLabels reconciles a case by its labels and volumes alone.
func byLabels(c dispensing.Case) (*ledger.Balances, error) {
	bal, err := ledger.Reconcile(c.Book.Unread())
	if err != nil {
		return nil, fmt.Errorf("its labels and volumes alone have no solution: %w", err)
	}
	return bal, nil
}

func must(bal *ledger.Balances, err error) *ledger.Balances {
	if err != nil {
		panic("fault: " + err.Error())
	}
	return bal
}

// shares gives what a container of a case holds, by the line of the licence that each of
// its vials came in on.
func (t *taker) shares(c dispensing.Case) func(bal *ledger.Balances, id string) map[string]ledger.Amount {
	at, of, lines := t.out.At, map[string]string{}, map[string]bool{}
	for _, v := range c.Vials {
		of[v.ID] = t.sure(t.lineOf(v.Parcel), Nuclide)
		lines[of[v.ID]] = true
	}
	origins := map[*ledger.Balances]map[string]map[string]ledger.Amount{}
	return func(bal *ledger.Balances, id string) map[string]ledger.Amount {
		if len(lines) == 1 {
			return map[string]ledger.Amount{of[c.Vials[0].ID]: bal.Held(id, at)}
		}
		if origins[bal] == nil {
			origins[bal] = bal.Origins(at)
		}
		out := map[string]ledger.Amount{}
		for vial, amount := range origins[bal][id] {
			out[of[vial]] = out[of[vial]].Plus(amount)
		}
		return out
	}
}
