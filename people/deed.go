package people

import "time"

// Deed is an act that was done: which, by the person of which id, and when.
type Deed struct {
	Act Act
	By  string
	At  time.Time
}
