package kit

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"time"

	"vialwright/fact"
	"vialwright/journal"
	"vialwright/replica"
)

// ErrNoZone is returned where a journal is to begin and nothing says in which zone.
var ErrNoZone = errors.New("the zone of the site is not known; name it with --zone, or give a --site file")

// begin writes the first record of an empty journal: the site, what the journal
// is for, and the settings it begins with. A journal of the other use is
// refused: practice is never served as real, nor the other way about. So is one of another
// zone: its entries are read in that of its first record, and so are times on the screen.
func (s *Server) begin(ctx context.Context) error {
	use := fact.ForPatients
	if s.Practice {
		use = fact.ForPractice
	}
	first, begun := s.Lab.First()
	if !begun && s.Lab.Broken() == nil {
		if s.Zone == "" {
			return ErrNoZone
		}
		if err := s.writeFirst(ctx, use); err != nil {
			return err
		}
		first, begun = s.Lab.First() // another process may have been first
	}
	site, ok := first.Fact.(*fact.Site)
	switch {
	case !begun:
		return nil
	case !ok:
		return errors.New("the first record of this journal does not say whether it is for patients or for practice: compare it with a backup, or name another journal")
	case cmp.Or(site.Use, fact.ForPatients) != use:
		return fmt.Errorf("this journal is for %s: start the program %s --practice, or name another journal", cmp.Or(site.Use, fact.ForPatients), map[bool]string{true: "without", false: "with"}[s.Practice])
	case s.Zone != "" && s.Zone != site.Zone:
		return fmt.Errorf("this journal is of a site in the zone %s, and the program was started with %s: leave --zone out, or begin a new journal", site.Zone, s.Zone)
	}
	s.Zone = site.Zone
	return nil
}

// writeFirst writes the first record of an empty journal.
func (s *Server) writeFirst(ctx context.Context, use fact.Use) error {
	facts := append([]fact.Fact{&fact.Site{Zone: s.Zone, Use: use}}, s.Site...)
	return s.Lab.Append(ctx, replica.Entry{Site: true, Decide: func(_ *File, next int) ([]journal.Record, error) {
		if next > 1 {
			return nil, nil // another process was first
		}
		return journal.Entered(facts, s.Clock().Truncate(time.Millisecond), "setup", next), nil
	}})
}
