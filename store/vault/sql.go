package vault

import (
	"context"
	"strings"
	"sync"
	"time"

	"vialwright/store"
)

// Engine runs statements in the database that a vault is kept in, for [Over].
// Its errors are those of a [Vault].
type Engine interface {
	// Look scans the row that a query gives into dest, and tells whether there
	// is one.
	Look(ctx context.Context, query string, args []any, dest ...any) (found bool, err error)

	// Change runs one statement in a transaction of its own, scans the row
	// that it returns into dest, and tells whether there was one. What it has
	// done is on stable storage when it returns.
	Change(ctx context.Context, statement string, args []any, dest ...any) (found bool, err error)

	// Close ends the use of the database.
	Close() error
}

// Dialect is what one database says in another way than another.
type Dialect struct {
	// Item is the name of the table of items: shelf, key, value, version and
	// expires, the last as [Micros] gives it, or NULL.
	Item string
	// Version is an expression that gives a number never given before.
	Version string
	// Parameter begins the name of a parameter: ? for ?1.
	Parameter string
	// Key makes a key what its column takes.
	Key func(string) any
	// Sweep is the statement that removes what has expired by the first
	// parameter and returns how many items that was.
	Sweep string
}

// The statements of a vault. One keeps an item where none is expected, or where
// it does not matter (?6), and one in place of version ?6. Since expires has
// whole microseconds, now < expires is the same for now rounded down to one.
const (
	look    = "SELECT value, version, expires FROM {item} WHERE shelf = ?1 AND key = ?2 AND (expires IS NULL OR expires > ?3)"
	keepNew = `INSERT INTO {item} AS old (shelf, key, value, expires, version) VALUES (?1, ?2, ?3, ?4, {version})
		ON CONFLICT (shelf, key) DO UPDATE SET value = excluded.value, expires = excluded.expires, version = excluded.version
		WHERE old.expires <= ?5 OR ?6 RETURNING version`
	keepNext = `UPDATE {item} SET value = ?3, expires = ?4, version = {version}
		WHERE shelf = ?1 AND key = ?2 AND (expires IS NULL OR expires > ?5) AND version = ?6 RETURNING version`
	remove = "DELETE FROM {item} WHERE shelf = ?1 AND key = ?2 AND (version = ?3 OR ?4) RETURNING version"
)

// over is a vault in an engine.
type over struct {
	Engine
	say  *strings.Replacer
	own  Dialect
	turn sync.RWMutex // held for reading by every call and for writing by Close, which so waits for the calls in progress
	gone bool
}

// Over gives the vault that an engine keeps. It is for those who implement a
// [Vault].
func Over(e Engine, d Dialect) Vault {
	return &over{Engine: e, own: d, say: strings.NewReplacer("{item}", d.Item, "{version}", d.Version, "?", d.Parameter)}
}

// Close implements [Vault].
func (v *over) Close() error {
	v.turn.Lock()
	defer v.turn.Unlock()
	if v.gone {
		return nil
	}
	v.gone = true
	return v.Engine.Close()
}

// begin holds the vault open for a call; done gives it back.
func (v *over) begin() (done func(), err error) {
	v.turn.RLock()
	if v.gone {
		v.turn.RUnlock()
		return nil, &store.Error{Code: store.CodeClosed, Msg: "the vault is closed", Hint: "open it again"}
	}
	return v.turn.RUnlock, nil
}

// Get implements [Vault].
func (v *over) Get(ctx context.Context, now time.Time, shelf Shelf, key string) (Item, error) {
	done, err := v.begin()
	if err != nil {
		return Item{}, err
	}
	defer done()
	if err := Check(ctx, shelf, key, nil); err != nil {
		return Item{}, err
	}
	var item Item
	var expires *int64
	args := []any{string(shelf), v.own.Key(key), now.UnixMicro()}
	found, err := v.Look(ctx, v.say.Replace(look), args, &item.Value, &item.Version, &expires)
	if err != nil || !found {
		return Item{}, err
	}
	if expires != nil {
		item.Expires = At(*expires)
	}
	return item, nil
}

// Put implements [Vault].
func (v *over) Put(ctx context.Context, now time.Time, shelf Shelf, key string, item Item) (version int64, err error) {
	done, err := v.begin()
	if err != nil {
		return 0, err
	}
	defer done()
	if err := Check(ctx, shelf, key, item.Value); err != nil {
		return 0, err
	}
	var expires *int64
	if micros, ok := Micros(item.Expires); ok {
		expires = &micros
	}
	value := item.Value
	if value == nil {
		value = []byte{} // else it would be NULL
	}
	args := []any{string(shelf), v.own.Key(key), value, expires, now.UnixMicro()}
	statement := keepNext
	if item.Version == 0 || item.Version == Any {
		statement, args = keepNew, append(args, item.Version == Any)
	} else {
		args = append(args, item.Version)
	}
	found, err := v.Change(ctx, v.say.Replace(statement), args, &version)
	if err == nil && !found {
		err = Conflict()
	}
	return version, err
}

// Remove implements [Vault].
func (v *over) Remove(ctx context.Context, shelf Shelf, key string, version int64) error {
	done, err := v.begin()
	if err != nil {
		return err
	}
	defer done()
	if err := Check(ctx, shelf, key, nil); err != nil {
		return err
	}
	var removed int64
	args := []any{string(shelf), v.own.Key(key), version, version == Any}
	found, err := v.Change(ctx, v.say.Replace(remove), args, &removed)
	if err == nil && !found && version != Any {
		err = Conflict()
	}
	return err
}

// Sweep implements [Vault].
func (v *over) Sweep(ctx context.Context, now time.Time) (removed int, err error) {
	done, err := v.begin()
	if err != nil {
		return 0, err
	}
	defer done()
	if err := ctx.Err(); err != nil {
		return 0, err
	}
	_, err = v.Change(ctx, v.own.Sweep, []any{now.UnixMicro()}, &removed)
	return removed, err
}
