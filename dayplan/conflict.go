package dayplan

import (
	"cmp"
	"slices"
	"strings"
)

// Conflict is a minimal set of limits that exclude one another: with all other
// limits let go the day cannot be done, and with any one of these let go too it can.
type Conflict []Limit

// Told are the limits of a conflict without the orders that a window in it names
// already.
func (c Conflict) Told() []Limit {
	return slices.DeleteFunc(slices.Clone(c), func(l Limit) bool {
		return l.Kind == Serve && slices.ContainsFunc(c, func(w Limit) bool { return w != l && w.Of == l.Of })
	})
}

// String names the limits of a conflict.
func (c Conflict) String() string {
	var words []string
	for _, l := range c.Told() {
		words = append(words, l.String())
	}
	return strings.Join(words, "; ")
}

// mostConflicts is how many conflicts are told: who reads more of them looks at the
// first anyway.
const mostConflicts = 12

// Conflicts gives the minimal sets of limits for which no plan serves every order
// within its windows, the smallest first; none where there is such a plan. whole is
// false where there may be more: steps ran out, or there are many. They are
// enumerated by deletion, and by branching on each member of each set found (Reiter,
// Artificial Intelligence 32 (1987) 57).
func Conflicts(d Day, steps int) (found []Conflict, whole bool, err error) {
	if err := d.Check(); err != nil {
		return nil, false, err
	}
	c := &conflicts{day: d, steps: steps}
	all := d.limits()
	seen := map[string]bool{}
	queue := []gone{{}}
	for len(queue) > 0 && c.steps > 0 && len(c.found) < mostConflicts {
		without := queue[0]
		queue = queue[1:]
		set := c.known(without)
		if set == nil {
			kept := slices.DeleteFunc(slices.Clone(all), func(l Limit) bool { return without[l] })
			if c.feasible(kept, all) {
				continue
			}
			set = c.shrink(kept, all)
			c.found = append(c.found, set)
		}
		for _, l := range set {
			next := gone{l: true}
			for k := range without {
				next[k] = true
			}
			if key := next.key(all); !seen[key] {
				seen[key] = true
				queue = append(queue, next)
			}
		}
	}
	slices.SortStableFunc(c.found, func(a, b Conflict) int {
		return cmp.Or(cmp.Compare(len(a.Told()), len(b.Told())), strings.Compare(a.String(), b.String()))
	})
	return c.found, len(queue) == 0 && c.steps > 0, nil
}

type conflicts struct {
	day   Day
	steps int
	found []Conflict
}

func (g gone) key(all []Limit) string {
	var b strings.Builder
	for _, l := range all {
		if g[l] {
			b.WriteString(string(l.Kind) + " " + l.Of + "\n")
		}
	}
	return b.String()
}

// known is a set found before that holds nothing of what is let go.
func (c *conflicts) known(without gone) Conflict {
	for _, set := range c.found {
		if !slices.ContainsFunc(set, func(l Limit) bool { return without[l] }) {
			return set
		}
	}
	return nil
}

// feasible tells whether the day can be done with these limits alone. Where the
// steps run out it is taken as feasible, so that no set is called a conflict that
// was not proven to be one.
func (c *conflicts) feasible(kept, all []Limit) bool {
	let := gone{}
	for _, l := range all {
		if !slices.Contains(kept, l) {
			let[l] = true
		}
	}
	m := compile(c.day, let)
	most := worst
	most[unserved], most[broken] = 0, 0
	e := m.engine(most, broken+1, m.all(), &c.steps).run()
	return e.found != nil || e.cut
}

// shrink takes out of a set what it conflicts without.
func (c *conflicts) shrink(set, all []Limit) Conflict {
	for i := len(set) - 1; i >= 0; i-- {
		if less := slices.Delete(slices.Clone(set), i, i+1); !c.feasible(less, all) {
			set = less
		}
	}
	return Conflict(set)
}
