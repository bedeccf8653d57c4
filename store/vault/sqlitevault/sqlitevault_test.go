package sqlitevault_test

import (
	"context"
	"database/sql"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"vialwright/store/vault"
	"vialwright/store/vault/sqlitevault"
)

func open(t testing.TB, path string) *sqlitevault.File {
	t.Helper()
	k, err := sqlitevault.Open(context.Background(), path)
	if err != nil {
		t.Fatal(err)
	}
	return k
}

func TestForeignFilesAreLeftAlone(t *testing.T) {
	dir := t.TempDir()
	text := filepath.Join(dir, "text")
	if err := os.WriteFile(text, []byte(strings.Repeat("not a database\n", 100)), 0o600); err != nil {
		t.Fatal(err)
	}
	change := func(path, statement string) {
		t.Helper()
		db, err := sql.Open("sqlite", path)
		if err != nil {
			t.Fatal(err)
		}
		defer db.Close()
		if _, err := db.Exec(statement); err != nil {
			t.Fatal(err)
		}
	}
	other, newer := filepath.Join(dir, "other"), filepath.Join(dir, "newer")
	change(other, "CREATE TABLE theirs (x)")
	if err := open(t, newer).Close(); err != nil {
		t.Fatal(err)
	}
	change(newer, "PRAGMA user_version = 2")
	for path, want := range map[string]string{text: "cannot be used", other: "another program", newer: "newer version"} {
		if _, err := sqlitevault.Open(context.Background(), path); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: got %v", filepath.Base(path), err)
		}
	}
	if after, err := os.ReadFile(text); err != nil || !strings.HasPrefix(string(after), "not a database") {
		t.Errorf("the text file was changed: %v", err)
	}
}

// TestModes: what is kept is for its owner alone, under whatever umask it was
// made, and an older file is made so, with a word.
func TestModes(t *testing.T) {
	path := filepath.Join(t.TempDir(), "lab.kept")
	k := open(t, path)
	if _, err := k.Put(context.Background(), time.Now(), vault.Drafts, "a", vault.Item{Value: []byte("x")}); err != nil {
		t.Fatal(err)
	}
	all := []string{path, path + "-wal", path + "-shm"}
	private := func() {
		t.Helper()
		for _, name := range all {
			info, err := os.Stat(name)
			if err != nil || info.Mode().Perm() != 0o600 {
				t.Errorf("%s: %v, %v", filepath.Base(name), info.Mode(), err)
			}
		}
	}
	private()
	if k.Mended() != "" {
		t.Errorf("a new file was mended: %s", k.Mended())
	}
	for _, name := range all {
		if err := os.Chmod(name, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	again := open(t, path)
	private()
	for _, name := range all {
		if !strings.Contains(again.Mended(), name) {
			t.Errorf("%s is not named: %q", filepath.Base(name), again.Mended())
		}
	}
}

func Example() {
	dir, err := os.MkdirTemp("", "sqlitevault")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer os.RemoveAll(dir)
	ctx, now := context.Background(), time.Date(2027, 3, 4, 12, 0, 0, 0, time.UTC)
	k, err := sqlitevault.Open(ctx, filepath.Join(dir, "lab.kept"))
	if err != nil {
		fmt.Println(err)
		return
	}
	defer k.Close()
	_, err = k.Put(ctx, now, vault.Drafts, "RP1 draw", vault.Item{Value: []byte("volume=2.2+mL"), Expires: now.Add(time.Hour)})
	fmt.Println(err)
	item, err := k.Get(ctx, now, vault.Drafts, "RP1 draw")
	fmt.Println(string(item.Value), err)
	// Output:
	// <nil>
	// volume=2.2+mL <nil>
}
