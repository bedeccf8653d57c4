package web

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"go.uber.org/goleak"

	"vialwright/store/postgres/pgtest"
	"vialwright/store/sqlite"
	"vialwright/store/vault/sqlitevault"
)

// TestMain asks that no goroutine is left when all tests have ended, and the
// database server that some of them may have started.
func TestMain(m *testing.M) {
	code := m.Run()
	pgtest.Stop()
	if err := goleak.Find(); err != nil && code == 0 {
		fmt.Fprintln(os.Stderr, err)
		code = 1
	}
	os.Exit(code)
}

// The whole preparation on files, opened again in the middle: it goes on at
// the very step, with the same people.
func TestOnFiles(t *testing.T) {
	dir := t.TempDir()
	open := func(make bool) (*lab1, func()) {
		path := filepath.Join(dir, "lab.vialwright")
		if make {
			first, err := sqlite.Create(t.Context(), path)
			if err != nil {
				t.Fatal(err)
			}
			if err := first.Close(); err != nil {
				t.Fatal(err)
			}
		}
		log, err := sqlite.Open(t.Context(), path)
		if err != nil {
			t.Fatal(err)
		}
		kept, err := sqlitevault.Open(t.Context(), path+".kept")
		if err != nil {
			t.Fatal(err)
		}
		l := newLab1(t, func(c *Config) { c.Log, c.Vault = log, kept })
		return l, func() {
			l.srv.Close()
			l.http.Close()
			if err := log.Close(); err != nil {
				t.Error(err)
			}
			if err := kept.Close(); err != nil {
				t.Error(err)
			}
		}
	}
	l, end := open(true)
	newStory(l.hire()).until("make-up")
	end()

	l, end = open(false)
	defer end()
	l.clock.set("11:19")
	s := newStory(l)
	s.t1.get(theBench).says(200, "Transfer into the administration vial", "Transfer into the administration vial now")
	for _, c := range chapters[7:] {
		c.tell(s)
	}
	s.rp.look(theBench).says(200, "Everything is done")
}
