package accounts

import (
	"context"
	"crypto/subtle"
	"encoding/hex"
	"time"

	"vialwright/people"
	"vialwright/store/vault"
)

// CalendarFor is how long an address of a calendar is good.
const CalendarFor = 365 * 24 * time.Hour

// calendar is what is kept of an address: the hash of its token, and not the token.
type calendar struct {
	Hash string
	// Era is that of the account when it was given: what ends every session ends it too.
	Era   int
	Since time.Time
}

// calendarKey is the key of the address of an account. It is no hash of a token.
func calendarKey(id string) string { return "calendar\n" + id }

// GiveCalendar lets whoever has a token read the calendar of an account, in place of who
// could before.
func (s *Store) GiveCalendar(ctx context.Context, a Account, t people.Token) error {
	hash, now := t.Hash(), s.Clock()
	return s.put(ctx, vault.Sessions, calendarKey(a.ID), vault.Any, now.Add(CalendarFor), calendar{hex.EncodeToString(hash[:]), a.Era, now})
}

// WithdrawCalendar lets nobody read the calendar of an account.
func (s *Store) WithdrawCalendar(ctx context.Context, a Account) error {
	return s.Vault.Remove(ctx, vault.Sessions, calendarKey(a.ID), vault.Any)
}

// CalendarSince is since when somebody may read the calendar of an account; zero where
// nobody may.
func (s *Store) CalendarSince(ctx context.Context, a Account) (time.Time, error) {
	c, err := s.calendar(ctx, a)
	return c.Since, err
}

func (s *Store) calendar(ctx context.Context, a Account) (c calendar, err error) {
	_, err = s.get(ctx, vault.Sessions, calendarKey(a.ID), &c)
	if err != nil || c.Era != a.Era || !a.Active {
		return calendar{}, err
	}
	return c, nil
}

// ReadsCalendar tells whether a token opens the calendar of an account. The hashes are
// compared in a time that does not depend on where they differ.
func (s *Store) ReadsCalendar(ctx context.Context, id string, t people.Token) (Account, bool, error) {
	a, known, err := s.Account(ctx, id)
	if err != nil || !known {
		return Account{}, false, err
	}
	c, err := s.calendar(ctx, a)
	if err != nil {
		return Account{}, false, err
	}
	hash := t.Hash()
	same := subtle.ConstantTimeCompare([]byte(c.Hash), []byte(hex.EncodeToString(hash[:]))) == 1
	return a, same && !c.Since.IsZero(), nil
}
