package web_test

import (
	"math"
	"net/http"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"vialwright/fact"
	"vialwright/journal"
	"vialwright/store"
	"vialwright/store/postgres"
	"vialwright/store/postgres/pgtest"
	"vialwright/store/sqlite"
	"vialwright/store/vault"
	"vialwright/store/vault/postgresvault"
	"vialwright/store/vault/sqlitevault"
	"vialwright/web"
	"vialwright/web/webtest"
)

// engine opens the handles of one bench on a journal that all share.
type engine func(t *testing.T) (store.Log, vault.Vault)

// onDatabase makes a journal in a database.
func onDatabase(t *testing.T) engine {
	address := pgtest.Shared(t).Database(t)
	made, err := postgres.Create(t.Context(), address)
	if err != nil {
		t.Fatal(err)
	}
	if err := made.Close(); err != nil {
		t.Fatal(err)
	}
	return func(t *testing.T) (store.Log, vault.Vault) {
		log, err := postgres.Open(t.Context(), address)
		if err != nil {
			t.Fatal(err)
		}
		v, err := postgresvault.Open(t.Context(), address)
		if err != nil {
			t.Fatal(err)
		}
		return log, v
	}
}

// onFile makes a journal in a file. Two handles on one file are two programs
// to each other (see package sqlite).
func onFile(t *testing.T) engine {
	path := filepath.Join(t.TempDir(), "lab.vialwright")
	made, err := sqlite.Create(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	if err := made.Close(); err != nil {
		t.Fatal(err)
	}
	return func(t *testing.T) (store.Log, vault.Vault) {
		log, err := sqlite.Open(t.Context(), path)
		if err != nil {
			t.Fatal(err)
		}
		v, err := sqlitevault.Open(t.Context(), path+".kept")
		if err != nil {
			t.Fatal(err)
		}
		return log, v
	}
}

// bench starts a bench of its own on the journal; number keeps its random
// bytes apart from those of the others.
func (open engine) bench(t *testing.T, number uint64) *webtest.Lab {
	log, v := open(t)
	t.Cleanup(func() {
		for _, c := range []interface{ Close() error }{log, v} {
			if err := c.Close(); err != nil {
				t.Error(err)
			}
		}
	})
	return webtest.New(t, func(c *web.Config) { c.Log, c.Vault, c.Random = log, v, &webtest.Counter{N: number << 32} })
}

// everywhere runs a test on both stores.
func everywhere(t *testing.T, test func(*testing.T, engine)) {
	t.Run("SQLite", func(t *testing.T) { test(t, onFile(t)) })
	t.Run("PostgreSQL", func(t *testing.T) { test(t, onDatabase(t)) })
}

// Two benches on one journal, each a server of its own with its own memory. An
// entry that was decided on what another bench has changed meanwhile is refused
// with what that was, and nothing of either is lost; one into another case goes
// behind; a session that one has opened is good on the other.
func TestTwoBenches(t *testing.T) {
	everywhere(t, func(t *testing.T, open engine) {
		here, there := open.bench(t, 0).Hire(), open.bench(t, 1)
		s := webtest.NewStory(here).Until("assay")
		here.Clock.Set("11:10")
		there.Clock.Set("11:10")
		other := there.As("T2")
		v := other.Get(webtest.Bench + "/step/draw").Form("step")
		v.Set("p0.volume", "2.0")
		s.Go("draw") // at the first bench
		p := other.Post(webtest.Bench+"/step/draw", v)
		p.Says(http.StatusConflict, "Look again", "T1, drawn", "Nothing of yours was recorded")
		if got := p.Form("step").Get("p0.volume"); got != "2.0" {
			t.Errorf("what was typed became %q", got)
		}
		// The page that was answered is on the new head: it is for the person
		// to send it once more, and for the rules to refuse it then.
		other.Post(webtest.Bench+"/step/draw", p.Form("step")).Says(http.StatusForbidden)

		// The other bench writes to another case; the first, which has not
		// looked, goes behind it.
		rp := there.As("RP1")
		form := s.T1.Get("/day/enter/note").Form("note")
		form.Set("p0.text", "from the first bench")
		rp.Fill("/day/enter/note", "note", "/day/enter/note", "p0.text", "from the second bench").Recorded()
		s.T1.Post("/day/enter/note", form).Recorded()
		alike(t, here, there)
		s.Go("remainder")
		there.Clock.Set("11:18")
		there.As("T1").Fill(webtest.Bench+"/step/make-up", "step", webtest.Bench+"/step/make-up",
			"p0.volume", "1.3", "p0.diluent", "water for injection", "p0.lot", "W-77").Recorded()
		s.Go("transfer")
		alike(t, here, there)
	})
}

// alike wants both benches to show the same, and the journal to hold.
func alike(t *testing.T, benches ...*webtest.Lab) {
	t.Helper()
	var shown []string
	for _, l := range benches {
		l.Clock.Set("11:21")
		b := l.As("OB1")
		var all []string
		for _, path := range []string{"/", "/day", webtest.Bench, "/history"} {
			all = append(all, b.Look(path).Says(http.StatusOK).Text())
		}
		shown = append(shown, strings.Join(all, "\n"))
	}
	if shown[0] != shown[1] || !strings.Contains(shown[0], "from the first bench") || !strings.Contains(shown[0], "from the second bench") {
		t.Errorf("one shows\n%s\nthe other\n%s", shown[0], shown[1])
	}
	report, err := journal.Verify(func(yield func(journal.Link, error) bool) {
		for r, err := range benches[0].Log.Read(t.Context(), 1, store.All) {
			if !yield(journal.Link{Seq: r.Seq, Hash: r.Hash, Body: string(r.Body)}, err) {
				return
			}
		}
	})
	if err != nil || report.Head != benches[0].Server.Lab.Report().Head || report.Head != benches[1].Server.Lab.Report().Head {
		t.Errorf("the journal ends at %d: %v", report.Head.Seq, err)
	}
}

// Two people at each of two benches write notes at the same time. None of them
// rests on what another wrote, so none is refused; in the end everything is there
// once, in both.
func TestTwoBenchesAtOnce(t *testing.T) {
	everywhere(t, func(t *testing.T, open engine) {
		const each = 5
		here, there := open.bench(t, 0).Hire(), open.bench(t, 1)
		here.As("RP1")
		var all sync.WaitGroup
		var mu sync.Mutex
		var sent []string
		for i, id := range []string{"RP1", "T1", "T2", "MP1"} {
			b := []*webtest.Lab{here, there}[i%2].As(id)
			all.Go(func() {
				for n := range each {
					text := id + " writes note " + strconv.Itoa(n)
					mu.Lock()
					sent = append(sent, text)
					mu.Unlock()
					v := b.Get("/day/enter/note").Form("note")
					v.Set("p0.text", text)
					b.Post("/day/enter/note", v).Says(http.StatusSeeOther)
				}
			})
		}
		all.Wait()
		for _, l := range []*webtest.Lab{here, there} {
			if err := l.Server.Lab.CatchUp(t.Context()); err != nil {
				t.Fatal(err)
			}
			var got []string
			for _, r := range l.Server.Lab.Last(math.MaxInt) {
				if n, ok := r.Fact.(*fact.Note); ok {
					got = append(got, n.Text)
				}
			}
			slices.Sort(got)
			slices.Sort(sent)
			if !slices.Equal(got, sent) {
				t.Errorf("there are %q, want %q", got, sent)
			}
		}
	})
}
