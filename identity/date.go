package identity

import (
	"fmt"
	"time"
)

// Date is a day of the calendar without a zone: a maker's label does not say
// where on earth the day ends. The zero Date is absent.
type Date struct {
	Year  int // four digits
	Month time.Month
	Day   int // 1 to 31
}

// IsZero tells whether the date is absent.
func (d Date) IsZero() bool { return d == Date{} }

// String gives the date as 2027-03-04; it is empty for an absent one.
func (d Date) String() string {
	if d.IsZero() {
		return ""
	}
	return fmt.Sprintf("%04d-%02d-%02d", d.Year, int(d.Month), d.Day)
}

// Clock is a date with a time of day in the maker's local time. The zone is
// not in the bar code and must be asked for. The zero Clock is absent.
type Clock struct {
	Date Date
	// Hour is 0 to 23, Minute 0 to 59.
	Hour, Minute int
}

// century completes a year of two digits, read in the given year (GS1 General
// Specifications, 7.12).
func century(yy, year int) int {
	c := year / 100
	switch d := yy - year%100; {
	case d >= 51:
		c--
	case d <= -50:
		c++
	}
	return 100*c + yy
}

// date reads YYMMDD, six digits. Where endOfMonth is allowed, day 00 is the
// last day of the month (GS1 General Specifications, identifier 17).
func date(yymmdd string, year int, endOfMonth bool) (Date, bool) {
	yy, mm, dd := two(yymmdd[0:]), two(yymmdd[2:]), two(yymmdd[4:])
	if mm < 1 || mm > 12 {
		return Date{}, false
	}
	d := Date{Year: century(yy, year), Month: time.Month(mm), Day: dd}
	// Day 0 of the month after is the last day of this one.
	last := time.Date(d.Year, d.Month+1, 0, 0, 0, 0, 0, time.UTC).Day()
	if dd == 0 && endOfMonth {
		d.Day = last
	}
	return d, d.Day >= 1 && d.Day <= last
}

// two is the number of the two digits that s begins with.
func two(s string) int { return 10*int(s[0]-'0') + int(s[1]-'0') }
