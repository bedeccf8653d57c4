package state

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"vialwright/casefile"
	"vialwright/fact"
	"vialwright/fold"
	"vialwright/journal"
	"vialwright/nuclide"
)

// ImportError says why a case file cannot be taken into a site.
type ImportError struct {
	// Taken are the ids that the site has used, with what each was and when.
	Taken []string
	// Meters are those that the site has with other factors, or with none at the time
	// of a reading.
	Meters []string
	// HalfLife is that of the file where the site has another one; empty where they
	// are the same.
	HalfLife string
}

// Error names all of them and the way out.
func (e *ImportError) Error() string {
	var parts []string
	if len(e.Taken) > 0 {
		parts = append(parts, "the site has used these ids already: "+strings.Join(e.Taken, ", ")+"; give them others with --rename OLD=NEW or --prefix TEXT")
	}
	if len(e.Meters) > 0 {
		parts = append(parts, "the site has these meters with other factors, or with none yet, at the times of their readings in the file: "+strings.Join(e.Meters, ", ")+"; give them other ids in the file")
	}
	if e.HalfLife != "" {
		parts = append(parts, "the file uses "+e.HalfLife+", and the site another half-life: the figures of the file would change; keep it as a file")
	}
	return strings.Join(parts, "; ")
}

// Import gives the facts of a case file as they are to be recorded behind the
// books at a moment. The policies of the file hold for its own entries, and what
// the site has decided is in force again behind them; a meter is left out where
// the site's own says the same at each of its readings. It fails with an
// *ImportError that lists all that stands in the way, or where the file sets
// accounts.
func (b *Books) Import(facts []fact.Fact, now time.Time) ([]fact.Fact, error) {
	if slices.ContainsFunc(facts, func(f fact.Fact) bool { return fact.Is(f, fact.Account) }) {
		return nil, errors.New("the file sets accounts, and who has which rights is entered by an administrator of the site: take those entries out of the file")
	}
	if err := fold.Alike(facts); err != nil { // nil of its own type is no nil of error
		return nil, err
	}
	wrong := &ImportError{Taken: b.taken(facts)}
	own := b.site()
	wrong.Meters = own.others(facts)
	wrong.HalfLife = b.otherHalfLife(facts)
	if len(wrong.Taken)+len(wrong.Meters) > 0 || wrong.HalfLife != "" {
		return nil, wrong
	}
	force := own.policyAt(now)
	if !slices.ContainsFunc(facts, func(f fact.Fact) bool { _, ok := f.(*fact.Policy); return ok && fact.IsHeader(f) }) {
		facts = slices.Insert(slices.Clone(facts), 1, fact.Fact(&fact.Policy{})) // nothing stated is a policy too
	}
	begin := now
	if b.Len() == 0 {
		begin = time.Time{}
	}
	held, experience := force, false
	out := casefile.Place(facts, b.Len(), begin, func(f fact.Fact) bool {
		switch x := f.(type) {
		case *fact.Meter:
			return len(own.meters[x.ID]) > 0
		case *fact.Policy:
			if fact.Same(x, held) {
				return true
			}
			held = x
		}
		return false
	})
	for i, f := range out {
		switch x := f.(type) {
		case *fact.Policy:
			if last := i == len(out)-1; !x.From.IsZero() && (x.From.Before(now) || !last) {
				x.From = now // it holds for the entries behind it, whenever they were done
			}
			if !x.From.IsZero() {
				x.Reason = cmp.Or(x.Reason, "of an imported case file")
			}
		case *fact.Experience:
			experience = true
		}
	}
	if b.Len() == 0 {
		return out, nil
	}
	return append(out, own.again(now, force, held, experience)...), nil
}

// taken are the ids of facts that the site has used, or has in other letter case, with what
// each was and when.
func (b *Books) taken(facts []fact.Fact) (out []string) {
	for _, f := range facts {
		if o, ok := fact.Opens(f); ok && b.Taken(o.ID) > 0 {
			by, _ := b.Record(b.Taken(o.ID))
			was, _ := fact.Opens(by.Fact)
			if was.ID != o.ID {
				was.As += " " + was.ID
			}
			if taken := fmt.Sprintf("%s (%s, entry %d of %s)", o.ID, was.As, by.N, by.Recorded.UTC().Format(time.DateOnly)); !slices.Contains(out, taken) {
				out = append(out, taken)
			}
		}
	}
	return out
}

// otherHalfLife is the half-life of a case file where the site has another one.
func (b *Books) otherHalfLife(facts []fact.Fact) string {
	if b.Len() == 0 {
		return ""
	}
	here, ok := b.records[1].Fact.(*fact.Site)
	there, too := facts[0].(*fact.Site)
	if !ok || !too {
		return ""
	}
	value := func(s *fact.Site) float64 {
		if s.HalfLife.IsZero() {
			return float64(nuclide.Y90.HalfLife().Value)
		}
		return float64(s.HalfLife.Value)
	}
	if x, y := value(here), value(there); math.Abs(x-y) < 1e-6*x && here.HalfLifeU.Value == there.HalfLifeU.Value {
		return ""
	}
	return "a half-life of " + cmp.Or(there.HalfLife.Text, "the evaluation")
}

// decided is what a site has decided and learned, in the order of its record.
type decided struct {
	policies   []*fact.Policy
	meters     map[string][]*fact.Meter
	experience *fact.Experience
}

func (b *Books) site() decided {
	var all []fact.Fact
	for _, n := range b.settings {
		all = append(all, b.records[n].Fact)
	}
	return decidedBy(all)
}

func decidedBy(facts []fact.Fact) decided {
	d := decided{meters: map[string][]*fact.Meter{}}
	for _, f := range facts {
		switch x := f.(type) {
		case *fact.Policy:
			d.policies = append(d.policies, x)
		case *fact.Meter:
			d.meters[x.ID] = append(d.meters[x.ID], x)
		case *fact.Experience:
			d.experience = x
		}
	}
	return d
}

// policyAt is the policy in force at a moment, the empty one where none is.
func (d decided) policyAt(now time.Time) *fact.Policy {
	for _, p := range slices.Backward(d.policies) {
		if !p.From.After(now) {
			return p
		}
	}
	return &fact.Policy{}
}

// meterAt is the calibration of a meter that held at a moment, nil for none.
func (d decided) meterAt(id string, at time.Time) *fact.Meter {
	for _, m := range slices.Backward(d.meters[id]) {
		if !m.From.After(at) {
			return m
		}
	}
	return nil
}

// others are the meters of a case file that the site has too, with other factors
// at a reading of the file or without any.
func (d decided) others(facts []fact.Fact) (out []string) {
	file := decidedBy(facts)
	for _, f := range facts {
		id, at := fact.MeterOf(f)
		here, there := d.meterAt(id, at), file.meterAt(id, at)
		if len(d.meters[id]) > 0 && there != nil && (here == nil || !fact.Same(here, there)) && !slices.Contains(out, id) {
			out = append(out, id)
		}
	}
	return out
}

// again puts what a site has decided and learned in force behind an imported case
// file, and what it has decided to begin later.
func (d decided) again(now time.Time, force, held *fact.Policy, experience bool) (out []fact.Fact) {
	if held != force {
		back := *force
		back.From, back.Reason = now, "the site's own settings again, after an imported case file"
		out = append(out, &back)
		for _, p := range d.policies[slices.Index(d.policies, force)+1:] {
			later := *p
			later.Reason = back.Reason
			out = append(out, &later)
		}
	}
	if experience && d.experience != nil {
		out = append(out, d.experience)
	}
	return out
}

// Check asks whether records can follow in the books: it adds them, and folds
// each group that they touch. It gives the first refusal.
func (b *Books) Check(records []journal.Record, zones fact.Zones) error {
	seen := map[Group]bool{}
	var touched []Group
	for _, r := range records {
		for _, g := range b.Add(r) {
			if !seen[g] {
				seen[g], touched = true, append(touched, g)
			}
		}
	}
	for _, g := range touched {
		if g.Joined() { // another holds its records
			continue
		}
		if _, err := fold.Records(b.Records([]Group{g}), zones); err != nil {
			return err
		}
	}
	return nil
}
