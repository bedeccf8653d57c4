package people

import (
	"crypto/sha256"
	"encoding/base64"
	"fmt"
)

// Token is what a browser shows to go on with a session: 256 random bits. It
// prints as "token", so that it gets into no log; its text is [Token.Text].
type Token struct{ bits [32]byte }

// NewToken makes a token of 32 bytes from a cryptographic source. It panics
// when they are all zero: the source was not asked.
func NewToken(random [32]byte) Token {
	if random == [32]byte{} {
		panic("people: a token needs random bytes")
	}
	return Token{random}
}

// Text is the token as a cookie holds it: 43 characters of base64url (RFC
// 4648, section 5), without padding.
func (t Token) Text() string { return base64.RawURLEncoding.EncodeToString(t.bits[:]) }

// ParseToken reads what [Token.Text] gives. Anything else is refused with
// [CodeToken]; the text is not repeated.
func ParseToken(text string) (Token, error) {
	bits, err := base64.RawURLEncoding.Strict().DecodeString(text)
	if err != nil || len(bits) != 32 || len(text) != 43 || [32]byte(bits) == [32]byte{} {
		return Token{}, refuse(CodeToken, "this is not the token of a session", "sign in")
	}
	return Token{[32]byte(bits)}, nil
}

// Hash is the SHA-256 of the token, under which its session is kept: anyone who
// reads the store cannot go on with a session. The token is random and as
// long as its hash, so it needs no salt and no slow hash.
func (t Token) Hash() [32]byte { return sha256.Sum256(t.bits[:]) }

// Format writes "token" for every verb.
func (t Token) Format(f fmt.State, _ rune) { f.Write([]byte("token")) }
