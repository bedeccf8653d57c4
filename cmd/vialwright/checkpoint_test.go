package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"vialwright/people/secret"
)

// TestCheckpointFile: what was saved comes back; what was changed by a bit, written
// with another key, or cut short is not believed, and says so.
func TestCheckpointFile(t *testing.T) {
	key := func(b byte) *secret.Key {
		k, err := secret.NewKey([32]byte{b})
		if err != nil {
			t.Fatal(err)
		}
		return k
	}
	c := checkpoints{filepath.Join(t.TempDir(), "lab.checkpoint"), key(1)}
	if data, err := c.Load(); data != nil || err != nil {
		t.Errorf("where there is none: %q, %v", data, err)
	}
	for _, text := range []string{"what was verified", "what was verified later"} {
		if err := c.Save([]byte(text)); err != nil {
			t.Fatal(err)
		}
		if data, err := c.Load(); string(data) != text || err != nil {
			t.Errorf("%q, %v, want %q", data, err, text)
		}
	}
	whole, err := os.ReadFile(c.path)
	if err != nil {
		t.Fatal(err)
	}
	refused := func(what string, c checkpoints) {
		t.Helper()
		if data, err := c.Load(); data != nil || err == nil || !strings.Contains(err.Error(), "site's key") {
			t.Errorf("%s: %q, %v", what, data, err)
		}
	}
	refused("another key", checkpoints{c.path, key(2)})
	for i := range whole {
		bad := append([]byte(nil), whole...)
		bad[i] ^= 1
		if err := os.WriteFile(c.path, bad, 0o600); err != nil {
			t.Fatal(err)
		}
		refused("a bit flipped", c)
	}
	if err := os.WriteFile(c.path, whole[:len(whole)-1], 0o600); err != nil {
		t.Fatal(err)
	}
	refused("cut short", c)
	if err := c.Save(nil); err != nil {
		t.Fatal(err)
	}
	if data, err := c.Load(); data != nil || err != nil {
		t.Errorf("it was taken away, and is there: %q, %v", data, err)
	}
	left, err := os.ReadDir(filepath.Dir(c.path))
	if err != nil || len(left) != 0 {
		t.Errorf("%d files lie there, %v", len(left), err)
	}
}
