package fact

import (
	"time"
)

// The entries of this file are of a practice laboratory only: its clock, and
// who practised what. They are of the laboratory itself, and of no order or
// vial, so that no case file holds them.

// Clock puts the clock of a practice laboratory forward, from At to To. What
// all of them come to is how far the clock of the laboratory is ahead.
type Clock struct{ At, To time.Time }

// Kind is "clock".
func (*Clock) Kind() string        { return "clock" }
func (c *Clock) moment() time.Time { return c.At }

func (c *Clock) fields(f []Slot) []Slot {
	return append(f,
		Slot{"at", must, instant{&c.At}, "Put forward from"},
		Slot{"to", must, instant{&c.To}, "To"},
	)
}

// MostForward is how far a practice clock is put forward at once. It bounds a
// slip of the year, after which there is no way back.
const MostForward = 30 * 24 * time.Hour

// Wrong says why a clock is not put to that time, and the way out; empty where
// it may be.
func (c *Clock) Wrong() (code, msg, hint string) {
	switch ahead := c.To.Sub(c.At); {
	case ahead <= 0:
		return "clock-back", "the clock is never put back", "choose a later time"
	case ahead > MostForward:
		return "out-of-range", "this is more than 30 days ahead", "check the day and the year"
	}
	return "", "", ""
}

// Drill is the start of a drill: an invented morning with a fault in it is
// played into the books.
type Drill struct {
	// Drill names the drill, Prefix stands before every id of its orders and
	// containers, so that they are new on the site.
	Drill, Prefix string
	At            time.Time
}

// Kind is "drill".
func (*Drill) Kind() string        { return "drill" }
func (d *Drill) moment() time.Time { return d.At }

func (d *Drill) fields(f []Slot) []Slot {
	return append(f,
		Slot{"drill", must, text{&d.Drill}, "Drill"},
		Slot{"prefix", must, text{&d.Prefix}, "Before its ids"},
		Slot{"at", must, instant{&d.At}, "When"},
	)
}

// DrillAnswer is what a person said in a drill: which entry is wrong, and what
// kind of accident it is.
type DrillAnswer struct {
	// Started is the number of the entry that started the drill, Entry that of
	// the entry the person holds to be wrong.
	Started, Entry int
	// Accident is the kind of accident the person chose.
	Accident string
	// Result is whether it was right, as the drill was then.
	Result Outcome
	At     time.Time
}

// Kind is "drill-answer".
func (*DrillAnswer) Kind() string        { return "drill-answer" }
func (d *DrillAnswer) moment() time.Time { return d.At }

func (d *DrillAnswer) fields(f []Slot) []Slot {
	return append(f,
		Slot{"started", must, whole{&d.Started}, "Drill begun in entry"},
		Slot{"entry", must, whole{&d.Entry}, "Wrong entry"},
		Slot{"accident", must, text{&d.Accident}, "Kind of accident"},
		Slot{"result", must, oneWord[Outcome]{&d.Result, outcomes}, "Result"},
		Slot{"at", must, instant{&d.At}, "When"},
	)
}

// OfPractice tells whether a fact is of a practice laboratory itself.
func OfPractice(f Fact) bool { return Is(f, Practice) }
