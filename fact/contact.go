package fact

import "time"

// Occasion is what somebody is telephoned for.
type Occasion string

// The occasions.
const (
	ParcelOverLimit Occasion = "parcel"
	SpillHappened   Occasion = "spill"
	ActivityMissing Occasion = "loss"
)

// Contact is somebody whom the site telephones when something happens.
type Contact struct {
	Occasion Occasion `must:"occasion" label:"What for"`
	// Name is who it is, such as "final carrier, emergency desk".
	Name  string    `must:"name" label:"Whom to call"`
	Phone string    `must:"phone" label:"Telephone"`
	From  time.Time `must:"from" label:"Holds from"`
	Until time.Time `may:"until" label:"Holds until"`
}

func (c *Contact) is() (string, time.Time) { return "contact", c.From }
