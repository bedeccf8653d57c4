package rules_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"vialwright/form"
	"vialwright/rules"
)

func load(t *testing.T, id string) rules.Profile {
	t.Helper()
	p, err := rules.Load(id)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func day(s string) time.Time {
	t, err := time.Parse(time.DateOnly, s)
	if err != nil {
		panic(err)
	}
	return t
}

func Example() {
	us, _ := rules.Load("us")
	limit, _, _ := us.On(day("2027-03-04")).Get(rules.DispenseLimit)
	fmt.Println(limit.Bound(), limit.Source())
	fmt.Println(limit.Reached(1.560/1.300-1), limit.Reached(1.5601/1.300-1))
	// Output:
	// more than 20 % 10 CFR 35.63(d) [verified]
	// false true
}

// TestTwoTwenties: exactly 20 % is allowed by 10 CFR 35.63(d), "more than", and
// reportable by 35.3045, "20 percent or more"; prescribed 1.300 GBq.
func TestTwoTwenties(t *testing.T) {
	s := load(t, "us").On(day("2027-03-04"))
	for _, c := range []struct {
		key     rules.Key
		off     float64
		reached bool
	}{
		{rules.DispenseLimit, 1.560/1.300 - 1, false},
		{rules.DispenseLimit, 1.5601/1.300 - 1, true},
		{rules.EventUnder, 1 - 1.040/1.300, true},
		{rules.EventUnder, 1 - 1.0401/1.300, false},
		{rules.EventOver, 1.560/1.300 - 1, true},
	} {
		v, ok, why := s.Get(c.key)
		if !ok {
			t.Fatal(why)
		}
		if got := v.Reached(c.off); got != c.reached {
			t.Errorf("%s (%s) at %+.4f: %v", c.key, v.Bound(), c.off, got)
		}
	}
}

// TestShipped: every profile is read, says how each value is known, and none of
// what is from memory passes for read.
func TestShipped(t *testing.T) {
	for _, id := range rules.Shipped {
		p := load(t, id)
		if p.ID != id || p.Approver != "" {
			t.Errorf("%s is called %s, approved by %q", id, p.ID, p.Approver)
		}
		for _, v := range p.Values {
			if v.Mark == rules.Memory && (v.Address != "" || !strings.Contains(v.Source(), "from memory")) {
				t.Errorf("%s %s: %s", id, v.Key, v.Source())
			}
		}
	}
	if n := len(load(t, "blank").Values); n != 0 {
		t.Errorf("the blank profile has %d values", n)
	}
	if _, err := rules.Load("mars"); err == nil || !strings.Contains(err.Error(), "us, us-nc") {
		t.Errorf("an unknown profile: %v", err)
	}
}

// TestState: 10A NCAC 15 .0362 asks ten half-lives where the NRC's rule asks
// none, and takes all else from beneath.
func TestState(t *testing.T) {
	on := day("2027-03-04")
	changes := rules.Diff(load(t, "us").On(on), load(t, "us-nc").On(on))
	var keys []string
	for _, c := range changes {
		keys = append(keys, string(c.Key))
	}
	if got := strings.Join(keys, " "); got != "waste-half-life waste-half-lives waste-survey" {
		t.Errorf("the State differs in %s", got)
	}
	if v, ok, _ := load(t, "us-nc").On(on).Get(rules.WasteHalfLives); !ok || v.Figure != "10 half-lives" {
		t.Errorf("ten half-lives: %v", v)
	}
}

const site = `profile: our-site
title: An invented site
over: us
over-edition: 2026-11-30
approved-by: MP1
approved-on: 2027-01-10
values:
  - {key: dispense-limit, figure: 10 %, compare: ">=", citation: site policy 12 version 3, mark: site, from: 2027-02-01}
`

// TestSite: the site's own value stands before the one beneath, from its day on.
func TestSite(t *testing.T) {
	p, err := rules.Read([]byte(site))
	if err != nil {
		t.Fatal(err)
	}
	for at, want := range map[string]string{"2027-01-31": "more than 20 %", "2027-02-01": "10 % or more"} {
		v, ok, why := p.On(day(at)).Get(rules.DispenseLimit)
		if !ok || v.Bound() != want {
			t.Errorf("on %s: %s %s, want %s", at, v.Bound(), why, want)
		}
	}
	if got := rules.Diff(p.On(day("2027-01-31")), p.On(day("2027-02-01"))); len(got) != 1 || got[0].Before.Profile != "us" || got[0].After.Profile != "our-site" {
		t.Errorf("between the two days: %v", got)
	}
	only := strings.Replace(strings.Replace(site, "over: us\nover-edition: 2026-11-30\n", "", 1), "10 %", "12 %", 1)
	if p, err = rules.Read([]byte(only)); err != nil {
		t.Fatal(err)
	}
	if _, ok, why := p.On(day("2027-01-31")).Get(rules.DispenseLimit); ok || !strings.Contains(why, "12 % comes into force on 2027-02-01") {
		t.Errorf("a value of the future: %v %s", ok, why)
	}
}

// TestPending: what is not in force decides nothing.
func TestPending(t *testing.T) {
	if _, ok, _ := load(t, "us").On(day("2090-01-01")).Get(rules.MicrosphereRule); ok {
		t.Error("an open rulemaking is taken as in force")
	}
}

// TestRefused: each fault at its line, with the way out.
func TestRefused(t *testing.T) {
	one := func(value string) string { return site[:strings.Index(site, "  - ")] + "  - {" + value + "}\n" }
	const ok = `key: dispense-limit, figure: 10 %, compare: ">=", citation: policy 12, mark: site`
	for name, c := range map[string]struct{ text, code, says string }{
		"whole":               {one(ok), "", ""},
		"no citation":         {one(strings.Replace(ok, ", citation: policy 12", "", 1)), "no-citation", "nobody can check"},
		"no comparison":       {one(strings.Replace(ok, `compare: ">=", `, "", 1)), "comparison", `">" or ">="`},
		"comparison of none":  {one(`key: tell-patient, figure: 24 h, compare: ">", citation: policy 12, mark: site`), "comparison", "only there"},
		"unknown key":         {one(strings.Replace(ok, "dispense-limit", "dispense-limits", 1)), "unknown-key", "rules show"},
		"a bare number":       {one(strings.Replace(ok, "10 %", "10", 1)), "no-figure", "20 %"},
		"another unit":        {one(strings.Replace(ok, "10 %", "10 mSv", 1)), "no-figure", "20 %"},
		"verified, not where": {one(strings.Replace(ok, "mark: site", "mark: verified", 1)), "no-address", "mark: memory"},
		"no mark":             {one(strings.Replace(ok, ", mark: site", "", 1)), "field-missing", "mark"},
		"ends before":         {one(ok + ", from: 2027-02-01, to: 2027-02-01"), "period", "from and to"},
		"nobody approved":     {strings.Replace(site, "approved-by: MP1\n", "", 1), "not-approved", "answers for it"},
		"another edition":     {strings.Replace(site, "2026-11-30", "2025-01-01", 1), "other-edition", "approve it again"},
		"nothing beneath":     {strings.Replace(site, "over: us", "over: mars", 1), "no-profile", "us-nc"},
		"twice":               {one(ok) + "  - {" + ok + "}\n", "value-twice", "end the first"},
		"twice, one after":    {one(ok+", to: 2027-02-01") + "  - {" + ok + ", from: 2027-02-01}\n", "", ""},
	} {
		_, err := rules.Read([]byte(c.text))
		var e *form.Error
		if c.code == "" {
			if err != nil {
				t.Errorf("%s: %v", name, err)
			}
			continue
		}
		if !errors.As(err, &e) || e.Code != c.code || e.Line == 0 || !strings.Contains(e.Error(), c.says) {
			t.Errorf("%s: %v, want %s with %q", name, err, c.code, c.says)
		}
	}
}
