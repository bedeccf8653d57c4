package event_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"vialwright/dispensing"
	"vialwright/event"
	"vialwright/quantity"
	"vialwright/rules"
)

// TestUndecided: what a decision waits for is asked for until a person has judged; that
// a profile has no limit of the amount at all is not, since by it no infusion is ever
// decided. Another site is asked about also by a profile that says nothing of it.
func TestUndecided(t *testing.T) {
	const judged = "judged"
	for name, c := range map[string]struct {
		lines []string
		want  bool
	}{
		"no reason":                {[]string{"reason"}, true},
		"no reason, judged":        {[]string{"reason", judged}, false},
		"within":                   {nil, false},
		"no limit":                 {[]string{"profile: eu"}, false},
		"no limit, and no reason":  {[]string{"profile: eu", "reason"}, true},
		"another site, not ruled":  {[]string{"profile: uk", "treated: left lobe"}, true},
		"another site, no profile": {[]string{"profile: blank", "treated: left lobe"}, true},
	} {
		i := slices.Index(c.lines, judged)
		if i >= 0 {
			c.lines = c.lines[:i]
		}
		x := read(t, c.lines...)
		if i >= 0 {
			x.Judged = x.Discovered
		}
		// The order is completed beside it, or that is asked for where the profile has it.
		if d := event.Decide(x); d.Unfinished() != (c.want || x.Rules.Profile.ID == "us") {
			t.Errorf("%s, not completed: unfinished %v", name, d.Unfinished())
		}
		x.Completed = x.End
		if d := event.Decide(x); d.Undecided != c.want || d.Unfinished() != c.want {
			t.Errorf("%s: %s, undecided %v, want %v", name, d.Headline(x.Zone), d.Undecided, c.want)
		}
	}
}

// TestMoreLeftThanGiven: a record whose readings leave less than nothing delivered, beyond
// their uncertainty, says nothing, whatever ended the infusion; within it nothing was given.
func TestMoreLeftThanGiven(t *testing.T) {
	for given, want := range map[quantity.Activity]event.Outcome{-0.16: event.CannotSay, -0.03: event.IsEvent} {
		x := read(t, "reason: blockage")
		x.Delivered = &event.Known{Activity: given * quantity.GigaBecquerel, U: 0.035 * quantity.GigaBecquerel}
		if d := event.Decide(x); d.Outcome != want {
			t.Errorf("%v GBq: %s, want %s", given, d.Headline(x.Zone), want)
		}
	}
}

// TestTooMuchWaitsForNothing: more than the limit is an event, and its clocks run, also
// where nobody has recorded the reason or read out the patient; less than it may be
// excused, so that waits.
func TestTooMuchWaitsForNothing(t *testing.T) {
	for name, c := range map[string]struct {
		lines []string
		want  event.Outcome
	}{
		"too much":                    {append(gave("2.2 GBq", "5.1 GBq"), "reason", "patient-as-ordered", "treated"), event.IsEvent},
		"too little":                  {append(gave("2.2 GBq", "1.1 GBq"), "reason", "patient-as-ordered"), event.CannotSay},
		"too much, of which order":    {append(gave("2.2 GBq", "5.1 GBq"), "reason", "signed: 2027-03-04T13:45"), event.CannotSay},
		"too much, two ways disagree": {append(gave("2.2 GBq", "5.1 GBq"), "dispensed: 5.1 GBq", "dispensed-u: 2 %", "reason", jarU("10 uSv/h", "6.5 uSv/h", "0.1 uSv/h", "13:35", "5 %")), event.CannotSay},
	} {
		_, d := decide(t, c.lines...)
		if d.Outcome != c.want || (c.want == event.IsEvent) != slices.ContainsFunc(d.Clocks, func(k event.Clock) bool { return k.Key == rules.NotifyAuthority }) {
			t.Errorf("%s: %s, clocks %v", name, d.Outcome, d.Clocks)
		}
		if c.want == event.IsEvent && !strings.Contains(strings.Join(d.Questions, " "), "Still to be entered: why the infusion ended; whether it was the patient of the order") {
			t.Errorf("%s: %v", name, d.Questions)
		}
	}
}

// TestNoProbabilityWithoutALimit: where no limit was held against what was delivered, or
// its uncertainty is not known, there is no probability of being beyond it, not one of 0.
func TestNoProbabilityWithoutALimit(t *testing.T) {
	for name, c := range map[string]struct {
		lines []string
		want  bool
	}{
		"a limit":                   {nil, true},
		"another site":              {[]string{"treated: left lobe"}, false},
		"a range":                   {[]string{"prescribed", "prescribed-least: 0.30 GBq", "prescribed-most: 0.80 GBq"}, false},
		"no limit in the profile":   {[]string{"profile: eu"}, false},
		"not known of which order":  {[]string{"signed: 2027-03-04T13:45"}, false},
		"no uncertainty is stated":  {[]string{"delivered-u: 0 %"}, false},
		"a limit, no reason stated": {[]string{"reason"}, true},
	} {
		if _, d := decide(t, c.lines...); (d.Beyond != nil) != c.want {
			t.Errorf("%s: %s, probability %v", name, d.Outcome, d.Beyond)
		}
	}
}

// TestDiscovered: how much was given is first told by a reading of what was left, and by
// none of the full vial, also where nobody wrote when the infusion stopped.
func TestDiscovered(t *testing.T) {
	start := time.Date(2027, 3, 4, 13, 30, 0, 0, time.UTC)
	for name, stop := range map[string]time.Time{"with its stop": start.Add(10 * time.Minute), "without": {}} {
		for read, want := range map[time.Duration]time.Time{-time.Hour: {}, 0: {}, time.Hour: start.Add(time.Hour)} {
			c := dispensing.Case{
				Profile: &rules.Profile{}, Infusions: []dispensing.Infusion{{For: "P1", From: "A1", Start: start, Stop: stop}},
				Readings: []dispensing.Reading{{Of: "A1", At: start.Add(read)}},
			}
			x, ok := event.Of(c, dispensing.OrderResult{Order: dispensing.Order{ID: "P1"}}, event.Record{})
			if !ok || !x.Discovered.Equal(want) {
				t.Errorf("%s, read %v after the start: discovered %v, want %v", name, read, x.Discovered, want)
			}
		}
	}
}
