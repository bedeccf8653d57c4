package replica

import (
	"context"
	"slices"
	"time"

	"vialwright/state"
)

// openGroups are the groups that may be open. What is over is let go until something
// touches it again, so that a board goes through what is open and not through
// the years.
type openGroups struct {
	groups map[state.Group]*maybe
	since  time.Time // what was last touched before was let go
	all    given     // of all of them
}

// maybe is a group that may be open.
type maybe struct {
	// known is true where nothing touched it since it was found open.
	known bool
	given
}

// given is the file that was given out last, of when the site had so many records
// on which groups may rest; nil for none.
type given struct {
	file   *File
	ofSite int
}

// at is the file as it is given out when the journal has so many records.
func (g *given) at(taken int) *File {
	f := *g.file
	f.Taken = uint64(taken)
	return &f
}

func (o *openGroups) touch(groups []state.Group) {
	if o.groups == nil {
		o.groups = map[state.Group]*maybe{}
	}
	for _, g := range groups {
		o.groups[g] = &maybe{}
	}
}

// OpenFile gives one file of all groups that are not over and were touched at a time
// or later, but for those of drills, whose vials no order of the laboratory is drawn from; the same one while nothing of them changes, but for what was taken by
// then. over is asked once for each group and newest record.
func (r *Replica) OpenFile(since time.Time, over func(*File) bool) *File {
	left := r.leave(since, over)
	r.mu.Lock()
	defer r.mu.Unlock()
	var ids []string
	newest := 0
	left = slices.DeleteFunc(left, func(g state.Group) bool { return g.Joined() || g.Drill() != "" })
	for _, g := range left {
		ids, newest = append(ids, g.IDs()...), max(newest, g.Newest())
	}
	last := &r.open.all
	if last.file == nil || last.ofSite != r.books.OfSite() || last.file.Newest != uint64(newest) || !slices.Equal(last.file.IDs, ids) {
		last.file, last.ofSite = r.of(left, ids), r.books.OfSite()
		last.file.memo = &memo{}
	}
	return last.at(r.books.Len())
}

// OpenFiles gives a file for each of those groups, in the order in which they
// began. While nothing of it changes a group has the same file, but for what was
// taken by then.
func (r *Replica) OpenFiles(since time.Time, over func(*File) bool) []*File {
	left := r.leave(since, over)
	r.mu.Lock()
	defer r.mu.Unlock()
	var out []*File
	for _, g := range left {
		if !g.Joined() {
			out = append(out, r.openFile(g))
		}
	}
	return out
}

// openFile is the file of a group. The caller may write.
func (r *Replica) openFile(g state.Group) *File {
	o := r.open.groups[g]
	if o == nil {
		return r.of([]state.Group{g}, g.IDs())
	}
	if o.file == nil || o.ofSite != r.books.OfSite() {
		o.file, o.ofSite = r.of([]state.Group{g}, g.IDs()), r.books.OfSite()
		o.file.memo = &memo{}
	}
	return o.at(r.books.Len())
}

// leave lets go of what is over, and gives what is left.
func (r *Replica) leave(since time.Time, over func(*File) bool) []state.Group {
	ask, left := r.unasked(since)
	if len(ask) == 0 {
		return left
	}
	closed := make([]bool, len(ask))
	for i, f := range ask {
		closed[i] = over(f.file)
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	for i, f := range ask {
		o := r.open.groups[f.group]
		switch {
		case o == nil || f.group.Newest() != f.newest || f.group.Joined(): // touched while it was asked
		case closed[i]:
			delete(r.open.groups, f.group)
		default:
			o.known = true
		}
	}
	return slices.DeleteFunc(left, func(g state.Group) bool { return r.open.groups[g] == nil })
}

// LookAgain asks of each group that was touched at a time or later, and was let go as
// over, whether it is: a checkpoint has only those that were open. One that is not is
// among the open ones from then on. It ends early where ctx does.
func (r *Replica) LookAgain(ctx context.Context, since time.Time, over func(*File) bool) {
	r.mu.RLock()
	var closed []state.Group
	for _, g := range r.books.All() {
		if r.open.groups[g] == nil && !g.Touched().Before(since) {
			closed = append(closed, g)
		}
	}
	r.mu.RUnlock()
	for _, g := range closed {
		if ctx.Err() != nil {
			return
		}
		r.mu.RLock()
		gone := g.Joined() || r.open.groups[g] != nil
		var f *File
		if !gone {
			f = r.of([]state.Group{g}, g.IDs())
		}
		r.mu.RUnlock()
		if gone || over(f) {
			continue
		}
		r.mu.Lock()
		r.open.touch([]state.Group{g})
		r.mu.Unlock()
	}
}

// asked is a group whose file is looked at.
type asked struct {
	group  state.Group
	newest int
	file   *File
}

// unasked lets go what was not touched since a time, and gives the groups that
// are left, and of those the ones of which it is not known whether they are over.
// A clock that was put back brings back what was let go.
func (r *Replica) unasked(since time.Time) (ask []asked, left []state.Group) {
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
	slices.SortFunc(left, state.Group.Compare)
	for _, g := range left {
		if !r.open.groups[g].known {
			ask = append(ask, asked{g, g.Newest(), r.openFile(g)})
		}
	}
	return ask, left
}
