package accounts

import (
	"context"
	"maps"
	"slices"
	"time"

	"vialwright/store/vault"
)

const (
	// DraftFor is how long a draft is kept.
	DraftFor = 7 * 24 * time.Hour
	// MostDrafts is how many forms of one person are kept; the oldest goes for a new one.
	MostDrafts = 24
	// MostDraft is the longest draft in bytes.
	MostDraft = 64 << 10
	// MostTyped is how many bytes all drafts of one person have.
	MostTyped = 256 << 10
)

// Draft is what was typed in a form and not yet recorded, as a browser would send it.
type Draft struct {
	Text string
	// At is when it was typed by the clock of the laboratory, Kept when it was kept by
	// that of the machine, which in practice may be far behind.
	At, Kept time.Time
	// Sent is true where it was sent, and not only typed.
	Sent bool
}

// drafts are those of one person by form. They are one item, so that what one person
// can have kept has a bound.
type drafts map[string]Draft

func (d drafts) old(now time.Time) {
	maps.DeleteFunc(d, func(_ string, x Draft) bool { return now.Sub(x.Kept).Abs() >= DraftFor })
	size := 0
	for _, x := range d {
		size += len(x.Text)
	}
	for len(d) > MostDrafts || size > MostTyped {
		oldest := slices.MinFunc(slices.Sorted(maps.Keys(d)), func(a, b string) int { return d[a].Kept.Compare(d[b].Kept) })
		size -= len(d[oldest].Text)
		delete(d, oldest)
	}
}

// Draft gives what a person typed in a form; false for nothing.
func (s *Store) Draft(ctx context.Context, person, form string) (Draft, bool, error) {
	all := drafts{}
	_, err := s.get(ctx, vault.Drafts, person, &all)
	all.old(s.Clock())
	d, there := all[form]
	return d, there, err
}

// KeepDraft keeps what a person typed in a form. One that is too long is not kept,
// and an older one of the form goes, since it is no longer what was typed.
func (s *Store) KeepDraft(ctx context.Context, person, form string, d Draft) error {
	return s.changeDrafts(ctx, person, func(all drafts) bool {
		d.Kept = s.Clock()
		all[form] = d
		if len(d.Text) > MostDraft {
			delete(all, form)
		}
		return true
	})
}

// DropDraft lets go of what a person typed in a form.
func (s *Store) DropDraft(ctx context.Context, person, form string) error {
	return s.changeDrafts(ctx, person, func(all drafts) bool {
		_, there := all[form]
		delete(all, form)
		return there
	})
}

// changeDrafts keeps what change makes of the drafts of a person, where it says that
// something changed.
func (s *Store) changeDrafts(ctx context.Context, person string, change func(drafts) bool) error {
	return again(func() error {
		all := drafts{}
		version, err := s.get(ctx, vault.Drafts, person, &all)
		if err != nil || !change(all) {
			return err
		}
		now := s.Clock()
		all.old(now)
		return s.put(ctx, vault.Drafts, person, version, now.Add(DraftFor), all)
	})
}
