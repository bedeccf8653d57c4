package replica

import (
	"slices"
	"time"

	"vialwright/state"
)

// openGroups are the groups that may be open. What is over is let go until something
// touches it again, so that a board goes through what is open and not through
// the years.
type openGroups struct {
	groups map[*state.Group]bool // true for one that nothing touched since it was found open
	since  time.Time             // what was last touched before was let go
}

func (o *openGroups) touch(groups []*state.Group) {
	if o.groups == nil {
		o.groups = map[*state.Group]bool{}
	}
	for _, g := range groups {
		o.groups[g] = false
	}
}

// OpenFiles gives a file for each group that is not over and was touched at a
// time or later, in the order in which they began. over is asked once for each
// group and newest record.
func (r *Replica) OpenFiles(since time.Time, over func(*File) bool) []*File {
	ask, newest := r.unasked(since)
	closed := make([]bool, len(ask))
	for i, f := range ask {
		closed[i] = over(f.file)
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	for i, f := range ask {
		switch {
		case f.group.Newest() != f.newest || f.group.Joined(): // touched while it was asked
		case closed[i]:
			delete(r.open.groups, f.group)
		default:
			r.open.groups[f.group] = true
		}
	}
	var out []*File
	for _, g := range newest {
		if _, open := r.open.groups[g]; open && !g.Joined() {
			out = append(out, r.of([]*state.Group{g}, g.IDs()))
		}
	}
	return out
}

// asked is a group whose file is looked at.
type asked struct {
	group  *state.Group
	newest int
	file   *File
}

// unasked lets go what was not touched since a time, and gives the groups that
// are left, and of those the ones of which it is not known whether they are over.
// A clock that was put back brings back what was let go.
func (r *Replica) unasked(since time.Time) (ask []asked, left []*state.Group) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.open.since.Sub(since) > time.Minute { // not merely a request that began earlier
		r.open.touch(r.books.All())
		r.open.since = since
	}
	if since.After(r.open.since) {
		r.open.since = since
	}
	for g := range r.open.groups {
		if g.Joined() || g.Touched().Before(r.open.since) {
			delete(r.open.groups, g)
			continue
		}
		left = append(left, g)
	}
	slices.SortFunc(left, (*state.Group).Compare)
	for _, g := range left {
		if !r.open.groups[g] {
			ask = append(ask, asked{g, g.Newest(), r.of([]*state.Group{g}, g.IDs())})
		}
	}
	return ask, left
}
