package people

import "time"

// Session is a person at a bench. It is a value: what changes it gives a new
// one.
type Session struct {
	// TokenHash is [Token.Hash] of the token it is known by.
	TokenHash [32]byte
	// Person is the id of the person.
	Person string
	// Practice marks every screen, page and label as not for patient use.
	Practice bool
	// Started is when it was opened with the password, LastSeen when it was
	// last used or confirmed.
	Started, LastSeen time.Time
	// Era is how often all sessions of the person had been ended when it was opened:
	// those of an earlier era are over, whatever clocks said.
	Era int
	// Over is true once it was ended.
	Over bool
}

// State is what a session is good for.
type State string

// The states. In NeedsPIN and Ended the entry in hand is kept for the same
// person.
const (
	Fresh    State = "fresh"     // it may be used
	NeedsPIN State = "needs-pin" // the PIN has to be typed first
	Ended    State = "ended"     // the password has to be typed first
)

// Limits are how long a session stays fresh without use, and how long it lasts
// at most. With zero Limits no session is ever fresh.
type Limits struct{ Idle, Whole time.Duration }

// DefaultLimits are 15 min and 12 h (SP 800-63B-4, 2.3.3).
func DefaultLimits() Limits { return Limits{15 * time.Minute, 12 * time.Hour} }

// Check refuses with [CodeLimits] an Idle outside 1 min to 1 h, and a Whole
// that is shorter than Idle or longer than 24 h (the longest of SP 800-63B-4,
// 2.2.3).
func (l Limits) Check() error {
	if l.Idle < time.Minute || l.Idle > time.Hour || l.Whole < l.Idle || l.Whole > 24*time.Hour {
		return refuse(CodeLimits, "a session cannot have these limits", "1 min to 1 h without use, 24 h at most in all")
	}
	return nil
}

// Open begins a session, once the password was right.
func Open(t Token, person string, practice bool, now time.Time) Session {
	return Session{TokenHash: t.Hash(), Person: person, Practice: practice, Started: now, LastSeen: now}
}

// aheadMost is how far the start of a session may lie ahead: benches on one store
// differ by seconds.
const aheadMost = time.Minute

// State is what the session is good for at an instant; the package comment has
// the rule. A last use that lies ahead by the idle limit or more was noted
// before the clock was set back; the PIN settles who is there. A start that lies
// ahead was noted by a clock that was wrong, so that nobody knows how long the
// session has lasted: it has ended.
func (s Session) State(now time.Time, l Limits) State {
	idle := now.Sub(s.LastSeen).Abs()
	switch {
	case s.Over || now.Sub(s.Started) >= l.Whole || s.Started.Sub(now) > aheadMost:
		return Ended
	case idle >= l.Idle:
		return NeedsPIN
	}
	return Fresh
}

// Seen is the session after a use. Only a fresh session can be used; any other
// stays as it is. Of two uses that arrive out of order the later one counts.
func (s Session) Seen(now time.Time, l Limits) Session {
	if s.State(now, l) == Fresh && now.After(s.LastSeen) {
		s.LastSeen = now
	}
	return s
}

// Confirmed is the session once the PIN was right. A session that has ended
// stays so.
func (s Session) Confirmed(now time.Time, l Limits) Session {
	if s.State(now, l) != Ended {
		s.LastSeen = now
	}
	return s
}

// Lock is the session once another person works at its bench: it needs its PIN.
func (s Session) Lock() Session {
	s.LastSeen = time.Time{}
	return s
}

// End is the session once it was ended: by the person, or because the account
// was switched off or the PIN was wrong too often.
func (s Session) End() Session {
	s.Over = true
	return s
}
