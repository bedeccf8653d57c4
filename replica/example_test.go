package replica_test

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"time"

	"vialwright/fact"
	"vialwright/journal"
	"vialwright/replica"
	"vialwright/store/sqlite"
)

// A page is made from the records of what it shows, and an entry is decided on
// with them as they are when its turn comes.
func Example() {
	dir, err := os.MkdirTemp("", "replica")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer os.RemoveAll(dir)
	ctx := context.Background()
	log, err := sqlite.Create(ctx, filepath.Join(dir, "lab.vialwright"))
	if err != nil {
		fmt.Println(err)
		return
	}
	defer log.Close()
	r, err := replica.Open(ctx, log, func() journal.Salt { return journal.Salt{} }, nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	err = r.Append(ctx, replica.Entry{Class: fact.Observation, Decide: func(f *replica.File, next int) ([]journal.Record, error) {
		x := &fact.Note{Text: fmt.Sprintf("entry %d of the site", next)}
		return []journal.Record{{Recorded: time.Unix(1.8e9, 0), By: "T1", Fact: x}}, nil
	}})
	fmt.Println(len(r.Last(math.MaxInt)), r.Last(math.MaxInt)[0].Fact.(*fact.Note).Text, err)
	// Output: 1 entry 1 of the site <nil>
}
