package people

import (
	"testing"
	"time"

	"pgregory.net/rapid"
)

// The delays of the package comment, worked out by hand.
func TestDelay(t *testing.T) {
	s := time.Second
	for i, want := range []time.Duration{0, 0, 0, 30 * s, 60 * s, 120 * s, 240 * s, 480 * s, 900 * s, 900 * s} {
		if got := PasswordLockout().Delay(Tries{i, morning}); got != want {
			t.Errorf("password, %d failures: %v, want %v", i, got, want)
		}
	}
	for i, want := range []time.Duration{0, 0, 5 * s, 10 * s, 10 * s, 10 * s} {
		if got := PINLockout().Delay(Tries{i, morning}); got != want {
			t.Errorf("PIN, %d failures: %v, want %v", i, got, want)
		}
	}
	if got := PasswordLockout().Delay(Tries{1 << 40, morning}); got != 15*time.Minute {
		t.Errorf("very many failures: %v", got)
	}
}

func TestLockoutCheck(t *testing.T) {
	password, pin := PasswordLockout(), PINLockout()
	at := func(d time.Duration) time.Time { return morning.Add(d) }
	for _, c := range []struct {
		what string
		l    Lockout
		f    int
		now  time.Time
		code string
		wait time.Duration
	}{
		{"never failed", password, 0, at(0), "", 0},
		{"two failures, at once", password, 2, at(0), "", 0},
		{"two failures, clock a little back", password, 2, at(-time.Second), "", 0},
		{"three, at once", password, 3, at(0), CodeWait, 30 * time.Second},
		{"three, a moment too early", password, 3, at(30*time.Second - 1), CodeWait, 1},
		{"three, in time", password, 3, at(30 * time.Second), "", 0},
		{"three, clock a little back", password, 3, at(-time.Second), CodeWait, 31 * time.Second},
		{"three, clock 15 min back", password, 3, at(-15 * time.Minute), CodeWait, 15*time.Minute + 30*time.Second},
		{"three, clock set back", password, 3, at(-15*time.Minute - 1), "", 0},
		{"ninety-nine, too early", password, 99, at(14 * time.Minute), CodeWait, time.Minute},
		{"ninety-nine, in time", password, 99, at(15 * time.Minute), "", 0},
		{"a hundred, years later", password, 100, at(9000 * time.Hour), CodeLocked, 0},
		{"a hundred, clock set back", password, 100, at(-time.Hour), CodeLocked, 0},
		{"PIN, one", pin, 1, at(0), "", 0},
		{"PIN, two", pin, 2, at(4 * time.Second), CodeWait, time.Second},
		{"PIN, two, in time", pin, 2, at(5 * time.Second), "", 0},
		{"PIN, four", pin, 4, at(10 * time.Second), "", 0},
		{"PIN, five", pin, 5, at(time.Hour), CodeLocked, 0},
	} {
		tries := Tries{c.f, morning}
		want(t, c.what, c.l.Check(tries, c.now), c.code)
		if got := c.l.Wait(tries, c.now); got != c.wait {
			t.Errorf("%s: wait %v, want %v", c.what, got, c.wait)
		}
	}
}

// The hint says a time after which the try is possible.
func TestWaitIsRoundedUp(t *testing.T) {
	for d, want := range map[time.Duration]string{
		1: "1 s", time.Second: "1 s", time.Second + 1: "2 s", 119*time.Second + 1: "120 s",
		2 * time.Minute: "2 min", 2*time.Minute + 1: "3 min", 15 * time.Minute: "15 min",
	} {
		if got := roundedUp(d); got != want {
			t.Errorf("%v: %q, want %q", d, got, want)
		}
	}
}

// Anyone who tries as often as is allowed gets End tries and no more, and needs
// at least the sum of the delays.
func TestLockoutBoundsTheTries(t *testing.T) {
	for _, c := range []struct {
		l    Lockout
		most int
		sum  time.Duration
	}{
		// Delays lie between the tries: those of 3 to 99 failures, and of 2 to 4.
		{PasswordLockout(), 100, (30+60+120+240+480)*time.Second + 92*15*time.Minute},
		{PINLockout(), 5, 25 * time.Second},
	} {
		rapid.Check(t, func(t *rapid.T) {
			var tries Tries
			n, now := 0, morning
			for range 400 {
				if c.l.Check(tries, now) == nil {
					tries = tries.Failed(now)
					n++
				}
				now = now.Add(max(c.l.Wait(tries, now), time.Duration(rapid.Int64Range(0, int64(time.Second)).Draw(t, "idle"))))
			}
			if n != c.most || tries.Failures != n || tries.Last.Sub(morning) < c.sum {
				t.Fatalf("%d tries in %v", n, tries.Last.Sub(morning))
			}
		})
	}
}
