package store

import "context"

// Mark is what a store says of itself, beside the records: values that only grow,
// so that an older copy of the store can be told from records taken out of it.
type Mark struct {
	// Engine is sqlite or postgres; ID that of the server and its
	// database, empty for a file.
	Engine, ID string
	// Line is the timeline of the server, which a standby that takes over raises; of
	// a file the number of times its tables were changed.
	Line uint64
	// Count is the position in the server's log; 0 for a file.
	Count uint64
}

// Marked is a [Log] that gives its mark.
type Marked interface {
	// Mark gives the mark as it is now. Errors: as Head has them.
	Mark(ctx context.Context) (Mark, error)
}
