package fact

import (
	"time"

	"vialwright/quantity"
)

// SettlingTest is what a meter showed of one vial again and again, while it
// settled in the well. It moves nothing and enters no book: from it the bench
// says for how long a reading of such a vial can be taken as it stands.
type SettlingTest struct {
	Of         string                             `must:"of" id:"container" label:"Container"`
	Meter      string                             `must:"meter" id:"meter" label:"Activity meter"`
	At         time.Time                          `must:"at" label:"Resuspended at"`
	Background quantity.Stated[quantity.Activity] `must:"background" label:"Background"`
	Readings   []CurveReading                     `must:"readings" like:"a list of {since: 5 s, gross: 3.24 GBq}" label:"Readings"`
}

// is gives the time of the last reading.
func (x *SettlingTest) is() (string, time.Time) {
	at := x.At
	for _, r := range x.Readings {
		at = x.At.Add(time.Duration(float64(r.Since.Value) * float64(time.Second)))
	}
	return "settling-test", at
}

// CurveReading is one of the readings: the time since the vial was resuspended, and
// what stood there, with the background in it.
type CurveReading struct {
	Since quantity.Stated[quantity.Span]     `must:"since" label:"Time since resuspension"`
	Gross quantity.Stated[quantity.Activity] `must:"gross" label:"Reading, as displayed"`
}
