package quantity

import (
	"slices"
	"strconv"
	"strings"
	"time"
)

const formHint = "write it like 2027-03-04T13:30 or 2027-03-04T13:30-01:00"

// refuseCentury is for a date outside 2000 to 2099.
func refuseCentury(text string) *Error {
	return refuse(CodeTimeCentury, text, "the date is in another century", "instants from 2000 to 2099 (in UTC) are recorded; check the year")
}

// refuseTime says why s, the trimmed text, does not begin with a date and time.
func refuseTime(text, s string) *Error {
	no := func(code, msg, hint string) *Error { return refuse(code, text, msg, hint) }
	lower := strings.ToLower(s)
	switch {
	case s == "":
		return no(CodeEmpty, "nothing is written", formHint)
	case !isText(s):
		return no(CodeNotText, "it holds bytes that are no readable text", "type it again")
	case len(s) == len("2027-03-04") && isDate(s):
		return no(CodeTimeForm, "the time of day is missing", "write it like "+s+"T13:30")
	}
	if err := refuseOrder(text, s); err != nil {
		return err
	}
	switch {
	case strings.Contains(lower, "am") || strings.Contains(lower, "pm"):
		return no(CodeTimeForm, "the time of day is written in 24 hours", formHint)
	case len(s) >= 19 && isDate(s[:10]) && strings.ContainsAny(s[16:], ".,"):
		return no(CodeTimeForm, "a fraction of a second has a point and one to nine digits", "write it like "+s[:16]+":05.25")
	}
	return no(CodeTimeForm, "it is not written as year-month-day, T, hours:minutes", formHint)
}

// isDate tells that s has the form YYYY-MM-DD.
func isDate(s string) bool {
	return len(s) == 10 && isDigits(s[:4]) && s[4] == '-' && isDigits(s[5:7]) && s[7] == '-' && isDigits(s[8:])
}

// refuseOrder recognises a date of three numbers that is not in the order
// year-month-day (11/12/2027, 4.3.27), and shows each date that it may be.
func refuseOrder(text, s string) *Error {
	date, _, _ := strings.Cut(strings.ReplaceAll(s, "T", " "), " ")
	parts := strings.FieldsFunc(date, func(r rune) bool { return r == '/' || r == '.' || r == '-' })
	if len(parts) != 3 || len(parts[0]) > 2 || !isDigits(parts[0]) || !isDigits(parts[1]) || !isDigits(parts[2]) {
		return nil
	}
	n := [3]int{}
	for i, p := range parts {
		n[i], _ = strconv.Atoi(p) // at most 64 digits; out of range is no date below
	}
	year := n[2]
	if year < 100 {
		year += 2000
	}
	var dates []string
	add := func(y, m, d int) {
		if y < 2000 || y > 2099 || m < 1 || m > 12 || d < 1 || d > daysIn(y, m) {
			return
		}
		written := time.Date(y, time.Month(m), d, 0, 0, 0, 0, time.UTC).Format("2006-01-02")
		if !slices.Contains(dates, written) {
			dates = append(dates, written)
		}
	}
	add(year, n[1], n[0]) // day, month, year
	add(year, n[0], n[1]) // month, day, year
	if n[2] < 100 {
		add(2000+n[0], n[1], n[2]) // two-digit year first
	}
	hint := formHint
	if len(dates) > 0 {
		hint = "write the date as " + strings.Join(dates, " or ")
	}
	return refuse(CodeTimeAmbiguous, text, "a date in this order is read in more than one way", hint)
}

// refuseAfter says what is wrong with s, the text after the time of day.
func refuseAfter(text, s string) *Error {
	lower := strings.ToLower(strings.TrimSpace(s))
	switch {
	case strings.HasPrefix(lower, "am") || strings.HasPrefix(lower, "pm"):
		return refuse(CodeTimeForm, text, "the time of day is written in 24 hours", formHint)
	case strings.HasPrefix(lower, "+") || strings.HasPrefix(lower, "-") || strings.HasPrefix(lower, "utc") || strings.HasPrefix(lower, "gmt"):
		return refuse(CodeTimeOffset, text, "the offset is written +hh:mm or -hh:mm, or Z for UTC", formHint)
	case strings.Trim(lower, strings.ToLower(letters)) == "":
		return refuse(CodeTimeOffset, text, "the abbreviation of a zone has more than one meaning", "write the offset, like +01:00, or Z for UTC")
	}
	return refuse(CodeTimeForm, text, "there is more than a date, a time of day and an offset", formHint)
}
