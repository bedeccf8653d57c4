package kit

import (
	"net/url"
	"slices"
	"testing"
	"time"

	"vialwright/fact"
)

// A time of day is the last one that the clock said; one with its day stays.
func TestLately(t *testing.T) {
	azores, err := time.LoadLocation("Atlantic/Azores")
	if err != nil {
		t.Fatal(err)
	}
	now := time.Date(2027, 3, 4, 14, 10, 0, 0, azores)
	parts := []Part{{Kind: "infuse", Inputs: []Input{{Name: "start", Kind: "text"}, {Name: "text", Kind: "text"}}}}
	for typed, want := range map[string]string{
		"13:30":             "2027-03-04T13:30:00-01:00",
		"9:05":              "2027-03-04T09:05:00-01:00",
		"14:10":             "2027-03-04T14:10:00-01:00",
		"14:10:01":          "2027-03-04T14:10:01-01:00", // two clocks differ by a second
		"14:11":             "2027-03-04T14:11:00-01:00",
		"0:09":              "2027-03-04T00:09:00-01:00",
		"14:12":             "14:12", // still to come, and never yesterday
		"23:50":             "23:50",
		"2027-03-04T13:30":  "2027-03-04T13:30",
		"25:10":             "25:10",
		"half past one":     "half past one",
		"2027-03-04T13:30Z": "2027-03-04T13:30Z",
		"2027-03-04T14:12":  "2027-03-04T14:12", // still to come with its day, too
		"2028-03-04T13:30":  "2028-03-04T13:30",
	} {
		v := url.Values{"p0.start": {typed}, "p0.text": {typed}}
		_, ahead := CompleteDates(parts, v, now)
		if still := slices.Contains([]string{"14:12", "23:50", "2027-03-04T14:12", "2028-03-04T13:30"}, typed); still != (ahead["p0.start"].Text != "") {
			t.Errorf("%q: %v", typed, ahead)
		}
		if got := v.Get("p0.start"); got != want {
			t.Errorf("%q is taken as %q, want %q", typed, got, want)
		}
		if got := v.Get("p0.text"); got != typed {
			t.Errorf("a remark %q became %q", typed, got)
		}
	}
	for typed, want := range map[string]string{"13.30": "write 13:30", "1330": "write 13:30", "9h05": "write 9:05", "1.3": "", "13.75": ""} {
		v := url.Values{"p0.start": {typed}, "p0.text": {typed}}
		_, wrong := CompleteDates(parts, v, now)
		if wrong["p0.start"].Way != want || len(wrong) > 1 || v.Get("p0.start") != typed {
			t.Errorf("%q: %v, and there stands %q", typed, wrong, v.Get("p0.start"))
		}
	}
	v := url.Values{"p0.start": {"23:50"}}
	if CompleteDates(parts, v, now.Add(-14*time.Hour)); v.Get("p0.start") != "2027-03-03T23:50:00-01:00" {
		t.Errorf("23:50 told at 0:10 is %q", v.Get("p0.start"))
	}
	// What is planned or printed keeps the day that was typed, or has none.
	plan := []Part{{Inputs: []Input{{Name: "due", Kind: "time"}, {Name: "reference", Kind: "time"}, {Name: "at", Kind: "time", Label: "Holds from"}, {Name: "with.order.at", Kind: "text", Label: "Planned infusion"}}}}
	v = url.Values{"p0.due": {"2027-03-05T08:00"}, "p0.reference": {"18:00"}, "p0.at": {"2027-04-01T00:00"}, "p0.with.order.at": {"2027-04-01T10:00"}}
	if was, ahead := CompleteDates(plan, v, now); len(was)+len(ahead) > 0 || v.Get("p0.reference") != "18:00" {
		t.Errorf("of a plan: %v, %v, %v", was, ahead, v)
	}
}

// TestClockChange: a time of day that the clocks skipped or showed twice is taken neither for the
// one nor for the other, and not for one still to come: its day is put before it, and the
// journal asks for the offset. In Berlin they are put forward on 28 March 2027 at 02:00 and
// back on 31 October at 03:00 (the IANA time zone database).
func TestClockChange(t *testing.T) {
	berlin, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Fatal(err)
	}
	parts := []Part{{Kind: "infuse", Inputs: []Input{{Name: "start", Kind: "text"}}}}
	for _, c := range []struct{ now, typed, want string }{
		{"2027-10-31T02:10+02:00", "2:05", "2027-10-31T02:05:00"},
		{"2027-10-31T02:10+01:00", "02:05", "2027-10-31T02:05:00"},
		{"2027-10-31T03:30+01:00", "02:30:15", "2027-10-31T02:30:15"},
		{"2027-10-31T03:30+01:00", "01:50", "2027-10-31T01:50:00+02:00"},
		{"2027-03-28T03:05+02:00", "02:50", "2027-03-28T02:50:00"},
		{"2027-03-28T03:05+02:00", "01:50", "2027-03-28T01:50:00+01:00"},
	} {
		now, err := time.ParseInLocation("2006-01-02T15:04Z07:00", c.now, berlin)
		if err != nil {
			t.Fatal(err)
		}
		v := url.Values{"p0.start": {c.typed}}
		if _, ahead := CompleteDates(parts, v, now.In(berlin)); len(ahead) > 0 || v.Get("p0.start") != c.want {
			t.Errorf("%s at %s is taken as %q, want %q: %v", c.typed, c.now, v.Get("p0.start"), c.want, ahead)
		}
	}
}

// TestWhatMayBeToCome: the declarations have no other time of an entry that may be still to come
// than that of a planned infusion, and of what holds from a day on.
func TestWhatMayBeToCome(t *testing.T) {
	var planned []string
	for _, k := range fact.Kinds() {
		in, f := Input{Name: "at"}, fact.FieldOf(k.Word(), "at")
		if in.declare(f); f.Path != "" && !in.happened() {
			planned = append(planned, k.Word())
		}
	}
	if want := []string{"order", "room", "survey-point", "instrument", "check-source"}; !slices.Equal(planned, want) {
		t.Errorf("%v may be still to come, want %v", planned, want)
	}
}
