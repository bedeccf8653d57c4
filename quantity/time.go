package quantity

import (
	"strconv"
	"strings"
	"time"
)

// The instants a record may hold: the years 2000 to 2099 in UTC.
var (
	firstInstant = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)
	endInstant   = time.Date(2100, 1, 1, 0, 0, 0, 0, time.UTC)
)

// clock is a date and time of day as written, before it is an instant.
type clock struct {
	year, month, day     int
	hour, minute, second int
	nano                 int
}

// utc is the instant at which a clock in UTC shows c.
func (c clock) utc() time.Time {
	return time.Date(c.year, time.Month(c.month), c.day, c.hour, c.minute, c.second, c.nano, time.UTC)
}

// ParseTime reads an instant: RFC 3339 with its offset (2027-03-04T13:30-01:00),
// or a local time without one (2027-03-04T13:30), read in zone. Seconds may be
// left out, a fraction of a second has up to nine digits, T may be a space,
// and white space around the text is dropped. With an offset the result is in
// that offset, whatever zone is ([OffsetMatchesZone] compares); without one it
// is in zone.
//
// Refused, with an [*Error]: a local time when zone is nil, or that zone
// skipped or went through twice (the hint shows both readings); dates that do
// not exist, 24:00 and :60; instants outside 2000 to 2099 in UTC; offsets
// beyond 14:00; -00:00, which means "offset unknown" (RFC 3339, 4.3); any other
// form, above all 11/12/2027, which is read in two ways.
func ParseTime(text string, zone *time.Location) (time.Time, error) {
	if len(text) > maxText {
		return time.Time{}, refuse(CodeTooLong, text, "it is longer than "+strconv.Itoa(maxText)+" bytes", formHint)
	}
	s := strings.TrimSpace(text)
	c, rest, ok := scanClock(s)
	if !ok {
		return time.Time{}, refuseTime(text, s)
	}
	if err := c.check(text); err != nil {
		return time.Time{}, err
	}
	var t time.Time
	switch {
	case rest != "":
		offset, err := scanOffset(text, rest)
		if err != nil {
			return time.Time{}, err
		}
		t = c.utc().Add(-time.Duration(offset) * time.Second).In(fixed(offset))
	case zone == nil:
		return time.Time{}, refuse(CodeTimeZone, text, "a local time needs a zone", "write the offset, like "+s+"+01:00, or Z for UTC")
	default:
		var err *Error
		if t, err = local(text, c, zone); err != nil {
			return time.Time{}, err
		}
	}
	if t.Before(firstInstant) || !t.Before(endInstant) {
		return time.Time{}, refuseCentury(text)
	}
	return t, nil
}

// fixed is a location with one offset in seconds; 0 is UTC itself.
func fixed(offset int) *time.Location {
	if offset == 0 {
		return time.UTC
	}
	return time.FixedZone("", offset)
}

// scanClock reads YYYY-MM-DDThh:mm[:ss[.fraction]] at the start of s.
func scanClock(s string) (c clock, rest string, ok bool) {
	const form = "0000-00-00T00:00"
	if len(s) < len(form) {
		return c, "", false
	}
	for i := range len(form) {
		switch isDigit := '0' <= s[i] && s[i] <= '9'; form[i] {
		case '0':
			ok = isDigit
		case 'T':
			ok = s[i] == 'T' || s[i] == 't' || s[i] == ' '
		default:
			ok = s[i] == form[i]
		}
		if !ok {
			return c, "", false
		}
	}
	c = clock{year: twoDigits(s[0:])*100 + twoDigits(s[2:]), month: twoDigits(s[5:]), day: twoDigits(s[8:]), hour: twoDigits(s[11:]), minute: twoDigits(s[14:])}
	rest = s[len(form):]
	if rest == "" || rest[0] != ':' {
		return c, rest, true
	}
	if len(rest) < 3 || !isDigits(rest[1:3]) {
		return c, "", false
	}
	c.second, rest = twoDigits(rest[1:]), rest[3:]
	if rest == "" || rest[0] != '.' {
		return c, rest, true
	}
	return c.fraction(rest[1:])
}

// fraction reads one to nine digits after the seconds.
func (c clock) fraction(s string) (clock, string, bool) {
	n := 0
	for n < len(s) && '0' <= s[n] && s[n] <= '9' {
		n++
	}
	if n == 0 || n > 9 {
		return c, "", false
	}
	c.nano, _ = strconv.Atoi((s[:n] + "000000000")[:9])
	return c, s[n:], true
}

// twoDigits is the number of the first two digits of s.
func twoDigits(s string) int { return int(s[0]-'0')*10 + int(s[1]-'0') }

// isDigits tells that s holds decimal digits only, and at least one.
func isDigits(s string) bool {
	return s != "" && strings.Trim(s, "0123456789") == ""
}

// check refuses a date or time of day that no calendar or clock shows.
func (c clock) check(text string) *Error {
	no := func(msg, hint string) *Error { return refuse(CodeTimeImpossible, text, msg, hint) }
	switch {
	case c.year < 1999 || c.year > 2100:
		return refuseCentury(text)
	case c.month < 1 || c.month > 12:
		return no("there is no month "+strconv.Itoa(c.month), "the order is year-month-day")
	case c.day < 1 || c.day > daysIn(c.year, c.month):
		return no(time.Month(c.month).String()+" "+strconv.Itoa(c.year)+" has "+strconv.Itoa(daysIn(c.year, c.month))+" days", "check the day")
	case c.hour == 24 && c.minute == 0 && c.second == 0:
		next := time.Date(c.year, time.Month(c.month), c.day+1, 0, 0, 0, 0, time.UTC)
		return no("24:00 is not written", "midnight at the end of the day is "+next.Format("2006-01-02T15:04"))
	case c.hour > 23 || c.minute > 59:
		return no("there is no such time of day", "hours are 00 to 23, minutes 00 to 59")
	case c.second > 59:
		return no("there is no such second", "seconds are 00 to 59, leap seconds are not recorded")
	}
	return nil
}

// daysIn is the number of days of a month.
func daysIn(year, month int) int {
	return time.Date(year, time.Month(month)+1, 0, 0, 0, 0, 0, time.UTC).Day()
}

// scanOffset reads Z or ±hh:mm as seconds east of Greenwich.
func scanOffset(text, s string) (int, *Error) {
	no := func(msg, hint string) (int, *Error) { return 0, refuse(CodeTimeOffset, text, msg, hint) }
	if s == "Z" || s == "z" {
		return 0, nil
	}
	if len(s) != 6 || (s[0] != '+' && s[0] != '-') || s[3] != ':' || !isDigits(s[1:3]) || !isDigits(s[4:]) {
		return 0, refuseAfter(text, s)
	}
	hours, minutes := twoDigits(s[1:]), twoDigits(s[4:])
	switch {
	case minutes > 59:
		return no("the minutes of the offset are more than 59", "write the offset like +05:30")
	case hours*60+minutes > 14*60:
		return no("no clock is more than 14 hours from UTC", "check the offset")
	case s == "-00:00":
		return no("-00:00 means that the offset is unknown", "write Z for UTC")
	}
	offset := hours*3600 + minutes*60
	if s[0] == '-' {
		offset = -offset
	}
	return offset, nil
}

// OffsetMatchesZone tells whether zone has the offset of t at that instant. A
// caller warns when a person wrote an offset that the site's zone did not
// have, the mark of a time copied from elsewhere or of a clock not changed.
func OffsetMatchesZone(t time.Time, zone *time.Location) bool {
	_, written := t.Zone()
	_, there := t.In(zone).Zone()
	return written == there
}

// FormatTime is the canonical text of an instant: RFC 3339 with the offset of
// zone (nil: the offset t has), Z for none, seconds always, a fraction only
// when it is not 0. In a zone whose offset is not in whole minutes or beyond
// 14 h, which RFC 3339 text cannot carry, the instant is written in UTC.
func FormatTime(t time.Time, zone *time.Location) string {
	if zone != nil {
		t = t.In(zone)
	}
	if _, offset := t.Zone(); offset%60 != 0 || offset > 14*3600 || offset < -14*3600 {
		t = t.UTC()
	}
	return t.Format(time.RFC3339Nano)
}

// ShowTime prints an instant for people in the zone t is in: date, time of day
// and offset, with the zone's abbreviation where it has one in letters:
// "2027-03-04 13:30 (UTC-01:00)", "2027-07-04 13:30:05 (CEST, UTC+02:00)".
// Seconds are shown unless they are 0; fractions are cut off.
func ShowTime(t time.Time) string {
	layout := "2006-01-02 15:04"
	if t.Second() != 0 {
		layout = "2006-01-02 15:04:05"
	}
	name, offset := t.Zone()
	zone := "UTC"
	switch {
	case offset%60 != 0:
		zone = t.Format("UTC-07:00:00")
	case offset != 0:
		zone = t.Format("UTC-07:00")
	}
	if name != "UTC" && name != "" && strings.Trim(name, letters) == "" {
		zone = name + ", " + zone
	}
	return t.Format(layout) + " (" + zone + ")"
}

const letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz"
