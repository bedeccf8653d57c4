package inventory

import (
	"time"

	"vialwright/dispensing"
	"vialwright/ledger"
)

// fitted is a case that was reconciled: by its readings, and by its labels and volumes alone
// for the containers whose readings contradict one another.
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

// Fit reconciles all cases of books, by the policy of an instant. None folds that labels alone do
// not carry.
func Fit(b Books, at time.Time) Fitted {
	out := Fitted{Books: b}
	for _, c := range b.Cases {
		read, err := ledger.Reconcile(c.Book)
		label, unfit := ledger.Reconcile(c.Book.Unread())
		if err != nil {
			read = label
		}
		if unfit != nil {
			continue
		}
		f := fitted{c, read, label, map[string]bool{}}
		for _, k := range dispensing.Reckon(c, at).Containers {
			f.withheld[k.Container.ID] = k.Withheld != "" || err != nil
		}
		out.cases = append(out.cases, f)
	}
	return out
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
