package accounts

import (
	"cmp"
	"context"
	"maps"
	"slices"
	"sync"
	"time"

	"vialwright/people"
	"vialwright/store/vault"
)

const (
	// FailuresFor is how long the failures of a place are counted after the last.
	FailuresFor = 24 * time.Hour
	// mostPlaces bounds the places that are kept for one secret; the oldest goes.
	mostPlaces = 256
)

// failures are those of one secret of an account, by place.
type failures map[string]people.Tries

// old lets go of what is no longer counted, and of the oldest where there are too
// many. A last failure far ahead was noted before the clock was set back.
func (f failures) old(now time.Time) {
	maps.DeleteFunc(f, func(_ string, t people.Tries) bool { return now.Sub(t.Last).Abs() >= FailuresFor })
	for len(f) > mostPlaces {
		oldest := slices.MinFunc(slices.Sorted(maps.Keys(f)), func(a, b string) int {
			return cmp.Or(f[a].Last.Compare(f[b].Last), cmp.Compare(a, b))
		})
		delete(f, oldest)
	}
}

// triesKey is the key of the failures of a secret of an account.
func triesKey(id string, k Kind) string { return "failures\n" + id + "\n" + string(k) }

// underWay are the tries whose outcome is not known yet, by whose, of what and where.
type underWay struct {
	mu  sync.Mutex
	all map[string]int
}

func (u *underWay) begin(key string) (others int, done func()) {
	u.mu.Lock()
	defer u.mu.Unlock()
	others = u.all[key]
	u.all[key]++
	return others, func() {
		u.mu.Lock()
		defer u.mu.Unlock()
		if u.all[key]--; u.all[key] == 0 {
			delete(u.all, key)
		}
	}
}

// try begins a try of a secret at a place, or refuses it. Others that are under way
// count as failures, so that many at a time are not one. done ends it, once a failure
// is kept.
func (s *Store) try(ctx context.Context, id string, k Kind, place string) (done func(), err error) {
	others, done := s.underWay.begin(triesKey(id, k) + "\n" + place)
	all := failures{}
	if _, err = s.get(ctx, vault.Sessions, triesKey(id, k), &all); err == nil {
		now := s.Clock()
		all.old(now)
		t := all[place]
		for range others {
			t = t.Failed(now)
		}
		err = lockout(k).Check(t, now)
	}
	if err != nil {
		done()
		return nil, err
	}
	return done, nil
}

// count changes the failures of a secret at a place. Where another was first, it is
// asked again.
func (s *Store) count(ctx context.Context, id string, k Kind, place string, change func(people.Tries) people.Tries) error {
	return again(func() error {
		all := failures{}
		version, err := s.get(ctx, vault.Sessions, triesKey(id, k), &all)
		if err != nil {
			return err
		}
		now := s.Clock()
		all.old(now)
		before := all[place]
		after := change(before)
		if after == before {
			return nil
		}
		if all[place] = after; after == (people.Tries{}) {
			delete(all, place)
		}
		all.old(now)
		return s.put(ctx, vault.Sessions, triesKey(id, k), version, now.Add(FailuresFor), all)
	})
}

// forget forgets all failures of a secret.
func (s *Store) forget(ctx context.Context, id string, k Kind) error {
	item, err := s.Vault.Get(ctx, s.Clock(), vault.Sessions, triesKey(id, k))
	if err != nil || item.Version == 0 {
		return err
	}
	return s.Vault.Remove(ctx, vault.Sessions, triesKey(id, k), vault.Any)
}
