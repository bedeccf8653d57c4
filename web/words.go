package web

import (
	"strconv"
	"strings"
	"time"

	"vialwright/quantity"
)

// zoned is the zone of a case, in which its times are shown.
type zoned struct{ *time.Location }

// clock is a time of day with its day and offset.
func (z zoned) clock(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return quantity.ShowTime(t.In(z.loc()))
}

// hour is the time of day alone, for where the day is plain.
func (z zoned) hour(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.In(z.loc()).Format("15:04")
}

// wall is a time as the clock on the wall tells it: the time of day alone on the
// day of now, with the day on any other.
func (z zoned) wall(t, now time.Time) string {
	if t.IsZero() {
		return ""
	}
	return onWall(t.In(z.loc()), now)
}

func onWall(t, now time.Time) string {
	if t.Format(time.DateOnly) == now.In(t.Location()).Format(time.DateOnly) {
		return t.Format("15:04")
	}
	return t.Format("Mon 2 Jan 15:04")
}

func (z zoned) loc() *time.Location {
	if z.Location == nil {
		return time.UTC
	}
	return z.Location
}

// sentence begins a text with a capital.
func sentence(text string) string { return strings.ToUpper(text[:1]) + text[1:] }

func plural(n int, what string) string {
	switch n {
	case 0:
		return "no " + what
	case 1:
		return "1 " + what
	}
	return strconv.Itoa(n) + " " + what + "s"
}

// onTheWall shows a time with its offset as the clock on the wall does: the
// hour alone on the day of now. Another text stays as it is.
func onTheWall(text string, now time.Time) string {
	t, err := quantity.ParseTime(text, nil)
	if err != nil {
		return text
	}
	return onWall(t, now)
}
