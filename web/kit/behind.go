package kit

import (
	"context"
	"fmt"
	"runtime/debug"
	"sync"
	"time"

	"vialwright/journal"
	"vialwright/replica"
)

// Checkpoints keep what a journal was verified to hold, where nobody but this program
// can change it unseen.
type Checkpoints interface {
	// Load gives the checkpoint that was saved last; nil for none, with the reason
	// where there is one that cannot be believed.
	Load() ([]byte, error)
	// Save keeps one in place of the last; nil takes the last away.
	Save([]byte) error
}

// A journal of fewer records is read as quickly without a checkpoint. A new one is
// saved when so many records came since the last, at the start, hourly, and when the
// program ends.
const (
	worthIt    = 20_000
	worthAgain = 5_000
)

// lab opens the journal, with a checkpoint where there is one.
func (c *Config) lab(ctx context.Context) (*replica.Replica, error) {
	salt := func() (s journal.Salt) { // what is hashed with each record
		c.FillRandom(s[:])
		return s
	}
	if c.Checkpoints != nil {
		data, err := c.Checkpoints.Load()
		if data != nil {
			var l *replica.Replica
			if l, err = replica.OpenAt(ctx, c.Log, salt, c.Room, c.Version, data); err == nil {
				return l, nil
			}
		}
		if err != nil {
			c.Logger.Warn("the checkpoint is passed over, and the whole journal is read", "why", err)
		}
	}
	return replica.Open(ctx, c.Log, salt, c.Room)
}

// Begin starts what goes on behind the pages, until Close: beside is done, the journal
// is verified that a checkpoint was believed for, the groups that were over are looked
// at again, and checkpoints are saved. Call it once, before the first request.
func (s *Server) Begin(beside func(context.Context)) {
	_, _, going := s.Lab.Behind()
	s.looked.Store(!going)
	ctx, stop := context.WithCancel(context.Background())
	var all sync.WaitGroup
	s.endBehind = func() {
		stop()
		all.Wait()
	}
	all.Go(func() { s.behind(ctx, going, beside) })
}

// pause lets pages go first while the years are verified.
func pause() {
	t := time.NewTimer(2 * time.Millisecond)
	defer t.Stop()
	<-t.C
}

func (s *Server) behind(ctx context.Context, going bool, beside func(context.Context)) {
	var other sync.WaitGroup
	other.Go(func() { s.Lab.Safely(func() { beside(ctx) }) })
	saved := uint64(0)
	if going {
		_, saved, _ = s.Lab.Behind()
		s.Lab.Safely(func() { s.verify(ctx) })
		if s.Lab.Broken() != nil {
			err := s.Checkpoints.Save(nil) // the next start reads the whole journal
			s.Logger.Warn("the checkpoint is taken away", "error", err)
		}
	}
	saved = s.saveCheckpoint(saved)
	other.Wait()
	s.letGo()
	close(s.Settled)
	if s.Checkpoints == nil {
		return
	}
	hourly := time.NewTicker(time.Hour)
	defer hourly.Stop()
	for ctx.Err() == nil {
		select {
		case <-hourly.C:
		case <-ctx.Done():
		}
		if saved = s.saveCheckpoint(saved); ctx.Err() == nil {
			s.letGo()
		}
	}
}

// letGo gives back the memory that reading, verifying or a checkpoint has used, and what was
// looked at of the years.
func (s *Server) letGo() {
	if s.Lab.Report().Records < worthIt {
		return
	}
	if s.Room != nil {
		s.Room.LetGo()
	}
	debug.FreeOSMemory()
}

// verify verifies what a checkpoint was believed for.
func (s *Server) verify(ctx context.Context) {
	s.Lab.LookAgain(ctx, s.Clock().Add(-Dormant), s.over(s.Clock()))
	s.looked.Store(ctx.Err() == nil)
	if err := s.Lab.VerifyBehind(ctx, pause); err != nil && ctx.Err() == nil {
		s.Logger.Error("the journal could not be verified", "error", err)
	}
}

// saveCheckpoint saves one where that is worth it, and gives how many records the
// last one has.
func (s *Server) saveCheckpoint(saved uint64) uint64 {
	n := s.Lab.Report().Records
	if s.Checkpoints == nil || n < worthIt || n-saved < worthAgain {
		return saved
	}
	s.Lab.Safely(func() { s.OpenFile(s.Clock()) }) // lets go of what is over, which is not in a checkpoint
	data := s.Lab.Checkpoint(s.Version)
	if data == nil {
		return saved
	}
	if err := s.Checkpoints.Save(data); err != nil {
		s.Logger.Warn("no checkpoint can be saved: the next start reads more of the journal", "why", err)
		return saved // so that it is tried again in an hour
	}
	return n
}

// Looked tells that all groups of the last weeks were looked at since the start, so
// that sums over what is over are complete.
func (s *Server) Looked() bool { return s.looked.Load() }

// Verifying says how far the journal is verified that is shown from a checkpoint;
// empty where all of it is.
func (s *Server) Verifying() string {
	done, of, going := s.Lab.Behind()
	if !going {
		return ""
	}
	return fmt.Sprintf("%d of %d records verified since the program was started", done, of)
}
