package people

import (
	"slices"
	"strings"
)

// Change is what one entry of the journal says of an account: all of it as it is
// from then on, who said so, and who signed beside them.
type Change struct {
	// N is the number of the entry, from 1.
	N int
	// By and Countersigned are ids; the second is empty where one signed alone.
	By, Countersigned string
	Person            Person
}

// Directory is all accounts there ever were, as the entries of the journal have
// made them. It takes an entry only where the rules allowed it when it was made,
// so that an entry that was written past them gives nobody a right. The zero value
// is ready. It may not be changed by several goroutines at once.
type Directory struct {
	changes []Change
	now     []Person // never changed in place: it is handed out
	refused []Refused
}

// Refused is a change that the rules did not allow, and why.
type Refused struct {
	Change
	Why error
}

// Take takes the next change, or keeps it apart and says why: what [MayAdd],
// [MayChange] or, for what was entered [OnMachine], [MayAdmit] refuses.
func (d *Directory) Take(c Change) error {
	if err := d.May(c); err != nil {
		d.refused = append(d.refused, Refused{c, err})
		return err
	}
	d.changes = append(d.changes, c)
	d.now = put(slices.Clone(d.now), c.Person)
	return nil
}

// May says whether a change is allowed as the accounts are now.
func (d *Directory) May(c Change) error {
	_, known := d.Of(c.Person.ID)
	switch {
	case c.By == OnMachine:
		return MayAdmit(d.now, c.Person)
	case known:
		return MayChange(c.By, c.Countersigned, d.now, c.Person)
	}
	return MayAdd(c.By, c.Countersigned, d.now, c.Person)
}

// All are the accounts as they are now, in the order of their ids. They are not
// the caller's to change.
func (d *Directory) All() []Person { return d.now }

// Behind are the accounts as they were behind entry n: what an entry that was
// recorded next was allowed by.
func (d *Directory) Behind(n int) []Person {
	var out []Person
	for _, c := range d.changes {
		if c.N > n {
			break
		}
		out = put(out, c.Person)
	}
	return out
}

// put puts an account in its place, or in place of the one with its id.
func put(all []Person, p Person) []Person {
	i, known := slices.BinarySearchFunc(all, p.ID, byID)
	if !known {
		return slices.Insert(all, i, p)
	}
	all[i] = p
	return all
}

func byID(p Person, id string) int { return strings.Compare(p.ID, id) }

// Of is the account of an id as it is now; false where there is none.
func (d *Directory) Of(id string) (Person, bool) { return in(d.now, id) }

// Spelt is an id as its account has it, where it was typed in other letter case; as typed
// where an account has it so, or none or several differ from it in case alone.
func (d *Directory) Spelt(typed string) string {
	if _, exact := d.Of(typed); exact {
		return typed
	}
	out := typed
	for _, p := range d.now {
		switch {
		case !strings.EqualFold(p.ID, typed):
		case out != typed:
			return typed
		default:
			out = p.ID
		}
	}
	return out
}

// NameAt is the name of an account when entry n was recorded; empty where there
// was none. Entry n itself counts, so that the first account has its name.
func (d *Directory) NameAt(id string, n int) string {
	p, _ := in(d.Behind(n), id)
	return p.Name
}

func in(all []Person, id string) (Person, bool) {
	i, known := slices.BinarySearchFunc(all, id, byID)
	if !known {
		return Person{}, false
	}
	return all[i], true
}

// Refused are the changes that the rules did not allow, in their order. There are
// none in a journal that this program alone has written.
func (d *Directory) Refused() []Refused { return slices.Clone(d.refused) }
