package hotlab

import (
	"slices"
	"strings"

	"vialwright/fact"
)

// contacts keeps those in force, each as it was entered last.
func (r *reader) contacts() {
	all := &r.out.Contacts
	for _, x := range of[*fact.Contact](r, r.Books.Entries) {
		*all = slices.DeleteFunc(*all, func(c fact.Contact) bool { return c.Name == x.x.Name && c.Occasion == x.x.Occasion })
		if x.x.Until.IsZero() || x.x.Until.After(r.At) {
			*all = append(*all, *x.x)
		}
	}
}

// call says whom to telephone on an occasion.
func (r *reader) call(on fact.Occasion) string {
	var whom []string
	for _, c := range r.out.Contacts {
		if c.Occasion == on {
			whom = append(whom, c.Name+": "+c.Phone)
		}
	}
	if len(whom) == 0 {
		return "The site has entered nobody to call: look the numbers up, and enter them."
	}
	return "Call " + strings.Join(whom, "; ") + "."
}
