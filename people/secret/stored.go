package secret

import (
	"crypto/hmac"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"fmt"
	"strings"

	"github.com/alexedwards/argon2id"
)

// Key is the key of the site: 256 random bits that are not kept where the
// hashes are. It prints as "key", so that it gets into no log.
type Key struct{ bits [32]byte }

// NewKey makes a key of 32 bytes. All zero is no key, and refused with
// [CodeKey].
func NewKey(bits [32]byte) (*Key, error) {
	if bits == [32]byte{} {
		return nil, &Error{Code: CodeKey, Msg: "a key of zero bytes is no key", Hint: "make one of 32 random bytes, and keep a copy"}
	}
	return &Key{bits}, nil
}

// id tells which key was used, and nothing else about it.
func (k *Key) id() string { return hex.EncodeToString(k.sum("vialwright secret key")[:4]) }

// sum is HMAC-SHA-256(k, text).
func (k *Key) sum(text string) []byte {
	h := hmac.New(sha256.New, k.bits[:])
	h.Write([]byte(text))
	return h.Sum(nil)
}

// Code is the code of a text by the key: HMAC-SHA-256. Only who has the key can make it. Each
// use begins its texts with a word of its own.
func (k *Key) Code(text string) []byte { return k.sum(text) }

// Format writes "key" for every verb, so that no key gets into a log.
func (k Key) Format(f fmt.State, _ rune) { f.Write([]byte("key")) }

// stored is a hash as it is kept.
type stored struct {
	keyID  string // empty without a key
	phc    string // what the library reads
	params Params
	full   bool // salt and hash are as long as those written today
	bound  bool // the account was hashed before the secret
}

const (
	bound     = "$of-account"
	keyed     = "$hmac-sha256$"
	keyDigits = 8
)

// parse reads what is kept. It accepts what [stored.String] gives, byte for
// byte, and nothing else.
func parse(text string) (stored, bool) {
	var s stored
	text, s.bound = strings.CutPrefix(text, bound)
	s.phc = text
	if rest, ok := strings.CutPrefix(text, keyed); ok {
		if len(rest) < keyDigits || strings.Trim(rest[:keyDigits], "0123456789abcdef") != "" {
			return stored{}, false
		}
		s.keyID, s.phc = rest[:keyDigits], rest[keyDigits:]
	}
	p, salt, hash, err := argon2id.DecodeHash(s.phc)
	if err != nil {
		return stored{}, false
	}
	s.params = Params{p.Memory, p.Iterations, p.Parallelism}
	s.full = len(salt) == saltBytes && len(hash) == hashBytes
	ok := s.params.usable() &&
		leastSalt <= len(salt) && len(salt) <= mostSalt &&
		leastHash <= len(hash) && len(hash) <= mostHash &&
		s.phc == written(s.params, salt, hash)
	return s, ok
}

// written is the form of a hash that the library reads and writes.
func written(p Params, salt, hash []byte) string {
	b64 := base64.RawStdEncoding.EncodeToString
	return fmt.Sprintf("$argon2id$v=19$m=%d,t=%d,p=%d$%s$%s", p.KiB, p.Passes, p.Lanes, b64(salt), b64(hash))
}

// String is the text that is kept.
func (s stored) String() string {
	out := s.phc
	if s.keyID != "" {
		out = keyed + s.keyID + out
	}
	if s.bound {
		out = bound + out
	}
	return out
}
