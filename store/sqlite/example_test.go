package sqlite_test

import (
	"context"
	"crypto/sha256"
	"fmt"
	"log"
	"os"
	"path/filepath"

	"vialwright/store"
	"vialwright/store/sqlite"
)

// A log is created once; from then on it is opened, appended to behind its
// head, and read.
func Example() {
	ctx := context.Background()
	dir, err := os.MkdirTemp("", "log")
	if err != nil {
		log.Fatal(err)
	}
	defer os.RemoveAll(dir)

	l, err := sqlite.Create(ctx, filepath.Join(dir, "hot-lab.journal"))
	if err != nil {
		log.Fatal(err)
	}
	defer l.Close()

	head, err := l.Head(ctx)
	if err != nil {
		log.Fatal(err)
	}
	received := store.Record{Seq: 1, Body: []byte("received"), Hash: sha256.Sum256([]byte("received"))}
	assayed := store.Record{Seq: 2, Body: []byte("assayed"), Hash: sha256.Sum256([]byte("assayed"))}
	if err := l.Append(ctx, head, received, assayed); err != nil {
		log.Fatal(err)
	}
	for r, err := range l.Read(ctx, 1, store.All) {
		if err != nil {
			log.Fatal(err)
		}
		fmt.Printf("%d %s\n", r.Seq, r.Body)
	}
	// Output:
	// 1 received
	// 2 assayed
}

// A file that is not a journal is refused and left as it is.
func ExampleOpen() {
	f, err := os.CreateTemp("", "shopping")
	if err != nil {
		log.Fatal(err)
	}
	defer os.Remove(f.Name())
	fmt.Fprintln(f, "milk, bread, and a hundred other things that are not needed before Thursday, when the lorry comes again")
	f.Close()

	_, err = sqlite.Open(context.Background(), f.Name())
	fmt.Println(store.CodeOf(err))
	// Output: log-foreign
}
