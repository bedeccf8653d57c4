package secret

import (
	"encoding/base64"
	"encoding/json"
	"fmt"
	"strings"
	"testing"
)

func b64(b []byte) string { return base64.RawStdEncoding.EncodeToString(b) }

var (
	salt16 = b64([]byte("0123456789abcdef"))
	hash32 = b64([]byte("0123456789abcdef0123456789ABCDEF"))
	plain  = "$argon2id$v=19$m=64,t=1,p=1$" + salt16 + "$" + hash32
)

func TestParse(t *testing.T) {
	for _, text := range []string{plain, "$hmac-sha256$0a1b2c3d" + plain} {
		if s, ok := parse(text); !ok || s.String() != text || s.params != quick || !s.full || (s.keyID == "0a1b2c3d") != (text != plain) {
			t.Errorf("%s: %+v, %v", text, s, ok)
		}
	}
}

// Damaged, foreign, or out of bounds: refused, before any memory is taken.
func TestParseRefuses(t *testing.T) {
	with := func(params, salt, hash string) string { return "$argon2id$v=19$" + params + "$" + salt + "$" + hash }
	ok := "m=64,t=1,p=1"
	for _, text := range []string{
		"x", "$", "$$$$$", "nine green lamps", plain[1:], plain + "$", plain + "=", plain + "\n", " " + plain, plain[:len(plain)-1],
		strings.Replace(plain, "argon2id", "argon2i", 1), strings.Replace(plain, "v=19", "v=16", 1), strings.Replace(plain, "v=19", "v=19x", 1),
		with("m=64,t=0,p=1", salt16, hash32), with("m=64,t=1,p=0", salt16, hash32), with("m=0,t=1,p=1", salt16, hash32),
		with("m=7,t=1,p=1", salt16, hash32), with("m=64,t=1,p=9", salt16, hash32), with("m=64,t=17,p=1", salt16, hash32),
		with("m=262145,t=1,p=1", salt16, hash32), with("m=4294967295,t=1,p=1", salt16, hash32), with("m=4294967296,t=1,p=1", salt16, hash32),
		with("m=64,t=1,p=256", salt16, hash32), with("m=64,t=1,p=1,x=1", salt16, hash32), with("m=064,t=1,p=1", salt16, hash32),
		with("m=+64,t=1,p=1", salt16, hash32), with("t=1,m=64,p=1", salt16, hash32), with("m=64, t=1,p=1", salt16, hash32),
		with(ok, "", hash32), with(ok, b64([]byte("seven..")), hash32), with(ok, b64(make([]byte, 65)), hash32),
		with(ok, salt16, ""), with(ok, salt16, b64(make([]byte, 15))), with(ok, salt16, b64(make([]byte, 65))),
		with(ok, salt16, hash32[:len(hash32)-1]+"Z"), with(ok, "!"+salt16[1:], hash32), with(ok, salt16[:9]+"\n"+salt16[9:], hash32),
		"$hmac-sha256$" + plain, "$hmac-sha256$0a1b2c3" + plain, "$hmac-sha256$0A1B2C3D" + plain, "$hmac-sha256$0a1b2c3d4" + plain,
		"$hmac-sha256$0a1b2c3d", "$hmac-sha256$0a1b2c3d$hmac-sha256$0a1b2c3d" + plain,
	} {
		if s, ok := parse(text); ok {
			t.Errorf("%q: %+v", text, s)
		}
		if got, err := keeper(t, Options{}).Check(t.Context(), "nine green lamps", text); got != (Result{}) || codeOf(t, err) != CodeStored {
			t.Errorf("%q: %+v, %v", text, got, err)
		}
	}
}

// Shorter salts and other lengths than ours are read, and renewed.
func TestOtherLengths(t *testing.T) {
	for _, text := range []string{
		"$argon2id$v=19$m=64,t=1,p=1$" + b64([]byte("somesalt")) + "$" + hash32,
		"$argon2id$v=19$m=64,t=1,p=1$" + salt16 + "$" + b64(make([]byte, 64)),
	} {
		if s, ok := parse(text); !ok || s.full {
			t.Errorf("%s: %+v, %v", text, s, ok)
		}
	}
}

func TestKey(t *testing.T) {
	if _, err := NewKey([32]byte{}); codeOf(t, err) != CodeKey {
		t.Errorf("a key of nothing: %v", err)
	}
	k, err := NewKey([32]byte([]byte("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdef")))
	if err != nil {
		t.Fatal(err)
	}
	for _, text := range []string{fmt.Sprint(k, *k), fmt.Sprintf("%v %+v %#v %s %q %x %d", k, k, k, k, k, k, *k), fmt.Sprintf("%+v", Options{Key: k})} {
		if strings.Contains(text, "ABC") || strings.Contains(text, "4142") || strings.Contains(text, "65 66") {
			t.Errorf("%s", text)
		}
	}
	if b, err := json.Marshal([]any{k, *k}); err != nil || string(b) != "[{},{}]" {
		t.Errorf("%s, %v", b, err)
	}
	other := key(t, 2)
	if k.id() == other.id() || len(k.id()) != keyDigits {
		t.Errorf("%s, %s", k.id(), other.id())
	}
}

// What is read is written again with the same bytes, and is within bounds.
func FuzzParse(f *testing.F) {
	f.Add(plain)
	f.Add("$hmac-sha256$0a1b2c3d" + plain)
	f.Add("$argon2id$v=19$m=65536,t=2,p=1$c29tZXNhbHQ$" + hash32)
	f.Add("$argon2id$v=19$m=4294967295,t=1,p=255$$")
	f.Fuzz(func(t *testing.T, text string) {
		s, ok := parse(text)
		if !ok {
			return
		}
		if s.String() != text || !s.params.usable() || len(text) > 300 {
			t.Fatalf("%q is read as %+v", text, s)
		}
	})
}
