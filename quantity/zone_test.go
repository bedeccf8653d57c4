package quantity

import (
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// zones have every kind of clock change between 2000 and 2040: whole and half
// hours, quarter-hour offsets, days skipped, negative summer time, permanent
// shifts, none at all.
var zones = []string{
	"UTC", "Atlantic/Azores", "Europe/Berlin", "Europe/London", "Europe/Dublin", "Europe/Moscow", "Europe/Volgograd",
	"Europe/Istanbul", "Africa/Casablanca", "Africa/Cairo", "Africa/Juba", "Africa/Sao_Tome", "America/New_York",
	"America/St_Johns", "America/Caracas", "America/Sao_Paulo", "America/Nuuk", "America/Metlakatla", "America/Havana",
	"America/Chihuahua", "Asia/Tehran", "Asia/Kathmandu", "Asia/Pyongyang", "Asia/Gaza", "Asia/Kolkata", "Asia/Dhaka",
	"Antarctica/Troll", "Antarctica/Casey", "Australia/Lord_Howe", "Australia/Adelaide", "Australia/Eucla",
	"Pacific/Apia", "Pacific/Fakaofo", "Pacific/Chatham", "Pacific/Kiritimati", "Pacific/Bougainville",
	"Pacific/Norfolk", "Pacific/Tongatapu",
}

// TestGapsAndFoldsByHand are clock changes written down from the rules of each
// zone, with both readings.
func TestGapsAndFoldsByHand(t *testing.T) {
	for _, r := range []struct{ zone, text, code, first, second string }{
		// Last Sunday of March and October, 01:00 UTC.
		{"Europe/Berlin", "2027-03-28T02:30", CodeTimeGap, "2027-03-28T02:30:00+01:00 (2027-03-28 01:30:00 UTC", "2027-03-28T02:30:00+02:00 (2027-03-28 00:30:00 UTC"},
		{"Europe/Berlin", "2027-10-31T02:30", CodeTimeFold, "2027-10-31T02:30:00+02:00 (CEST, 2027-10-31 00:30:00 UTC", "2027-10-31T02:30:00+01:00 (CET, 2027-10-31 01:30:00 UTC"},
		{"Atlantic/Azores", "2027-03-28T00:00", CodeTimeGap, "2027-03-28T00:00:00-01:00 (2027-03-28 01:00:00 UTC", "2027-03-28T00:00:00Z (2027-03-28 00:00:00 UTC"},
		{"Atlantic/Azores", "2027-10-31T00:59:59.9", CodeTimeFold, "2027-10-31T00:59:59.9Z", "2027-10-31T00:59:59.9-01:00"},
		// First Sunday of October and April, half an hour.
		{"Australia/Lord_Howe", "2027-10-03T02:15", CodeTimeGap, "+10:30", "+11:00"},
		{"Australia/Lord_Howe", "2027-04-04T01:45", CodeTimeFold, "+11:00", "+10:30"},
		// The whole of 30 December 2011 was skipped.
		{"Pacific/Apia", "2011-12-30T12:00", CodeTimeGap, "2011-12-30T12:00:00-10:00 (2011-12-30 22:00:00 UTC, when the clocks there showed 2011-12-31T12:00:00", "2011-12-30T12:00:00+14:00 (2011-12-29 22:00:00 UTC, when the clocks there showed 2011-12-29T12:00:00"},
		{"Pacific/Fakaofo", "2011-12-30T00:00", CodeTimeGap, "-11:00", "+13:00"},
		// Half an hour back for good.
		{"Asia/Pyongyang", "2018-05-04T23:45", CodeTimeGap, "+08:30", "+09:00"},
		{"America/Caracas", "2016-05-01T02:45", CodeTimeGap, "-04:30", "-04:00"},
		{"America/Caracas", "2007-12-09T02:45", CodeTimeFold, "-04:00", "-04:30"},
		// Two hours at once.
		{"Antarctica/Troll", "2027-03-28T02:30", CodeTimeGap, "Z", "+02:00"},
		// Summer is standard time there; winter is put back.
		{"Europe/Dublin", "2027-03-28T01:30", CodeTimeGap, "Z", "+01:00"},
	} {
		_, err := ParseTime(r.text, zone(t, r.zone))
		var e *Error
		if !errors.As(err, &e) || e.Code != r.code {
			t.Errorf("%s in %s: %v, want %s", r.text, r.zone, err, r.code)
			continue
		}
		first, second, _ := strings.Cut(e.Hint, " or ")
		if !strings.Contains(first, r.first) || !strings.Contains(second, r.second) || !strings.Contains(e.Msg, r.zone) {
			t.Errorf("%s in %s: %v\n\twant %s and %s", r.text, r.zone, e, r.first, r.second)
		}
	}
}

// TestEdgesOfAChange stands a nanosecond to each side of the change.
func TestEdgesOfAChange(t *testing.T) {
	for _, r := range []struct{ zone, text, want string }{
		{"Europe/Berlin", "2027-03-28T01:59:59.999999999", "2027-03-28T00:59:59.999999999Z"},
		{"Europe/Berlin", "2027-03-28T03:00", "2027-03-28T01:00:00Z"},
		{"Europe/Berlin", "2027-10-31T01:59:59.999999999", "2027-10-30T23:59:59.999999999Z"},
		{"Europe/Berlin", "2027-10-31T03:00", "2027-10-31T02:00:00Z"},
		{"Pacific/Apia", "2011-12-29T23:59:59", "2011-12-30T09:59:59Z"},
		{"Pacific/Apia", "2011-12-31T00:00", "2011-12-30T10:00:00Z"},
		{"Australia/Lord_Howe", "2027-10-03T02:30", "2027-10-02T15:30:00Z"},
	} {
		got, err := ParseTime(r.text, zone(t, r.zone))
		if err != nil || FormatTime(got, time.UTC) != r.want {
			t.Errorf("%s in %s = %v, %v; want %s", r.text, r.zone, got, err, r.want)
		}
	}
	for _, text := range []string{"2027-03-28T02:00", "2027-03-28T02:59:59.999999999"} {
		if _, err := ParseTime(text, zone(t, "Europe/Berlin")); err == nil {
			t.Errorf("%s lies in a gap and is read", text)
		}
	}
	for _, text := range []string{"2027-10-31T02:00", "2027-10-31T02:59:59.999999999"} {
		if _, err := ParseTime(text, zone(t, "Europe/Berlin")); err == nil {
			t.Errorf("%s lies in a fold and is read", text)
		}
	}
}

// TestEndOfTheZoneTable: where the table of a zone ends (2038-01-19T03:14:07Z)
// and its rule takes over, no local time may seem to occur twice.
func TestEndOfTheZoneTable(t *testing.T) {
	for _, name := range zones {
		z := zone(t, name)
		for h := -40; h <= 40; h++ {
			wall := time.Date(2038, 1, 19, 3, 14, 7, 0, time.UTC).Add(time.Duration(h) * time.Hour)
			checkLocal(t, name, z, wall, slowReadings(wall, z))
		}
	}
}

// changes lists the instants from 2000 to 2040 at which the zone changes.
func changes(z *time.Location) []time.Time {
	var list []time.Time
	last := time.Date(2040, 1, 1, 0, 0, 0, 0, time.UTC)
	for at := firstInstant; ; {
		_, end := at.In(z).ZoneBounds()
		if end.IsZero() || end.After(last) {
			return list
		}
		list = append(list, end)
		at = end
	}
}

// slowReadings is the slow twin of local: it tries every offset from -14 h to
// +14 h in minutes and keeps the instants at which the zone's clock shows wall.
func slowReadings(wall time.Time, z *time.Location) []time.Time {
	var list []time.Time
	for m := 14 * 60; m >= -14*60; m-- {
		at := wall.Add(-time.Duration(m) * time.Minute)
		if _, offset := at.In(z).Zone(); offset == m*60 {
			list = append(list, at)
		}
	}
	return list
}

// TestLocalTimesAgainstSlowTwin asks for local times near clock changes.
func TestLocalTimesAgainstSlowTwin(t *testing.T) {
	all := map[string][]time.Time{}
	for _, name := range zones {
		all[name] = changes(zone(t, name))
	}
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.SampledFrom(zones).Draw(t, "zone")
		z := zone(t, name)
		wall := time.Date(2027, 1, 1, 0, 0, 0, 0, time.UTC).Add(time.Duration(rapid.IntRange(0, 365*24*60).Draw(t, "minute")) * time.Minute)
		if list := all[name]; len(list) > 0 && rapid.IntRange(0, 9).Draw(t, "near") > 0 {
			at := rapid.SampledFrom(list).Draw(t, "change").In(z)
			_, offset := at.Zone()
			wall = at.UTC().Add(time.Duration(offset)*time.Second + time.Duration(rapid.IntRange(-26*60, 26*60).Draw(t, "minutes"))*time.Minute)
		}
		checkLocal(t, name, z, wall, slowReadings(wall, z))
	})
}

type fataler interface {
	Fatalf(format string, args ...any)
}

// checkLocal holds ParseTime against the instants that a peer found for wall.
func checkLocal(t fataler, name string, z *time.Location, wall time.Time, want []time.Time) {
	text := wall.Format("2006-01-02T15:04:05")
	got, err := ParseTime(text, z)
	var e *Error
	switch errors.As(err, &e); len(want) {
	case 1:
		if err != nil || !got.Equal(want[0]) {
			t.Fatalf("%s in %s = %v, %v; want %v", text, name, got, err, want[0])
		}
	case 0:
		if e == nil || e.Code != CodeTimeGap || strings.Count(e.Hint, " UTC") != 2 {
			t.Fatalf("%s in %s = %v, %v; want a gap with two readings", text, name, got, err)
		}
	default:
		if e == nil || e.Code != CodeTimeFold {
			t.Fatalf("%s in %s = %v, %v; want a fold", text, name, got, err)
		}
		for _, at := range want {
			if !strings.Contains(e.Hint, inUTC(at)) {
				t.Fatalf("%s in %s: %v; want %v among the readings", text, name, e, at)
			}
		}
	}
}

// TestClockChangeHintsCanBeFollowed reads what the hint of a gap or fold offers.
func TestClockChangeHintsCanBeFollowed(t *testing.T) {
	for name, text := range map[string]string{
		"Europe/Berlin": "2027-03-28T02:30", "Europe/London": "2027-10-31T01:30", "Pacific/Apia": "2011-12-30T12:00",
	} {
		_, err := ParseTime(text, zone(t, name))
		var e *Error
		if !errors.As(err, &e) {
			t.Fatalf("%s in %s: %v", text, name, err)
		}
		var offered []time.Time
		for part := range strings.SplitSeq(strings.TrimPrefix(e.Hint, "write the offset: "), " or ") {
			word, _, _ := strings.Cut(part, " ")
			at, err := ParseTime(word, nil)
			if err != nil {
				t.Errorf("the hint for %s in %s offers %s: %v", text, name, word, err)
			}
			offered = append(offered, at)
		}
		if len(offered) != 2 || offered[0].Equal(offered[1]) {
			t.Errorf("the hint for %s in %s offers %v", text, name, offered)
		}
	}
}

// TestPeriodsCoverTheTime: the periods tried follow each other without a hole.
func TestPeriodsCoverTheTime(t *testing.T) {
	for _, name := range zones {
		z := zone(t, name)
		for _, at := range changes(z) {
			list := around(at, z)
			if len(list) < 2 || list[0].late(at.Add(-26*time.Hour)) || list[len(list)-1].late(at.Add(26*time.Hour)) {
				t.Fatalf("%s at %v: periods %v", name, at, list)
			}
			if !slices.IsSortedFunc(list, func(a, b period) int { return a.start.Compare(b.start) }) {
				t.Fatalf("%s at %v: periods out of order", name, at)
			}
			for i := 1; i < len(list); i++ {
				if !list[i-1].end.Equal(list[i].start) {
					t.Fatalf("%s at %v: a hole between %v and %v", name, at, list[i-1].end, list[i].start)
				}
			}
		}
	}
}

// TestParseDay: where the clocks skip midnight the day begins when they are put forward, and where
// they show it twice with the first (Azores, by the rule of the European Union, 01:00 UTC).
func TestParseDay(t *testing.T) {
	azores := zone(t, "Atlantic/Azores")
	for day, want := range map[string]string{
		"2027-03-27": "2027-03-27T01:00:00Z to 2027-03-28T01:00:00Z", "2027-03-28": "2027-03-28T01:00:00Z to 2027-03-29T00:00:00Z",
		"2027-10-31": "2027-10-31T00:00:00Z to 2027-11-01T01:00:00Z",
	} {
		begins, ends, err := ParseDay(day, azores)
		if got := begins.UTC().Format(time.RFC3339) + " to " + ends.UTC().Format(time.RFC3339); err != nil || got != want {
			t.Errorf("%s: %s, %v; want %s", day, got, err, want)
		}
	}
	if _, _, err := ParseDay("28.3.2027", azores); err == nil {
		t.Error("28.3.2027 is taken for a day")
	}
}
