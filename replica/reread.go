package replica

import (
	"context"
	"fmt"
	"time"

	"vialwright/journal"
)

// inMemory is how long before the newest record a group was last touched whose
// records are still in memory. Those of others are read when somebody looks.
const inMemory = 60 * 24 * time.Hour

// near is how many numbers may lie between two records for both to be read in one
// go.
const near = 16

// reread reads records that were put away, in the order of their numbers, and
// verifies them again: each has to follow the link that was verified before it.
// The caller may read the books.
func (r *Replica) reread(numbers []int) []journal.Record {
	out := make([]journal.Record, 0, len(numbers))
	for len(numbers) > 0 {
		k := 1
		for k < len(numbers) && numbers[k]-numbers[k-1] <= near {
			k++
		}
		var err error
		if out, err = r.rereadRun(out, numbers[:k]); err != nil {
			panic(fmt.Errorf("the journal cannot be read again as it was verified: %w", err))
		}
		numbers = numbers[k:]
	}
	return out
}

func (r *Replica) rereadRun(out []journal.Record, numbers []int) ([]journal.Record, error) {
	before := journal.Head{Seq: uint64(numbers[0] - 1)}
	if before.Seq > 0 {
		before.Hash = r.hashes[before.Seq-1]
	}
	v := journal.VerifierBehind(before)
	last := numbers[len(numbers)-1]
	for x, err := range r.log.Read(context.Background(), before.Seq+1, last-int(before.Seq)) {
		if err != nil {
			return nil, err
		}
		rec, err := v.Add(journal.Link{Seq: x.Seq, Hash: x.Hash, Body: string(x.Body)})
		if err != nil {
			return nil, err
		}
		if x.Hash != r.hashes[x.Seq-1] {
			return nil, fmt.Errorf("record %d is another one than was verified", x.Seq)
		}
		if rec.N = int(x.Seq); rec.N == numbers[0] {
			out, numbers = append(out, rec), numbers[1:]
		}
	}
	if len(numbers) > 0 {
		return nil, fmt.Errorf("record %d is no longer there", numbers[0])
	}
	return out, nil
}
