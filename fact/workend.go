package fact

import (
	"time"
)

// Cancel gives a preparation up. Striking it out takes the preparation up
// again where it stood.
type Cancel struct {
	For, Reason string
	At          time.Time
}

// Kind is "cancel".
func (*Cancel) Kind() string        { return "cancel" }
func (a *Cancel) moment() time.Time { return a.At }

func (a *Cancel) fields(f []Slot) []Slot {
	return append(f,
		Slot{"for", must, id{&a.For, AboutOrder}, "Order"},
		Slot{"reason", must, text{&a.Reason}, "Reason"},
		Slot{"at", must, instant{&a.At}, "When"},
	)
}

// Deviation is something that did not go as it should.
type Deviation struct {
	// For is empty where it is of no one order.
	For, Text string
	At        time.Time
}

// Kind is "deviation".
func (*Deviation) Kind() string        { return "deviation" }
func (d *Deviation) moment() time.Time { return d.At }

func (d *Deviation) fields(f []Slot) []Slot {
	return append(f,
		Slot{"for", may, id{&d.For, AboutOrder}, "Order"},
		Slot{"text", must, text{&d.Text}, "What went wrong"},
		Slot{"at", must, instant{&d.At}, "When"},
	)
}

// Close says that the record of an order is whole.
type Close struct {
	For string
	At  time.Time
}

// Kind is "close".
func (*Close) Kind() string        { return "close" }
func (c *Close) moment() time.Time { return c.At }

func (c *Close) fields(f []Slot) []Slot {
	return append(f,
		Slot{"for", must, id{&c.For, AboutOrder}, "Order"},
		Slot{"at", must, instant{&c.At}, "When"},
	)
}
