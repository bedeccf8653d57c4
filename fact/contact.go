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

var occasions = []Occasion{ParcelOverLimit, SpillHappened, ActivityMissing}

// Contact is somebody whom the site telephones when something happens.
type Contact struct {
	// Name is who it is, such as "final carrier, emergency desk".
	Name, Phone string
	Occasion    Occasion
	// From is since when, Until when no more; zero for still.
	From, Until time.Time
}

// Kind is "contact".
func (*Contact) Kind() string        { return "contact" }
func (c *Contact) moment() time.Time { return c.From }

func (c *Contact) fields(f []Slot) []Slot {
	return append(f,
		Slot{"occasion", must, oneWord[Occasion]{&c.Occasion, occasions}, "What for"},
		Slot{"name", must, text{&c.Name}, "Whom to call"},
		Slot{"phone", must, text{&c.Phone}, "Telephone"},
		Slot{"from", must, instant{&c.From}, "Holds from"},
		Slot{"until", may, instant{&c.Until}, "Holds until"},
	)
}
