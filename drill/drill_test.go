package drill_test

import (
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"vialwright/dispensing"
	"vialwright/drill"
	"vialwright/fact"
	"vialwright/fold"
)

func all(tb testing.TB) []drill.Drill {
	tb.Helper()
	out, err := drill.All(time.LoadLocation)
	if err != nil {
		tb.Fatal(err)
	}
	return out
}

// codes are those of the findings but the notes, sorted, each once.
func codes(tb testing.TB, facts []fact.Fact, now time.Time) []string {
	tb.Helper()
	c, err := fold.Facts(facts, time.LoadLocation)
	if err != nil {
		tb.Fatal(err)
	}
	var out []string
	for _, f := range dispensing.Reckon(c.AsOf(now), now).Findings {
		if f.Severity != dispensing.Note {
			out = append(out, string(f.Code))
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// Every drill reckons to exactly the findings that its head names, also when it
// is played in another season, in another zone and under other ids.
func TestEveryDrillMeetsItsFindings(t *testing.T) {
	drills := all(t)
	if len(drills) < 6 {
		t.Errorf("%d drills, want 6 or more", len(drills))
	}
	tokyo, err := time.LoadLocation("Asia/Tokyo")
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range drills {
		t.Run(d.Name, func(t *testing.T) {
			if got := codes(t, d.Facts, d.Now); !slices.Equal(got, d.Met) {
				t.Errorf("met %v, the head says %v", got, d.Met)
			}
			for _, zone := range []*time.Location{d.Now.Location(), tokyo} {
				now := time.Date(2027, 8, 17, 5, 12, 40, 0, time.UTC)
				played, err := d.Play("D7-", now, zone)
				if err != nil {
					t.Fatal(err)
				}
				facts := append(slices.Clone(d.Facts[:len(d.Facts)-len(played)]), played...)
				if site, ok := facts[0].(*fact.Site); ok {
					facts[0] = &fact.Site{Zone: zone.String(), Use: site.Use}
				}
				if got := codes(t, facts, now); !slices.Equal(got, d.Met) {
					t.Errorf("played in %s: met %v, the head says %v", zone, got, d.Met)
				}
				for _, f := range played {
					for _, s := range fact.Subjects(f) {
						if s.Kind != fact.AboutMeter && !strings.HasPrefix(s.ID, "D7-") {
							t.Errorf("%s names %s, without the prefix", fact.Word(f), s.ID)
						}
					}
					if at := fact.At(f); at.After(now) || !at.IsZero() && at.Before(now.Add(-12*time.Hour)) {
						t.Errorf("%s happened at %s, and it is %s", fact.Word(f), at, now)
					}
				}
			}
		})
	}
}

// A drill says where it comes from, in words a person can follow up, or that
// there is no published report; its title and what is told give nothing away.
func TestEveryDrillSaysWhereItComesFrom(t *testing.T) {
	accidents := map[string]string{}
	for _, d := range all(t) {
		if d.Source != drill.NoReport && !strings.Contains(d.Source, "event notification ") && !strings.Contains(d.Source, "case 00") {
			t.Errorf("%s: the source %q is neither a report nor %q", d.Name, d.Source, drill.NoReport)
		}
		if other := accidents[d.Accident]; other != "" {
			t.Errorf("%s and %s are the same accident", d.Name, other)
		}
		accidents[d.Accident] = d.Name
		for _, text := range []string{d.Title, d.Told} {
			if strings.Contains(strings.ToLower(text), strings.ToLower(d.Accident)) {
				t.Errorf("%s gives away that it is %q: %s", d.Name, d.Accident, text)
			}
		}
		for _, text := range []string{d.Told, d.Explains, d.Right} {
			if regexp.MustCompile(`(^|[^+\d])\d\d:\d\d`).MatchString(text) {
				t.Errorf("%s names a time of day, and it is played at any: %s", d.Name, text)
			}
		}
		if !strings.ContainsAny(d.Explains, "0123456789") {
			t.Errorf("%s: a number is missing in what it explains", d.Name)
		}
	}
	for _, want := range []string{"undrawn vial", "wrong time zone", "territories swapped", "GBq written for mCi", "incomplete delivery", "slipped digit"} {
		if accidents[want] == "" {
			t.Errorf("there is no drill of a %s", want)
		}
	}
}

// A file that is not whole is refused with what it lacks.
func TestRefusedDrills(t *testing.T) {
	const head, entries = "title: A\ntold: B\naccident: C\nsource: D\nexplains: E\nright: F\nnow: 2027-03-04T10:00\nfault: [1]\nmet: [label-mismatch]", "\n---\nentries:\n  - note: {text: x}\n"
	if _, err := drill.Parse("x", []byte(head+entries), time.LoadLocation); err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string]string{
		"a line ---":     head,
		"source":         strings.Replace(head, "source: D\n", "", 1) + entries,
		"colour":         "colour: red\n" + head + entries,
		"now":            strings.Replace(head, "T10:00", "", 1) + entries,
		"no entry 2":     strings.Replace(head, "[1]", "[2]", 1) + entries,
		"no number":      strings.Replace(head, "[1]", "[one]", 1) + entries,
		"entry in fault": strings.Replace(head, "fault: [1]", "fault: []", 1) + entries,
		"nte":            head + strings.Replace(entries, "note", "nte", 1),
	} {
		if _, err := drill.Parse("x", []byte(text), time.LoadLocation); err == nil || !strings.Contains(err.Error(), name) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
