package vault

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"vialwright/store"
)

// TestCheck goes down the refusals in their order; the rows that are wrong
// twice show which comes first.
func TestCheck(t *testing.T) {
	for _, c := range []struct {
		name  string
		shelf Shelf
		key   string
		value int
		code  string
	}{
		{"secret", Secrets, "k", 0, ""},
		{"session", Sessions, strings.Repeat("\xff", 32), 1, ""},
		{"largest", Drafts, strings.Repeat("k", MaxKey), MaxValue, ""},
		{"no shelf", "", "k", 1, CodeKey},
		{"another shelf", "record", "k", 1, CodeKey},
		{"no key", Secrets, "", 1, CodeKey},
		{"long key", Secrets, strings.Repeat("k", MaxKey+1), 1, CodeKey},
		{"oversize", Secrets, "k", MaxValue + 1, CodeOversize},
		{"key before oversize", Secrets, "", MaxValue + 1, CodeKey},
	} {
		err := Check(t.Context(), c.shelf, c.key, make([]byte, c.value))
		if store.CodeOf(err) != c.code || (err == nil) != (c.code == "") {
			t.Errorf("%s: %v, want %q", c.name, err, c.code)
		}
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if err := Check(ctx, "", "", nil); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
}

// TestFormat: no verb writes what is in an item.
func TestFormat(t *testing.T) {
	item := Item{Value: []byte("hash of a password")}
	for _, verb := range []string{"%v", "%+v", "%#v", "%s", "%x", "%q", "%d"} {
		if got := fmt.Sprintf(verb, item); got != "item" {
			t.Errorf("%s writes %s", verb, got)
		}
	}
}

// TestMicros: an instant comes back to the microsecond, rounded down, before
// 1970 too, and never stays never.
func TestMicros(t *testing.T) {
	for _, c := range []struct{ in, out string }{
		{"2027-03-04T11:10:00.123456999Z", "2027-03-04T11:10:00.123456Z"},
		{"2027-03-04T12:10:00+01:00", "2027-03-04T11:10:00Z"},
		{"1969-12-31T23:59:59.9999999Z", "1969-12-31T23:59:59.999999Z"},
		{"9999-12-31T23:59:59Z", "9999-12-31T23:59:59Z"},
	} {
		in, err := time.Parse(time.RFC3339Nano, c.in)
		if err != nil {
			t.Fatal(err)
		}
		micros, ok := Micros(in)
		if got := At(micros).Format(time.RFC3339Nano); !ok || got != c.out {
			t.Errorf("%s came back as %s, want %s", c.in, got, c.out)
		}
	}
	if _, ok := Micros(time.Time{}); ok {
		t.Error("never became an instant")
	}
}
