package kit

import (
	"time"

	"vialwright/fact"
	"vialwright/journal"
	"vialwright/people"
	"vialwright/procedure"
	"vialwright/web/words"
)

// State is what the records of a page come to, at a moment.
type State struct {
	*procedure.Reckoned
	File *File
	Zone words.Zoned
}

// ReckonFor works records out, a draw still to be made as that of who is about
// to draw. It fails where the facts cannot stand together, which an entry by this
// program does not lead to.
func (s *Server) ReckonFor(f *File, now time.Time, drawer string) (*State, error) {
	k, err := procedure.Reckon(f.Records, f.Elsewhere, s.Zones, now, drawer, s.instruments(now), s.Rules)
	if err != nil {
		return nil, err
	}
	k.WarnOfSets(now, s.Zones, func() []journal.Record {
		kept, _ := s.Lab.Kept(func(f fact.Fact) bool { _, ok := f.(*fact.Infuse); return ok })
		return kept
	}, func(order string) []journal.Record { return s.Lab.File(order).Records })
	return &State{k, f, words.Zoned{Location: k.Case.Zone}}, nil
}

// instruments is the meter book as of a moment; nil where no room keeps one.
func (s *Server) instruments(now time.Time) procedure.Instruments {
	if s.Instruments == nil {
		return nil
	}
	return s.Instruments(now)
}

// CaseState works out what the address names.
func (q *Request) CaseState() (*State, error) {
	f, err := q.addressed()
	if err != nil {
		return nil, err
	}
	st, err := q.Reckon(f, q.asOf(f))
	if err != nil {
		return nil, uncalculated(err)
	}
	return st, nil
}

// Standing is a case for nobody in particular as it stood at most a minute ago: for
// what changes with an entry alone, such as which orders have a dose. It is worked
// out once in a minute for a file of what is open that nothing has changed.
func (s *Server) Standing(f *File, now time.Time) (*State, error) {
	type minute int64
	type standing struct {
		st  *State
		err error
	}
	x := f.Worked(minute(now.Unix()/60), func() any {
		st, err := s.ReckonFor(f, now, "")
		return standing{st, err}
	}).(standing)
	return x.st, x.err
}

// Reckon works a case out, with a draw still to be made planned for the person
// who looks, if they may draw.
func (q *Request) Reckon(f *File, now time.Time) (*State, error) {
	drawer := ""
	if people.May(q.Who.Person, people.Draw) == nil {
		drawer = q.Who.ID
	}
	return q.ReckonFor(f, now, drawer)
}
