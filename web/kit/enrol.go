package kit

import (
	"context"
	"errors"
	"time"

	"vialwright/people"
	"vialwright/store/vault"
)

// Enrol makes accounts that share one password and one PIN, given as hashes.
// It is how a practice laboratory begins, and refuses a vault that holds
// accounts already.
func Enrol(ctx context.Context, v vault.Vault, clock func() time.Time, who []people.Person, password, pin string) error {
	s := &accountStore{vault: v, clock: clock}
	return s.changeAccounts(ctx, func(all []Account) ([]Account, error) {
		if len(all) > 0 {
			return nil, errors.New("web: there are accounts already")
		}
		for _, p := range who {
			if err := p.Check(); err != nil {
				return nil, err
			}
			all = append(all, Account{Person: p, Password: password, PIN: pin})
		}
		return all, nil
	})
}

// CopyAccounts copies what opens accounts into a vault that has none, and tells
// how many those are. Sessions and half-typed forms stay where they are. The hashes
// are of use with the site's key alone, which lies elsewhere.
func CopyAccounts(ctx context.Context, from, to vault.Vault, clock func() time.Time) (int, error) {
	item, err := from.Get(ctx, clock(), vault.Secrets, rosterKey)
	if err != nil || item.Version == 0 {
		return 0, err
	}
	if _, err := to.Put(ctx, clock(), vault.Secrets, rosterKey, vault.Item{Value: item.Value}); err != nil {
		return 0, err
	}
	return Enrolled(ctx, to, clock)
}

// Enrolled says how many accounts a vault holds.
func Enrolled(ctx context.Context, v vault.Vault, clock func() time.Time) (int, error) {
	all, err := (&accountStore{vault: v, clock: clock}).accounts(ctx)
	return len(all), err
}
