package main

import (
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/jackc/pgx/v5"

	"vialwright/fact"
	"vialwright/store/postgres/pgtest"
)

// smallDisk is a disk of two MiB that belongs to the owner of a database server.
func smallDisk(t *testing.T, conn *pgx.Conn) string {
	t.Helper()
	var data string
	if err := conn.QueryRow(t.Context(), "SHOW data_directory").Scan(&data); err != nil {
		t.Fatal(err)
	}
	info, err := os.Stat(data)
	if err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(filepath.Dir(data), "small")
	if err := os.Mkdir(dir, 0o700); err != nil {
		t.Fatal(err)
	}
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, "size=2m"); err != nil {
		t.Skipf("a small disk is made by root alone: %v", err)
	}
	t.Cleanup(func() { _ = syscall.Unmount(dir, syscall.MNT_DETACH) })
	owner, _ := info.Sys().(*syscall.Stat_t)
	if err := os.Chown(dir, int(owner.Uid), int(owner.Gid)); err != nil {
		t.Fatal(err)
	}
	return dir
}

// TestDiskOfTheServerFull: the disk that the records of a database lie on is full. What
// cannot be stored is refused, the board says why and what to do, and it goes on once
// there is room, with nothing lost and nothing twice.
func TestDiskOfTheServerFull(t *testing.T) {
	server := pgtest.Start(t)
	where := server.Database(t)
	p := serve(t, "--practice", "--journal", where, "--key", filepath.Join(t.TempDir(), "site.key"))
	b := p.signIn("RP1")
	conn, err := pgx.Connect(t.Context(), where)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(t.Context())
	dir := smallDisk(t, conn)
	for _, statement := range []string{"CREATE TABLESPACE small LOCATION '" + dir + "'", "ALTER TABLE vialwright.record SET TABLESPACE small"} {
		if _, err := conn.Exec(t.Context(), statement); err != nil {
			t.Fatal(err)
		}
	}
	filler := filepath.Join(dir, "filler")
	if err := os.WriteFile(filler, make([]byte, 4<<20), 0o600); err == nil {
		t.Fatal("4 MiB fit on a disk of two")
	}
	note := func(n int) answer1 {
		t.Helper()
		a, err := b.get("/day/enter/note")
		if err != nil {
			t.Fatal(err)
		}
		v, ok := a.form("note")
		if !ok {
			t.Fatalf("no form: %v", a)
		}
		v.Set("p0.text", fmt.Sprintf("note %d %s", n, strings.Repeat("x", 300)))
		if a, err = b.send("/day/enter/note", v); err != nil {
			t.Fatal(err)
		}
		return a
	}
	n := 0
	a := note(n)
	for ; a.status == http.StatusSeeOther && n < 200; a = note(n) {
		n++
	}
	if a.status != http.StatusServiceUnavailable || !strings.Contains(a.body, "no room is left on the server") || !strings.Contains(a.body, "make room and try again") {
		t.Errorf("after %d notes it is answered %v", n, a)
	}
	if a, err = b.get("/"); err != nil || !strings.Contains(a.body, "Nothing can be recorded: writing to the journal: no room is left on the server") || !strings.Contains(a.body, "ake room and try again") {
		t.Errorf("the board says %v (%v)", a, err)
	}
	if err := os.Remove(filler); err != nil {
		t.Fatal(err)
	}
	if a := note(n); a.status != http.StatusSeeOther {
		t.Errorf("with room again: %v", a)
	}
	if a, err = b.get("/"); err != nil || a.status != http.StatusOK || strings.Contains(a.body, "Nothing can be recorded") {
		t.Errorf("the board says %v (%v)", a, err)
	}
	log, err := openJournal(t.Context(), where)
	if err != nil {
		t.Fatal(err)
	}
	defer log.Close()
	there := 0
	for r, err := range verified(t.Context(), log) {
		if err != nil {
			t.Fatal(err)
		}
		if x, ok := r.Fact.(*fact.Note); ok && strings.HasPrefix(x.Text, "note ") {
			there++
		}
	}
	if there != n+1 {
		t.Errorf("%d notes are there, of %d that were answered", there, n+1)
	}
}
