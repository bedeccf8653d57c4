package quantity

import (
	"errors"
	"strings"
	"sync"
	"testing"
	"time"
	_ "time/tzdata"
)

var loaded sync.Map // of *time.Location by name

// zone loads a time zone for a test.
func zone(t interface{ Fatalf(string, ...any) }, name string) *time.Location {
	if z, ok := loaded.Load(name); ok {
		return z.(*time.Location)
	}
	z, err := time.LoadLocation(name)
	if err != nil {
		t.Fatalf("%v", err)
	}
	loaded.Store(name, z)
	return z
}

func TestParseTime(t *testing.T) {
	for _, r := range []struct{ text, zone, want string }{
		{"2027-03-04T13:30:00-01:00", "", "2027-03-04T13:30:00-01:00"},
		{"2027-03-04T13:30-01:00", "", "2027-03-04T13:30:00-01:00"},
		{"2027-03-04T13:30Z", "", "2027-03-04T13:30:00Z"},
		{"2027-03-04t13:30z", "", "2027-03-04T13:30:00Z"},
		{"2027-03-04 13:30+00:00", "", "2027-03-04T13:30:00Z"},
		{"2027-03-04T13:30:00.250+05:30", "", "2027-03-04T13:30:00.25+05:30"},
		{"2027-03-04T13:30:00.123456789-03:30", "", "2027-03-04T13:30:00.123456789-03:30"},
		{"2027-03-04T13:30+14:00", "", "2027-03-04T13:30:00+14:00"},
		{"2027-03-04T13:30-14:00", "", "2027-03-04T13:30:00-14:00"},
		{" 2027-03-04T13:30\n", "Atlantic/Azores", "2027-03-04T13:30:00-01:00"},
		{"2027-07-04T13:30", "Atlantic/Azores", "2027-07-04T13:30:00Z"},
		{"2027-03-04T13:30:05.5", "Europe/Berlin", "2027-03-04T13:30:05.5+01:00"},
		{"2027-03-04T13:30+05:00", "Europe/Berlin", "2027-03-04T13:30:00+05:00"}, // the offset wins
		{"2028-02-29T00:00", "UTC", "2028-02-29T00:00:00Z"},
		{"2000-01-01T00:00Z", "", "2000-01-01T00:00:00Z"},
		{"1999-12-31T23:00-01:00", "", "1999-12-31T23:00:00-01:00"}, // 2000 in UTC
		{"2099-12-31T23:59:59.999999999Z", "", "2099-12-31T23:59:59.999999999Z"},
		{"2027-03-04T13:30", "Asia/Kathmandu", "2027-03-04T13:30:00+05:45"},
	} {
		var z *time.Location
		if r.zone != "" {
			z = zone(t, r.zone)
		}
		got, err := ParseTime(r.text, z)
		if err != nil {
			t.Errorf("ParseTime(%q, %s): %v", r.text, r.zone, err)
		} else if text := FormatTime(got, nil); text != r.want {
			t.Errorf("ParseTime(%q, %s) = %s, want %s", r.text, r.zone, text, r.want)
		}
	}
}

// TestParseTimeRefusals goes down the reasons to refuse.
func TestParseTimeRefusals(t *testing.T) {
	azores := zone(t, "Atlantic/Azores")
	for _, r := range []refusal{
		{"", CodeEmpty, "2027-03-04T13:30"},
		{"  ", CodeEmpty, ""},
		{strings.Repeat("2", 65), CodeTooLong, ""},
		{"2027-03-04T13:3\xff", CodeNotText, ""},
		{"2027-03-04", CodeTimeForm, "2027-03-04T13:30"},
		{"2027-03-04T13", CodeTimeForm, ""},
		{"2027-3-4T13:30", CodeTimeForm, ""},
		{"27-03-04T13:30", CodeTimeAmbiguous, "2004-03-27 or 2027-03-04"},
		{"20270304T1330", CodeTimeForm, ""},
		{"2027-03-04T1:30 PM", CodeTimeForm, "24 hours"},
		{"2027-03-04T01:30 PM", CodeTimeForm, "24 hours"},
		{"2027-03-04T13:30:5", CodeTimeForm, ""},
		{"2027-03-04T13:30:05.", CodeTimeForm, "fraction"},
		{"2027-03-04T13:30:05.1234567890", CodeTimeForm, "nine digits"},
		{"2027-03-04T13:30:05,5", CodeTimeForm, ""},
		{"tomorrow", CodeTimeForm, ""},
		{"11/12/2027", CodeTimeAmbiguous, "2027-12-11 or 2027-11-12"},
		{"11/12/2027 13:30", CodeTimeAmbiguous, "2027-12-11 or 2027-11-12"},
		{"11.12.27T13:30", CodeTimeAmbiguous, "2027-12-11 or 2027-11-12 or 2011-12-27"},
		{"04-03-2027 13:30", CodeTimeAmbiguous, "2027-03-04 or 2027-04-03"},
		{"13/12/2027", CodeTimeAmbiguous, "write the date as 2027-12-13"},
		{"11/11/2027", CodeTimeAmbiguous, "write the date as 2027-11-11"},
		{"99/99/9999", CodeTimeAmbiguous, ""},
		{"2027-13-04T13:30", CodeTimeImpossible, "year-month-day"},
		{"2027-00-04T13:30", CodeTimeImpossible, ""},
		{"2027-02-29T13:30", CodeTimeImpossible, "February 2027 has 28 days"},
		{"2027-02-30T13:30", CodeTimeImpossible, ""},
		{"2027-04-31T13:30", CodeTimeImpossible, "April 2027 has 30 days"},
		{"2027-04-00T13:30", CodeTimeImpossible, ""},
		{"2027-12-31T24:00", CodeTimeImpossible, "2028-01-01T00:00"},
		{"2027-12-31T24:01", CodeTimeImpossible, ""},
		{"2027-12-31T25:00", CodeTimeImpossible, ""},
		{"2027-12-31T23:60", CodeTimeImpossible, ""},
		{"2027-12-31T23:59:60Z", CodeTimeImpossible, "leap"},
		{"1927-03-04T13:30", CodeTimeCentury, "check the year"},
		{"2127-03-04T13:30", CodeTimeCentury, ""},
		{"1999-12-31T23:59:59Z", CodeTimeCentury, ""},
		{"2000-01-01T00:00+01:00", CodeTimeCentury, "UTC"},
		{"2100-01-01T00:00Z", CodeTimeCentury, ""},
		{"2099-12-31T23:30", CodeTimeCentury, ""}, // half past midnight in UTC
		{"2027-03-04T13:30+14:01", CodeTimeOffset, "14 hours"},
		{"2027-03-04T13:30-15:00", CodeTimeOffset, ""},
		{"2027-03-04T13:30+01:60", CodeTimeOffset, "59"},
		{"2027-03-04T13:30-00:00", CodeTimeOffset, "unknown"},
		{"2027-03-04T13:30+0100", CodeTimeOffset, "+hh:mm"},
		{"2027-03-04T13:30+1", CodeTimeOffset, ""},
		{"2027-03-04T13:30 UTC+1", CodeTimeOffset, ""},
		{"2027-03-04T13:30 CET", CodeTimeOffset, "more than one meaning"},
		{"2027-03-04T13:30 (UTC-01:00)", CodeTimeForm, ""},
		{"2027-03-28T00:30", CodeTimeGap, ""},
		{"2027-10-31T00:30", CodeTimeFold, ""},
	} {
		got, err := ParseTime(r.text, azores)
		var e *Error
		if !errors.As(err, &e) || !got.IsZero() {
			t.Errorf("ParseTime(%q) = %v, %v; want a refusal", r.text, got, err)
		} else if e.Code != r.code || !strings.Contains(e.Error(), r.words) {
			t.Errorf("ParseTime(%q): %s: %v\n\twant %s with %q", r.text, e.Code, e, r.code, r.words)
		}
	}
	_, err := ParseTime("2027-03-04T13:30", nil)
	var e *Error
	if !errors.As(err, &e) || e.Code != CodeTimeZone || !strings.Contains(e.Hint, "2027-03-04T13:30+01:00") {
		t.Errorf("a local time without a zone: %v", err)
	}
}

func TestFormatTime(t *testing.T) {
	at := time.Date(2027, 3, 4, 14, 30, 0, 0, time.UTC)
	for _, r := range []struct {
		t    time.Time
		zone *time.Location
		want string
	}{
		{at, nil, "2027-03-04T14:30:00Z"},
		{at, zone(t, "Atlantic/Azores"), "2027-03-04T13:30:00-01:00"},
		{at, zone(t, "Asia/Kathmandu"), "2027-03-04T20:15:00+05:45"},
		{at.Add(250 * time.Millisecond), time.UTC, "2027-03-04T14:30:00.25Z"},
		{at, time.FixedZone("LMT", 3208), "2027-03-04T14:30:00Z"}, // +00:53:28
		{at, time.FixedZone("far", 15*3600), "2027-03-04T14:30:00Z"},
		{at, time.FixedZone("far", -15*3600), "2027-03-04T14:30:00Z"},
	} {
		if got := FormatTime(r.t, r.zone); got != r.want {
			t.Errorf("FormatTime(%v, %v) = %s, want %s", r.t, r.zone, got, r.want)
		}
	}
}

func TestShowTime(t *testing.T) {
	at := time.Date(2027, 3, 4, 14, 30, 0, 0, time.UTC)
	for _, r := range []struct {
		t    time.Time
		want string
	}{
		{at, "2027-03-04 14:30 (UTC)"},
		{at.In(zone(t, "Atlantic/Azores")), "2027-03-04 13:30 (UTC-01:00)"}, // its abbreviation is "-01"
		{at.In(zone(t, "Europe/Berlin")).Add(5 * time.Second), "2027-03-04 15:30:05 (CET, UTC+01:00)"},
		{at.AddDate(0, 4, 0).In(zone(t, "Europe/Berlin")), "2027-07-04 16:30 (CEST, UTC+02:00)"},
		{at.In(zone(t, "Europe/London")), "2027-03-04 14:30 (GMT, UTC)"},
		{at.In(zone(t, "America/St_Johns")), "2027-03-04 11:00 (NST, UTC-03:30)"},
		{at.In(time.FixedZone("", 3600)), "2027-03-04 15:30 (UTC+01:00)"},
		{at.In(time.FixedZone("LMT", 3208)), "2027-03-04 15:23:28 (LMT, UTC+00:53:28)"},
		{at.Add(999 * time.Millisecond), "2027-03-04 14:30 (UTC)"},
	} {
		if got := ShowTime(r.t); got != r.want {
			t.Errorf("ShowTime(%v) = %q, want %q", r.t, got, r.want)
		}
	}
}

func TestOffsetMatchesZone(t *testing.T) {
	berlin := zone(t, "Europe/Berlin")
	for text, want := range map[string]bool{
		"2027-03-04T13:30+01:00": true,
		"2027-03-04T13:30+02:00": false, // summer time in winter
		"2027-07-04T13:30+02:00": true,
		"2027-07-04T13:30Z":      false,
		"2027-10-31T02:30+01:00": true, // in the fold both are right
		"2027-10-31T02:30+02:00": true,
		"2027-03-28T02:30+01:00": false, // in the gap neither is
		"2027-03-28T02:30+02:00": false,
		"2027-03-04T13:30":       true,
	} {
		at, err := ParseTime(text, berlin)
		if err != nil {
			t.Fatal(err)
		}
		if got := OffsetMatchesZone(at, berlin); got != want {
			t.Errorf("OffsetMatchesZone(%s) = %v, want %v", text, got, want)
		}
	}
}
