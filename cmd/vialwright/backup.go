package main

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"vialwright/accounts"
	"vialwright/journal"
	"vialwright/quantity"
	"vialwright/store"
	"vialwright/store/postgres"
	"vialwright/witness"
	"vialwright/witness/keep"
)

// backupCmd copies a journal link by link, checking every one, and what is kept
// beside it.
type backupCmd struct {
	Journal string   `required:"" placeholder:"JOURNAL" help:"The journal to copy, a PATH or postgres://..."`
	To      string   `required:"" placeholder:"JOURNAL" help:"The copy, a PATH or postgres://...; refused if there is something already."`
	Notes   []string `sep:"none" placeholder:"FOLDER" help:"A folder of a witness, whose signed notes are copied into PATH.notes; may be repeated."`
}

func (backupCmd) Help() string {
	return `Copies the journal, in which the settings are too, record by record while recomputing its chain, so that a damaged journal is found out instead of being copied; and the accounts that are kept beside it, so that people sign in as they did. The journal may be in use. Note the head printed: it proves later that the copy is whole. A journal can be copied from a file into a database, and back.

Sessions and half-typed forms are not copied. The site's key and the signing key are not either, since anyone who has the copy could use them: keep a copy of each apart from it. Without the site's key nobody signs in.

` + whereHelp
}

func (c *backupCmd) Run(e *edge) error {
	notes := c.To + ".notes"
	if len(c.Notes) > 0 && postgres.IsAddress(c.To) {
		return usageError("--notes: a copy in a database has no place for notes; copy their folder by itself")
	}
	if len(c.Notes) > 0 {
		if err := vacant(notes); err != nil {
			return err
		}
	}
	upTo, err := copyAll(e, c.Journal, c.To, "")
	for _, from := range c.Notes {
		if err != nil {
			return err
		}
		var n int
		if n, err = keep.CopyNotes(from, notes, upTo); err == nil {
			fmt.Fprintf(e.out, "%d signed notes of %s copied to %s.\n", n, from, notes)
		}
	}
	return err
}

// restoreCmd makes a journal from a backup.
type restoreCmd struct {
	From    string `required:"" placeholder:"JOURNAL" help:"The backup, a PATH or postgres://..."`
	Journal string `required:"" placeholder:"JOURNAL" help:"The journal to make, a PATH or postgres://...; refused if there is something already."`
	Head    string `placeholder:"DIGITS" help:"The head noted when the backup was made, or its first 8 digits or more; anything else is refused."`
}

func (restoreCmd) Help() string {
	return `Makes a new journal from a backup, recomputing its chain, with its accounts. Nothing is ever written over: move a damaged journal, its PATH.kept and its PATH-wal aside first. Bring back the site's key as PATH.key, or name it with --key, before 'serve' is started.

What was recorded after the backup is gone. The head beside the journal and the witnesses know of it: the start says how much, and 'vialwright resume' lets recording go on.

` + whereHelp
}

func (c *restoreCmd) Run(e *edge) error {
	_, err := copyAll(e, c.From, c.Journal, c.Head)
	return err
}

// batch is how many records are made durable at a time.
const batch = 1000

// copyAll copies a journal and the accounts beside it, and gives the number of the
// last record.
func copyAll(e *edge, from, to, head string) (upTo uint64, err error) {
	if head != "" {
		if head, err = witness.ReadDigits(head); err != nil {
			return 0, usageError("--head: %v", err)
		}
	}
	for _, path := range []string{to, besideVault(to)} {
		if err := vacant(path); err != nil {
			return 0, err
		}
	}
	ctx := context.Background()
	report, err := copyJournal(ctx, from, to, head)
	if err != nil {
		return 0, err
	}
	copied, err := copyAccounts(ctx, e, from, to)
	if err != nil {
		return 0, journalError(from, err)
	}
	fmt.Fprintf(e.out, "%d records and %d accounts copied to %s, the last recorded %s.\nhead %d %s\n",
		report.Records, copied, shown(to), quantity.ShowTime(report.Last), report.Head.Seq, report.Head.Hash)
	return report.Records, nil
}

// copyAccounts copies what opens accounts, where there is any.
func copyAccounts(ctx context.Context, e *edge, from, to string) (int, error) {
	there, err := hasVault(ctx, from)
	if err != nil || !there {
		return 0, err
	}
	src, err := openVault(ctx, from)
	if err != nil {
		return 0, err
	}
	defer src.Close()
	dst, err := openVault(ctx, to)
	if err != nil {
		return 0, err
	}
	ids, err := peopleOf(ctx, from)
	n := 0
	if err == nil {
		n, err = accounts.Copy(ctx, src, dst, e.now(), ids)
	}
	return n, errors.Join(err, dst.Close())
}

// peopleOf are the ids of all accounts that a journal has.
func peopleOf(ctx context.Context, where string) (ids []string, err error) {
	log, err := openJournal(ctx, where)
	if err != nil {
		return nil, err
	}
	defer log.Close()
	books, _, err := booksOf(ctx, log)
	if err != nil {
		return nil, err
	}
	for _, p := range books.People().All() {
		ids = append(ids, p.ID)
	}
	return ids, nil
}

func copyJournal(ctx context.Context, from, to, head string) (report journal.Report, err error) {
	src, err := openJournal(ctx, from)
	if err != nil {
		return report, journalError(from, err)
	}
	defer src.Close()
	// The whole chain is checked before anything is written.
	report, err = check(ctx, src)
	if err == nil {
		err = damaged(src)
	}
	if err != nil {
		return report, journalError(from, err)
	}
	if head != "" && !strings.HasPrefix(report.Head.Hash.String(), head) {
		return report, &exit{1, fmt.Sprintf("%s ends with head %s, not with the one given; 'verify --head' says whether that is an earlier one", shown(from), report.Head.Hash)}
	}
	dst, err := createJournal(ctx, to)
	if err != nil {
		return report, journalError(to, err)
	}
	defer func() {
		if closed := dst.Close(); err == nil && closed != nil {
			err = journalError(to, closed)
		}
	}()
	if err := pour(ctx, src, dst, report.Records); err != nil {
		return report, journalError(to, err)
	}
	copied, err := check(ctx, dst)
	if err == nil && copied.Head != report.Head {
		err = errors.New("the copy does not end as the journal does; the disk may be failing")
	}
	if err != nil {
		return report, journalError(to, err)
	}
	return report, nil
}

// check reads a log from its first link and says what it holds.
func check(ctx context.Context, log store.Log) (journal.Report, error) {
	return journal.Verify(links(ctx, log))
}

// pour copies the first n records in durable batches.
func pour(ctx context.Context, src, dst store.Log, n uint64) error {
	var head store.Head
	var pending []store.Record
	flush := func() error {
		if len(pending) == 0 {
			return nil
		}
		if err := dst.Append(ctx, head, pending...); err != nil {
			return err
		}
		head, pending = pending[len(pending)-1].Head(), pending[:0]
		return nil
	}
	for r, err := range src.Read(ctx, 1, int(n)) {
		if err != nil {
			return err
		}
		if pending = append(pending, r); len(pending) == batch {
			if err := flush(); err != nil {
				return err
			}
		}
	}
	return flush()
}
