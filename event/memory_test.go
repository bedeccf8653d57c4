package event_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"vialwright/event"
	"vialwright/rules"
)

// mild orders the outcomes: the higher, the less is asked of anybody.
func mild(o event.Outcome) int {
	return slices.Index([]event.Outcome{event.IsEvent, event.CannotSay, event.Emergent, event.AtStasis, event.ByPatient, event.Within}, o)
}

// amongAll are infusions of every kind that a paragraph speaks of.
func amongAll(t *testing.T) (out []event.Case) {
	t.Helper()
	for _, amount := range []string{"0.65 GBq", "1.05 GBq", "1.18 GBq", "1.30 GBq", "1.44 GBq", "1.95 GBq"} {
		for _, reason := range event.Reasons {
			for _, evidence := range []string{"evidence", "evidence: the radiologist saw it"} {
				lines := []string{"delivered: " + amount, "reason: " + string(reason), "text: as told", "or-at-stasis: yes", "path-free: yes", evidence, "dispensed", "dispensed-u"}
				out = append(out, read(t, lines...), read(t, append(slices.Clone(lines), "prescribed", "prescribed-least: 1.00 GBq", "prescribed-most: 1.40 GBq")...))
			}
		}
		for _, wrong := range []string{"patient-as-ordered: no", "route-as-ordered: no", "treated: left lobe"} {
			out = append(out, read(t, "delivered: "+amount, wrong))
		}
	}
	return out
}

// TestMemoryNeverMilder: in every profile, and with every value of it marked as from
// memory, one by one and all together, such a value never leads to a milder answer than
// the profile without it.
func TestMemoryNeverMilder(t *testing.T) {
	kept := func(p rules.Profile, f func(v *rules.Value) bool) rules.Profile {
		var values []rules.Value
		for _, v := range p.Values {
			if f(&v) {
				values = append(values, v)
			}
		}
		p.Values = values
		return p
	}
	all, asked := amongAll(t), 0
	for _, id := range rules.Shipped {
		p, err := rules.Load(id)
		if err != nil {
			t.Fatal(err)
		}
		remembered := func(v rules.Value) bool { return v.Mark == rules.Memory }
		which := map[string]func(v rules.Value) bool{"what is from memory": remembered, "every value": func(rules.Value) bool { return true }}
		for _, v := range p.Values {
			which[string(v.Key)] = func(x rules.Value) bool { return x.Key == v.Key }
		}
		for what, is := range which {
			with := kept(p, func(v *rules.Value) bool {
				if is(*v) {
					v.Mark = rules.Memory
				}
				return true
			})
			without := kept(p, func(v *rules.Value) bool { return !is(*v) })
			for _, c := range all {
				c.Rules = with.On(c.Start)
				got := event.Decide(c)
				asked++
				limit := what == string(rules.EventUnder) || what == string(rules.EventOutsideRange)
				if limit && (got.Outcome == event.ByPatient || got.Outcome == event.AtStasis || got.Outcome == event.Emergent) {
					continue // by an exception that was read, which asks for no amount
				}
				c.Rules = without.On(c.Start)
				if want := event.Decide(c); mild(got.Outcome) > mild(want.Outcome) {
					t.Errorf("profile %s, %s from memory: %s, and %s without; %s", id, what, got.Headline(c.Zone), want.Headline(c.Zone), c.Reason.Reason)
				}
			}
		}
	}
	if asked == 0 {
		t.Error("no profile was asked")
	}
}

// TestExceptionFromMemory: in profile us as it would be with stasis and an emergent condition
// from memory. It is an event whose clocks run, the paragraph that may lift it is named,
// and the time to revise the order runs beside them, until a person has judged.
func TestExceptionFromMemory(t *testing.T) {
	for reason, lines := range map[string][]string{
		"stasis":                               {"reason: stasis", "or-at-stasis: yes", "path-free: yes", "evidence: no flow was seen"},
		"stasis, nobody saw it":                {"reason: stasis", "or-at-stasis: yes", "path-free: yes"},
		"emergent condition":                   {"reason: emergent-condition", "evidence: spasm was seen"},
		"emergent condition, nobody saw it":    {"reason: emergent-condition"},
		"emergent condition, revised too late": {"reason: emergent-condition", "evidence: spasm was seen", "revised: 2027-03-05T14:30"},
	} {
		x := read(t, append(append(gave("1.30 GBq", "0.65 GBq"), "profile: us"), lines...)...)
		us, err := rules.Load("us")
		if err != nil {
			t.Fatal(err)
		}
		for i, v := range us.Values {
			if slices.Contains([]rules.Key{rules.ExceptStasis, rules.ExceptEmergent, rules.ReviseWithin}, v.Key) {
				us.Values[i].Mark = rules.Memory
			}
		}
		x.Rules = us.On(x.Start)
		d := event.Decide(x)
		head, says := d.Headline(x.Zone), strings.Join(append(d.Because, d.Questions...), "\n")
		lifted := !strings.Contains(reason, "too late")
		if d.Outcome != event.IsEvent || lifted != strings.Contains(head, "; the exception for "+strings.ReplaceAll(string(x.Reason.Reason), "-", " ")+" is from memory only: the physician or the radiation safety officer must check") {
			t.Errorf("%s: %s", reason, head)
		}
		if lifted && !strings.Contains(says, "ML21089A364) [from memory, not read for this profile]") {
			t.Errorf("%s: the paragraph is not named: %s", reason, says)
		}
		if strings.Contains(reason, "nobody") && !strings.Contains(says, "Still to be entered: who saw") {
			t.Errorf("%s: %s", reason, says)
		}
		var keys []string
		for _, c := range d.Clocks {
			keys = append(keys, string(c.Key))
		}
		runs := fmt.Sprint(keys)
		if !strings.Contains(runs, "notify-authority tell-patient written-report") && !strings.Contains(runs, "tell-patient notify-authority written-report") {
			t.Errorf("%s: clocks %s", reason, runs)
		}
		if (lifted && x.Reason.Reason == event.EmergentCondition) != slices.Contains(keys, string(rules.ReviseWithin)) {
			t.Errorf("%s: clocks %s", reason, runs)
		}
		x.Judged, x.Completed = x.Discovered, x.End
		if d := event.Decide(x); slices.ContainsFunc(d.Clocks, func(c event.Clock) bool { return c.Key == rules.NotifyAuthority }) {
			t.Errorf("%s, judged: %v", reason, d.Clocks)
		}
	}
}
