package fact

import (
	"time"
)

// SeeFigures says that the person who records it chose to see the figures of a
// dose before its second check, and so does not make that check.
type SeeFigures struct {
	For string
	At  time.Time
}

// Kind is "see-figures".
func (*SeeFigures) Kind() string        { return "see-figures" }
func (s *SeeFigures) moment() time.Time { return s.At }

func (s *SeeFigures) fields(f []Slot) []Slot {
	return append(f,
		Slot{"for", must, id{&s.For, AboutOrder}, "Order"},
		Slot{"at", must, instant{&s.At}, "When"},
	)
}
