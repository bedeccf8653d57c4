package accounts

import (
	"context"
	"encoding/hex"
	"encoding/json"
	"sync/atomic"
	"time"

	"vialwright/people"
	"vialwright/people/secret"
	"vialwright/store"
	"vialwright/store/vault"
)

// Config is what a [Store] is made of; all of it must be given.
type Config struct {
	Vault vault.Vault
	// Clock gives the time of the machine, which sessions and waits go by.
	Clock func() time.Time
	// Passwords and PINs compare secrets, each at a gate of its own, so that many who
	// sign in keep nobody from signing an entry.
	Passwords, PINs *secret.Keeper
	// People gives an account as the journal has it; false where it has none.
	People func(id string) (people.Person, bool)
}

// Store keeps what opens accounts. It may be used by many goroutines at a time.
type Store struct {
	Config
	addresses addresses
	underWay  underWay
	swept     sweeper
	marked    atomic.Bool
}

// New makes a store.
func New(c Config) *Store {
	return &Store{Config: c, addresses: newAddresses(), underWay: underWay{all: map[string]int{}}}
}

// Account is a person with what the vault has of them.
type Account struct {
	people.Person
	// HasPIN tells that a PIN was chosen; until then the password signs.
	HasPIN bool
	// First tells that the password is one that somebody else gave.
	First bool
	// Era is how often every session was ended: those of an earlier one are over.
	Era int
	row row
	// version is that of the row. foreign tells that the row there is not by this site.
	version int64
	foreign bool
}

// row is what is kept of an account.
type row struct {
	ID string
	// Password and PIN are hashes of package secret; empty for none.
	Password, PIN string
	First         first
	Era           int
}

// first says whether the password is one that somebody else gave.
type first string

const (
	own   first = ""
	given first = "given" // good for one sign-in
	used  first = "used"  // that sign-in has been
)

// Account gives an account by its id; false where the journal has none.
func (s *Store) Account(ctx context.Context, id string) (Account, bool, error) {
	p, known := s.People(id)
	if !known {
		return Account{}, false, nil
	}
	a := Account{Person: p}
	version, err := s.get(ctx, vault.Secrets, id, &a.row)
	if err != nil {
		return Account{}, false, err
	}
	a.foreign = version > 0 && a.row.ID == ""
	if a.row.ID != id { // none, or that of another account
		a.row = row{ID: id}
	}
	a.version, a.HasPIN, a.First, a.Era = version, a.row.PIN != "", a.row.First != own, a.row.Era
	return a, true, nil
}

// change changes the row of an account. Where another was first, change is asked
// again.
func (s *Store) change(ctx context.Context, id string, change func(*row) error) error {
	err := again(func() error {
		a, known, err := s.Account(ctx, id)
		if err != nil {
			return err
		}
		if !known {
			return noAccount(id)
		}
		if err := change(&a.row); err != nil {
			return err
		}
		return s.put(ctx, vault.Secrets, id, a.version, time.Time{}, a.row)
	})
	if err != nil {
		return err
	}
	return s.mark(ctx)
}

// again reads an item, changes it and puts it, once more where another was first.
func again(change func() error) error {
	for {
		if err := change(); store.CodeOf(err) != vault.CodeConflict {
			return err
		}
	}
}

// anyKey is the key of the item that tells that a vault holds a row. It is no id.
const anyKey = "any account"

// mark notes that there is a row.
func (s *Store) mark(ctx context.Context) error {
	if s.marked.Load() {
		return nil
	}
	err := s.put(ctx, vault.Secrets, anyKey, vault.Any, time.Time{}, true)
	s.marked.Store(err == nil)
	return err
}

// Known tells whether a vault holds the row of any account, so that the site's key
// must be there too.
func Known(ctx context.Context, v vault.Vault, now time.Time) (bool, error) {
	item, err := v.Get(ctx, now, vault.Secrets, anyKey)
	return item.Version > 0, err
}

func noAccount(id string) error {
	return &people.Error{Code: people.CodeUnknownPerson, Msg: "there is no account " + id, Hint: "give the id that the person signs in with"}
}

// Copy copies what opens the accounts of some ids into a vault that has none, and
// tells how many those are. Sessions, failures and half-typed forms stay where they
// are. The hashes are of use with the site's key alone, which lies elsewhere.
func Copy(ctx context.Context, from, to vault.Vault, now time.Time, ids []string) (n int, err error) {
	for _, id := range append([]string{anyKey}, ids...) {
		item, err := from.Get(ctx, now, vault.Secrets, id)
		if err != nil {
			return n, err
		}
		if item.Version == 0 {
			continue
		}
		if _, err := to.Put(ctx, now, vault.Secrets, id, vault.Item{Value: item.Value}); err != nil {
			return n, err
		}
		if id != anyKey {
			n++
		}
	}
	return n, nil
}

// Enrol keeps a password and a PIN for an account, or with an empty PIN none, unless
// it has some already: for a practice laboratory, whose secrets are none.
func (s *Store) Enrol(ctx context.Context, id, password, pin string) error {
	word, err := s.hash(ctx, id, Password, password)
	if err != nil {
		return err
	}
	digits := ""
	if pin != "" {
		if digits, err = s.hash(ctx, id, PIN, pin); err != nil {
			return err
		}
	}
	return s.change(ctx, id, func(r *row) error {
		if r.Password == "" && r.PIN == "" {
			r.Password, r.PIN = word, digits
		}
		return nil
	})
}

// EndSessions ends every session of an account.
func (s *Store) EndSessions(ctx context.Context, id string) error {
	return s.change(ctx, id, func(r *row) error { r.Era++; return nil })
}

// Session gives the session with a token hash; false where there is none.
func (s *Store) Session(ctx context.Context, hash [32]byte) (people.Session, bool, error) {
	var out people.Session
	version, err := s.get(ctx, vault.Sessions, hex.EncodeToString(hash[:]), &out)
	return out, version > 0 && out.TokenHash == hash, err
}

// BeginSession keeps a new session until it is over in any case.
func (s *Store) BeginSession(ctx context.Context, x people.Session, l people.Limits) error {
	s.sweep(ctx)
	return s.put(ctx, vault.Sessions, hex.EncodeToString(x.TokenHash[:]), 0, x.Started.Add(l.Whole), x)
}

// ChangeSession changes the session with a token hash, as it is by then: a page that
// was asked for before a session was locked or ended does not open it again. One that
// is no longer kept stays away.
func (s *Store) ChangeSession(ctx context.Context, hash [32]byte, l people.Limits, change func(people.Session) people.Session) error {
	key := hex.EncodeToString(hash[:])
	return again(func() error {
		var x people.Session
		version, err := s.get(ctx, vault.Sessions, key, &x)
		if err != nil || version == 0 || x.TokenHash != hash {
			return err
		}
		return s.put(ctx, vault.Sessions, key, version, x.Started.Add(l.Whole), change(x))
	})
}

// RenewSession makes a locked session fresh under the hash of another token, and ends
// it under the old one. It tells whether it did: one that has ended stays so, and of two
// at once one is first.
func (s *Store) RenewSession(ctx context.Context, old, hash [32]byte, l people.Limits) (bool, error) {
	var x people.Session
	renewed := false
	err := s.ChangeSession(ctx, old, l, func(now people.Session) people.Session {
		x, renewed = now, now.State(s.Clock(), l) != people.Ended
		return now.End()
	})
	if err != nil || !renewed {
		return false, err
	}
	x.TokenHash = hash
	return true, s.BeginSession(ctx, x.Confirmed(s.Clock(), l), l)
}

// get reads an item into what out points at; version 0 means that there is none. One
// without the seal of the site's key says nothing: out stays as it was, and the version
// is the one to replace.
func (s *Store) get(ctx context.Context, shelf vault.Shelf, key string, out any) (version int64, err error) {
	item, err := s.Vault.Get(ctx, s.Clock(), shelf, key)
	if err != nil || item.Version == 0 {
		return 0, err
	}
	data, own := s.unsealed(shelf, key, item.Value)
	if !own {
		return item.Version, nil
	}
	if err := json.Unmarshal(data, out); err != nil {
		return 0, &store.Error{Code: store.CodeCorrupt, Msg: "an item of the accounts store cannot be read", Hint: "restore it from a backup"}
	}
	return item.Version, nil
}

func (s *Store) put(ctx context.Context, shelf vault.Shelf, key string, version int64, expires time.Time, value any) error {
	data, err := json.Marshal(value)
	if err != nil {
		return err
	}
	_, err = s.Vault.Put(ctx, s.Clock(), shelf, key, vault.Item{Value: s.sealed(shelf, key, data), Version: version, Expires: expires})
	return err
}
