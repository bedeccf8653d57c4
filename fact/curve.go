package fact

import (
	"time"

	"vialwright/quantity"
)

// SettlingTest is what a meter showed of one vial again and again, while it
// settled in the well. It moves nothing and enters no book: from it the bench
// says for how long a reading of such a vial can be taken as it stands.
type SettlingTest struct {
	// Of is the vial, which stayed in the well of Meter all the while.
	Of, Meter string
	// At is when it was resuspended, or its resuspension ended.
	At         time.Time
	Background quantity.Stated[quantity.Activity]
	Readings   []CurveReading
}

// Kind is "settling-test".
func (*SettlingTest) Kind() string { return "settling-test" }

// moment is that of the last reading.
func (x *SettlingTest) moment() time.Time {
	at := x.At
	for _, r := range x.Readings {
		at = x.At.Add(time.Duration(float64(r.Since.Value) * float64(time.Second)))
	}
	return at
}

func (x *SettlingTest) fields(f []Slot) []Slot {
	return append(f,
		Slot{"of", must, id{&x.Of, AboutContainer}, "Container"},
		Slot{"meter", must, id{&x.Meter, AboutMeter}, "Activity meter"},
		Slot{"at", must, instant{&x.At}, "Resuspended at"},
		Slot{"background", must, amount(&x.Background), "Background"},
		Slot{"readings", must, rowsOf[CurveReading, *CurveReading]{&x.Readings, "a list of {since: 5 s, gross: 3.24 GBq}"}, "Readings"},
	)
}

// CurveReading is one of the readings: the time since the vial was resuspended, and
// what stood there, with the background in it.
type CurveReading struct {
	Since quantity.Stated[quantity.Span]
	Gross quantity.Stated[quantity.Activity]
}

func (r *CurveReading) fields(f []Slot) []Slot {
	return append(f, Slot{"since", must, amount(&r.Since), "Time since resuspension"}, Slot{"gross", must, amount(&r.Gross), "Reading, as displayed"})
}
