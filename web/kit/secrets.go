package kit

import (
	"context"

	"vialwright/people"
	"vialwright/people/secret"
)

// Wrong is the one answer to a wrong id, password or account: it does not say
// which.
func Wrong(hint string) error {
	return &people.Error{Code: "wrong", Msg: "that is not right", Hint: hint}
}

// credential is which of the two secrets of a person is asked.
type credential struct {
	lock   people.Lockout
	keeper *secret.Keeper
	tries  func(*Account) *people.Tries
	kept   func(*Account) *string
}

// PasswordSecret is the password of a person, as it is asked for.
func (s *Server) PasswordSecret() credential {
	return credential{people.PasswordLockout(), s.Passwords, func(a *Account) *people.Tries { return &a.PasswordTries }, func(a *Account) *string { return &a.Password }}
}

// PINSecret is the PIN of a person, as it is asked for.
func (s *Server) PINSecret() credential {
	return credential{people.PINLockout(), s.PINs, func(a *Account) *people.Tries { return &a.PINTries }, func(a *Account) *string { return &a.PIN }}
}

// Confirm compares a secret with that of an account. A failure is counted
// before the secret is looked at and taken back if it was right, so that many
// tries at the same time are not one. Errors: what the lock-out refuses;
// "wrong"; that of the keeper, which counts as no failure.
func (q *Request) Confirm(id, typed string, s credential) error {
	var kept string
	var before people.Tries
	found := false
	err := q.ChangeAccount(id, func(a *Account) error {
		before = *s.tries(a)
		if err := s.lock.Check(before, q.Wall); err != nil {
			return err
		}
		kept, found = *s.kept(a), a.Active && *s.kept(a) != ""
		*s.tries(a) = before.Failed(q.Wall)
		return nil
	})
	if e, ok := err.(*people.Error); ok && e.Code == people.CodeUnknownPerson {
		err = nil
	}
	if err != nil {
		return err
	}
	if !found {
		kept = ""
	}
	result, err := s.keeper.Check(context.WithoutCancel(q.R.Context()), typed, kept)
	switch {
	case err != nil:
		return q.back(id, s, before, err)
	case !found || !result.Right:
		return Wrong("check it, and that capitals are not locked")
	}
	return q.right(id, typed, s, result.Renew)
}

// back takes the counted failure back, since the secret was not looked at.
func (q *Request) back(id string, s credential, before people.Tries, cause error) error {
	_ = q.ChangeAccount(id, func(a *Account) error { *s.tries(a) = before; return nil }) // the cause is what is told
	return cause
}

// right forgets the failures, and hashes again what was hashed the old way.
// The password makes the failures of the PIN zero too.
func (q *Request) right(id, typed string, s credential, renew bool) error {
	var hash string
	if renew {
		var err error
		if hash, err = s.keeper.Hash(q.R.Context(), typed); err != nil {
			hash = "" // it is renewed another time
		}
	}
	isPassword := s.lock == people.PasswordLockout()
	return q.ChangeAccount(id, func(a *Account) error {
		*s.tries(a) = people.Tries{}
		if isPassword {
			a.PINTries = people.Tries{}
		}
		if hash != "" {
			*s.kept(a) = hash
		}
		return nil
	})
}

// Sign asks for the signature of the person: the PIN, or the password of one
// who has none.
func (q *Request) Sign(typed string) error {
	s := q.PINSecret()
	if q.Who.PIN == "" {
		s = q.PasswordSecret()
	}
	return q.Confirm(q.Who.ID, typed, s)
}
