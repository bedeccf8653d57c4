package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"strings"

	"vialwright/accounts"
	"vialwright/people/secret"
	"vialwright/store"
	"vialwright/store/postgres"
	"vialwright/store/sqlite"
	"vialwright/store/vault"
	"vialwright/store/vault/postgresvault"
	"vialwright/store/vault/sqlitevault"
	"vialwright/web/kit"
)

// A journal is named by the path of a file, or by the address of a database;
// which of the two follows from the name alone.

const whereHelp = `A journal is a file (PATH) or lies in a PostgreSQL database (postgres://USER@HOST/DATABASE). Keep the password out of the address, in PGPASSWORD or in ~/.pgpass: what is typed can be read by others on this machine. No message shows it.`

// storeName says what kind of store a journal is in.
func storeName(where string) string {
	if postgres.IsAddress(where) {
		return "PostgreSQL database"
	}
	return "SQLite file"
}

// open calls what opens an address, or what opens a path. It refuses an address
// in which what looks like a part of a password stands behind the host: the
// driver would take it for the name of a database, and print it.
func open[T any](where string, address, path func() (T, error)) (none T, err error) {
	switch {
	case !postgres.IsAddress(where):
		return path()
	case !legible(where):
		return none, usageError("the address of the database cannot be read: write it as postgres://USER@HOST/DATABASE, and in a password %%40 for @, %%2F for / and %%3F for ?")
	}
	return address()
}

// openJournal opens a journal for reading.
func openJournal(ctx context.Context, where string) (store.Log, error) {
	return open(where, func() (store.Log, error) { return asLog(postgres.OpenReadOnly(ctx, where)) },
		func() (store.Log, error) { return asLog(sqlite.OpenReadOnly(ctx, where)) })
}

// createJournal makes a journal, and refuses where there is something.
func createJournal(ctx context.Context, where string) (store.Log, error) {
	return open(where, func() (store.Log, error) { return asLog(postgres.Create(ctx, where)) },
		func() (store.Log, error) { return asLog(sqlite.Create(ctx, where)) })
}

// openToWrite opens a journal that is there.
func openToWrite(ctx context.Context, where string) (store.Log, error) {
	return open(where, func() (store.Log, error) { return asLog(postgres.Open(ctx, where)) },
		func() (store.Log, error) { return asLog(sqlite.Open(ctx, where)) })
}

// openOrCreate opens a journal, or makes one where there is none. Of two that
// come first at the same time both get the one that was made.
func openOrCreate(ctx context.Context, where string) (store.Log, error) {
	log, err := openToWrite(ctx, where)
	if store.CodeOf(err) != store.CodeMissing {
		return log, err
	}
	log, err = createJournal(ctx, where)
	if store.CodeOf(err) == store.CodeExists {
		return openToWrite(ctx, where)
	}
	return log, err
}

// openToServe opens a journal to be served, with write. One that is damaged or was
// altered is opened for reading, so that it can be looked at, and why says why nothing
// is recorded.
func openToServe(ctx context.Context, where string, write func(context.Context, string) (store.Log, error)) (log store.Log, why, err error) {
	log, err = write(ctx, where)
	if code := store.CodeOf(err); code != store.CodeDamaged && code != store.CodeAltered {
		return log, nil, err
	}
	why = err
	log, err = openJournal(ctx, where)
	return log, why, err
}

// damaged says what of a journal that is open for reading cannot be read; nil where
// all of it can.
func damaged(log store.Log) error {
	if d, ok := log.(interface{ Damaged() error }); ok {
		return d.Damaged()
	}
	return nil
}

// asLog keeps a log that was not opened from looking like one.
func asLog[L store.Log](log L, err error) (store.Log, error) {
	if err != nil {
		return nil, err
	}
	return log, nil
}

// vacant refuses a path at which there is something. Whether a database is
// vacant is asked when the journal is made.
func vacant(where string) error {
	if postgres.IsAddress(where) {
		return nil
	}
	if _, err := os.Stat(where); !errors.Is(err, fs.ErrNotExist) {
		return usageError("%s is there already; choose a path where there is nothing", where)
	}
	return nil
}

// openVault opens what is kept beside a journal: in the file PATH.kept, or in
// the same database.
func openVault(ctx context.Context, where string) (vault.Vault, error) {
	return open(where, func() (vault.Vault, error) { return postgresvault.Open(ctx, where) },
		func() (vault.Vault, error) { return sqlitevault.Open(ctx, besideVault(where)) })
}

// besideVault is the file of what is kept beside a journal; in a database it lies
// at the same address.
func besideVault(where string) string {
	if postgres.IsAddress(where) {
		return where
	}
	return where + ".kept"
}

// hasVault tells whether anything is kept beside a journal.
func hasVault(ctx context.Context, where string) (bool, error) {
	return open(where, func() (bool, error) { return postgresvault.There(ctx, where) }, func() (bool, error) {
		_, err := os.Stat(besideVault(where))
		if errors.Is(err, fs.ErrNotExist) {
			return false, nil
		}
		return err == nil, err
	})
}

// stores opens the journal and the vault, and makes the keepers of secrets. A new
// journal is not made without a zone: an empty one would be left behind.
func (c *serveCmd) stores(ctx context.Context, e *edge, b *opened, zone string) (passwords, pins *secret.Keeper, err error) {
	write := openOrCreate
	if zone == "" && !c.Practice {
		write = openToWrite
	}
	b.log, b.unsound, err = openToServe(ctx, c.Journal, write)
	if store.CodeOf(err) == store.CodeMissing {
		return nil, nil, usageError("there is no such journal yet, and %v", kit.ErrNoZone)
	}
	if err != nil {
		return nil, nil, journalError(c.Journal, err)
	}
	v, err := openVault(ctx, c.Journal)
	if err != nil {
		return nil, nil, journalError(c.Journal, err)
	}
	b.vault = v
	if f, ok := v.(*sqlitevault.File); ok && f.Mended() != "" {
		fmt.Fprintln(e.err, "vialwright:", f.Mended())
	}
	known, err := accounts.Known(ctx, b.vault, e.now())
	if err != nil {
		return nil, nil, journalError(c.Journal, err)
	}
	return keepers(c.keyPath(), known, c.Practice)
}

// sayExposed says what a database does not keep the journal from.
func (c *serveCmd) sayExposed(ctx context.Context, e *edge, b *opened) error {
	log, ok := b.log.(*postgres.Log)
	if !ok || c.Practice {
		return nil
	}
	sentences, err := log.Exposed(ctx)
	for _, s := range sentences {
		fmt.Fprintln(e.out, "Look: "+s)
	}
	return err
}

// keyPath is the file of the site's key: the one named, or the one beside the
// journal. There is no place beside a database.
func (c *serveCmd) keyPath() string {
	if c.Key == "" && !postgres.IsAddress(c.Journal) {
		return c.Journal + ".key"
	}
	return c.Key
}

// shown is the name of a journal, as far as it may be printed: an address
// without its password and settings, and where it cannot be read, or an @ in
// the wrong place may belong to a password, nothing of it.
func shown(where string) string {
	if !postgres.IsAddress(where) {
		return where
	}
	if !legible(where) {
		scheme, _, _ := strings.Cut(where, "://")
		return scheme + "://..."
	}
	u, _ := url.Parse(where) // which legible has done
	if u.User != nil {
		u.User = url.User(u.User.Username())
	}
	kept := url.Values{}
	for _, name := range []string{"host", "port", "user", "dbname"} {
		if u.Query().Has(name) {
			kept.Set(name, u.Query().Get(name))
		}
	}
	u.RawQuery, u.Fragment = kept.Encode(), ""
	return u.String()
}

// legible tells an address of which it is clear what is the password.
func legible(where string) bool {
	u, err := url.Parse(where)
	return err == nil && !strings.Contains(u.EscapedPath()+u.RawQuery+u.Fragment, "@")
}

// discreet takes the passwords of the addresses among the arguments out of a
// message.
func discreet(text string, args []string) string {
	for _, arg := range args {
		if i := strings.Index(arg, "postgres"); i >= 0 && postgres.IsAddress(arg[i:]) {
			text = strings.ReplaceAll(text, arg[i:], shown(arg[i:]))
		}
	}
	return text
}

// prepareCmd makes a database ready for a role that can add records and alter none.
type prepareCmd struct {
	Journal string `required:"" placeholder:"ADDRESS" help:"The database, as its owner connects to it: postgres://OWNER@HOST/DATABASE."`
	For     string `required:"" placeholder:"ROLE" help:"The role that 'serve' connects as. It must be there already."`
}

func (prepareCmd) Help() string {
	return `Makes the journal and the accounts in a database where they are not there, as the owner, and lets another role use them: select and insert records, and nothing with which it could alter one. 'serve' then connects as that role, and the owner's password is on no machine of the laboratory. Running it again does no harm.

  createdb lab
  psql lab -c 'CREATE ROLE bench LOGIN' -c '\password bench'
  vialwright prepare-database --journal postgres://owner@server/lab --for bench
  vialwright serve --journal postgres://bench@server/lab --key lab.key --zone Atlantic/Azores`
}

func (c *prepareCmd) Run(e *edge) error {
	if !postgres.IsAddress(c.Journal) {
		return usageError("--journal: this prepares a PostgreSQL database; write it as postgres://OWNER@HOST/DATABASE")
	}
	if err := c.prepare(context.Background()); err != nil {
		return journalError(c.Journal, err)
	}
	fmt.Fprintf(e.out, "%s is ready: %s can read and add records, and alter none.\n", shown(c.Journal), c.For)
	return nil
}

func (c *prepareCmd) prepare(ctx context.Context) error {
	log, err := openOrCreate(ctx, c.Journal)
	if err != nil {
		return err
	}
	if err := log.Close(); err != nil {
		return err
	}
	v, err := openVault(ctx, c.Journal)
	if err != nil {
		return err
	}
	if err := v.Close(); err != nil {
		return err
	}
	if err := postgres.Grant(ctx, c.Journal, c.For); err != nil {
		return err
	}
	return postgresvault.Grant(ctx, c.Journal, c.For)
}
