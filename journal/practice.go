package journal

import "time"

// The entries of this file are of a practice laboratory only: its clock, and
// who practised what. They are of the laboratory itself, and of no order or
// vial, so that no case file holds them.

// Clock puts the clock of a practice laboratory forward, from At to To. What
// all of them come to is how far the clock of the laboratory is ahead.
type Clock struct{ At, To time.Time }

// Kind is "clock".
func (*Clock) Kind() string        { return "clock" }
func (c *Clock) moment() time.Time { return c.At }

func (c *Clock) fields(f []field) []field {
	return append(f,
		field{"at", must, instant{&c.At}, "Put forward from"},
		field{"to", must, instant{&c.To}, "To"},
	)
}

// MostForward is how far a practice clock is put forward at once. It bounds a
// slip of the year, after which there is no way back.
const MostForward = 30 * 24 * time.Hour

// enter refuses a clock in a laboratory for patients, one that is put back, and
// a leap that can only be a slip.
func (c *Clock) enter(f *folder, s *step) *Refusal {
	if err := f.inPractice(s); err != nil {
		return err
	}
	if code, msg, hint := c.Wrong(); code != "" {
		return s.refuse("to", code, hint, "%s", msg)
	}
	return nil
}

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

func (d *Drill) fields(f []field) []field {
	return append(f,
		field{"drill", must, text{&d.Drill}, "Drill"},
		field{"prefix", must, text{&d.Prefix}, "Before its ids"},
		field{"at", must, instant{&d.At}, "When"},
	)
}

func (*Drill) enter(f *folder, s *step) *Refusal { return f.inPractice(s) }

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

func (d *DrillAnswer) fields(f []field) []field {
	return append(f,
		field{"started", must, whole{&d.Started}, "Drill begun in entry"},
		field{"entry", must, whole{&d.Entry}, "Wrong entry"},
		field{"accident", must, text{&d.Accident}, "Kind of accident"},
		field{"result", must, oneWord[Outcome]{&d.Result, outcomes}, "Result"},
		field{"at", must, instant{&d.At}, "When"},
	)
}

func (*DrillAnswer) enter(f *folder, s *step) *Refusal { return f.inPractice(s) }

// inPractice refuses what only a practice laboratory has.
func (f *folder) inPractice(s *step) *Refusal {
	if f.practice {
		return nil
	}
	return s.refuse("", "practice-only", "use it in a journal for practice", "this laboratory is for patients, and has no practice clock and no drills")
}

// OfPractice tells whether a fact is of a practice laboratory itself.
func OfPractice(f Fact) bool {
	switch f.(type) {
	case *Clock, *Drill, *DrillAnswer:
		return true
	}
	return false
}
