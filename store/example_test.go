package store_test

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"log"
	"os"
	"path/filepath"

	"vialwright/store"
	"vialwright/store/sqlite"
)

// Two benches decide on the same head. The first append is accepted; the
// second is told how far the log has gone, reads on and tries again.
func ExampleConflictError() {
	ctx := context.Background()
	dir, err := os.MkdirTemp("", "log")
	if err != nil {
		log.Fatal(err)
	}
	defer os.RemoveAll(dir)
	l, err := sqlite.Create(ctx, filepath.Join(dir, "journal"))
	if err != nil {
		log.Fatal(err)
	}
	defer l.Close()

	head, err := l.Head(ctx)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println("bench A:", l.Append(ctx, head, record(head, "vial received")))

	err = l.Append(ctx, head, record(head, "second vial received"))
	fmt.Println("bench B:", err)

	var conflict *store.ConflictError
	if errors.As(err, &conflict) {
		fmt.Println("bench B:", l.Append(ctx, conflict.Have, record(conflict.Have, "second vial received")))
	}
	// Output:
	// bench A: <nil>
	// bench B: the log has gone on to record 1, the append expected record 0 as the last (read on from 1 and decide again)
	// bench B: <nil>
}

// record makes the record that follows head. The journal's own hash covers
// the one before it as well.
func record(head store.Head, body string) store.Record {
	return store.Record{Seq: head.Seq + 1, Body: []byte(body), Hash: sha256.Sum256([]byte(body))}
}
