package people

import (
	"fmt"
	"testing"
)

// A directory has each account as it was at any entry and any time, and what was
// written past the rules gives nobody a right.
func TestDirectory(t *testing.T) {
	named := func(p Person, name string) Person { p.Name = name; return p }
	var d Directory
	for _, c := range []struct {
		n                int
		by, second, code string
		person           Person
	}{
		{2, "T1", "", CodeFirst, t1},
		{3, "A1", "", "", a1},
		{4, "A1", "", "", r1},
		{7, "R1", "", CodeNotPermitted, t1},
		{8, "A1", "", "", named(t1, "Ann Before")},
		{9, "A1", "", "", named(t1, "Ann After")},
		{10, "A1", "", CodeCombined, person("T1", Administrator, Technologist)},
		{11, "A1", "R1", "", named(person("T1", Administrator, Technologist), "Ann After")},
		{12, "A1", "", CodeOwnRights, inactive(a1)},
		{13, "T1", "", "", inactive(a1)},
		{14, OnMachine, "", "", a1},
		{15, OnMachine, "", CodeAdmit, inactive(r1)},
	} {
		change := Change{N: c.n, By: c.by, Countersigned: c.second, Person: c.person}
		want(t, fmt.Sprint("May of entry ", c.n), d.May(change), c.code)
		want(t, fmt.Sprint("entry ", c.n), d.Take(change), c.code)
	}
	if n := len(d.Refused()); n != 5 {
		t.Errorf("%d entries are kept apart, want 5", n)
	}
	for n, name := range map[int]string{7: "", 8: "Ann Before", 9: "Ann After", 99: "Ann After"} {
		if got := d.NameAt("T1", n); got != name {
			t.Errorf("behind entry %d T1 is %q, want %q", n, got, name)
		}
	}
	as := func(all []Person, id string) Person { p, _ := in(all, id); return p }
	if p := as(d.Behind(13), "A1"); p.Active {
		t.Errorf("behind entry 13 A1 is %v", p)
	}
	if p, ok := d.Of("A1"); !ok || !p.Active || len(d.All()) != 3 {
		t.Errorf("now A1 is %v, of %d", p, len(d.All()))
	}
	if _, ok := d.Of("T9"); ok {
		t.Error("there is a T9")
	}
	for _, x := range [][2]string{{"T1", "T1"}, {"t1", "T1"}, {"a1", "A1"}, {"T9", "T9"}} {
		if got := d.Spelt(x[0]); got != x[1] {
			t.Errorf("%s is spelt %s, want %s", x[0], got, x[1])
		}
	}
	both := &Directory{now: []Person{{ID: "NT1"}, {ID: "nt1"}}}
	for _, x := range [][2]string{{"NT1", "NT1"}, {"nt1", "nt1"}, {"Nt1", "Nt1"}} { // no guess between two
		if got := both.Spelt(x[0]); got != x[1] {
			t.Errorf("%s is spelt %s, want %s", x[0], got, x[1])
		}
	}
}
