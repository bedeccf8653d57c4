package inventory

import (
	"fmt"
	"time"

	"vialwright/dispensing"
	"vialwright/ledger"
)

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
