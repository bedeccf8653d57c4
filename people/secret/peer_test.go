package secret

import (
	"bytes"
	"encoding/hex"
	"encoding/json"
	"os"
	"os/exec"
	"strings"
	"testing"
)

const python = "/usr/bin/python3"

// script works with the reference implementation in C (Debian: libargon2-1)
// and Python's own Unicode tables and HMAC. It tells for each hash whether the
// secret is right, and makes a hash of its own.
const script = `
import ctypes, hashlib, hmac, json, sys, unicodedata
lib = ctypes.CDLL("libargon2.so.1")
size, word, text = ctypes.c_size_t, ctypes.c_uint32, ctypes.c_char_p
lib.argon2id_verify.argtypes = [text, text, size]
lib.argon2id_hash_encoded.argtypes = [word, word, word, text, size, text, size, size, text, size]
def given(secret, key):
    s = unicodedata.normalize("NFKC", secret).encode()
    return hmac.new(bytes.fromhex(key), s, hashlib.sha256).digest() if key else s
out = []
for q in json.load(sys.stdin):
    s, kept, mark = given(q["secret"], q["key"]), q["kept"], ""
    if q["key"]:
        mark = "$hmac-sha256$" + hmac.new(bytes.fromhex(q["key"]), b"vialwright secret key", hashlib.sha256).hexdigest()[:8]
        assert kept.startswith(mark), kept
        kept = kept[len(mark):]
    right = lib.argon2id_verify(kept.encode(), s, len(s)) == 0
    wrong = lib.argon2id_verify(kept.encode(), s + b"x", len(s) + 1) == 0
    salt, buf = b"a salt of theirs", ctypes.create_string_buffer(200)
    assert lib.argon2id_hash_encoded(2, 128, 2, s, len(s), salt, len(salt), 32, buf, 200) == 0
    out.append({"right": right, "wrong": wrong, "theirs": mark + buf.value.decode()})
json.dump(out, sys.stdout)
`

// Each side's hashes against the other, with and without a key, in the
// parameters in use: right and wrong agree exactly.
func TestPeerReferenceImplementation(t *testing.T) {
	if err := exec.Command(python, "-c", `import ctypes; ctypes.CDLL("libargon2.so.1")`).Run(); err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("%s with libargon2.so.1 is needed in CI (Debian: libargon2-1): %v", python, err)
		}
		t.Skipf("%s with libargon2.so.1 is not here (Debian: libargon2-1): %v", python, err)
	}
	type question struct {
		Secret string `json:"secret"`
		Key    string `json:"key"`
		Kept   string `json:"kept"`
	}
	var keepers []*Keeper
	var questions []question
	site := key(t, 7)
	for _, p := range []Params{RFC9106(), OWASP(), quick, {64, 3, 2}} {
		for _, site := range []*Key{nil, site} {
			k := keeper(t, Options{Params: p, Key: site})
			for _, s := range []string{"nine green lamps", "e\u0301te\u0301 \uff11\ufb01 \u212b", "四つの言葉", "7391", strings.Repeat("\U0001F9EA", 30)} {
				if p.KiB > 1024 && (site != nil || s != "nine green lamps") {
					continue // half a second each
				}
				kept, err := k.Hash(t.Context(), s)
				if err != nil {
					t.Fatal(err)
				}
				q := question{s, "", kept}
				if site != nil {
					q.Key = hex.EncodeToString(site.bits[:])
				}
				keepers, questions = append(keepers, k), append(questions, q)
			}
		}
	}
	input, err := json.Marshal(questions)
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(python, "-c", script)
	cmd.Stdin, cmd.Stderr = bytes.NewReader(input), os.Stderr
	output, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	var answers []struct {
		Right, Wrong bool
		Theirs       string
	}
	if err := json.Unmarshal(output, &answers); err != nil || len(answers) != len(questions) {
		t.Fatalf("%d answers to %d questions: %v", len(answers), len(questions), err)
	}
	for i, a := range answers {
		q := questions[i]
		if !a.Right || a.Wrong {
			t.Errorf("%q, %s: they say %+v", q.Secret, q.Kept, a)
		}
		if got, err := keepers[i].Check(t.Context(), q.Secret, a.Theirs); err != nil || got != (Result{Right: true, Renew: true}) {
			t.Errorf("%q, %s: we say %+v, %v", q.Secret, a.Theirs, got, err)
		}
		if got, err := keepers[i].Check(t.Context(), q.Secret+"x", a.Theirs); err != nil || got.Right {
			t.Errorf("%qx, %s: we say %+v, %v", q.Secret, a.Theirs, got, err)
		}
	}
}
