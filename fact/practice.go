package fact

import (
	"time"
)

// The entries of this file are of a practice laboratory only: its clock, and
// who practised what. They are of the laboratory itself, and of no order or
// vial, so that no case file holds them.

// Clock puts the clock of a practice laboratory forward, from At to To. What
// all of them come to is how far the clock of the laboratory is ahead.
type Clock struct {
	At time.Time `must:"at" label:"Put forward from"`
	To time.Time `must:"to" label:"To"`
}

func (c *Clock) is() (string, time.Time) { return "clock", c.At }

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
	Drill  string    `must:"drill" label:"Drill"`
	Prefix string    `must:"prefix" label:"Before its ids"`
	At     time.Time `must:"at" label:"When"`
}

func (d *Drill) is() (string, time.Time) { return "drill", d.At }

// DrillAnswer is what a person said in a drill: which entry is wrong, and what
// kind of accident it is.
type DrillAnswer struct {
	// Started is the number of the entry that started the drill, Entry that of
	// the entry the person holds to be wrong.
	Started  int    `must:"started" label:"Drill begun in entry"`
	Entry    int    `must:"entry" label:"Wrong entry"`
	Accident string `must:"accident" label:"Kind of accident"`
	// Result is whether it was right, as the drill was then.
	Result Outcome   `must:"result" label:"Result"`
	At     time.Time `must:"at" label:"When"`
}

func (d *DrillAnswer) is() (string, time.Time) { return "drill-answer", d.At }

// OfPractice tells whether a fact is of a practice laboratory itself.
func OfPractice(f Fact) bool { return Is(f, Practice) }
