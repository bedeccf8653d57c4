package fact

import (
	"time"
)

// SeeFigures says that the person who records it chose to see the figures of a
// dose before its second check, and so does not make that check.
type SeeFigures struct {
	For string    `must:"for" id:"order" label:"Order"`
	At  time.Time `must:"at" label:"When"`
}

func (s *SeeFigures) is() (string, time.Time) { return "see-figures", s.At }
