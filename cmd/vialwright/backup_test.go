package main

import (
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"vialwright/store/postgres/pgtest"
)

// TestRestoreDrill is what a site should do once a year: a laboratory is at work,
// a backup of the whole is made meanwhile, the machine is lost, and the backup is
// made a journal elsewhere. People sign in as they did, what they recorded is
// there, and the key was not in the backup.
func TestRestoreDrill(t *testing.T) {
	if testing.Short() {
		t.Skip("-short: no server is started")
	}
	dir := t.TempDir()
	database := func(t *testing.T) string { return pgtest.Shared(t).Database(t) }
	file := func(name string) func(*testing.T) string {
		return func(*testing.T) string { return filepath.Join(dir, name) }
	}
	for name, c := range map[string]struct{ from, backup, to func(*testing.T) string }{
		"files":     {file("lab"), file("copy"), file("restored")},
		"databases": {database, file("of a database"), database},
	} {
		t.Run(name, func(t *testing.T) { restoreDrill(t, c.from(t), c.backup(t), c.to(t)) })
	}
}

func restoreDrill(t *testing.T, from, backup, to string) {
	apart := t.TempDir() // where the keys are
	key, heads, notes := filepath.Join(apart, "site.key"), filepath.Join(apart, "heads.key"), t.TempDir()
	want(t, 0, "The key is in", "key", "--site", "hotlab", "--out", heads)
	at := func(where, key string) []string {
		return []string{"--journal", where, "--practice", "--key", key, "--sign", heads, "--witness", notes}
	}
	lab := serve(t, at(from, key)...)
	who := lab.signIn("RP1")
	s := &shift{TB: t, args: at(from, key), program: lab}
	w := &writer{person: who, shift: s, page: "/day", acked: map[string]bool{}}
	if !w.write("before the backup") {
		t.Fatal("not recorded")
	}
	lab.kill()
	lab = serve(t, at(from, key)...) // which sends a note of the head at once
	head := printedHead(t, want(t, 0, "accounts copied to", "backup", "--journal", from, "--to", backup, "--notes", notes))
	w.at = lab
	if !w.write("after the backup") {
		t.Fatal("not recorded")
	}
	lab.kill()

	want(t, 0, "accounts copied to", "restore", "--from", backup, "--journal", to, "--head", head)
	want(t, 0, "is whole", "verify", "--journal", to, "--head", head)
	want(t, 2, "is there already", "restore", "--from", backup, "--journal", backup)
	for _, beside := range []string{backup, filepath.Dir(backup)} {
		if found, err := filepath.Glob(beside + "*.key"); len(found) > 0 || err != nil {
			t.Errorf("the backup has %v", found)
		}
	}
	if status, _, errs := ask(append([]string{"serve", "--listen", "127.0.0.1:0"}, "--journal", to, "--practice", "--key", filepath.Join(apart, "none.key"))...); status != 2 || !strings.Contains(errs, "bring back the copy of it") {
		t.Errorf("without the key: %d %s", status, errs)
	}

	// On another machine lies the copy of the key that was kept apart.
	data, err := os.ReadFile(key)
	if err != nil {
		t.Fatal(err)
	}
	key = filepath.Join(t.TempDir(), "site.key")
	if err := os.WriteFile(key, data, 0o600); err != nil {
		t.Fatal(err)
	}
	lab = serve(t, "--journal", to, "--practice", "--key", key)
	again := lab.signIn("RP1")
	a, err := again.get("/history")
	if err != nil || a.status != http.StatusOK || !strings.Contains(a.body, "before the backup") || strings.Contains(a.body, "after the backup") {
		t.Errorf("the restored laboratory: %v %v", a, err)
	}
	if found, _ := filepath.Glob(backup + ".notes/*/*.note"); len(found) == 0 {
		t.Error("no signed note is in the backup")
	}
	want(t, 0, "the newest of record", "verify", "--journal", to, "--key", key, "--witness", backup+".notes", "--signed-by", heads+".pub")
}

// printedHead is the head that a command printed.
func printedHead(t *testing.T, text string) string {
	_, rest, ok := strings.Cut(text, "\nhead ")
	_, hash, found := strings.Cut(rest, " ")
	if !ok || !found {
		t.Fatalf("no head in %s", text)
	}
	return strings.TrimSpace(strings.SplitN(hash, "\n", 2)[0])
}

// TestBackupBadInput: a backup never writes over anything, and says what it has no
// place for.
func TestBackupBadInput(t *testing.T) {
	dir := t.TempDir()
	lab, there := filepath.Join(dir, "lab"), filepath.Join(dir, "there")
	want(t, 0, "written to", "import", "--ahead", "../../examples/one-patient.yaml", "--journal", lab, "--by", "A. Example")
	if err := os.WriteFile(there+".kept", []byte("accounts of another site"), 0o600); err != nil {
		t.Fatal(err)
	}
	want(t, 2, "there.kept is there already", "backup", "--journal", lab, "--to", there)
	want(t, 2, "has no place for notes", "backup", "--journal", lab, "--to", "postgres://localhost/x", "--notes", dir)
	want(t, 0, "12 records and 0 accounts copied", "backup", "--journal", lab, "--to", filepath.Join(dir, "copy"))
	if _, err := os.Stat(lab + ".kept"); err == nil {
		t.Error("the backup made accounts where there were none")
	}
}
