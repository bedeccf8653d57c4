package fact

import (
	"time"
)

// Destroyed stands in place of the fact of a record whose content was destroyed
// when its retention ended. The chain holds without it.
type Destroyed struct{}

func (*Destroyed) is() (string, time.Time) { return "destroyed", time.Time{} }
