package accounts

import (
	"context"
	"encoding/base32"
	"strings"

	"vialwright/people"
)

// FirstPassword makes a first password of 80 random bits in fours: long enough for
// the rules, short enough to be read from a screen once.
func FirstPassword(random [10]byte) string {
	s := strings.ToLower(base32.StdEncoding.EncodeToString(random[:]))
	return s[:4] + "-" + s[4:8] + "-" + s[8:12] + "-" + s[12:]
}

// GiveFirst keeps a first password for an account, ends its sessions, and forgets its
// failures. That it was given is an entry of the journal, made before.
func (s *Store) GiveFirst(ctx context.Context, id, password string) error {
	hash, err := s.hash(ctx, id, Password, password)
	if err != nil {
		return err
	}
	err = s.change(ctx, id, func(r *row) error {
		r.Password, r.First = hash, given
		r.Era++
		return nil
	})
	for _, k := range []Kind{Password, PIN} {
		if err == nil {
			err = s.forget(ctx, id, k)
		}
	}
	return err
}

// Begin keeps the password and the PIN that somebody chose for a new account of their
// own. It refuses what package people refuses of either. keep is called in between,
// once both are known to be good, and makes the account.
func (s *Store) Begin(ctx context.Context, p people.Person, password, pin string, keep func() error) error {
	if err := people.CheckPassword(password, p.ID, p.Name); err != nil {
		return err
	}
	if err := people.CheckPIN(pin, p.ID, p.Name); err != nil {
		return err
	}
	word, err := s.hash(ctx, p.ID, Password, password)
	if err != nil {
		return err
	}
	digits, err := s.hash(ctx, p.ID, PIN, pin)
	if err != nil {
		return err
	}
	if err := keep(); err != nil {
		return err
	}
	return s.change(ctx, p.ID, func(r *row) error { *r = row{ID: p.ID, Password: word, PIN: digits}; return nil })
}

// Choose keeps a new password or PIN that a person chose. old is the password now,
// which is not asked of who has just used a first password. It refuses what Confirm
// refuses of old, and what package people refuses of the new one.
func (s *Store) Choose(ctx context.Context, id string, k Kind, old, chosen string, at Place) error {
	a, known, err := s.Account(ctx, id)
	if err != nil {
		return err
	}
	if !known {
		return noAccount(id)
	}
	if a.row.First != used || k == PIN {
		if err := s.Confirm(ctx, id, old, Password, at); err != nil {
			return err
		}
	}
	if err := s.good(ctx, a, k, chosen); err != nil {
		return err
	}
	hash, err := s.hash(ctx, id, k, chosen)
	if err != nil {
		return err
	}
	err = s.change(ctx, id, func(r *row) error {
		if *r.kept(k) = hash; k == Password {
			r.First = own
			r.Era++ // anyone who knew the old one is out
		}
		return nil
	})
	if err != nil {
		return err
	}
	return s.forget(ctx, id, k)
}

// good refuses a secret that must not be chosen: a password that is the one before,
// which somebody else may have given, too.
func (s *Store) good(ctx context.Context, a Account, k Kind, chosen string) error {
	if k == PIN {
		return people.CheckPIN(chosen, a.ID, a.Name)
	}
	if err := people.CheckPassword(chosen, a.ID, a.Name); err != nil || a.row.Password == "" {
		return err
	}
	same, err := s.keeper(k).Of(a.ID, string(k)).Check(ctx, chosen, a.row.Password)
	if err == nil && same.Right {
		err = &people.Error{Code: people.CodeRepeats, Msg: "the password is the same as before", Hint: "choose another"}
	}
	return err
}
