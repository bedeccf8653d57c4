package kit

import (
	"context"
	"encoding/hex"
	"encoding/json"
	"errors"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"vialwright/people"
	"vialwright/store"
	"vialwright/store/vault"
)

// Account is what is kept of a person beside the journal: rights and hashes.
type Account struct {
	people.Person
	// Password and PIN are hashes of package secret; empty for none.
	Password, PIN string
	// PasswordTries and PINTries are the failures in a row.
	PasswordTries, PINTries people.Tries
	// First is true while the password is one that somebody else gave: it is
	// good for one sign-in, in which the person chooses another.
	First bool
	// Out is when every session of the person was ended: those opened before
	// are over.
	Out time.Time
}

// draft is what was typed and not yet recorded, as a browser would send it.
type draft struct {
	Text string
	At   time.Time
	// Sent is true where it was sent, and not only typed.
	Sent bool
}

// keptFor is how long a draft lies in the vault.
const keptFor = 7 * 24 * time.Hour

// rosterKey is the item that holds all accounts. It is no id of a person.
const rosterKey = "all accounts"

// accountStore keep accounts, sessions and drafts in a vault. All accounts are one
// item, so that a rule about all of them (the first administrator, an id given
// twice) holds between two benches too.
type accountStore struct {
	vault vault.Vault
	clock func() time.Time
	turn  sync.Mutex // of this program; the version is that of all programs
	read  atomic.Pointer[readAccounts]
}

// readAccounts is all accounts as they were read last. A version is never given
// twice, so that one of the same version is not decoded again: every request
// asks who makes it.
type readAccounts struct {
	version int64
	all     []Account
}

// get reads an item into what out points at; version 0 means that there is
// none.
func (s *accountStore) get(ctx context.Context, shelf vault.Shelf, key string, out any) (version int64, err error) {
	item, err := s.vault.Get(ctx, s.clock(), shelf, key)
	if err != nil || item.Version == 0 {
		return 0, err
	}
	return item.Version, decodeItem(item, out)
}

func decodeItem(item vault.Item, out any) error {
	if err := json.Unmarshal(item.Value, out); err != nil {
		return &store.Error{Code: store.CodeCorrupt, Msg: "an item of the vault cannot be read", Hint: "restore the vault from a backup"}
	}
	return nil
}

func (s *accountStore) put(ctx context.Context, shelf vault.Shelf, key string, version int64, expires time.Time, value any) error {
	data, err := json.Marshal(value)
	if err != nil {
		return err
	}
	_, err = s.vault.Put(ctx, s.clock(), shelf, key, vault.Item{Value: data, Version: version, Expires: expires})
	return err
}

// accounts gives all accounts, in the order of their ids. They are not the
// caller's to change.
func (s *accountStore) accounts(ctx context.Context) ([]Account, error) {
	item, err := s.vault.Get(ctx, s.clock(), vault.Secrets, rosterKey)
	if err != nil || item.Version == 0 {
		return nil, err
	}
	if known := s.read.Load(); known != nil && known.version == item.Version {
		return known.all, nil
	}
	now := &readAccounts{version: item.Version}
	if err := decodeItem(item, &now.all); err != nil {
		return nil, err
	}
	s.read.Store(now)
	return now.all, nil
}

// changeAccounts hands all accounts to change and keeps what it gives back, or
// keeps nothing where it refuses. Where another program was first, change is
// asked again.
func (s *accountStore) changeAccounts(ctx context.Context, change func([]Account) ([]Account, error)) error {
	s.turn.Lock()
	defer s.turn.Unlock()
	for {
		var all []Account
		version, err := s.get(ctx, vault.Secrets, rosterKey, &all)
		if err != nil {
			return err
		}
		if all, err = change(all); err != nil {
			return err
		}
		slices.SortFunc(all, func(a, b Account) int { return strings.Compare(a.ID, b.ID) })
		err = s.put(ctx, vault.Secrets, rosterKey, version, time.Time{}, all)
		if e, ok := errors.AsType[*store.Error](err); !ok || e.Code != vault.CodeConflict {
			return err
		}
	}
}

// session gives the session with a token hash; false where there is none.
func (s *accountStore) session(ctx context.Context, hash [32]byte) (people.Session, bool, error) {
	var out people.Session
	version, err := s.get(ctx, vault.Sessions, hex.EncodeToString(hash[:]), &out)
	return out, version > 0 && out.TokenHash == hash, err
}

// keepSession keeps a session, in place of the one with its token hash, until
// it is over in any case.
func (s *accountStore) keepSession(ctx context.Context, x people.Session, l people.Limits) error {
	return s.put(ctx, vault.Sessions, hex.EncodeToString(x.TokenHash[:]), vault.Any, x.Started.Add(l.Whole), x)
}

// draftKey is the key of a draft: the person, whose id has no line end, and
// the address of the form.
func draftKey(person, form string) string { return person + "\n" + form }

func (s *accountStore) draft(ctx context.Context, person, form string) (draft, bool, error) {
	var out draft
	version, err := s.get(ctx, vault.Drafts, draftKey(person, form), &out)
	return out, version > 0, err
}

func (s *accountStore) keepDraft(ctx context.Context, person, form string, d draft) error {
	return s.put(ctx, vault.Drafts, draftKey(person, form), vault.Any, d.At.Add(keptFor), d)
}

func (s *accountStore) dropDraft(ctx context.Context, person, form string) error {
	// Most forms are sent without a draft, and a look waits for no turn to write.
	item, err := s.vault.Get(ctx, s.clock(), vault.Drafts, draftKey(person, form))
	if err != nil || item.Version == 0 {
		return err
	}
	return s.vault.Remove(ctx, vault.Drafts, draftKey(person, form), vault.Any)
}
