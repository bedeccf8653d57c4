package dispensing

import (
	"time"

	"vialwright/quantity"
	"vialwright/settling"
)

// Settling is what is known of how a shipping vial settles at this bench. It
// moves no figure of a dose: a clock and a picture are made of it.
type Settling struct {
	// Model holds the inputs of the model with what the site has set. Volume,
	// number of spheres and draw are those of a vial as it came; [Settling.Of]
	// gives those of a vial at hand.
	Model settling.Case
	// PerSphere is the activity of one sphere at the reference time of the
	// label; zero where the site gives a number of spheres, or nothing.
	PerSphere quantity.Activity
	// Assumed names the inputs that the site has not set.
	Assumed []Assumed
}

// Of gives the inputs for a vial at hand that is to be drawn from. The number
// of spheres goes with the activity, both at the reference time:
//
//	N = A(left)/A(sphere), or N = N(full)·A(left)/A(came)
//
// which holds while every draw takes spheres and activity in one proportion.
func (s Settling) Of(v VialResult, draw quantity.Volume) settling.Case {
	c := s.Model
	c.Volume, c.Draw.Volume = v.RemainingVolume, draw
	switch {
	case s.PerSphere > 0:
		c.Count = float64(v.Remaining / s.PerSphere)
	case v.Measured > 0:
		c.Count *= float64(v.Remaining / v.Measured)
	}
	return c
}

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
