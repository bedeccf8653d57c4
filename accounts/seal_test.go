package accounts_test

import (
	"encoding/hex"
	"testing"

	"vialwright/accounts"
	"vialwright/people"
	"vialwright/people/secret"
	"vialwright/store/vault"
	"vialwright/store/vault/vaulttest"
)

// What somebody writes into the store past the site's key opens nothing: no account and
// no session, whether made up, copied to another place, sealed with another key, or of
// before rows were sealed. A first password makes such an account good again.
func TestSeal(t *testing.T) {
	ctx := t.Context()
	key := func(n byte) *secret.Key {
		k, err := secret.NewKey([32]byte{n})
		if err != nil {
			t.Fatal(err)
		}
		return k
	}
	token := func(n byte) people.Token { return people.NewToken([32]byte{n}) }
	lies := func(hash [32]byte) string { return hex.EncodeToString(hash[:]) }
	for _, c := range []struct {
		what  string
		by    *secret.Key
		id    string // whose row, and with which token the session is one
		token byte
		alter func([]byte)
		good  bool
	}{
		{"its own", key(1), "RP1", 2, nil, true},
		{"of before rows were sealed", nil, "RP1", 2, nil, false},
		{"sealed with another key", key(9), "RP1", 2, nil, false},
		{"copied from another place", key(1), "NT1", 3, nil, false},
		{"with a bit changed", key(1), "RP1", 2, func(b []byte) { b[20] ^= 1 }, false},
		{"with a bit of the seal changed", key(1), "RP1", 2, func(b []byte) { b[len(b)-1] ^= 1 }, false},
		{"half of it zero", key(1), "RP1", 2, func(b []byte) { clear(b[:len(b)-10]) }, false},
	} {
		from, s := siteWith(t, &vaulttest.Memory{}, c.by), siteWith(t, &vaulttest.Memory{}, key(1))
		if err := from.BeginSession(ctx, people.Open(token(c.token), "RP1", false, s.now), people.DefaultLimits()); err != nil {
			t.Fatal(err)
		}
		for _, at := range []struct {
			shelf    vault.Shelf
			from, to string
		}{{vault.Secrets, c.id, "RP1"}, {vault.Sessions, lies(token(c.token).Hash()), lies(token(2).Hash())}} {
			item, err := from.vault.Get(ctx, s.now, at.shelf, at.from)
			if err != nil || item.Version == 0 {
				t.Fatalf("nothing lies under %s: %v", at.from, err)
			}
			if c.alter != nil {
				c.alter(item.Value)
			}
			item.Version = vault.Any
			if _, err := s.vault.Put(ctx, s.now, at.shelf, at.to, item); err != nil {
				t.Fatal(err)
			}
		}
		want := accounts.CodeForeign
		if c.good {
			want = ""
		}
		s.signsIn(c.what, "RP1", word, at("192.0.2.1"), want)
		if _, found, err := s.Session(ctx, token(2).Hash()); found != c.good || err != nil {
			t.Errorf("a session %s is there: %v (%v)", c.what, found, err)
		}
		const first = "ab12-cd34-ef56-gh78"
		if err := s.GiveFirst(ctx, "RP1", first); err != nil {
			t.Fatal(err)
		}
		s.signsIn(c.what+", after a first password", "RP1", first, at("192.0.2.1"), "")
	}
}
