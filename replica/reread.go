package replica

import (
	"time"

	"vialwright/journal"
)

// inMemory is how long before the newest record a group was last touched whose
// records are still in memory. Those of others are read when somebody looks.
const inMemory = 60 * 24 * time.Hour

// reread reads records that were put away, in the order of their numbers, and
// verifies them again: each has to lead from one hash to the next of those that
// were verified before. The caller may read the books.
func (r *Replica) reread(numbers []int) []journal.Record {
	out := make([]journal.Record, 0, len(numbers))
	for len(numbers) > 0 {
		k := 1
		for k < len(numbers) && numbers[k]-numbers[k-1] <= apart {
			k++
		}
		run := numbers[:k]
		err := r.between(run[0], run[k-1], func(l journal.Link, v *journal.Verifier) error {
			if len(run) == 0 || int(l.Seq) != run[0] {
				return nil
			}
			rec, err := v.Add(l)
			out, run = append(out, rec), run[1:]
			return err
		})
		if err != nil {
			panic(&notAgainError{err})
		}
		numbers = numbers[k:]
	}
	return out
}
