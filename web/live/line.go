package live

import (
	"encoding/hex"
	"io"
	"time"

	lru "github.com/hashicorp/golang-lru/v2"

	"vialwright/instrument"
	"vialwright/quantity"
)

// Fresh is how old a line may be that is taken: a display that was read
// longer ago may show something else by now (common practice, no source).
const Fresh = 10 * time.Second

// Line is what a meter showed at an instant.
type Line struct {
	// Meter is its id in the case, Source the name a record gives it.
	Meter, Source string
	// Of is the container that an invented meter was asked about, empty for
	// an empty well; of a real meter nobody knows, and it is empty too.
	Of       string
	Invented bool
	At       time.Time
	Reading  instrument.Reading
	// Token names the line in a form; empty where its display was not stable.
	Token string
}

// Meter is how a meter stands.
type Meter struct {
	// Line is the last line that was read; one without a time for none.
	Line
	// Trouble is what was wrong after it, as a sentence without a full stop;
	// empty for nothing.
	Trouble string
}

// Refuses says why the line cannot be taken now, as a sentence without a full
// stop; empty where it can.
func (m Meter) Refuses(now time.Time) string {
	switch {
	case m.Trouble != "":
		return m.Trouble
	case m.At.IsZero():
		return "nothing has come from the meter yet"
	}
	return m.Line.Refuses(now)
}

// Refuses says why the line cannot be taken now, whatever came after it.
func (l Line) Refuses(now time.Time) string {
	switch age := now.Sub(l.At); {
	case l.Reading.State == instrument.Unstable:
		return "the display is not stable"
	case age > Fresh:
		return "the line is " + quantity.ShowSpan(quantity.Span(age.Truncate(time.Second).Seconds())) + " old"
	}
	return ""
}

// most is how many lines are found again: a quarter of an hour of four meters
// that send two lines a second.
const most = 8192

// kept are the lines that were given out, by their tokens; the oldest goes.
type kept struct {
	random io.Reader
	lines  *lru.Cache[string, Line]
}

func newKept(random io.Reader) *kept {
	lines, err := lru.New[string, Line](most)
	if err != nil {
		panic("live: " + err.Error()) // of a size below 1 alone
	}
	return &kept{random, lines}
}

// keep gives the line its token and keeps it, unless its display was not
// stable. A source of random bytes that fails ends the program, as that of
// crypto/rand does.
func (k *kept) keep(l Line) Line {
	if l.Reading.State == instrument.Unstable {
		return l
	}
	var bits [12]byte
	if _, err := io.ReadFull(k.random, bits[:]); err != nil {
		panic("live: no random bytes: " + err.Error())
	}
	l.Token = hex.EncodeToString(bits[:])
	k.lines.Add(l.Token, l)
	return l
}

// Find gives the line that was given out under a token; false for one that
// never was, or too long ago.
func (k *kept) Find(token string) (Line, bool) { return k.lines.Peek(token) }
