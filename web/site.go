package web

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"net/http"
	"slices"
	"strconv"
	"time"

	"vialwright/fact"
	"vialwright/journal"
	"vialwright/replica"
	"vialwright/web/view"
)

// file is the records that a page is made from.
type file = replica.File

// dormant is how long after its last record a group that nobody closed is left
// out of what is open together: the day does not wait for it.
const dormant = 60 * 24 * time.Hour

// openFiles are the groups that are not over, in the order of their first
// records.
func (s *Server) openFiles(now time.Time) []*file {
	return s.lab.OpenFiles(now.Add(-dormant), func(f *file) bool {
		st, err := s.reckon(f, now)
		if err != nil {
			return false
		}
		over := st.Over()
		s.hooks.reckoned(f, st, over)
		return over
	})
}

// openFile is all that is open, as one: what an order that nothing was drawn for
// can be drawn from.
func (s *Server) openFile(now time.Time) *file { return s.lab.Union(s.openFiles(now)) }

// orderFile is what an order is shown from: its own group, or while nothing was
// drawn for it, all that is open; false where there is no such order.
func (q *request) orderFile(order string) (*file, bool) {
	f := q.lab.File(order)
	known, drawn, over := false, false, false
	for _, e := range f.Entries() {
		switch x := e.Fact.(type) {
		case *fact.Order:
			known = known || x.ID == order
		case *fact.Draw:
			drawn = drawn || x.For == order
		case *fact.Cancel:
			over = over || x.For == order
		case *fact.Close:
			over = over || x.For == order
		}
	}
	if known && !drawn && !over {
		f = q.openFile(q.now)
	}
	return f, known
}

// widened is what an entry is decided on with: its groups, and all that is open
// where the order of the page can still be drawn from any of it.
func (q *request) widened(f *file, facts []fact.Fact) *file {
	order := q.r.PathValue("order")
	if order == "" {
		return f
	}
	if wide, ok := q.orderFile(order); ok && len(wide.IDs) > 1 {
		return q.lab.File(append(about(order, facts), wide.IDs...)...)
	}
	return f
}

// catchUp reads what other benches have appended. A page of a journal that does not
// hold is shown as far as it does.
func (q *request) catchUp() error {
	if err := q.lab.CatchUp(q.r.Context()); err != nil && q.lab.Broken() == nil {
		return err
	}
	return nil
}

// loc is the zone of the site.
func (s *Server) loc() *time.Location {
	z, err := s.Zones(s.Zone)
	if err != nil {
		return time.UTC
	}
	return z
}

// addressed is the file that the address names: of an order, of an entry, or all
// that is open.
func (q *request) addressed() (*file, error) {
	if err := q.catchUp(); err != nil {
		return nil, err
	}
	if p := q.r.URL.Path; p == "/settings" || p == "/meters" {
		return q.lab.File(), nil
	}
	if order := q.r.PathValue("order"); order != "" {
		f, ok := q.orderFile(order)
		if !ok {
			return nil, noOrder()
		}
		return f, nil
	}
	if n, err := strconv.Atoi(q.r.PathValue("entry")); err == nil {
		return q.lab.FileOf(n), nil
	}
	return q.openFile(q.now), nil
}

func noOrder() error {
	return &refusal{http.StatusNotFound, "There is no such order", "this laboratory has no order of this id", "go to the board", "/"}
}

// about are the orders and containers that a form bears on: those of its page
// and those that its facts name.
func about(page string, facts []fact.Fact) (ids []string) {
	if page != "" {
		ids = append(ids, page)
	}
	for _, f := range facts {
		for _, s := range fact.Subjects(f) {
			if s.Kind.Grouped() && !slices.Contains(ids, s.ID) {
				ids = append(ids, s.ID)
			}
		}
	}
	return ids
}

// settingsInForce are the site's record, its policy and its meters, as of a
// moment.
func (s *Server) settingsInForce(now time.Time) (site *fact.Site, policy *fact.Policy, meters []*fact.Meter) {
	var facts []fact.Fact
	for _, r := range s.lab.File().Records {
		switch x := r.Fact.(type) {
		case *fact.Site:
			facts = append(facts, x)
		case *fact.Policy:
			if !x.From.After(now) {
				facts = append(facts, x)
			}
		case *fact.Meter:
			if !x.From.After(now) {
				facts = append(facts, x)
			}
		}
	}
	return fact.Settings(facts)
}

// begin writes the first record of an empty journal: the site, what the journal
// is for, and the settings it begins with. A journal of the other use is
// refused: practice is never served as real, nor the other way about.
func (s *Server) begin(ctx context.Context) error {
	use := fact.ForPatients
	if s.Practice {
		use = fact.ForPractice
	}
	first, begun := s.lab.First()
	if !begun && s.lab.Broken() == nil {
		facts := append([]fact.Fact{&fact.Site{Zone: s.Zone, Use: use}}, s.Site...)
		return s.lab.Append(ctx, replica.Entry{Site: true, Decide: func(_ *file, next int) ([]journal.Record, error) {
			if next > 1 {
				return nil, nil // another process was first
			}
			records := make([]journal.Record, len(facts))
			for i, f := range facts {
				records[i] = journal.Record{Recorded: s.Clock().Truncate(time.Millisecond), By: "setup", Fact: f}
			}
			return records, nil
		}})
	}
	if site, ok := first.Fact.(*fact.Site); ok && cmp.Or(site.Use, fact.ForPatients) != use {
		return fmt.Errorf("this journal is for %s: start the program %s --practice, or name another journal", cmp.Or(site.Use, fact.ForPatients), map[bool]string{true: "without", false: "with"}[s.Practice])
	}
	return nil
}

// saltFrom draws what is hashed with each record.
func saltFrom(random io.Reader) func() journal.Salt {
	return func() (s journal.Salt) {
		if _, err := io.ReadFull(random, s[:]); err != nil {
			panic("web: no randomness: " + err.Error()) // crypto/rand never fails
		}
		return s
	}
}

// badge is what an order is told by on every page.
func (s *Server) badge(order string) view.Badge { return view.BadgeOf(s.lab.OrderPlace(order)) }

func benchHref(order string) string { return "/order/" + order }

// nameOf is the name behind an id, or the id where there is no account.
func (q *request) nameOf(id string) string {
	if a, found, err := q.account(id); err == nil && found {
		return a.Name + " (" + id + ")"
	}
	return id
}

// patience is how long the health waits for the store, and for the vault: a
// program that watches has to be answered.
const patience = 3 * time.Second
