package main

import (
	"context"
	"fmt"
	"iter"
	"math/rand/v2"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"vialwright/fact"
	"vialwright/journal"
	"vialwright/store"
	"vialwright/store/postgres/pgtest"
)

// runs is how many times a program is killed. VIALWRIGHT_KILLS says another number,
// for who has an hour and not four.
func runs(short, long int) int {
	if n, err := strconv.Atoi(os.Getenv("VIALWRIGHT_KILLS")); err == nil && n > 0 {
		return n
	}
	if os.Getenv("VIALWRIGHT_LONG") == "1" {
		return long
	}
	return short
}

// lives is how many programs work on one journal one after another, before
// another journal is begun: a case of a thousand entries is slow to show.
const lives = 20

// TestKillServe: the program is killed at a random moment while four people
// write entries and half-type others. Every entry that was answered is in the
// journal, once; what was not answered is there once or not at all; the chain
// holds; the half-typed form is as it was last kept; and people go on with the
// sessions they had.
func TestKillServe(t *testing.T) {
	if testing.Short() {
		t.Skip("-short: no server is killed")
	}
	dir, n := t.TempDir(), 0
	killed(t, runs(3, 1000), nil, func() []string {
		n++
		return []string{"--journal", filepath.Join(dir, fmt.Sprint("journal", n))}
	})
}

// TestKillServePostgres is the same on a database.
func TestKillServePostgres(t *testing.T) {
	server := pgtest.Shared(t)
	killed(t, runs(2, 100), nil, func() []string { return inDatabase(t, server) })
}

// TestKillDatabase kills the database in place of the program, which goes on when
// it is there again, with the sessions of its people.
func TestKillDatabase(t *testing.T) {
	server := pgtest.Start(t)
	killed(t, runs(2, 100), server, func() []string { return inDatabase(t, server) })
}

// inDatabase names a new database, and a key of its own: the head of a journal is noted
// beside its key.
func inDatabase(t *testing.T, server *pgtest.Server) []string {
	return []string{"--journal", server.Database(t), "--key", filepath.Join(t.TempDir(), "site.key")}
}

// killed kills program after program, or a server again and again, and looks at
// what is there afterwards.
func killed(t *testing.T, runs int, server *pgtest.Server, fresh func() []string) {
	// Other moments each time; a moment cannot be had again anyway, since the machine
	// has its own part in it.
	seed := uint64(time.Now().UnixNano())
	rng := rand.New(rand.NewPCG(seed, 1130))
	var s *shift
	acked, drafts := 0, 0
	for run := range runs {
		if run%lives == 0 {
			s = newShift(t, append(fresh(), "--practice"))
			s.server = server
		}
		s.work(run, 1+rng.IntN(12), time.Duration(rng.IntN(5000))*time.Microsecond)
		s.restart()
		s.check()
		if run%lives == lives-1 || run == runs-1 {
			a, d := s.end()
			acked, drafts = acked+a, drafts+d
		}
	}
	t.Logf("%d times killed, seed %d: %d entries and %d half-typed forms were acknowledged, all are there", runs, seed, acked, drafts)
}

// shift is the people who write into one journal, program after program.
type shift struct {
	testing.TB
	args    []string
	program *program
	writers []*writer
	acked   atomic.Int64
	server  *pgtest.Server // that is killed; nil where the program is
	down    atomic.Bool    // the server is, or is about to be
}

// writer is one person with the entries that were sent and answered.
type writer struct {
	*person
	shift *shift
	page  string // below which the forms are
	sent  []string
	acked map[string]bool
	// open is the form that was sent and not answered.
	open url.Values
	// typed are the texts sent to be kept since the last one that was
	// acknowledged, that one first; kept counts the acknowledgements.
	typed []string
	kept  int
}

// newShift starts a program on a new journal, and signs four people in.
func newShift(t testing.TB, args []string) *shift {
	s := &shift{TB: t, args: args, program: serve(t, args...)}
	first := s.program.signIn("RP1")
	for i, id := range []string{"RP1", "RP2", "NT1", "MP1"} {
		p := first
		if i > 0 {
			p = s.program.signIn(id)
		}
		s.writers = append(s.writers, &writer{person: p, shift: s, page: "/day", acked: map[string]bool{}})
	}
	return s
}

// work lets everybody write until some entries are acknowledged, and kills the
// program a little later.
func (s *shift) work(run, entries int, later time.Duration) {
	s.acked.Store(0)
	enough := make(chan struct{})
	var all sync.WaitGroup
	for _, w := range s.writers {
		all.Go(func() {
			for i := 0; w.write(fmt.Sprintf("run %d, %s, entry %d", run, w.id, i)); i++ {
				if s.acked.Add(1) == int64(entries) {
					close(enough)
				}
			}
		})
	}
	<-enough
	dead := make(chan struct{})
	time.AfterFunc(later, func() { // the moment is the point of the test
		defer close(dead)
		if s.server == nil {
			s.program.kill()
			return
		}
		s.down.Store(true)
		s.server.Kill(s.TB)
	})
	<-dead
	all.Wait()
}

// refused tells of an answer other than the one expected, which is a fault unless
// the server is down.
func (w *writer) refused(what string, a answer1) bool {
	w.Helper()
	if !w.shift.down.Load() {
		w.Errorf("%s: %s was answered %v", w.id, what, a)
	}
	return false
}

// write half-types a form, and records an entry; it is false when the program
// is gone.
func (w *writer) write(text string) bool {
	w.Helper()
	w.typed = append(w.typed, text)
	a, err := w.send("/draft?for="+url.QueryEscape(w.page+"/enter/deviation"), url.Values{"p0.text": {text}})
	if err != nil {
		return false
	}
	if a.status != http.StatusNoContent {
		return w.refused("the draft", a)
	}
	w.typed, w.kept = []string{text}, w.kept+1
	for {
		a, err := w.get(w.page + "/enter/note")
		if err != nil {
			return false
		}
		v, ok := a.form("note")
		if !ok {
			return w.refused("asking for the form", a)
		}
		v.Set("p0.text", text)
		w.sent, w.open = append(w.sent, text), v
		if a, err = w.send(w.page+"/enter/note", v); err != nil {
			return false
		}
		switch w.open = nil; a.status {
		case http.StatusSeeOther:
			if strings.HasPrefix(a.to, "/sign-in") {
				return w.refused("the entry", a) // the session could not be looked up
			}
			w.acked[text] = true
			return true
		case http.StatusConflict: // somebody else was first
		default:
			return w.refused("the entry", a)
		}
	}
}

// restart starts the program again. Who was not answered sends the same form
// once more, as a browser does when its page is loaded again.
func (s *shift) restart() {
	s.Helper()
	if s.server != nil {
		s.server.Restart(s.TB)
		s.down.Store(false)
		return
	}
	s.program = serve(s.TB, s.args...)
	for _, w := range s.writers {
		w.at = s.program
		if w.open == nil {
			continue
		}
		a, err := w.send(w.page+"/enter/note", w.open)
		if err != nil {
			s.Fatal(err)
		}
		switch a.status {
		case http.StatusSeeOther:
			w.acked[w.open.Get("p0.text")] = true
		case http.StatusConflict:
		default:
			s.Errorf("%s: sent again, it was answered %v", w.id, a)
		}
		w.open = nil
	}
}

// check compares what is there with what was acknowledged.
func (s *shift) check() {
	s.Helper()
	log, err := openJournal(s.Context(), s.args[1])
	if err != nil {
		s.Fatal(err)
	}
	defer log.Close()
	there := map[string]int{}
	for r, err := range verified(s.Context(), log) {
		if err != nil {
			s.Fatal(err)
		}
		if n, ok := r.Fact.(*fact.Note); ok {
			there[r.By+": "+n.Text]++
		}
	}
	for _, w := range s.writers {
		for _, text := range w.sent {
			n := there[w.id+": "+text]
			if n > 1 || n == 0 && w.acked[text] {
				s.Errorf("%q of %s is there %d times, acknowledged: %v", text, w.id, n, w.acked[text])
			}
		}
		w.checkDraft()
	}
}

// checkDraft looks for the half-typed form: the one that was kept last, or one
// that was sent after it and not answered.
func (w *writer) checkDraft() {
	w.Helper()
	a, err := w.get(w.page + "/enter/deviation")
	if err != nil {
		w.Fatal(err)
	}
	v, ok := a.form("deviation")
	if got := v.Get("p0.text"); !ok || w.kept > 0 && !slices.Contains(w.typed, got) {
		w.Errorf("%s typed %q, and finds %q: %v", w.id, w.typed, got, a)
	}
}

// end lets the last program go, and counts what was acknowledged.
func (s *shift) end() (entries, drafts int) {
	s.program.kill()
	for _, w := range s.writers {
		entries, drafts = entries+len(w.acked), drafts+w.kept
	}
	return entries, drafts
}

// verified reads a journal's records, checking the chain on the way.
func verified(ctx context.Context, log store.Log) iter.Seq2[journal.Record, error] {
	return func(yield func(journal.Record, error) bool) {
		var v journal.Verifier
		for l, err := range links(ctx, log) {
			var r journal.Record
			if err == nil {
				r, err = v.Add(l)
			}
			if !yield(r, err) || err != nil {
				return
			}
		}
	}
}
