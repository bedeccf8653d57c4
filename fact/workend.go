package fact

import (
	"time"
)

// Cancel gives a preparation up. Striking it out takes the preparation up
// again where it stood.
type Cancel struct {
	For    string    `must:"for" id:"order" label:"Order"`
	Reason string    `must:"reason" label:"Reason"`
	At     time.Time `must:"at" label:"When"`
}

func (a *Cancel) is() (string, time.Time) { return "cancel", a.At }

// Deviation is something that did not go as it should.
type Deviation struct {
	For  string    `may:"for" id:"order" label:"Order"`
	Text string    `must:"text" label:"What went wrong"`
	At   time.Time `must:"at" label:"When"`
}

func (d *Deviation) is() (string, time.Time) { return "deviation", d.At }

// Close says that the record of an order is whole.
type Close struct {
	For string    `must:"for" id:"order" label:"Order"`
	At  time.Time `must:"at" label:"When"`
}

func (c *Close) is() (string, time.Time) { return "close", c.At }
