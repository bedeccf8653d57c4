package web_test

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"go.uber.org/goleak"

	"vialwright/store/postgres/pgtest"
	"vialwright/store/sqlite"
	"vialwright/store/vault/sqlitevault"
	"vialwright/web"
	"vialwright/web/webtest"
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
	open := func(make bool) (*webtest.Lab, func()) {
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
		l := webtest.New(t, func(c *web.Config) { c.Log, c.Vault = log, kept })
		return l, func() {
			l.Server.Close()
			l.HTTP.Close()
			if err := log.Close(); err != nil {
				t.Error(err)
			}
			if err := kept.Close(); err != nil {
				t.Error(err)
			}
		}
	}
	l, end := open(true)
	webtest.NewStory(l.Hire()).Until("make-up")
	end()

	l, end = open(false)
	defer end()
	l.Clock.Set("11:19")
	s := webtest.NewStory(l)
	s.T1.Get(webtest.Bench).Says(200, "Transfer into the administration vial", "Second check, by another person now")
	for _, c := range webtest.Chapters[7:] {
		c.Tell(s)
	}
	s.RP.Look(webtest.Bench).Says(200, "Everything is done")
}
