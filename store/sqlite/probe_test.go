package sqlite

import (
	"os"
	"testing"

	"vialwright/store"
)

// A probe says before anybody records that nothing would be stored, and goes well
// again once that is put right.
func TestProbe(t *testing.T) {
	l := newLog(t)
	wants := func(what, code string) {
		t.Helper()
		if err := l.Probe(t.Context()); store.CodeOf(err) != code {
			t.Errorf("%s: %v, want %q", what, err, code)
		}
	}
	wants("sound", "")
	defer func(was func(string) (uint64, bool)) { room = was }(room)
	room = func(string) (uint64, bool) { return leastRoom - 1, true }
	wants("a full disk", store.CodeFailed)
	room = func(string) (uint64, bool) { return 0, false }
	wants("a disk that says nothing", "")
	if err := os.Rename(l.path, l.path+".away"); err != nil {
		t.Fatal(err)
	}
	wants("a file that cannot be opened", store.CodeReadOnly)
	if err := os.Rename(l.path+".away", l.path); err != nil {
		t.Fatal(err)
	}
	wants("put right", "")
	reader, err := OpenReadOnly(t.Context(), l.path)
	if err != nil {
		t.Fatal(err)
	}
	defer reader.Close()
	if err := reader.Probe(t.Context()); store.CodeOf(err) != store.CodeReadOnly {
		t.Errorf("open for reading: %v", err)
	}
	l.Close()
	wants("closed", store.CodeClosed)
	if n, known := free(t.TempDir()); known && n == 0 {
		t.Error("no room at all is free")
	}
}
