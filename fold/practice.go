package fold

import (
	"vialwright/fact"
)

// enterClock refuses a clock in a laboratory for patients, one that is put back, and
// a leap that can only be a slip.
func enterClock(c *fact.Clock, f *folder, s *step) *fact.Refusal {
	if err := f.inPractice(s); err != nil {
		return err
	}
	if code, msg, hint := c.Wrong(); code != "" {
		return s.refuse("to", code, hint, "%s", msg)
	}
	return nil
}

// inPractice refuses what only a practice laboratory has.
func (f *folder) inPractice(s *step) *fact.Refusal {
	if f.practice {
		return nil
	}
	return s.refuse("", "practice-only", "use it in a journal for practice", "this laboratory is for patients, and has no practice clock and no drills")
}
