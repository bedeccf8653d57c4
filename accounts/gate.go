package accounts

import (
	"context"

	"vialwright/people"
	"vialwright/people/secret"
)

// Kind is which of the two secrets of an account it is.
type Kind string

// The kinds.
const (
	Password Kind = "password"
	PIN      Kind = "pin"
)

// Codes of a people.Error of this package.
const (
	CodeWrong = "wrong" // the id, the password, the PIN or the account
	CodeUsed  = "used"  // the first password was used already
)

// wrong is the one answer to a wrong id, secret or account: it does not say which.
func wrong(k Kind) error {
	if k == PIN {
		return &people.Error{Code: CodeWrong, Msg: "that is not right", Hint: "check the PIN"}
	}
	return &people.Error{Code: CodeWrong, Msg: "that is not right", Hint: "check the id and the password, and that capitals are not locked"}
}

func (s *Store) keeper(k Kind) *secret.Keeper {
	if k == PIN {
		return s.PINs
	}
	return s.Passwords
}

func lockout(k Kind) people.Lockout {
	if k == PIN {
		return people.PINLockout()
	}
	return people.PasswordLockout()
}

func (r *row) kept(k Kind) *string {
	if k == PIN {
		return &r.PIN
	}
	return &r.Password
}

func (s *Store) hash(ctx context.Context, id string, k Kind, typed string) (string, error) {
	return s.keeper(k).Of(id, string(k)).Hash(ctx, typed)
}

// Confirm compares a secret with that of an account. Errors: what the lock-out of the
// place refuses; [CodeWrong]; those of package secret, which count as no failure.
func (s *Store) Confirm(ctx context.Context, id, typed string, k Kind, at Place) error {
	known, err := s.knows(ctx, id, at)
	if err != nil {
		return err
	}
	a, found, err := s.Account(ctx, id)
	if err != nil {
		return err
	}
	if a.foreign {
		return foreign()
	}
	kept, place := *a.row.kept(k), at.name(known)
	if !found || !a.Active {
		kept = ""
	}
	if found {
		done, err := s.try(ctx, id, k, place)
		if err != nil {
			return err
		}
		defer done()
	}
	ctx = context.WithoutCancel(ctx) // what fails is counted in any case
	result, err := s.keeper(k).Of(id, string(k)).Check(ctx, typed, kept)
	switch {
	case err != nil:
		return err
	case kept != "" && result.Right:
		return s.right(ctx, id, typed, k, place, result.Renew)
	case found:
		failed := func(t people.Tries) people.Tries { return t.Failed(s.Clock()) }
		if err := s.count(ctx, id, k, place, failed); err != nil {
			return err
		}
	}
	return wrong(k)
}

// right forgets the failures, and hashes again what was hashed the old way. The
// password forgets those of the PIN too. Where nothing had failed nothing is written.
func (s *Store) right(ctx context.Context, id, typed string, k Kind, place string, renew bool) error {
	if err := s.count(ctx, id, k, place, func(people.Tries) people.Tries { return people.Tries{} }); err != nil {
		return err
	}
	if k == Password {
		if err := s.forget(ctx, id, PIN); err != nil {
			return err
		}
	}
	if !renew {
		return nil
	}
	hash, err := s.hash(ctx, id, k, typed)
	if err != nil {
		return nil // it is renewed another time
	}
	return s.change(ctx, id, func(r *row) error { *r.kept(k) = hash; return nil })
}

// SignIn compares the password of who signs in. Errors: those of Confirm; what too many
// failures from the address refuse; what people.May refuses of signing in; and
// [CodeUsed] for a first password that was used.
func (s *Store) SignIn(ctx context.Context, id, password string, at Place) (Account, error) {
	known, err := s.knows(ctx, id, at)
	if err != nil {
		return Account{}, err
	}
	if !known {
		if err := s.Held(at); err != nil {
			return Account{}, err
		}
	}
	if err := s.Confirm(ctx, id, password, Password, at); err != nil {
		if e, refused := err.(*people.Error); refused && e.Code == CodeWrong && !known {
			s.Failed(at)
		}
		return Account{}, err
	}
	a, found, err := s.Account(ctx, id)
	switch {
	case err != nil:
		return Account{}, err
	case !found:
		return Account{}, wrong(Password)
	}
	if err := people.May(a.Person, people.SignIn); err != nil {
		return Account{}, err
	}
	if err := s.use(ctx, a); err != nil {
		return Account{}, err
	}
	return a, s.remember(ctx, id, at)
}

// use takes a first password for its one sign-in.
func (s *Store) use(ctx context.Context, a Account) error {
	if a.row.First == own {
		return nil
	}
	return s.change(ctx, a.ID, func(r *row) error {
		if r.First == used {
			return &people.Error{Code: CodeUsed, Msg: "this first password was used for its one sign-in", Hint: "an administrator gives you another, and you choose one of your own at once"}
		}
		if r.First == given {
			r.First = used
		}
		return nil
	})
}

// Sign asks for the signature of a person: the PIN, or the password of one who has
// none.
func (s *Store) Sign(ctx context.Context, a Account, typed string, at Place) error {
	if a.HasPIN {
		return s.Confirm(ctx, a.ID, typed, PIN, at)
	}
	return s.Confirm(ctx, a.ID, typed, Password, at)
}
