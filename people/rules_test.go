package people

import (
	"errors"
	"fmt"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"
)

var morning = time.Date(2027, 3, 4, 7, 0, 0, 0, time.UTC)

func person(id string, roles ...Role) Person {
	return Person{ID: id, Name: id + " Example", Roles: roles, Active: true}
}

func inactive(p Person) Person { p.Active = false; return p }

var (
	r1 = person("R1", Radiopharmacist)
	r2 = person("R2", Radiopharmacist)
	t1 = person("T1", Technologist)
	t2 = person("T2", Technologist)
	m1 = person("M1", Physicist)
	d1 = person("D1", Physician)
	n1 = person("N1", Nurse)
	o1 = person("O1", Observer)
)

// done reads deeds such as "draw T1".
func done(t interface{ Fatalf(string, ...any) }, texts ...string) []Deed {
	var out []Deed
	for _, text := range texts {
		var act, by string
		if _, err := fmt.Sscan(text, &act, &by); err != nil || Act(act).Text() == "" {
			t.Fatalf("%q is no deed", text)
		}
		out = append(out, Deed{Act(act), by})
	}
	return out
}

// codeOf is the code of a refusal, empty for none.
func codeOf(t interface{ Fatalf(string, ...any) }, err error) string {
	if err == nil {
		return ""
	}
	var e *Error
	if !errors.As(err, &e) || e.Code == "" || e.Msg == "" {
		t.Fatalf("%#v is not a whole *Error", err)
	}
	return e.Code
}

func want(t *testing.T, what string, err error, code string) {
	t.Helper()
	if got := codeOf(t, err); got != code {
		t.Errorf("%s: refused with %q (%v), want %q", what, got, err, code)
	}
}

// Each list goes down the checks of its rule: a line breaks its own check and
// those after it that can be broken together with it.
func TestMay(t *testing.T) {
	want(t, "no such act, inactive, no role", May(inactive(o1), "fly"), CodeUnknownAct)
	want(t, "inactive, no role", May(inactive(o1), Release), CodeInactive)
	want(t, "no role", May(o1, Release), CodeNotPermitted)
	want(t, "no roles at all", May(person("X"), SignIn), CodeNotPermitted)
	want(t, "one role of two", May(person("X", Observer, Physician), Release), "")
	err := May(t1, Release)
	if text := "T1 Example may not release a dose (this takes a radiopharmacist or an authorised physician)"; err.Error() != text {
		t.Errorf("%q, want %q", err, text)
	}
}

func TestMayCheck(t *testing.T) {
	for _, c := range []struct {
		what  string
		by    Person
		deeds []string
		code  string
	}{
		{"inactive, no work", inactive(r1), nil, CodeInactive},
		{"not permitted, no work", n1, nil, CodeNotPermitted},
		{"no work", r1, []string{"receive-vial T1", "note R1", "print-label R1"}, CodeNothingDone},
		{"read by the checker", r1, []string{"draw T1", "read-meter R1"}, CodeOwnWork},
		{"drawn by the checker", t1, []string{"draw T1", "read-meter R1"}, CodeOwnWork},
		{"corrected by the checker", m1, []string{"draw T1", "read-meter T1", "correct M1"}, CodeOwnWork},
		{"made up by the checker long ago", t2, []string{"make-up T2", "draw T1", "read-meter T1"}, CodeOwnWork},
		{"checked before by the checker", r1, []string{"draw T1", "second-check R1", "read-meter T1"}, ""},
		{"received and labelled by the checker", r1, []string{"receive-vial R1", "draw T1", "read-meter T1", "print-label R1"}, ""},
	} {
		want(t, c.what, MayCheck(c.by, done(t, c.deeds...)), c.code)
	}
	for _, a := range []Act{ReadMeter, Assay, Draw, Return, MakeUp, Transfer, Correct} {
		want(t, string(a), MayCheck(r1, []Deed{{a, "R1"}}), CodeOwnWork)
		want(t, string(a), MayCheck(r1, []Deed{{a, "T1"}}), "")
	}
}

func TestMayRelease(t *testing.T) {
	for _, c := range []struct {
		what  string
		by    Person
		deeds []string
		code  string
	}{
		{"inactive, nothing done", inactive(r1), nil, CodeInactive},
		{"not permitted, nothing done", t1, nil, CodeNotPermitted},
		{"nothing done", r1, []string{"receive-vial T1"}, CodeNothingDone},
		{"nothing done, yet checked", r1, []string{"second-check R1"}, CodeNothingDone},
		{"not checked", r1, []string{"draw T1", "read-meter T1"}, CodeNoCheck},
		{"work after the check, and that by the worker", r1, []string{"draw T1", "second-check T1", "read-meter T1"}, CodeCheckStale},
		{"work after the check", r1, []string{"draw T1", "read-meter T1", "second-check T2", "correct T1"}, CodeCheckStale},
		{"checked by the worker", r1, []string{"draw T1", "read-meter T1", "second-check T1"}, CodeNotIndependent},
		{"the package's example", r1, []string{"draw T1", "read-meter T1", "second-check R1", "read-meter R1"}, CodeCheckStale},
		{"checked by one of two workers", r1, []string{"draw T1", "read-meter R1", "second-check R1"}, CodeNotIndependent},
		{"the good check is stale", r1, []string{"draw T1", "second-check T2", "read-meter T1", "second-check T1"}, CodeNotIndependent},
		{"checked by another", r1, []string{"draw T1", "read-meter T1", "second-check T2"}, ""},
		{"the releaser did the work", r1, []string{"draw R1", "read-meter R1", "second-check T1"}, ""},
		{"the releaser did the check", r1, []string{"draw T1", "read-meter T1", "second-check R1"}, ""},
		{"two checks, one of them good", r1, []string{"draw T1", "second-check T2", "second-check T1"}, ""},
		{"what is no work came after", r1, []string{"draw T1", "second-check T2", "print-label T1", "note T1", "residual T1"}, ""},
		{"released by the physician", d1, []string{"draw T1", "second-check M1"}, ""},
	} {
		want(t, c.what, MayRelease(c.by, done(t, c.deeds...)), c.code)
	}
}

func TestMayOverride(t *testing.T) {
	work := done(t, "draw R1", "read-meter T1", "correct D1")
	for _, c := range []struct {
		what   string
		by     Person
		act    Act
		reason string
		code   string
	}{
		{"no override, inactive", inactive(n1), Release, "", CodeNotOverride},
		{"inactive, not permitted", inactive(n1), OverrideStop, "", CodeInactive},
		{"not permitted, no reason", t1, OverrideStop, "", CodeNotPermitted},
		{"a limit is for the physician", r2, OverrideLimit, "", CodeNotPermitted},
		{"no reason, own work", r1, OverrideStop, " \t\n", CodeNoReason},
		{"a warning needs a reason", t1, OverrideWarning, "", CodeNoReason},
		{"a stop on own work", r1, OverrideStop, "as agreed", CodeOwnWork},
		{"a limit on own work", d1, OverrideLimit, "as agreed", CodeOwnWork},
		{"a warning on own work", r1, OverrideWarning, "as agreed", ""},
		{"a stop on the work of others", r2, OverrideStop, "as agreed", ""},
		{"a stop, by the physicist", m1, OverrideStop, "as agreed", ""},
		{"a limit on the work of others", person("D2", Physician), OverrideLimit, "as agreed", ""},
	} {
		want(t, c.what, MayOverride(c.by, c.act, c.reason, work), c.code)
	}
}

func TestCustody(t *testing.T) {
	for _, c := range []struct {
		what       string
		deeds      []string
		by         Person
		give, take string
	}{
		{"inactive", []string{"hand-over T1"}, inactive(n1), CodeInactive, CodeInactive},
		{"not permitted", []string{"hand-over T1"}, o1, CodeNotPermitted, CodeNotPermitted},
		{"at the beginning", []string{"draw T1"}, t1, "", CodeNotHandedOver},
		{"handed over, the giver", []string{"hand-over T1"}, t1, CodeHandedOver, CodeOwnHandOver},
		{"handed over, another", []string{"hand-over T1"}, n1, CodeHandedOver, ""},
		{"taken over, the holder", []string{"hand-over T1", "take-over N1"}, n1, "", CodeNotHandedOver},
		{"taken over, another", []string{"hand-over T1", "take-over N1"}, t1, CodeNotHolder, CodeNotHandedOver},
		{"on the way back", []string{"hand-over T1", "take-over N1", "infuse D1", "hand-over N1"}, t1, CodeHandedOver, ""},
	} {
		deeds := done(t, c.deeds...)
		want(t, c.what+": hand over", MayHandOver(c.by, deeds), c.give)
		want(t, c.what+": take over", MayTakeOver(c.by, deeds), c.take)
	}
}

func TestMayTimeOut(t *testing.T) {
	want(t, "one inactive, alone", MayTimeOut([]Person{inactive(n1)}), CodeInactive)
	want(t, "an observer, alone", MayTimeOut([]Person{o1}), CodeNotPermitted)
	want(t, "a second who may not", MayTimeOut([]Person{d1, o1}), CodeNotPermitted)
	want(t, "nobody", MayTimeOut(nil), CodeAlone)
	want(t, "the same twice", MayTimeOut([]Person{n1, n1}), CodeAlone)
	want(t, "the physician twice", MayTimeOut([]Person{d1, d1}), CodeAlone)
	want(t, "no physician", MayTimeOut([]Person{n1, t1, r1, m1}), CodeNoPhysician)
	want(t, "two", MayTimeOut([]Person{n1, d1}), "")
	want(t, "five", MayTimeOut([]Person{n1, t1, r1, m1, d1}), "")
}

func TestMayCorrect(t *testing.T) {
	want(t, "inactive", MayCorrect(inactive(o1), Draw, ""), CodeInactive)
	want(t, "may not correct", MayCorrect(o1, Draw, ""), CodeNotPermitted)
	want(t, "no such act", MayCorrect(n1, "fly", ""), CodeUnknownAct)
	want(t, "may not draw", MayCorrect(n1, Draw, ""), CodeNotPermitted)
	want(t, "may not sign orders", MayCorrect(r1, SignOrder, "wrong"), CodeNotPermitted)
	want(t, "no reason", MayCorrect(n1, Infuse, " "), CodeNoReason)
	want(t, "a nurse and an infusion", MayCorrect(n1, Infuse, "wrong minute"), "")
}

func TestMayStrikeCheck(t *testing.T) {
	own := done(t, "draw R1", "second-check M1")
	want(t, "inactive", MayStrikeCheck(inactive(o1), "", own), CodeInactive)
	want(t, "may not correct", MayStrikeCheck(o1, "", own), CodeNotPermitted)
	want(t, "may not release", MayStrikeCheck(t2, "", own), CodeNotPermitted)
	want(t, "own work", MayStrikeCheck(r1, "", own), CodeOwnWork)
	want(t, "no reason", MayStrikeCheck(r2, " ", own), CodeNoReason)
	want(t, "another radiopharmacist", MayStrikeCheck(r2, "another vial", own), "")
	want(t, "a physician", MayStrikeCheck(d1, "another vial", own), "")
}

// Whatever happened: what is released has been worked on by one person and
// checked since by another, and what may be checked may be released after it.
func TestReleaseTakesTwo(t *testing.T) {
	crew := []Person{r1, r2, t1, t2, m1}
	acts := []Act{ReadMeter, Assay, Draw, Return, MakeUp, Transfer, Correct, SecondCheck, SecondCheck, Note, PrintLabel}
	released, refused := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		var deeds []Deed
		for range rapid.IntRange(0, 7).Draw(t, "deeds") {
			a := rapid.SampledFrom(acts).Draw(t, "act")
			deeds = append(deeds, Deed{a, rapid.SampledFrom(crew).Draw(t, "by").ID})
		}
		if rapid.Bool().Draw(t, "drawn and checked") { // few random deeds lead to a release
			deeds = append(deeds, Deed{Draw, t1.ID}, Deed{SecondCheck, t2.ID})
		}
		before := slices.Clone(deeds)
		if MayRelease(r1, deeds) == nil {
			released++
			last := -1
			workers := map[string]bool{}
			for i, d := range deeds {
				if d.Act != SecondCheck && d.Act != Note && d.Act != PrintLabel {
					last, workers[d.By] = i, true
				}
			}
			checked := false
			for _, d := range deeds[last+1:] {
				checked = checked || d.Act == SecondCheck && !workers[d.By]
			}
			if len(workers) == 0 || !checked {
				t.Fatalf("released after %v", deeds)
			}
		} else {
			refused++
		}
		for _, p := range crew {
			if MayCheck(p, deeds) != nil {
				continue
			}
			if err := MayRelease(r1, append(slices.Clone(deeds), Deed{SecondCheck, p.ID})); err != nil {
				t.Fatalf("%s may check after %v, and then: %v", p.ID, deeds, err)
			}
		}
		if !slices.Equal(deeds, before) {
			t.Fatal("the deeds were changed")
		}
	})
	if released == 0 || refused == 0 {
		t.Errorf("%d released, %d refused: the deeds are not varied enough", released, refused)
	}
}

// At every moment a dose has one holder at most, and exactly one way on.
func TestCustodyChain(t *testing.T) {
	crew := []Person{r1, t1, d1, n1}
	rapid.Check(t, func(t *rapid.T) {
		var deeds []Deed
		for range 12 {
			p := rapid.SampledFrom(crew).Draw(t, "by")
			give, take := MayHandOver(p, deeds) == nil, MayTakeOver(p, deeds) == nil
			switch {
			case give && take:
				t.Fatalf("%s may both give and take after %v", p.ID, deeds)
			case give:
				deeds = append(deeds, Deed{HandOver, p.ID})
			case take:
				deeds = append(deeds, Deed{TakeOver, p.ID})
			}
		}
		for i, d := range deeds {
			if (d.Act == HandOver) != (i%2 == 0) {
				t.Fatalf("%v does not go to and fro", deeds)
			}
			if i > 0 && (d.Act == HandOver) != (d.By == deeds[i-1].By) {
				t.Fatalf("%v: who holds it is not who gives it", deeds)
			}
		}
	})
}

// Who chose to see the figures before a check of their own does not check, and
// a check that they recorded all the same is none.
func TestFiguresSeen(t *testing.T) {
	for _, c := range []struct {
		what           string
		deeds          []string
		check, release string
	}{
		{"seen by another", []string{"draw T1", "see-figures T2", "second-check R1"}, "", ""},
		{"seen, no work of the checker", []string{"draw T1", "see-figures R1"}, CodeFiguresSeen, CodeNoCheck},
		{"seen, and worked on", []string{"draw R1", "see-figures R1"}, CodeOwnWork, CodeNoCheck},
		{"seen, and checked all the same", []string{"draw T1", "see-figures R1", "second-check R1"}, CodeFiguresSeen, CodeNotIndependent},
		{"seen after the check", []string{"draw T1", "second-check R1", "see-figures R1"}, "", ""},
		{"seen after the check, and read again", []string{"draw T1", "second-check R1", "see-figures R1", "read-meter T1"}, "", CodeCheckStale},
	} {
		deeds := done(t, c.deeds...)
		want(t, c.what+": check", MayCheck(r1, deeds), c.check)
		want(t, c.what+": release", MayRelease(r1, deeds), c.release)
	}
}
