package people

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

func token(b byte) Token {
	var random [32]byte
	for i := range random {
		random[i] = b + byte(i)
	}
	return NewToken(random)
}

func TestSessionState(t *testing.T) {
	l := DefaultLimits()
	s := Open(token(1), "R1", true, morning)
	used := s
	used.LastSeen = morning.Add(11 * time.Hour)
	at := func(d time.Duration) time.Time { return morning.Add(d) }
	for _, c := range []struct {
		what string
		s    Session
		now  time.Time
		want State
	}{
		{"ended, and idle", s.End(), at(time.Hour), Ended},
		{"ended at once", s.End(), at(0), Ended},
		{"at once", s, at(0), Fresh},
		{"not quite idle", s, at(15*time.Minute - 1), Fresh},
		{"idle", s, at(15 * time.Minute), NeedsPIN},
		{"idle for long", s, at(12*time.Hour - 1), NeedsPIN},
		{"over", s, at(12 * time.Hour), Ended},
		{"used, not quite over", used, at(11*time.Hour + 14*time.Minute), Fresh},
		{"used to the end", used, at(12 * time.Hour), Ended},
		{"clock a little back", s, at(-time.Second), Fresh},
		{"clock a minute back", s, at(-time.Minute), Fresh},
		{"opened by a clock that was ahead", s, at(-time.Minute - 1), Ended},
		{"and long ahead", s, at(-48 * time.Hour), Ended},
	} {
		if got := c.s.State(c.now, l); got != c.want {
			t.Errorf("%s: %s, want %s", c.what, got, c.want)
		}
	}
	for _, l := range []Limits{{}, {Idle: time.Hour}} {
		if s.State(morning, l) == Fresh {
			t.Errorf("fresh with %v", l)
		}
	}
}

func TestOpen(t *testing.T) {
	want := Session{TokenHash: token(1).Hash(), Person: "R1", Practice: true, Started: morning, LastSeen: morning}
	if got := Open(token(1), "R1", true, morning); got != want {
		t.Errorf("%+v, want %+v", got, want)
	}
}

// Whatever is done, a session changes in three ways only: a use keeps a fresh
// one fresh, the PIN makes one that waits for it fresh, and what has ended
// stays ended. Nobody but the one who opened it is in it.
func TestSessionLife(t *testing.T) {
	l := DefaultLimits()
	rapid.Check(t, func(t *rapid.T) {
		s := Open(token(1), "R1", false, morning)
		now := morning
		for range 30 {
			now = now.Add(time.Duration(rapid.Int64Range(-int64(time.Minute), int64(40*time.Minute)).Draw(t, "step")))
			before := s.State(now, l)
			var next Session
			switch what := rapid.SampledFrom([]string{"use", "use", "use", "pin", "pin", "end"}).Draw(t, "what"); what {
			case "use":
				next = s.Seen(now, l)
				if before != Fresh && next != s {
					t.Fatal("a use changed a session that was not fresh")
				}
			case "pin":
				next = s.Confirmed(now, l)
				if before != Ended && next.State(now, l) != Fresh {
					t.Fatal("the PIN did not make it fresh")
				}
			case "end":
				next = s
				if rapid.IntRange(0, 9).Draw(t, "really") == 0 {
					next = s.End()
				}
			}
			after := next.State(now, l)
			if before == Ended && after != Ended {
				t.Fatal("an ended session came back")
			}
			if after == Fresh && now.Sub(s.Started) >= l.Whole {
				t.Fatal("fresh beyond the whole limit")
			}
			if next.Person != s.Person || next.TokenHash != s.TokenHash || next.Practice != s.Practice || next.Started != s.Started {
				t.Fatal("it became another session")
			}
			s = next
		}
	})
}

func TestLimitsCheck(t *testing.T) {
	for _, l := range []Limits{DefaultLimits(), {time.Minute, time.Minute}, {time.Hour, 24 * time.Hour}} {
		want(t, fmt.Sprint(l), l.Check(), "")
	}
	for _, l := range []Limits{{}, {time.Minute - 1, time.Hour}, {time.Hour + 1, 2 * time.Hour}, {time.Hour, time.Hour - 1}, {time.Hour, 24*time.Hour + 1}, {-time.Hour, time.Hour}} {
		want(t, fmt.Sprint(l), l.Check(), CodeLimits)
	}
}

// FIPS 180-4, SHA-256 of the bytes 0x01 to 0x20, reckoned by coreutils:
//
//	seq 1 32 | awk '{printf "%c", $1}' | sha256sum
func TestTokenHash(t *testing.T) {
	const want = "ae216c2ef5247a3782c135efa279a3e4cdc61094270f5d2be58c6204b7a612c9"
	if got := fmt.Sprintf("%x", token(1).Hash()); got != want {
		t.Errorf("%s, want %s", got, want)
	}
}

func TestToken(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		bits := [32]byte(rapid.SliceOfN(rapid.Byte(), 32, 32).Draw(t, "bits"))
		if bits == [32]byte{} {
			t.Skip("no random bytes, for which NewToken panics")
		}
		a := NewToken(bits)
		b, err := ParseToken(a.Text())
		if err != nil || a != b || len(a.Text()) != 43 || strings.Trim(a.Text(), "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_") != "" {
			t.Fatalf("%s: %v", a.Text(), err)
		}
	})
}

// A token does not get into a log by any verb, nor into JSON.
func TestTokenDoesNotPrint(t *testing.T) {
	a := token(65) // ABC...
	for _, text := range []string{
		fmt.Sprint(a), fmt.Sprintf("%v %+v %#v %s %q %x %X %d", a, a, a, a, a, a, a, a),
		fmt.Sprintf("%v %+v", &a, struct{ T Token }{a}),
	} {
		if strings.Contains(text, "ABC") || strings.Contains(text, "4142") || strings.Contains(text, "65") || !strings.Contains(text, "token") {
			t.Errorf("%s", text)
		}
	}
	if b, err := json.Marshal([]any{a, &a}); err != nil || string(b) != "[{},{}]" {
		t.Errorf("%s, %v", b, err)
	}
}

func TestParseTokenRefuses(t *testing.T) {
	good := token(1).Text()
	for _, text := range []string{
		"", good[:42], good + "A", good + "=", " " + good, good + "\n", strings.Repeat("A", 43),
		good[:42] + "B", // bits beyond the 256th
		strings.Repeat("+", 43), good[:20] + "\n" + good[20:],
	} {
		_, err := ParseToken(text)
		want(t, text, err, CodeToken)
		if text != "" && err != nil && strings.Contains(err.Error(), text) {
			t.Errorf("%v repeats %q", err, text)
		}
	}
}

func TestNewTokenPanics(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("a token was made of nothing")
		}
	}()
	NewToken([32]byte{})
}

// What parses is written again with the same characters.
func FuzzParseToken(f *testing.F) {
	f.Add(token(1).Text())
	f.Add("")
	f.Fuzz(func(t *testing.T, text string) {
		if a, err := ParseToken(text); err == nil && a.Text() != text {
			t.Fatalf("%q is read as %q", text, a.Text())
		}
	})
}
