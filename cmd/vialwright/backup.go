package main

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"vialwright/journal"
	"vialwright/quantity"
	"vialwright/store"
	"vialwright/witness"
)

// backupCmd copies a journal link by link, checking every one.
type backupCmd struct {
	Journal string `required:"" placeholder:"JOURNAL" help:"The journal to copy, a PATH or postgres://..."`
	To      string `required:"" placeholder:"JOURNAL" help:"The copy, a PATH or postgres://...; refused if there is something already."`
}

func (backupCmd) Help() string {
	return `Copies the journal record by record while recomputing its chain, so that a damaged journal is found out instead of being copied. The journal may be in use. Note the head printed: it proves later that the copy is whole. A journal can be copied from a file into a database, and back.

` + whereHelp
}

func (c *backupCmd) Run(e *edge) error { return copyJournal(e, c.Journal, c.To, "") }

// restoreCmd makes a journal from a backup.
type restoreCmd struct {
	From    string `required:"" placeholder:"JOURNAL" help:"The backup, a PATH or postgres://..."`
	Journal string `required:"" placeholder:"JOURNAL" help:"The journal to make, a PATH or postgres://...; refused if there is something already."`
	Head    string `placeholder:"DIGITS" help:"The head noted when the backup was made, or its first 8 digits or more; anything else is refused."`
}

func (restoreCmd) Help() string {
	return `Makes a new journal from a backup, recomputing its chain. Nothing is ever written over: move a damaged journal aside first.

` + whereHelp
}

func (c *restoreCmd) Run(e *edge) error { return copyJournal(e, c.From, c.Journal, c.Head) }

// batch is how many records are made durable at a time.
const batch = 1000

func copyJournal(e *edge, from, to, head string) (err error) {
	if head != "" {
		if head, err = witness.ReadDigits(head); err != nil {
			return usageError("--head: %v", err)
		}
	}
	if err := vacant(to); err != nil {
		return err
	}
	ctx := context.Background()
	src, err := openJournal(ctx, from)
	if err != nil {
		return journalError(from, err)
	}
	defer src.Close()
	// The whole chain is checked before anything is written.
	report, err := check(ctx, src)
	if err == nil {
		err = damaged(src)
	}
	if err != nil {
		return journalError(from, err)
	}
	if head != "" && !strings.HasPrefix(report.Head.Hash.String(), head) {
		return &exit{1, fmt.Sprintf("%s ends with head %s, not with the one given; 'verify --head' says whether that is an earlier one", shown(from), report.Head.Hash)}
	}
	dst, err := createJournal(ctx, to)
	if err != nil {
		return journalError(to, err)
	}
	defer func() {
		if closed := dst.Close(); err == nil && closed != nil {
			err = journalError(to, closed)
		}
	}()
	if err := pour(ctx, src, dst, report.Records); err != nil {
		return journalError(to, err)
	}
	copied, err := check(ctx, dst)
	if err == nil && copied.Head != report.Head {
		err = errors.New("the copy does not end as the journal does; the disk may be failing")
	}
	if err != nil {
		return journalError(to, err)
	}
	fmt.Fprintf(e.out, "%d records copied to %s, the last recorded %s\nhead %d %s\n",
		report.Records, shown(to), quantity.ShowTime(report.Last), report.Head.Seq, report.Head.Hash)
	return nil
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
