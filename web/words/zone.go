package words

import (
	"cmp"
	"regexp"
	"strconv"
	"strings"
	"time"

	"vialwright/quantity"
)

// Zoned is the zone of a case, in which its times are shown.
type Zoned struct{ *time.Location }

// Clock is a time of day with its day and offset.
func (z Zoned) Clock(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return quantity.ShowTime(t.In(z.Loc()))
}

// Hour is the time of day alone, for where the day is plain.
func (z Zoned) Hour(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.In(z.Loc()).Format("15:04")
}

// Wall is a time as the clock on the wall tells it: the time of day alone on the
// day of now, with the day on any other, and with the year in any other.
func (z Zoned) Wall(t, now time.Time) string {
	if t.IsZero() {
		return ""
	}
	return onWall(t.In(z.Loc()), now)
}

// On is Wall in a sentence: at 17:34, or on Tue 8 Sep 08:40.
func (z Zoned) On(t, now time.Time) string { return TimesOnTheWall("on "+z.Clock(t), now) }

func onWall(t, now time.Time) string {
	if t.Format(time.DateOnly) == now.In(t.Location()).Format(time.DateOnly) {
		return t.Format("15:04")
	}
	if t.Year() != now.In(t.Location()).Year() {
		return t.Format("Mon 2 Jan 2006 15:04")
	}
	return t.Format("Mon 2 Jan 15:04")
}

// Loc is the zone; UTC where there is none.
func (z Zoned) Loc() *time.Location {
	if z.Location == nil {
		return time.UTC
	}
	return z.Location
}

// Sentence begins a text with a capital.
func Sentence(text string) string { return strings.ToUpper(text[:1]) + text[1:] }

// Plural counts things in words.
func Plural(n int, what string) string {
	switch n {
	case 0:
		return "no " + what
	case 1:
		return "1 " + what
	}
	return strconv.Itoa(n) + " " + what + "s"
}

// OnTheWall shows a time with its offset as the clock on the wall does: the
// hour alone on the day of now. Another text stays as it is.
func OnTheWall(text string, now time.Time) string {
	t, err := quantity.ParseTime(text, nil)
	if err != nil {
		return text
	}
	return onWall(t, now)
}

// shownTime is a time in full, as quantity.ShowTime writes it in a sentence.
var shownTime = regexp.MustCompile(`(\bon )?(\d{4}-\d\d-\d\d \d\d:\d\d)(?::\d\d)? \((?:[^()]+, )?UTC([+-]\d\d:\d\d)?\)`)

// TimesOnTheWall shows the times in a sentence as the clock on the wall does. A time
// that is quoted as somebody wrote it stays as it is.
func TimesOnTheWall(text string, now time.Time) string {
	return shownTime.ReplaceAllStringFunc(text, func(full string) string {
		m := shownTime.FindStringSubmatch(full)
		t, err := time.Parse("2006-01-02 15:04 -07:00", m[2]+" "+cmp.Or(m[3], "+00:00"))
		if err != nil {
			return full
		}
		says := onWall(t, now)
		if m[1] != "" && len(says) == len("15:04") {
			return "at " + says
		}
		return m[1] + says
	})
}
