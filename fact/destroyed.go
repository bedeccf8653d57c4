package fact

import (
	"time"
)

// Destroyed stands in place of the fact of a record whose content was destroyed
// when its retention ended. The chain holds without it.
type Destroyed struct{}

// Kind is "destroyed"; no entry is made with it.
func (*Destroyed) Kind() string      { return "destroyed" }
func (*Destroyed) moment() time.Time { return time.Time{} }
