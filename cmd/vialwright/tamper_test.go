package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"errors"
	"fmt"
	"html"
	"io"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"vialwright/fact"
	"vialwright/fact/facttest"
	"vialwright/journal"
	"vialwright/replica"
	"vialwright/store/postgres"
	"vialwright/store/postgres/pgtest"
	"vialwright/witness"
)

// The table in docs/security.md is made here: what was done to a journal, and who
// finds it. UPDATE=1 writes it again.

// guarded is a journal with a witness: it had 12 records when the first note was
// made, and has 21.
type guarded struct {
	testing.TB
	dir, where, key, site, places string
	older                         string // a copy of the folder with 12 records
	// again does the same to the database before each asks, as a start may write to it.
	again func()
}

const example12 = "../../examples/one-patient.yaml"

func (g *guarded) inDatabase() bool { return postgres.IsAddress(g.where) }

func (g *guarded) lab() string { return filepath.Join(g.dir, "lab") }

// watched makes one in a file, or in the database at an address. between is called
// when it has 12 records and nobody uses it.
func watched(t testing.TB, address string, between func()) *guarded {
	t.Helper()
	g := &guarded{TB: t, again: func() {}, dir: t.TempDir(), key: filepath.Join(t.TempDir(), "heads.key"), places: t.TempDir()}
	g.where, g.site = address, filepath.Join(t.TempDir(), "site.key")
	if !g.inDatabase() {
		g.where = g.lab()
	}
	g.run("key", "--site", "hotlab", "--out", g.key)
	g.run("import", "--ahead", example12, "--journal", g.where, "--by", "A. Example")
	g.wantStart("not found", g.where, g.places)
	g.older = g.copied(g.dir)
	if between != nil {
		between()
	}
	g.run("import", "--ahead", example12, "--journal", g.where, "--by", "A. Example", "--prefix", "x-")
	g.wantStart("not found", g.where, g.places)
	return g
}

func (g *guarded) run(args ...string) {
	g.Helper()
	if status, out, errs := ask(args...); status != 0 {
		g.Fatalf("%q: %d\n%s%s", args, status, out, errs)
	}
}

func (g *guarded) wantStart(want, where string, places ...string) {
	g.Helper()
	if got := g.start(where, places...); got != want {
		g.Fatalf("the start says %q, want %q", got, want)
	}
}

// copied gives a copy of a folder.
func (g *guarded) copied(dir string) string {
	g.Helper()
	to := g.TempDir()
	if err := os.CopyFS(to, os.DirFS(dir)); err != nil {
		g.Fatal(err)
	}
	return to
}

// start opens a journal as serve does, which asks the witnesses, and says what came
// of it, by what the page says that everybody sees first.
func (g *guarded) start(where string, places ...string) string {
	g.Helper()
	c := serveCmd{Journal: where, Zone: "Atlantic/Azores", Listen: "127.0.0.1:0", Key: g.site, askFlags: askFlags{Witness: places}}
	if len(places) > 0 {
		c.Sign = g.key
	}
	b, err := c.open(context.Background(), &edge{in: strings.NewReader(""), out: io.Discard, err: io.Discard, now: time.Now})
	if err != nil {
		g.Logf("%s: %v", where, err)
		return "found: refused"
	}
	defer func() {
		if err := b.close(); err != nil {
			g.Error(err)
		}
	}()
	w, r := httptest.NewRecorder(), httptest.NewRequest(http.MethodGet, "http://127.0.0.1/first", nil)
	b.server.ServeHTTP(w, r)
	page := html.UnescapeString(w.Body.String())
	stopped := strings.Contains(page, "The journal is not whole") || strings.Contains(page, "the journal does not hold")
	for _, f := range b.keeper.Faults() {
		switch {
		case f.Stop && strings.Contains(page, f.Msg):
			return "found: stops (" + f.Code + ")"
		case f.Stop:
			g.Errorf("%s was found, and the page does not say so: %s", f.Code, page)
		case !stopped:
			return "said (" + f.Code + ")"
		}
	}
	if stopped {
		return "found: stops (chain)"
	}
	return "not found"
}

var (
	stopLine = regexp.MustCompile(`(?m)^(STOP|Look) ([a-z-]+): `)
	linkLine = regexp.MustCompile(`: link \d+: `)
)

// verify runs the command, and says what came of it.
func (g *guarded) verify(where string, places ...string) string {
	g.Helper()
	args := []string{"verify", "--journal", where, "--key", g.site}
	for _, p := range places {
		args = append(args, "--witness", p, "--signed-by", g.key+".pub")
	}
	status, out, errs := ask(args...)
	m := stopLine.FindStringSubmatch(out)
	switch {
	case status == 0:
		return "not found"
	case m != nil:
		return map[string]string{"STOP": "found", "Look": "said"}[m[1]] + " (" + m[2] + ")"
	case linkLine.MatchString(errs):
		return "found (chain)"
	}
	return "found (damaged)"
}

// tampered is what is done to a journal, to a copy of its folder or in its database, and
// what each says of it.
type tampered struct {
	who, what string
	cells     []string
}

// finders asks everybody. places is the witness folder as it is left.
func (g *guarded) finders(who, what, where, places string) tampered {
	g.Helper()
	// The start notes what it finds sound, so everybody has a copy.
	at := func() string {
		if g.inDatabase() {
			g.again()
			return where
		}
		return filepath.Join(g.copied(filepath.Dir(where)), "lab")
	}
	start := func(places ...string) string {
		if !g.inDatabase() {
			return g.start(at(), places...)
		}
		kept, none := os.ReadFile(g.site + ".head") // which a start writes
		got := g.start(at(), places...)
		if none != nil {
			remove(g, g.site+".head")
		} else if err := os.WriteFile(g.site+".head", kept, 0o600); err != nil {
			g.Fatal(err)
		}
		return got
	}
	return tampered{who, what, []string{start(), g.verify(at()), start(g.copied(places)), g.verify(at(), places)}}
}

// forge changes a text, once, and computes every hash behind it again.
func forge(t testing.TB, links []journal.Link, from, to string) []journal.Link {
	t.Helper()
	prev, changed := strings.Repeat("0", 64), false
	for i, l := range links {
		if strings.Contains(l.Body, from) && !changed {
			salted := strings.Replace(l.Body[65:], from, to, 1)
			digest := sha256.Sum256([]byte(salted))
			l.Body, changed = hex.EncodeToString(digest[:])+" "+salted, true
		}
		l.Hash = sha256.Sum256([]byte(prev + "\n" + fmt.Sprint(l.Seq) + "\n" + l.Body[:64] + "\n"))
		prev, links[i] = l.Hash.String(), l
	}
	if !changed {
		t.Fatalf("no record holds %q", from)
	}
	return links
}

func linksOf(t testing.TB, where string) (out []journal.Link) {
	t.Helper()
	log, err := openJournal(t.Context(), where)
	if err != nil {
		t.Fatal(err)
	}
	defer log.Close()
	for l, err := range links(t.Context(), log) {
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, l)
	}
	return out
}

// asOwner does something to the tables of a file as its owner can: the triggers are
// dropped and made again.
func asOwner(t testing.TB, path string, do func(*sql.DB) error) {
	t.Helper()
	db, err := sql.Open("sqlite", "file:"+path)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	db.SetMaxOpenConns(1)
	rows, err := db.Query("SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'")
	if err != nil {
		t.Fatal(err)
	}
	triggers := map[string]string{}
	for rows.Next() {
		var name, text string
		if err := rows.Scan(&name, &text); err != nil {
			t.Fatal(err)
		}
		triggers[name] = text
	}
	for name := range triggers {
		if _, err := db.Exec("DROP TRIGGER " + name); err != nil {
			t.Fatal(err)
		}
	}
	if err := do(db); err != nil {
		t.Fatal(err)
	}
	for _, text := range triggers {
		if _, err := db.Exec(text); err != nil {
			t.Fatal(err)
		}
	}
}

// The reading that is forged.
const reading, forged = "3.24 GBq", "3.34 GBq"

func rewriteFile(t testing.TB, path, from, to string) {
	t.Helper()
	links := forge(t, linksOf(t, path), from, to)
	asOwner(t, path, func(db *sql.DB) error {
		for _, l := range links {
			if _, err := db.Exec("UPDATE record SET hash = ?, body = ? WHERE seq = ?", l.Hash[:], []byte(l.Body), int64(l.Seq)); err != nil {
				return err
			}
		}
		return nil
	})
}

func cutFile(t testing.TB, path string) {
	t.Helper()
	asOwner(t, path, func(db *sql.DB) error {
		_, err := db.Exec("DELETE FROM record WHERE seq > 15")
		return err
	})
}

func emptyFile(t testing.TB, path string) {
	t.Helper()
	if err := os.Remove(path); err != nil {
		t.Fatal(err)
	}
	log, err := createJournal(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	if err := log.Close(); err != nil {
		t.Fatal(err)
	}
}

func remove(t testing.TB, paths ...string) {
	t.Helper()
	for _, p := range paths {
		if err := os.RemoveAll(p); err != nil {
			t.Fatal(err)
		}
	}
}

// flips flips one bit of a file, so many times, each in a copy of the folder, and
// says whether anything was changed in silence.
func (g *guarded) flips(who, what, dir, file string, want journal.Head) tampered {
	g.Helper()
	data, err := os.ReadFile(filepath.Join(dir, file))
	if err != nil {
		g.Fatal(err)
	}
	rng := rand.New(rand.NewPCG(20270304, uint64(len(file))))
	out := tampered{who, what, nil}
	for _, ask := range []func(string) string{
		func(p string) string { return g.start(p) }, func(p string) string { return g.verify(p) },
		func(p string) string { return g.start(p, g.copied(g.places)) }, func(p string) string { return g.verify(p, g.places) },
	} {
		found, harmless := 0, 0
		for range 50 {
			to := g.copied(dir)
			bad := bytes.Clone(data)
			bad[rng.IntN(len(bad))] ^= 1 << rng.IntN(8)
			path := filepath.Join(to, "lab")
			if err := os.WriteFile(filepath.Join(to, file), bad, 0o600); err != nil {
				g.Fatal(err)
			}
			said := ask(path)
			if strings.HasPrefix(said, "found") {
				found++
				continue
			}
			if all := linksOf(g, path); len(all) == 0 || all[len(all)-1].Head() != want {
				g.Errorf("%s: a bit was flipped, %d records are there, and it is said: %s", what, len(all), said)
			}
			harmless++
		}
		g.Logf("%s: %d found, %d changed nothing of the journal", what, found, harmless)
		out.cells = append(out.cells, "found, or changed no record")
	}
	return out
}

// TestTampering does to journals what can be done to them, and holds docs/security.md
// to what is found.
func TestTampering(t *testing.T) {
	server := pgtest.Start(t)
	g := watched(t, "", nil)
	rows := append(tamperFile(t, g), tamperNotes(t, g)...)
	rows = append(rows, tamperExport(t, g)...)
	rows = append(rows, tamperDatabase(t, server)...)
	var b strings.Builder
	b.WriteString("| who | what | at the start | `verify` | at the start, with a witness | `verify` with a witness |\n|---|---|---|---|---|---|\n")
	for _, r := range rows {
		fmt.Fprintf(&b, "| %s | %s | %s |\n", r.who, r.what, strings.Join(r.cells, " | "))
	}
	const path, from, to = "../../docs/security.md", "<!-- made by TestTampering -->\n", "<!-- end -->"
	doc := page1(t, path)
	before, rest, ok := strings.Cut(doc, from)
	old, after, ok2 := strings.Cut(rest, to)
	if !ok || !ok2 {
		t.Fatalf("%s has no place for the table", path)
	}
	if old == b.String() {
		return
	}
	if os.Getenv("UPDATE") == "1" {
		if err := os.WriteFile(path, []byte(before+from+b.String()+to+after), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	t.Errorf("%s has another table; UPDATE=1 writes it again:\n%s", path, b.String())
}

// tamperFile goes through what can be done to a file.
func tamperFile(t *testing.T, g *guarded) (rows []tampered) {
	all := linksOf(t, g.where)
	head := all[len(all)-1].Head()
	with := func(who, what string, do func(path string)) {
		path := filepath.Join(g.copied(g.dir), "lab")
		do(path)
		rows = append(rows, g.finders(who, what, path, g.places))
	}
	older := func(path string, files ...string) {
		for _, f := range files {
			data, err := os.ReadFile(filepath.Join(g.older, f))
			if err := errors.Join(err, os.WriteFile(filepath.Join(filepath.Dir(path), f), data, 0o600)); err != nil {
				t.Fatal(err)
			}
		}
	}
	crashed, crashHead := crash(t, g)
	rows = append(rows,
		g.flips("an accident", "a bit of the file flipped", g.dir, "lab", head),
		g.flips("an accident", "a bit of the `-wal` file flipped, after a power cut", crashed, "lab-wal", crashHead))
	with("an accident", "an older copy of the file put back", func(p string) { older(p, "lab") })
	with("an accident", "a new, empty journal in its place", func(p string) { emptyFile(t, p) })
	path := filepath.Join(g.copied(crashed), "lab")
	remove(t, path+"-wal")
	rows = append(rows, g.finders("an accident", "the `-wal` file lost, after a power cut", path, g.places))
	const owner = "who can write the folder"
	with(owner, "a record rewritten, every hash computed again", func(p string) { rewriteFile(t, p, reading, forged); remove(t, p+".head") })
	with(owner, "the newest records taken away", func(p string) { cutFile(t, p); remove(t, p+".head") })
	with(owner, "an older copy of the folder put back", func(p string) { older(p, "lab", "lab.head") })
	with(owner, "a new, empty journal in its place", func(p string) { emptyFile(t, p); remove(t, p+".head") })
	elsewhere := func(p, use string) {
		remove(t, p, p+".head")
		g.run("import", "--ahead", example12, "--journal", p, "--by", "B. Example")
		if use != "" {
			rewriteFile(t, p, `"half-life":"64.0417 h"}`, `"half-life":"64.0417 h","use":"`+use+`"}`)
		}
	}
	with("an accident", "a backup of another site in its place", func(p string) { elsewhere(p, "") })
	with("an accident", "a practice journal in its place", func(p string) { elsewhere(p, "practice") })
	return rows
}

// crash gives a copy of the folder as a power cut leaves it, with appends in the
// -wal file that the head beside the journal knows of.
func crash(t *testing.T, g *guarded) (string, journal.Head) {
	t.Helper()
	dir := g.copied(g.dir)
	path := filepath.Join(dir, "lab")
	log, err := openToWrite(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer log.Close()
	lab, err := replica.Open(t.Context(), log, newSalt, nil)
	if err != nil {
		t.Fatal(err)
	}
	defer lab.Close()
	k, err := (&askFlags{}).keeper(path, "", besideFile(path, ""), log, nil, &edge{now: time.Now})
	if err != nil {
		t.Fatal(err)
	}
	defer k.Close()
	lab.Watch(t.Context(), k)
	for i := range 20 {
		says := &fact.Deviation{Text: fmt.Sprintf("invented %d", i), At: time.Now().UTC().Truncate(time.Second)}
		err := lab.Append(t.Context(), replica.Entry{Class: fact.Observation, Decide: func(*replica.File, int) ([]journal.Record, error) {
			return []journal.Record{{By: "A. Example", Recorded: time.Now().UTC(), Fact: says}}, nil
		}})
		if err != nil {
			t.Fatal(err)
		}
	}
	return g.copied(dir), lab.Report().Head
}

// tamperNotes goes through what can be done at a witness.
func tamperNotes(t *testing.T, g *guarded) (rows []tampered) {
	note := func(places string) string {
		files, err := filepath.Glob(filepath.Join(places, "hotlab", "*21-*.note"))
		if err != nil || len(files) != 1 {
			t.Fatalf("notes %v, %v", files, err)
		}
		return files[0]
	}
	with := func(who, what string, do func(path, places string)) {
		path, places := filepath.Join(g.copied(g.dir), "lab"), g.copied(g.places)
		do(path, places)
		rows = append(rows, g.finders(who, what, path, places))
	}
	with("who can write at the witness", "a bit of a note flipped", func(_, places string) {
		data, err := os.ReadFile(note(places))
		if err != nil {
			t.Fatal(err)
		}
		data[len(data)/2] ^= 1
		if err := os.WriteFile(note(places), data, 0o600); err != nil {
			t.Fatal(err)
		}
	})
	with("who can write at the witness", "a note signed by an unknown key", func(_, places string) {
		other := filepath.Join(t.TempDir(), "other.key")
		g.run("key", "--site", "hotlab", "--out", other)
		signed(t, g, other, places, 90)
	})
	with("who can write the folder and add notes with the stolen key", "a record rewritten, and the new head signed", func(path, places string) {
		rewriteFile(t, path, reading, forged)
		remove(t, path+".head")
		signed(t, g, g.key, places, linksOf(t, path)[20].Seq, linksOf(t, path)...)
	})
	with("who can write the folder and remove notes at every witness", "the newest records taken away", func(path, places string) {
		cutFile(t, path)
		remove(t, path+".head", note(places))
	})
	return rows
}

// signed puts a note with a key at a place.
func signed(t *testing.T, g *guarded, key, places string, n uint64, links ...journal.Link) {
	t.Helper()
	s, _, err := signingKey(key, "postgres://elsewhere")
	if err != nil {
		t.Fatal(err)
	}
	note := witness.Note{Site: "hotlab", Head: journal.Head{Seq: n}, At: time.Now().UTC().Add(time.Hour).Truncate(time.Second)}
	if len(links) > 0 {
		note.Head.Hash, note.First = links[n-1].Hash, links[0].Hash
	}
	data, err := witness.Sign(note, s)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(places, "hotlab", fmt.Sprintf("%012d-added.note", n)), data, 0o600); err != nil {
		t.Fatal(err)
	}
}

// tamperExport flips bits of what is exported. An export is checked as
// docs/journal.md has it, and against a head that was noted.
func tamperExport(t *testing.T, g *guarded) []tampered {
	rawStatus, raw, rawErrs := ask("export", "--raw", "--journal", filepath.Join(g.copied(g.dir), "lab"))
	if rawStatus != 0 {
		t.Fatal(rawErrs)
	}
	all := linksOf(t, g.where)
	rng := rand.New(rand.NewPCG(20270304, 7))
	for range 200 {
		bad := []byte(raw)
		bad[rng.IntN(len(bad)-1)] ^= 1 << rng.IntN(8)
		if head, err := headOf(string(bad)); err == nil && head == all[len(all)-1].Head() {
			t.Errorf("a bit of the raw lines was flipped, and they hold")
		}
	}
	cut := strings.Join(strings.SplitAfter(raw, "\n")[:15], "")
	if head, err := headOf(cut); err != nil || head.Seq != 15 {
		t.Errorf("raw lines that were cut short: %v, %v", head, err)
	}
	const n = "not asked"
	status, file, errs := ask("export", "P1", "--journal", filepath.Join(g.copied(g.dir), "lab"))
	altered := filepath.Join(t.TempDir(), "case.yaml")
	if err := os.WriteFile(altered, []byte(strings.Replace(file, "3.24 GBq", "3.25 GBq", 1)), 0o600); err != nil || status != 0 {
		t.Fatal(errs, err)
	}
	said := "not found"
	if status, _, _ := ask("reckon", altered); status == 2 {
		said = "found"
	}
	return []tampered{
		{"anybody", "a bit of exported raw lines flipped", []string{n, "found (chain)", n, "found (chain)"}},
		{"anybody", "exported raw lines cut short", []string{n, "not found", n, "found: the head noted elsewhere is not in them"}},
		{"anybody", "an exported case file altered", []string{n, said, n, said}},
	}
}

func headOf(raw string) (journal.Head, error) {
	var v journal.Verifier
	for line := range strings.Lines(raw) {
		l, err := facttest.ParseLink(strings.TrimSuffix(line, "\n"))
		if err == nil {
			_, err = v.Add(l)
		}
		if err != nil {
			return journal.Head{}, err
		}
	}
	return v.Report().Head, nil
}

// tamperDatabase goes through what can be done in a database and to its server.
func tamperDatabase(t *testing.T, server *pgtest.Server) (rows []tampered) {
	address := server.Database(t)
	var copied, promoted *pgtest.Server
	backup := filepath.Join(t.TempDir(), "backup")
	g := watched(t, address, func() {
		if status, _, errs := ask("backup", "--journal", address, "--to", backup); status != 0 {
			t.Fatal(errs)
		}
		server.Halt(t)
		copied, promoted = server.Copy(t), server.CopyPromoted(t)
		server.Restart(t)
	})
	name := address[strings.LastIndex(strings.Split(address, "?")[0], "/")+1:]
	name, _, _ = strings.Cut(name, "?")
	rows = append(rows, asBench(t, server))
	const role = "the role that owns the tables, with the bench's folder"
	bare := func() { remove(t, g.site+".head") }
	rows = append(rows, g.finders("a failover", "a standby server without the newest records takes over", promoted.Address(name), g.places))
	rows = append(rows, g.finders("who can write the server's files, with the bench's folder", "an older copy of the whole server put back", copied.Address(name), g.places))
	kept, err := os.ReadFile(g.site + ".head")
	if err != nil {
		t.Fatal(err)
	}
	back := func() {
		if err := os.WriteFile(g.site+".head", kept, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	other := server.Database(t)
	g.run("restore", "--from", backup, "--journal", other)
	rows = append(rows, g.finders("an accident", "an older backup restored into another database", other, g.places))
	bare()
	all := linksOf(t, address)
	asRole(t, address, "UPDATE vialwright.record SET hash = $1, body = $2 WHERE seq = $3", forge(t, linksOf(t, address), reading, forged))
	rows = append(rows, g.finders(role, "a record rewritten, every hash computed again", address, g.places))
	asRole(t, address, "UPDATE vialwright.record SET hash = $1, body = $2 WHERE seq = $3", all)
	bare()
	asRole(t, address, "DELETE FROM vialwright.record WHERE seq > 15", nil)
	rows = append(rows, g.finders(role, "the newest records taken away", address, g.places))
	bare()
	g.again = func() { asRole(t, address, "TRUNCATE vialwright.record", nil) }
	rows = append(rows, g.finders(role, "emptied", address, g.places))
	back()
	rows = append(rows, g.finders("an accident", "emptied", address, g.places))
	return rows
}

// asBench tries to alter records as the role that the program connects as, where the
// tables have another owner.
func asBench(t *testing.T, server *pgtest.Server) tampered {
	t.Helper()
	ctx, address := t.Context(), server.Database(t)
	owner, err := pgx.Connect(ctx, address)
	if err != nil {
		t.Fatal(err)
	}
	defer owner.Close(ctx)
	if _, err := owner.Exec(ctx, "CREATE ROLE bench LOGIN"); err != nil {
		t.Fatal(err)
	}
	want(t, 0, "is ready", "prepare-database", "--journal", address, "--for", "bench")
	as := strings.Replace(address, "postgres@", "bench@", 1)
	want(t, 0, "12 facts written", "import", "--ahead", example12, "--journal", as, "--by", "A. Example")
	bench, err := pgx.Connect(ctx, as)
	if err != nil {
		t.Fatal(err)
	}
	defer bench.Close(ctx)
	said := "cannot be done"
	for _, statement := range []string{
		"UPDATE vialwright.record SET hash = hash WHERE seq = 6", "DELETE FROM vialwright.record WHERE seq > 6", "TRUNCATE vialwright.record",
		"ALTER TABLE vialwright.record DISABLE TRIGGER USER", "DROP TABLE vialwright.record", "DROP SCHEMA vialwright CASCADE",
		"CREATE OR REPLACE FUNCTION vialwright.refuse() RETURNS trigger LANGUAGE plpgsql AS $$BEGIN RETURN NULL; END$$",
	} {
		if _, err := bench.Exec(ctx, statement); err == nil {
			said = "DONE: " + statement
		}
	}
	return tampered{"the role of the program, which does not own the tables", "a record changed or taken away", []string{said, said, said, said}}
}

// asRole does something to the records of a database as the owner of its tables
// can: the triggers are switched off and on again. With links it is done for each.
func asRole(t *testing.T, address, statement string, links []journal.Link) {
	t.Helper()
	ctx := t.Context()
	conn, err := pgx.Connect(ctx, address)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(ctx)
	do := func(sql string, args ...any) {
		t.Helper()
		if _, err := conn.Exec(ctx, sql, args...); err != nil {
			t.Fatalf("%s: %v", sql, err)
		}
	}
	do("ALTER TABLE vialwright.record DISABLE TRIGGER USER")
	if links == nil {
		do(statement)
	}
	for _, l := range links {
		do(statement, l.Hash[:], []byte(l.Body), int64(l.Seq))
	}
	for _, name := range []string{"record_follows", "record_stays", "record_unchanged"} {
		do("ALTER TABLE vialwright.record ENABLE ALWAYS TRIGGER " + name)
	}
}
