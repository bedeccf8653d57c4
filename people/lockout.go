package people

import (
	"strconv"
	"time"
)

// Tries are the failures in a row of one password or PIN, and the last of
// them. A success makes it zero again; that of the password makes the tries of
// the PIN zero too, and a first password given by an administrator both.
//
// A try counts as a failure while it is not known whether it is right, so that a
// hundred tries at the same time are not one try.
type Tries struct {
	Failures int
	Last     time.Time
}

// Failed is t after one more failure.
func (t Tries) Failed(now time.Time) Tries { return Tries{t.Failures + 1, now} }

// Lockout is how failures lock; the package comment has the equation. The two
// in use are [PasswordLockout] and [PINLockout].
type Lockout struct {
	// Free is how many failures cost nothing.
	Free int
	// First is the first delay; each further one is twice as long, up to Most.
	First, Most time.Duration
	// End is the number of failures after which there is no further try.
	End int
	// way is the way out once there is none.
	way string
}

// PasswordLockout is that of the password: 3 free, 30 s doubled up to 15 min,
// 100 in all (SP 800-63B-4, 3.2.2).
func PasswordLockout() Lockout {
	return Lockout{3, 30 * time.Second, 15 * time.Minute, 100, "an administrator can give you a first password"}
}

// PINLockout is that of the PIN: 2 free, 5 s and 10 s, 5 in all; then the
// password is asked.
func PINLockout() Lockout {
	return Lockout{2, 5 * time.Second, 10 * time.Second, 5, "sign in with your password; what you typed is kept"}
}

// Delay is the wait after the last failure.
//
//	0 for f < Free, else min(First·2^(f-Free), Most)
func (l Lockout) Delay(t Tries) time.Duration {
	if t.Failures < l.Free {
		return 0
	}
	d := l.First
	for i := l.Free; i < t.Failures && d < l.Most; i++ {
		d *= 2
	}
	return min(d, l.Most)
}

// Wait is how long the next try has to wait at an instant; 0 when it may be at
// once, or never. A last failure that lies further ahead of now than the
// longest delay was noted before the clock was set back, and does not count as
// recent.
func (l Lockout) Wait(t Tries, now time.Time) time.Duration {
	delay := l.Delay(t)
	if delay == 0 || t.Failures >= l.End || t.Last.Sub(now) > l.Most {
		return 0
	}
	return max(0, t.Last.Add(delay).Sub(now))
}

// Check refuses a try, in this order:
//
//	[CodeLocked]  there were too many failures
//	[CodeWait]    the wait after the last failure is not over
func (l Lockout) Check(t Tries, now time.Time) error {
	if t.Failures >= l.End {
		return refuse(CodeLocked, "it was wrong too often", l.way)
	}
	if wait := l.Wait(t, now); wait > 0 {
		return refuse(CodeWait, "it was wrong several times", "try again in "+roundedUp(wait))
	}
	return nil
}

// roundedUp is a wait in whole seconds or, from 2 min on, whole minutes.
func roundedUp(d time.Duration) string {
	up := func(unit time.Duration) string { return strconv.Itoa(int((d + unit - 1) / unit)) }
	if d < 2*time.Minute {
		return up(time.Second) + " s"
	}
	return up(time.Minute) + " min"
}
