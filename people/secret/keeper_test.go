package secret

import (
	"context"
	"encoding/hex"
	"errors"
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// quick makes hashes that cost next to nothing.
var quick = Params{64, 1, 1}

func keeper(t interface{ Fatal(...any) }, o Options) *Keeper {
	if o.Params == (Params{}) {
		o.Params = quick
	}
	k, err := New(o)
	if err != nil {
		t.Fatal(err)
	}
	return k
}

func key(t interface{ Fatal(...any) }, b byte) *Key {
	k, err := NewKey([32]byte{b, 31: 1})
	if err != nil {
		t.Fatal(err)
	}
	return k
}

func codeOf(t interface{ Fatalf(string, ...any) }, err error) string {
	if err == nil {
		return ""
	}
	var e *Error
	if !errors.As(err, &e) || e.Code == "" || e.Msg == "" {
		t.Fatalf("%#v is not a whole *Error", err)
	}
	return e.Code
}

// src/test.c of the reference implementation (P-H-C/phc-winner-argon2),
// Argon2id, version 0x13: exact, as a hash agrees or does not. The test
// vectors of RFC 9106, 5.3, use a secret and associated data, which the library
// does not take.
func TestReferenceVectors(t *testing.T) {
	for _, v := range []struct {
		t, m, p            int
		password, salt, in string
	}{
		{2, 256, 1, "password", "c29tZXNhbHQ", "9dfeb910e80bad0311fee20f9c0e2b12c17987b4cac90c2ef54d5b3021c68bfe"},
		{2, 256, 2, "password", "c29tZXNhbHQ", "6d093c501fd5999645e0ea3bf620d7b8be7fd2db59c20d9fff9539da2bf57037"},
		{2, 65536, 1, "password", "c29tZXNhbHQ", "09316115d5cf24ed5a15a31a3ba326e5cf32edc24702987c02b6566f61913cf7"},
		{1, 65536, 1, "password", "c29tZXNhbHQ", "f6a5adc1ba723dddef9b5ac1d464e180fcd9dffc9d1cbf76cca2fed795d9ca98"},
		{2, 65536, 1, "differentpassword", "c29tZXNhbHQ", "0b84d652cf6b0c4beaef0dfe278ba6a80df6696281d7e0d2891b817d8c458fde"},
		{2, 65536, 1, "password", "ZGlmZnNhbHQ", "bdf32b05ccc42eb15d58fd19b1f856b113da1e9a5874fdcc544308565aa8141c"},
	} {
		h, err := hex.DecodeString(v.in)
		if err != nil {
			t.Fatal(err)
		}
		kept := fmt.Sprintf("$argon2id$v=19$m=%d,t=%d,p=%d$%s$%s", v.m, v.t, v.p, v.salt, b64(h))
		k := keeper(t, Options{})
		got, err := k.Check(t.Context(), v.password, kept)
		if err != nil || got != (Result{Right: true, Renew: true}) {
			t.Errorf("%s: %+v, %v", kept, got, err)
		}
		if v.m > 256 {
			continue // half a second each
		}
		if got, err := k.Check(t.Context(), v.password+"s", kept); err != nil || got != (Result{}) {
			t.Errorf("%s with another password: %+v, %v", kept, got, err)
		}
	}
}

func TestParameters(t *testing.T) {
	if got, want := RFC9106(), (Params{1 << 16, 3, 4}); got != want {
		t.Errorf("RFC 9106: %+v, want %+v", got, want)
	}
	if got, want := OWASP(), (Params{19 << 10, 2, 1}); got != want {
		t.Errorf("OWASP: %+v, want %+v", got, want)
	}
	k, err := New(Options{})
	if err != nil || k.params != RFC9106() || cap(k.gate.places) != 2 || k.key != nil {
		t.Errorf("the default is %+v, %v", k, err)
	}
	for _, p := range []Params{{8, 1, 1}, {256 * 1024, 16, 16}, {32, 1, 4}} {
		if _, err := New(Options{Params: p}); err != nil {
			t.Errorf("%+v: %v", p, err)
		}
	}
	for _, p := range []Params{{7, 1, 1}, {31, 1, 4}, {64, 0, 1}, {64, 1, 0}, {64, 17, 1}, {1024, 1, 17}, {256*1024 + 1, 1, 1}, {1 << 31, 1, 255}} {
		if _, err := New(Options{Params: p}); codeOf(t, err) != CodeParams {
			t.Errorf("%+v: %v", p, err)
		}
	}
}

// What was hashed is right, whatever it is, and nothing else is; with and
// without a key; and no two hashes of it are the same.
func TestHashCheck(t *testing.T) {
	keepers := []*Keeper{keeper(t, Options{}), keeper(t, Options{Key: key(t, 1)})}
	ctx := t.Context()
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.SampledFrom(keepers).Draw(t, "keeper")
		s := rapid.StringN(1, 40, -1).Draw(t, "secret")
		other := rapid.StringN(1, 40, -1).Draw(t, "other")
		kept, err := k.Hash(ctx, s)
		if err != nil {
			t.Fatal(err)
		}
		again, err := k.Hash(ctx, s)
		if err != nil || again == kept {
			t.Fatalf("the same twice: %v", err)
		}
		if got, err := k.Check(ctx, s, kept); err != nil || got != (Result{Right: true}) {
			t.Fatalf("%q: %+v, %v", s, got, err)
		}
		a, _ := k.input("", s)
		b, _ := k.input("", other)
		if got, err := k.Check(ctx, other, kept); err != nil || got.Right != (a == b) {
			t.Fatalf("%q for %q: %+v, %v", other, s, got, err)
		}
	})
}

// Unicode Standard Annex 15: an accent may be typed in one piece or in two, a
// figure in full width; capital letters and spaces stay what they are.
func TestNormalForm(t *testing.T) {
	k := keeper(t, Options{})
	for _, c := range []struct {
		kept, typed string
		right       bool
	}{
		{"\u00e9t\u00e9", "e\u0301te\u0301", true},
		{"e\u0301", "\u00e9", true},
		{"\u212b", "\u00c5", true},
		{"1234", "１２３４", true},
		{"\ufb01", "fi", true},
		{"\u00e9", "e", false},
		{"Word", "word", false},
		{"word ", "word", false},
		{"two  words", "two words", false},
	} {
		kept, err := k.Hash(t.Context(), c.kept)
		if err != nil {
			t.Fatal(err)
		}
		if got, err := k.Check(t.Context(), c.typed, kept); err != nil || got.Right != c.right {
			t.Errorf("%q for %q: %+v, %v", c.typed, c.kept, got, err)
		}
	}
}

func TestWhatIsNotHashed(t *testing.T) {
	k := keeper(t, Options{Key: key(t, 1)})
	kept, err := k.Hash(t.Context(), strings.Repeat("x", 1024))
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range []string{"", "\xff", strings.Repeat("x", 1025)} {
		if _, err := k.Hash(t.Context(), s); codeOf(t, err) != CodeText {
			t.Errorf("%.9q: %v", s, err)
		}
		if got, err := k.Check(t.Context(), s, kept); err != nil || got != (Result{}) {
			t.Errorf("%.9q: %+v, %v", s, got, err)
		}
	}
}

// A hash with other parameters, lengths or without the key goes on working,
// and is to be renewed; one with a key that is not at hand is nobody's fault.
func TestRenew(t *testing.T) {
	one, two := key(t, 1), key(t, 2)
	hash := func(o Options) string {
		kept, err := keeper(t, o).Hash(t.Context(), "nine green lamps")
		if err != nil {
			t.Fatal(err)
		}
		return kept
	}
	for _, c := range []struct {
		what     string
		by, with Options
		want     Result
		code     string
	}{
		{"the same", Options{}, Options{}, Result{true, false}, ""},
		{"the same, with a key", Options{Key: one}, Options{Key: one}, Result{true, false}, ""},
		{"more memory", Options{}, Options{Params: Params{128, 1, 1}}, Result{true, true}, ""},
		{"less memory", Options{Params: Params{128, 1, 1}}, Options{}, Result{true, true}, ""},
		{"more passes", Options{}, Options{Params: Params{64, 2, 1}}, Result{true, true}, ""},
		{"more lanes", Options{}, Options{Params: Params{64, 1, 2}}, Result{true, true}, ""},
		{"a key since", Options{}, Options{Key: one}, Result{true, true}, ""},
		{"the key is gone", Options{Key: one}, Options{}, Result{}, CodeKey},
		{"another key", Options{Key: one}, Options{Key: two}, Result{}, CodeKey},
	} {
		kept := hash(c.by)
		k := keeper(t, c.with)
		got, err := k.Check(t.Context(), "nine green lamps", kept)
		if got != c.want || codeOf(t, err) != c.code {
			t.Errorf("%s: %+v, %v", c.what, got, err)
		}
		got, err = k.Check(t.Context(), "nine green camps", kept)
		if got != (Result{}) || codeOf(t, err) != c.code {
			t.Errorf("%s, and wrong: %+v, %v", c.what, got, err)
		}
		if err != nil && (strings.Contains(err.Error(), "green") || strings.Contains(err.Error(), "argon2id")) {
			t.Errorf("%v says too much", err)
		}
	}
}

// Where nobody is known by the name, a hash is made all the same, and every
// secret is wrong.
func TestNobody(t *testing.T) {
	k := keeper(t, Options{})
	for _, s := range []string{"nobody", "", "nine green lamps"} {
		if got, err := k.Check(t.Context(), s, ""); err != nil || got != (Result{}) {
			t.Errorf("%q: %+v, %v", s, got, err)
		}
	}
}

// All that takes memory goes through the gate.
func TestBusy(t *testing.T) {
	gate := NewGate(1)
	k := keeper(t, Options{Gate: gate})
	kept, err := k.Hash(t.Context(), "nine green lamps")
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	err = gate.pass(t.Context(), func() {
		cancel()
		_, err := k.Hash(ctx, "nine green lamps")
		if codeOf(t, err) != CodeBusy || !errors.Is(err, context.Canceled) {
			t.Errorf("Hash: %v", err)
		}
		for _, kept := range []string{kept, ""} {
			got, err := k.Check(ctx, "nine green lamps", kept)
			if got != (Result{}) || codeOf(t, err) != CodeBusy || !errors.Is(err, context.Canceled) {
				t.Errorf("Check: %+v, %v", got, err)
			}
		}
	})
	if err != nil {
		t.Fatal(err)
	}
}

// A hash opens the account and the secret that it was made for, and no other: not
// where it is copied to another row, nor with another key. One that says of
// nobody whose it is opens nothing.
func TestBoundToTheAccount(t *testing.T) {
	const word = "nine green lamps"
	for name, key := range map[string]*Key{"with a key": key(t, 1), "without one": nil} {
		k := keeper(t, Options{Key: key})
		kept, err := k.Of("RP1", "password").Hash(t.Context(), word)
		if err != nil {
			t.Fatal(err)
		}
		if got, err := k.Of("RP1", "password").Check(t.Context(), word, kept); !got.Right || got.Renew || err != nil {
			t.Errorf("%s: its own account: %+v, %v", name, got, err)
		}
		for _, other := range []Bound{k.Of("RP2", "password"), k.Of("RP1", "pin"), k.Of("RP1 ", "password"), k.Of("", "RP1")} {
			if got, err := other.Check(t.Context(), word, kept); got.Right || err != nil {
				t.Errorf("%s: %q opens it: %+v, %v", name, other.whose, got, err)
			}
		}
		nobody, err := k.Hash(t.Context(), word)
		if err != nil {
			t.Fatal(err)
		}
		if got, err := k.Of("RP1", "password").Check(t.Context(), word, nobody); got.Right || codeOf(t, err) != CodeUnbound {
			t.Errorf("%s: a hash of nobody: %+v, %v", name, got, err)
		}
		if got, err := k.Check(t.Context(), word, kept); got.Right || codeOf(t, err) != CodeUnbound {
			t.Errorf("%s: as one of nobody: %+v, %v", name, got, err)
		}
		if got, err := k.Of("RP1", "password").Check(t.Context(), word, kept[len(bound):]); got.Right || codeOf(t, err) != CodeUnbound {
			t.Errorf("%s: its mark taken off: %+v, %v", name, got, err)
		}
	}
}

// Hash is that of a secret of no account.
func (k *Keeper) Hash(ctx context.Context, secret string) (string, error) {
	return Bound{k: k}.Hash(ctx, secret)
}

// Check is that of a secret of no account.
func (k *Keeper) Check(ctx context.Context, secret, kept string) (Result, error) {
	return Bound{k: k}.Check(ctx, secret, kept)
}
