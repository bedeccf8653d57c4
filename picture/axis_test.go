package picture

import (
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// labels writes the ticks of an axis as one line.
func labels(from time.Time, hours float64, minutes int) string {
	var out []string
	for _, t := range ticks(from, from.Add(time.Duration(hours*float64(time.Hour))), from.Location(), minutes) {
		s := t.label
		if t.change != "" {
			s += " (" + t.change + ")"
		}
		out = append(out, s)
	}
	return strings.Join(out, ", ")
}

// TestTicks: the rules of the clocks are those of the time zone database.
func TestTicks(t *testing.T) {
	lordHowe, kathmandu := zone("Australia/Lord_Howe"), zone("Asia/Kathmandu")
	for name, r := range map[string]struct {
		from    time.Time
		hours   float64
		minutes int
		want    string
	}{
		"a morning":               {at(8, 30), 3, 60, "09:00, 10:00, 11:00"},
		"both ends":               {at(8, 0), 2, 60, "08:00, 09:00, 10:00"},
		"five minutes":            {at(8, 2), 0.25, 5, "08:05, 08:10, 08:15"},
		"midnight":                {at(22, 0), 4, 120, "22:00, Fri 5 Mar, 02:00"},
		"midnight between steps":  {at(21, 0), 8, 180, "21:00, Fri 5 Mar, 03:00"},
		"days":                    {at(12, 0), 72, 1440, "Fri 5 Mar, Sat 6 Mar, Sun 7 Mar"},
		"other days":              {at(12, 0), 96, 2 * 1440, "Fri 5 Mar, Sun 7 Mar"},
		"a quarter hour off UTC":  {time.Date(2027, 3, 4, 8, 10, 0, 0, kathmandu), 2, 60, "09:00, 10:00"},
		"clocks back, midnight":   {time.Date(2027, 10, 30, 23, 0, 0, 0, azores), 4, 60, "23:00, Sun 31 Oct, 00:00 (clocks back), 01:00, 02:00"},
		"clocks forward, no 00h":  {time.Date(2027, 3, 27, 23, 0, 0, 0, azores), 3, 60, "23:00, Sun 28 Mar (clocks forward), 02:00, 03:00"},
		"half an hour back":       {time.Date(2027, 4, 4, 0, 0, 0, 0, lordHowe), 3, 60, "00:00, 01:00, 01:30 (clocks back), 02:00"},
		"half an hour forward":    {time.Date(2027, 10, 3, 0, 0, 0, 0, lordHowe), 3, 60, "00:00, 01:00, 02:30 (clocks forward), 03:00"},
		"a change between days":   {time.Date(2027, 3, 27, 0, 0, 0, 0, zone("Europe/Lisbon")), 48, 1440, "02:00 (clocks forward), Mon 29 Mar"},
		"no tick on a short axis": {at(8, 1), 0.05, 60, ""},
	} {
		if name == "a change between days" {
			r.want = "Sun 28 Mar, " + r.want
		}
		if got := labels(r.from, r.hours, r.minutes); got != r.want {
			t.Errorf("%s: %s, want %s", name, got, r.want)
		}
	}
}

// TestTicksShowTheClock: every tick bears what a clock in the zone shows then,
// at a multiple of the step, and the labels on the axis leave each other room.
func TestTicksShowTheClock(t *testing.T) {
	zones := []*time.Location{azores, zone("Australia/Lord_Howe"), zone("Asia/Kathmandu"), zone("America/St_Johns"), time.UTC}
	rapid.Check(t, func(t *rapid.T) {
		z := rapid.SampledFrom(zones).Draw(t, "zone")
		from := time.Unix(rapid.Int64Range(1767225600, 1893456000).Draw(t, "from"), 0)
		until := from.Add(time.Duration(rapid.Int64Range(60, 40*86400).Draw(t, "s")) * time.Second)
		minutes := step(from, until, 1000, 90)
		all := ticks(from, until, z, minutes)
		for i, k := range all {
			if k.at.Before(from) || k.at.After(until) {
				t.Fatalf("%v is not on the axis", k.at)
			}
			if !k.day && k.label != k.at.In(z).Format("15:04") || k.day && k.label != day(k.at.In(z)) {
				t.Fatalf("%v is labelled %s", k.at.In(z), k.label)
			}
			if i > 0 && !k.at.After(all[i-1].at) {
				t.Fatalf("%v after %v", k.at, all[i-1].at)
			}
		}
		if room := 1000 * float64(minutes) * 60 / until.Sub(from).Seconds(); room < 90 {
			t.Fatalf("%d minutes take %.1f units", minutes, room)
		}
	})
}

// TestAxisAsAsked: bounds in order are kept; else the axis holds now and the
// infusions, an hour before and two after.
func TestAxisAsAsked(t *testing.T) {
	s := oneDose(Wide)
	s.From, s.Until = at(9, 7), at(10, 11)
	if from, until := s.axis(); !from.Equal(at(9, 7)) || !until.Equal(at(10, 11)) {
		t.Errorf("%v to %v", from, until)
	}
	s.Until = s.From
	if from, until := s.axis(); !from.Equal(at(10, 0)) || !until.Equal(at(16, 0)) {
		t.Errorf("%v to %v", from, until)
	}
	s.From, s.Until = at(0, 0), at(0, 0).AddDate(30, 0, 0)
	if _, until := s.axis(); !until.Equal(at(0, 0).Add(400 * 24 * time.Hour)) {
		t.Errorf("until %v", until)
	}
}

// TestClockSaysTheDate: the date is left out only where now and the beginning
// of the axis are of that day, and a time that comes twice has its offset.
func TestClockSaysTheDate(t *testing.T) {
	fold := time.Date(2027, 10, 31, 0, 20, 0, 0, azores) // the first 00:20, in summer time
	for _, r := range []struct {
		from, now, t time.Time
		want         string
	}{
		{at(8, 0), at(9, 0), at(13, 30), "13:30"},
		{at(8, 0), time.Time{}, at(13, 30), "13:30"},
		{at(8, 0), at(9, 0), at(24, 44), "00:44 Fri 5 Mar"},
		{at(8, 0), at(33, 0), at(13, 30), "13:30 Thu 4 Mar"},
		{at(8, 0), at(33, 0), at(33, 30), "09:30 Fri 5 Mar"},
		{fold, fold, fold, "00:20 (UTC+00:00)"},
		{fold, fold, fold.Add(time.Hour), "00:20 (UTC-01:00)"},
		{fold, fold, fold.Add(2 * time.Hour), "01:20"},
	} {
		s := Strip{Zone: azores, From: r.from, Now: r.now}
		if got := plainSpace(s.clock(r.t, "15:04")); got != r.want {
			t.Errorf("%v seen at %v on an axis from %v: %s, want %s", r.t, r.now, r.from, got, r.want)
		}
	}
}

// TestWindowIsRoundedInwards: a minute that is valid only in part is not said
// to be.
func TestWindowIsRoundedInwards(t *testing.T) {
	s := oneDose(Wide)
	for _, r := range []struct{ from, until, wantFrom, wantUntil string }{
		{"09:12:03", "15:44:28", "09:13", "15:44"},
		{"09:12:00", "15:44:00", "09:12", "15:44"},
		{"09:12:59", "09:13:01", "09:13", "09:13"},
		{"09:12:03", "09:12:58", "09:12:03", "09:12:58"},
	} {
		parse := func(clock string) time.Time {
			c, err := time.ParseInLocation(time.DateTime, "2027-03-04 "+clock, azores)
			if err != nil {
				t.Fatal(err)
			}
			return c
		}
		s.From = at(8, 0)
		from, until := s.window(Track{ValidFrom: parse(r.from), ValidUntil: parse(r.until)})
		if from != r.wantFrom || until != r.wantUntil {
			t.Errorf("%s to %s is said %s to %s", r.from, r.until, from, until)
		}
	}
}
