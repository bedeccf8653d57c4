package pgtest

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// Copy gives a second server with the files of this one, which has to be halted: an
// older copy, once this one goes on. It runs.
func (s *Server) Copy(t testing.TB) *Server {
	t.Helper()
	c := s.copy(t)
	if err := c.run(); err != nil {
		t.Fatalf("pgtest: %v", err)
	}
	return &Server{base: c.address(), cluster: c}
}

// CopyPromoted is a copy that was a standby server and has taken over.
func (s *Server) CopyPromoted(t testing.TB) *Server {
	t.Helper()
	second := &Server{cluster: s.copy(t)}
	second.base = second.cluster.address()
	second.RestartAsStandby(t)
	second.exec(t, "SELECT pg_promote()")
	return second
}

func (s *Server) copy(t testing.TB) *cluster {
	t.Helper()
	s.own(t)
	c := &cluster{programs: s.cluster.programs, owner: s.cluster.owner}
	err := func() (err error) {
		if c.dir, err = os.MkdirTemp("", "vialwright-pg-"); err != nil {
			return err
		}
		t.Cleanup(c.remove)
		if err := c.chown(c.dir); err != nil {
			return err
		}
		out, err := exec.Command("cp", "-a", s.cluster.data(), filepath.Join(c.dir, "data")).CombinedOutput()
		if err != nil {
			return fmt.Errorf("%w: %s", err, out)
		}
		return nil
	}()
	if err != nil {
		t.Fatalf("pgtest: %v", err)
	}
	return c
}
