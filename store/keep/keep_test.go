package keep_test

import (
	"context"
	"database/sql"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"vialwright/store/keep"
	"vialwright/store/vault"
	"vialwright/store/vault/vaulttest"
)

func open(t testing.TB, path string) *keep.File {
	t.Helper()
	k, err := keep.Open(context.Background(), path)
	if err != nil {
		t.Fatal(err)
	}
	return k
}

func TestConformance(t *testing.T) {
	vaulttest.Run(t, func(t *testing.T) (vault.Vault, func() vault.Vault) {
		path := filepath.Join(t.TempDir(), "a b#?.kept") // a name that needs escaping
		return open(t, path), func() vault.Vault { return open(t, path) }
	})
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
		if _, err := keep.Open(context.Background(), path); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: got %v", filepath.Base(path), err)
		}
	}
	if after, err := os.ReadFile(text); err != nil || !strings.HasPrefix(string(after), "not a database") {
		t.Errorf("the text file was changed: %v", err)
	}
}

func Example() {
	dir, err := os.MkdirTemp("", "keep")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer os.RemoveAll(dir)
	ctx, now := context.Background(), time.Date(2027, 3, 4, 12, 0, 0, 0, time.UTC)
	k, err := keep.Open(ctx, filepath.Join(dir, "lab.kept"))
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
