package keep_test

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"

	"vialwright/store/keep"
)

func open(t testing.TB, path string) *keep.Table {
	t.Helper()
	k, err := keep.Open(context.Background(), path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = k.Close() })
	return k
}

func TestValuesOutliveTheHandle(t *testing.T) {
	ctx := context.Background()
	path := filepath.Join(t.TempDir(), "a b#?.kept") // a name that needs escaping
	k := open(t, path)
	for _, s := range []string{"b", "a"} {
		if err := k.Put(ctx, "drafts", s, []byte("of "+s)); err != nil {
			t.Fatal(err)
		}
	}
	if err := k.Put(ctx, "other", "a", []byte("another shelf")); err != nil {
		t.Fatal(err)
	}
	if err := k.Close(); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(path); err != nil {
		t.Fatal(err)
	}
	k = open(t, path)
	v, ok, err := k.Get(ctx, "drafts", "a")
	if string(v) != "of a" || !ok || err != nil {
		t.Errorf("got %q %v %v", v, ok, err)
	}
	keys, values, err := k.All(ctx, "drafts")
	if fmt.Sprint(keys) != "[a b]" || string(values[1]) != "of b" || err != nil {
		t.Errorf("got %v %s %v", keys, values, err)
	}
	if err := k.Put(ctx, "drafts", "a", nil); err != nil {
		t.Fatal(err)
	}
	if _, ok, _ := k.Get(ctx, "drafts", "a"); ok {
		t.Error("a removed value is still there")
	}
}

// TestUpdatesNeverOverlap: 8 goroutines on two handles count to 80.
func TestUpdatesNeverOverlap(t *testing.T) {
	ctx := context.Background()
	path := filepath.Join(t.TempDir(), "kept")
	handles := []*keep.Table{open(t, path), open(t, path)}
	var all sync.WaitGroup
	for i := range 8 {
		all.Go(func() {
			for range 10 {
				err := handles[i%2].Update(ctx, "n", "n", func(old []byte) ([]byte, error) {
					n, _ := strconv.Atoi(string(old))
					return []byte(strconv.Itoa(n + 1)), nil
				})
				if err != nil {
					t.Error(err)
				}
			}
		})
	}
	all.Wait()
	if v, _, _ := handles[0].Get(ctx, "n", "n"); string(v) != "80" {
		t.Errorf("counted to %s", v)
	}
}

func TestARefusedUpdateKeepsWhatWasThere(t *testing.T) {
	ctx := context.Background()
	k := open(t, filepath.Join(t.TempDir(), "kept"))
	if err := k.Put(ctx, "s", "k", []byte("old")); err != nil {
		t.Fatal(err)
	}
	no := errors.New("no")
	if err := k.Update(ctx, "s", "k", func([]byte) ([]byte, error) { return []byte("new"), no }); !errors.Is(err, no) {
		t.Errorf("got %v", err)
	}
	if v, _, _ := k.Get(ctx, "s", "k"); string(v) != "old" {
		t.Errorf("holds %q", v)
	}
}

func TestForeignFilesAreLeftAlone(t *testing.T) {
	dir := t.TempDir()
	text := filepath.Join(dir, "text")
	if err := os.WriteFile(text, []byte(strings.Repeat("not a database\n", 100)), 0o600); err != nil {
		t.Fatal(err)
	}
	other := filepath.Join(dir, "other")
	db, err := sql.Open("sqlite", other)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := db.Exec("CREATE TABLE theirs (x)"); err != nil {
		t.Fatal(err)
	}
	_ = db.Close()
	newer := filepath.Join(dir, "newer")
	_ = open(t, newer).Close()
	if db, err = sql.Open("sqlite", newer); err != nil {
		t.Fatal(err)
	}
	if _, err := db.Exec("PRAGMA user_version = 2"); err != nil {
		t.Fatal(err)
	}
	_ = db.Close()
	for path, want := range map[string]string{text: "cannot be used", other: "another program", newer: "newer version"} {
		before, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := keep.Open(context.Background(), path); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: got %v", filepath.Base(path), err)
		}
		if after, err := os.ReadFile(path); err != nil || string(after) != string(before) && path == text {
			t.Errorf("%s was changed: %v", filepath.Base(path), err)
		}
	}
}

func Example() {
	dir, err := os.MkdirTemp("", "keep")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer os.RemoveAll(dir)
	ctx := context.Background()
	k, err := keep.Open(ctx, filepath.Join(dir, "lab.kept"))
	if err != nil {
		fmt.Println(err)
		return
	}
	defer k.Close()
	_ = k.Put(ctx, "drafts", "RP1 draw", []byte("volume=2.2+mL"))
	v, ok, err := k.Get(ctx, "drafts", "RP1 draw")
	fmt.Println(string(v), ok, err)
	// Output: volume=2.2+mL true <nil>
}
