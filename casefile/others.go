package casefile

import (
	"cmp"
	"fmt"
	"slices"

	"vialwright/fact"
	"vialwright/journal"
)

// notShown stands where a text of another order was.
const notShown = "not shown"

// ForOrder gives the records of a group as they are handed out for one of its
// orders. Of the other orders there is what moved activity: a letter instead of
// the id, the prescription and the times, without patient, territory and free
// text; and a number instead of a person who did nothing for this order. Notes,
// deviations and doses of staff are there if they name this order. The figures
// of this order are those of the group. It fails where a record cannot be
// written.
func ForOrder(records []journal.Record, order string) ([]journal.Record, error) {
	h := &handing{order: order, letters: map[string]string{}, serves: map[string]map[string]bool{}, people: map[string]string{}}
	records = journal.Numbered(records)
	force := map[int]fact.Fact{}
	for _, r := range records {
		h.learn(r.Fact)
		force[r.N] = r.Fact
	}
	for _, r := range records {
		if !h.foreign(r.Fact) {
			h.known(r.Fact)
		}
	}
	gone := map[int]bool{}
	var out []journal.Record
	for _, r := range records {
		of := r.Fact
		if c, ok := of.(*fact.Correct); ok {
			of = force[c.Entry]
			gone[r.N] = gone[c.Entry] || of == nil
		} else {
			gone[r.N] = h.leaves(of)
		}
		if first, last, mark := fact.Marked(of); mark {
			gone[r.N] = !slices.ContainsFunc(records, func(x journal.Record) bool { return first <= x.N && x.N <= last && !gone[x.N] })
		}
		if gone[r.N] {
			continue
		}
		f, err := fact.Rename([]fact.Fact{r.Fact}, h.letter)
		if err != nil {
			return nil, fmt.Errorf("entry %d: %w", r.N, err)
		}
		h.hand(f[0], h.foreign(r.Fact) || h.foreign(of))
		r.Fact = f[0]
		out = append(out, r)
	}
	return out, nil
}

// handing is what is known while records are handed out for one order.
type handing struct {
	order   string
	letters map[string]string          // of the other orders, by id
	serves  map[string]map[string]bool // the orders that a container was drawn for
	people  map[string]string          // as they are written; those of the order as they are
}

// learn notes the orders and what was drawn for each.
func (h *handing) learn(f fact.Fact) {
	var into, of string
	switch x := f.(type) {
	case *fact.Correct:
		if x.With != nil {
			h.learn(x.With)
		}
		return
	case *fact.Order:
		if x.ID != h.order && h.letters[x.ID] == "" {
			n := len(h.letters)
			h.letters[x.ID] = fmt.Sprintf("other-%c%s", 'A'+n%26, map[bool]string{true: fmt.Sprint(n / 26)}[n >= 26])
		}
		return
	case *fact.Draw:
		into, of = x.Into, x.For
	case *fact.Reassign:
		into, of = x.Container, x.To
	case *fact.Transfer:
		for order := range h.serves[x.From] {
			h.serve(x.Into, order)
		}
		return
	default:
		return
	}
	h.serve(into, of)
}

func (h *handing) serve(container, order string) {
	if h.serves[container] == nil {
		h.serves[container] = map[string]bool{}
	}
	h.serves[container][order] = true
}

// foreign tells of a fact that it is of other orders alone.
func (h *handing) foreign(f fact.Fact) bool {
	other := false
	for _, s := range fact.Subjects(f) {
		switch of := h.serves[s.ID]; {
		case s.Kind == fact.AboutOrder && s.ID == h.order, s.Kind == fact.AboutContainer && of[h.order]:
			return false
		case s.Kind == fact.AboutOrder, s.Kind == fact.AboutContainer && len(of) > 0:
			other = true
		}
	}
	return other
}

// leaves tells of a fact that it is left out.
func (h *handing) leaves(f fact.Fact) bool {
	switch f.(type) {
	case *fact.Note, *fact.Deviation, *fact.NearMiss, *fact.Exposure:
		return !slices.Contains(fact.Subjects(f), fact.Subject{Kind: fact.AboutOrder, ID: h.order})
	}
	return h.foreign(f) && !fact.Is(f, fact.MovesActivity)
}

// known keeps the names of those who worked for the order.
func (h *handing) known(f fact.Fact) {
	if _, is := f.(*fact.Experience); is {
		return
	}
	fact.Texts(f, func(name string, p *string) {
		if name == "by" {
			h.people[*p] = *p
		}
	})
}

// letter stands for the id of another order; every other id stays.
func (h *handing) letter(id string) string { return cmp.Or(h.letters[id], id) }

// hand changes the texts of a fact that is a copy.
func (h *handing) hand(f fact.Fact, foreign bool) {
	fact.Texts(f, func(name string, p *string) {
		switch {
		case name == "by":
			*p = h.person(*p)
		case !foreign:
		case name == "patient" || name == "territory":
			*p = ""
		case name == "text" || name == "reason":
			*p = notShown
		}
	})
}

func (h *handing) person(name string) string {
	if h.people[name] == "" {
		h.people[name] = fmt.Sprintf("person-%d", len(h.people)+1)
	}
	return h.people[name]
}
