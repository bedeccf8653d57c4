package words_test

import (
	"testing"
	"time"

	"vialwright/quantity"
	"vialwright/web/words"
)

// A time in a sentence is the hour alone on its own day, with the day on another;
// what somebody wrote with another offset is quoted as it is.
func TestTimesOnTheWall(t *testing.T) {
	at := func(hour, minute int, zone *time.Location) string {
		return quantity.ShowTime(time.Date(2027, 3, 4, hour, minute, 0, 0, zone))
	}
	azores, rome := time.FixedZone("", -3600), time.FixedZone("CET", 3600)
	for _, c := range []struct {
		text string
		now  time.Time
		want string
	}{
		{"valid until " + at(13, 5, azores) + " and over", time.Date(2027, 3, 4, 23, 0, 0, 0, azores), "valid until 13:05 and over"},
		{"valid until " + at(13, 5, azores), time.Date(2027, 3, 5, 0, 30, 0, 0, azores), "valid until Thu 4 Mar 13:05"},
		{"between " + at(9, 0, rome) + " and " + at(10, 0, rome), time.Date(2027, 3, 4, 8, 0, 0, 0, time.UTC), "between 09:00 and 10:00"},
		{"arrived on " + at(13, 5, azores) + " with it", time.Date(2027, 3, 4, 23, 0, 0, 0, azores), "arrived at 13:05 with it"},
		{"arrived on " + at(13, 5, azores), time.Date(2027, 3, 5, 0, 30, 0, 0, azores), "arrived on Thu 4 Mar 13:05"},
		{"at " + at(9, 0, time.UTC), time.Date(2027, 3, 4, 8, 0, 0, 0, rome), "at 09:00"},
		{"the label says 2027-03-04T09:00:00+11:00", time.Date(2027, 3, 4, 8, 0, 0, 0, azores), "the label says 2027-03-04T09:00:00+11:00"},
	} {
		if got := words.TimesOnTheWall(c.text, c.now); got != c.want {
			t.Errorf("%q is %q, want %q", c.text, got, c.want)
		}
	}
}
