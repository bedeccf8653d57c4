package web

import (
	"context"

	"vialwright/people"
	"vialwright/people/secret"
)

// wrong is the one answer to a wrong id, password or account: it does not say
// which.
func wrong(hint string) error {
	return &people.Error{Code: "wrong", Msg: "that is not right", Hint: hint}
}

// sort is which of the two secrets of a person is asked.
type sort struct {
	lock   people.Lockout
	keeper *secret.Keeper
	tries  func(*account) *people.Tries
	kept   func(*account) *string
}

func (s *Server) password() sort {
	return sort{people.PasswordLockout(), s.Passwords, func(a *account) *people.Tries { return &a.PasswordTries }, func(a *account) *string { return &a.Password }}
}

func (s *Server) pin() sort {
	return sort{people.PINLockout(), s.PINs, func(a *account) *people.Tries { return &a.PINTries }, func(a *account) *string { return &a.PIN }}
}

// confirm compares a secret with that of an account. A failure is counted
// before the secret is looked at and taken back if it was right, so that many
// tries at the same time are not one. Errors: what the lock-out refuses;
// "wrong"; that of the keeper, which counts as no failure.
func (q *request) confirm(id, typed string, s sort) error {
	var kept string
	var before people.Tries
	found := false
	err := q.change(id, func(a *account) error {
		before = *s.tries(a)
		if err := s.lock.Check(before, q.wall); err != nil {
			return err
		}
		kept, found = *s.kept(a), a.Active && *s.kept(a) != ""
		*s.tries(a) = before.Failed(q.wall)
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
	result, err := s.keeper.Check(context.WithoutCancel(q.r.Context()), typed, kept)
	switch {
	case err != nil:
		return q.back(id, s, before, err)
	case !found || !result.Right:
		return wrong("check it, and that capitals are not locked")
	}
	return q.right(id, typed, s, result.Renew)
}

// back takes the counted failure back, since the secret was not looked at.
func (q *request) back(id string, s sort, before people.Tries, cause error) error {
	_ = q.change(id, func(a *account) error { *s.tries(a) = before; return nil }) // the cause is what is told
	return cause
}

// right forgets the failures, and hashes again what was hashed the old way.
// The password makes the failures of the PIN zero too.
func (q *request) right(id, typed string, s sort, renew bool) error {
	var hash string
	if renew {
		var err error
		if hash, err = s.keeper.Hash(q.r.Context(), typed); err != nil {
			hash = "" // it is renewed another time
		}
	}
	isPassword := s.lock == people.PasswordLockout()
	return q.change(id, func(a *account) error {
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

// sign asks for the signature of the person: the PIN, or the password of one
// who has none.
func (q *request) sign(typed string) error {
	s := q.pin()
	if q.who.PIN == "" {
		s = q.password()
	}
	return q.confirm(q.who.ID, typed, s)
}
