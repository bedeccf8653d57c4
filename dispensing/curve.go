package dispensing

import (
	"time"

	"vialwright/quantity"
	"vialwright/settling"
)

// SettlingTest are the readings of a vial that settled in the well of a meter,
// each without background and at the time of the resuspension. It is in no book, and
// no figure of a dose rests on it.
type SettlingTest struct {
	// Entry is the number of the entry it comes from, from 1.
	Entry int
	// Of is the vial, Vial its kind in the words of [Vial.Kind].
	Of, Meter, Vial string
	// At is when it was resuspended.
	At time.Time
	// Volume is what the vial held then: of one that holds another volume the
	// readings say little.
	Volume   quantity.Volume
	Readings []settling.Reading
}
