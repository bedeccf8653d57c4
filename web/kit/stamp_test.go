package kit

import (
	"maps"
	"net/url"
	"testing"
	"time"
)

// A time that a page wrote in itself is that time, to the second, as long as it stands as
// the page showed it, also when the page was made on the day before or the clock on the wall
// shows the same time twice; it goes once a figure is another. What a person writes is theirs.
func TestStampOverMidnight(t *testing.T) {
	azores, err := time.LoadLocation("Atlantic/Azores") // -01:00, and +00:00 in summer
	if err != nil {
		t.Fatal(err)
	}
	parts := []Part{{Kind: "read", Inputs: []Input{{Name: "gross", Kind: "amount", Units: []string{"GBq"}}, {Name: "at", Kind: "time", Must: true}}}}
	for _, c := range []struct{ name, stamped, made, shown, typed, gross, want string }{
		{"the same day", "2027-03-04T11:00:20-01:00", "2027-03-04T11:00:20-01:00", "11:00", "11:00", "3.2", "2027-03-04T11:00:20-01:00"},
		{"over midnight", "2027-03-04T23:59:20-01:00", "2027-03-04T23:59:20-01:00", "23:59", "23:59", "3.2", "2027-03-04T23:59:20-01:00"},
		{"another figure over midnight", "2027-03-04T23:59:20-01:00", "2027-03-04T23:59:20-01:00", "23:59", "23:59", "3.3", ""},
		{"left open over night", "2027-03-04T08:55:20-01:00", "2027-03-04T08:55:20-01:00", "08:55", "08:55", "3.2", "2027-03-04T08:55:20-01:00"},
		{"shown on the next day", "2027-03-04T23:59:20-01:00", "2027-03-05T00:01:00-01:00", "2027-03-04T23:59:20-01:00", "2027-03-04T23:59:20-01:00", "3.2", "2027-03-04T23:59:20-01:00"},
		{"typed by a person on the next day", "2027-03-04T14:10:20-01:00", "2027-03-05T14:11:00-01:00", "2027-03-04T14:10:20-01:00", "14:10", "3.2", "14:10"},
		{"an hour that is skipped between", "2027-03-27T23:59:20-01:00", "2027-03-27T23:59:20-01:00", "23:59", "23:59", "3.2", "2027-03-27T23:59:20-01:00"},
		{"the first of an hour that comes twice", "2027-10-31T00:30:20Z", "2027-10-31T00:30:20Z", "00:30", "00:30", "3.2", "2027-10-31T00:30:20Z"},
		{"the second of it", "2027-10-31T00:30:20-01:00", "2027-10-31T00:30:20-01:00", "00:30", "00:30", "3.2", "2027-10-31T00:30:20-01:00"},
	} {
		moment := func(text string) time.Time {
			at, err := time.Parse(time.RFC3339, text)
			if err != nil {
				t.Fatal(err)
			}
			return at.In(azores)
		}
		typed := url.Values{"p0.gross": {"3.2"}}
		fillNow(parts, typed, moment(c.stamped), azores)
		all := FormFields{{{Name: "p0.at", Value: typed.Get("p0.at")}}}
		showStamps(all, typed, moment(c.made))
		if got := all[0][0].Value; got != c.shown {
			t.Errorf("%s: the page shows %q, want %q", c.name, got, c.shown)
		}
		sent := maps.Clone(typed)
		sent.Set("p0.at", c.typed)
		sent.Set("p0.gross", c.gross)
		unstamp(sent, azores)
		if got := sent.Get("p0.at"); got != c.want {
			t.Errorf("%s: sent is %q, want %q", c.name, got, c.want)
		}
	}
}
