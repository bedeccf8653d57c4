package kit

import (
	"net/http"
	"slices"
	"strconv"
	"time"

	"vialwright/fact"
	"vialwright/replica"
	"vialwright/web/view"
)

// File is the records that a page is made from.
type File = replica.File

// Dormant is how long after its last record a group that nobody closed is left
// out of what is open together: the day does not wait for it.
const Dormant = 60 * 24 * time.Hour

// OpenFiles are the groups that are not over, in the order of their first
// records.
func (s *Server) OpenFiles(now time.Time) []*File {
	return s.Lab.OpenFiles(now.Add(-Dormant), s.over(now))
}

// over tells of a group whether it is over.
func (s *Server) over(now time.Time) func(*File) bool {
	return func(f *File) bool {
		st, err := s.Standing(f, now)
		if err != nil {
			return false
		}
		over := st.Over() && (s.Unfinished == nil || !s.Unfinished(st))
		s.Reckoned(f, st, over)
		return over
	}
}

// OpenFile is all that is open, as one: what an order that nothing was drawn for
// can be drawn from.
func (s *Server) OpenFile(now time.Time) *File {
	return s.Lab.OpenFile(now.Add(-Dormant), s.over(now))
}

// OpenStanding is all that is open as it stood at most a minute ago, for a page that shows
// no figure of now; while a sheet of paper is entered, as CaseState has it.
func (q *Request) OpenStanding() (*State, error) {
	if q.Sheet() != nil {
		return q.CaseState()
	}
	if err := q.CatchUp(); err != nil {
		return nil, err
	}
	f := q.OpenFile(q.Now)
	st, err := q.Standing(f, q.Now)
	if err != nil {
		return nil, uncalculated(err)
	}
	now := *st
	now.File = f
	return &now, nil
}

// uncalculated is the page of what cannot be worked out.
func uncalculated(err error) *Refusal {
	return &Refusal{http.StatusConflict, "This cannot be calculated", err.Error(), "correct the entry it names", "/history"}
}

// OrderFile is what an order is shown from: its own group, or while nothing was
// drawn for it, all that is open; false where there is no such order.
func (q *Request) OrderFile(order string) (*File, bool) {
	return q.Lab.OrderFile(order, func() *File { return q.OpenFile(q.Now) })
}

// widened is what an entry is decided on with: its groups, and all that is open
// where the order of the page can still be drawn from any of it.
func (q *Request) widened(f *File, facts []fact.Fact) *File {
	order := q.R.PathValue("order")
	if order == "" {
		return f
	}
	if wide, ok := q.OrderFile(order); ok && len(wide.IDs) > 1 {
		return q.Lab.File(append(about(order, facts), wide.IDs...)...)
	}
	return f
}

// CatchUp reads what other benches have appended, once for each request. A page of a
// journal that does not hold is shown as far as it does.
func (q *Request) CatchUp() error {
	if q.caughtUp {
		return nil
	}
	err := q.Lab.CatchUp(q.R.Context())
	if q.caughtUp = err == nil; q.caughtUp || q.Lab.Broken() != nil {
		return nil
	}
	return err
}

// Location is the zone of the site.
func (s *Server) Location() *time.Location {
	z, err := s.Zones(s.Zone)
	if err != nil {
		return time.UTC
	}
	return z
}

// addressed is the file that the address names: of an order, of an entry, or all
// that is open.
func (q *Request) addressed() (*File, error) {
	if err := q.CatchUp(); err != nil {
		return nil, err
	}
	if q.route.Settings {
		return q.Lab.File(), nil
	}
	if order := q.R.PathValue("order"); order != "" {
		f, ok := q.OrderFile(order)
		if !ok {
			return nil, NoOrder()
		}
		return f, nil
	}
	if n, err := strconv.Atoi(q.R.PathValue("entry")); err == nil {
		return q.Lab.FileOf(n), nil
	}
	return q.OpenFile(q.Now), nil
}

// NoOrder refuses the address of an order that is not there.
func NoOrder() error {
	return &Refusal{http.StatusNotFound, "There is no such order", "this laboratory has no order of this id", "go to the board", "/"}
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

// SettingsInForce are the site's record, its policy and its meters, as of a
// moment.
func (s *Server) SettingsInForce(now time.Time) (site *fact.Site, policy *fact.Policy, meters []*fact.Meter) {
	var facts []fact.Fact
	for _, r := range s.Lab.File().Records {
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

// Badge is what an order is told by on every page.
func (s *Server) Badge(order string) view.Badge { return view.BadgeOf(s.Lab.OrderPlace(order)) }

// OrderHref is the address of the bench of an order.
func OrderHref(order string) string { return "/order/" + order }
