package accounts

import (
	"bytes"
	"crypto/hmac"
	"encoding/hex"
	"fmt"

	"vialwright/people"
	"vialwright/store/vault"
)

// CodeForeign is the code of a refusal: what is kept of the account is not by who holds
// the site's key.
const CodeForeign = "foreign"

// foreign is the refusal of an account whose row has no seal of the site's key. It says
// nothing of what was typed, and is no failure.
func foreign() error {
	return &people.Error{
		Code: CodeForeign, Msg: "what is kept of this account does not have the seal of the site's key: it is from before rows were sealed, or was written with another key or past this program",
		Hint: "put the key of the site back in its place if it is another; else an administrator can give a first password, or whoever has the machine in hand with: vialwright admit",
	}
}

// seal is that of an item, and of where it lies, so that it is of no use elsewhere; nil
// for a site without a key.
func (s *Store) seal(shelf vault.Shelf, key string, data []byte) []byte {
	return s.Passwords.Seal(fmt.Sprintf("%s\n%d\n%s\n%s", shelf, len(key), key, data))
}

// sealed is an item as it is kept: with its seal on a line behind it.
func (s *Store) sealed(shelf vault.Shelf, key string, data []byte) []byte {
	seal := s.seal(shelf, key, data)
	if seal == nil {
		return data
	}
	return fmt.Appendf(data, "\n%x", seal)
}

// unsealed is what was sealed; false where it was not, by this site and for this place.
func (s *Store) unsealed(shelf vault.Shelf, key string, value []byte) (data []byte, own bool) {
	at := max(0, bytes.LastIndexByte(value, '\n'))
	seal := s.seal(shelf, key, value[:at])
	if seal == nil {
		return value, true
	}
	mac, err := hex.DecodeString(string(bytes.TrimPrefix(value[at:], []byte("\n"))))
	return value[:at], err == nil && hmac.Equal(mac, seal)
}
