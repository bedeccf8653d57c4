package state

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"vialwright/journal"
)

// ImportError says why a case file cannot be taken into a site.
type ImportError struct {
	// Taken are the ids that the site has used, with the entry of each.
	Taken []string
	// Meters are those that the site has with other factors.
	Meters []string
}

// Error names all of them and the way out.
func (e *ImportError) Error() string {
	var parts []string
	if len(e.Taken) > 0 {
		parts = append(parts, "the site has used these ids already: "+strings.Join(e.Taken, ", ")+"; give them others with --rename OLD=NEW or --prefix TEXT")
	}
	if len(e.Meters) > 0 {
		parts = append(parts, "the site has these meters with other factors: "+strings.Join(e.Meters, ", ")+"; give them other ids in the file")
	}
	return strings.Join(parts, "; ")
}

// Import gives the facts of a case file as they are to be recorded behind the
// books at a moment. The policy of the file holds for its own entries, and the
// site's own is in force again behind them; a meter that the site has is left
// out. It fails with an *ImportError that lists all that stands in the way.
func (b *Books) Import(facts []journal.Fact, now time.Time) ([]journal.Fact, error) {
	wrong := &ImportError{}
	for _, f := range facts {
		if s, ok := journal.Opens(f); ok && b.Used(s.ID) > 0 {
			if taken := fmt.Sprintf("%s (entry %d)", s.ID, b.Used(s.ID)); !slices.Contains(wrong.Taken, taken) {
				wrong.Taken = append(wrong.Taken, taken)
			}
		}
	}
	var policy *journal.Policy
	meters := map[string]*journal.Meter{}
	for _, n := range b.settings {
		switch x := b.records[n-1].Fact.(type) {
		case *journal.Policy:
			policy = x
		case *journal.Meter:
			meters[x.ID] = x
		}
	}
	for _, f := range facts {
		if m, ok := f.(*journal.Meter); ok && meters[m.ID] != nil && !journal.Same(m, meters[m.ID]) {
			wrong.Meters = append(wrong.Meters, m.ID)
		}
	}
	if len(wrong.Taken)+len(wrong.Meters) > 0 {
		return nil, wrong
	}
	if b.Len() == 0 {
		return journal.Place(facts, 0, time.Time{}, nil), nil
	}
	other := false
	out := journal.Place(facts, b.Len(), now, func(f journal.Fact) bool {
		switch x := f.(type) {
		case *journal.Meter:
			return meters[x.ID] != nil
		case *journal.Policy:
			if policy != nil && journal.Same(x, policy) {
				return true
			}
			x.Reason, other = "of an imported case file", true
		}
		return false
	})
	if other {
		back := journal.Policy{}
		if policy != nil {
			back = *policy
		}
		back.From, back.Reason = now, "the site's own again, behind an imported case file"
		out = append(out, &back)
	}
	return out, nil
}
