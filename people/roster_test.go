package people

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

var a1 = person("A1", Administrator)

func TestPersonCheck(t *testing.T) {
	for _, id := range []string{"", ".a", "-a", "_a", "a b", "é1", "a/b", strings.Repeat("a", 33)} {
		p := Person{ID: id, Name: "", Active: true}
		want(t, "id "+id, p.Check(), CodeID)
	}
	for _, name := range []string{"", "A", " Ann", "Ann ", "Ann  Example", "Ann\nExample", "Ann\x00", "Ann\xff", "Ann\u200bExample", strings.Repeat("n", 81)} {
		p := Person{ID: "A1", Name: name}
		want(t, "name "+name, p.Check(), CodeName)
	}
	for _, roles := range [][]Role{nil, {"owner"}, {""}, {Nurse, Nurse}, {Nurse, Observer, Nurse}} {
		p := Person{ID: "A1", Name: "Ann Example", Roles: roles}
		want(t, "roles", p.Check(), CodeRoles)
	}
	for _, p := range []Person{a1, {ID: "x.9_-", Name: "Zoë Ó Súilleabháin-例", Roles: []Role{Nurse, Physicist}}, {ID: strings.Repeat("a", 32), Name: strings.Repeat("ñ", 80), Roles: Roles()}} {
		want(t, p.ID, p.Check(), "")
	}
}

func TestMayAdd(t *testing.T) {
	roster := []Person{a1, r1, inactive(person("A2", Administrator))}
	bad := Person{ID: "!"}
	want(t, "not a person, first", MayAdd("", "", nil, bad), CodeID)
	want(t, "first, no administrator", MayAdd("", "", nil, r1), CodeFirst)
	want(t, "first, inactive", MayAdd("", "", nil, inactive(a1)), CodeFirst)
	want(t, "first, with another role", MayAdd("", "", nil, person("A1", Administrator, Technologist)), CodeFirst)
	want(t, "first", MayAdd("", "", nil, a1), "")
	want(t, "by nobody", MayAdd("X", "", roster, r1), CodeUnknownPerson)
	want(t, "by an inactive one", MayAdd("A2", "", roster, r1), CodeInactive)
	want(t, "by one who may not", MayAdd("R1", "", roster, r1), CodeNotPermitted)
	same := r1
	same.ID = "r1"
	want(t, "id and name taken", MayAdd("A1", "", roster, same), CodeIDTaken)
	same.ID = "R9"
	same.Name = "r1 EXAMPLE"
	want(t, "name taken", MayAdd("A1", "", roster, same), CodeNameTaken)
	want(t, "new", MayAdd("A1", "", roster, t1), "")
}

func TestMayChange(t *testing.T) {
	roster := []Person{a1, r1, t1, person("A3", Administrator), inactive(person("A2", Administrator))}
	want(t, "not a person", MayChange("X", "", roster, Person{ID: "!"}), CodeID)
	want(t, "by nobody", MayChange("X", "", roster, d1), CodeUnknownPerson)
	want(t, "by an inactive one", MayChange("A2", "", roster, d1), CodeInactive)
	want(t, "by one who may not", MayChange("R1", "", roster, r1), CodeNotPermitted)
	want(t, "not there", MayChange("A1", "", roster, d1), CodeUnknownPerson)
	own := a1
	own.Name = r1.Name
	want(t, "own, name taken", MayChange("A1", "", roster, own), CodeOwnRights)
	other := t1
	other.Name = strings.ToUpper(r1.Name)
	want(t, "name taken", MayChange("A1", "", roster, other), CodeNameTaken)
	want(t, "switched off", MayChange("A1", "", roster, inactive(r1)), "")
	want(t, "another administrator", MayChange("A1", "", roster, inactive(person("A3", Administrator))), "")
}

// Giving rights and working on doses come into one account only by two people, of
// whom neither is the one who gets them.
func TestMayCombine(t *testing.T) {
	roster := []Person{a1, r1, t1, person("O1", Observer), inactive(person("R9", Radiopharmacist))}
	for _, role := range []Role{Radiopharmacist, Technologist, Physicist, Physician} {
		want(t, string(role), MayAdd("A1", "", roster, person("X1", Administrator, role)), CodeCombined)
		want(t, string(role)+", with a second", MayAdd("A1", "R1", roster, person("X1", role, Administrator)), "")
	}
	for _, role := range []Role{Nurse, Observer} {
		want(t, string(role), MayAdd("A1", "", roster, person("X1", Administrator, role)), "")
	}
	both := person("X1", Administrator, Technologist)
	want(t, "the recorder twice", MayAdd("A1", "A1", roster, both), CodeOwnRights)
	want(t, "who gets them", MayChange("A1", "T1", roster, person("T1", Administrator, Technologist)), CodeOwnRights)
	want(t, "nobody", MayAdd("A1", "X9", roster, both), CodeUnknownPerson)
	want(t, "switched off", MayAdd("A1", "R9", roster, both), CodeInactive)
	want(t, "an observer", MayAdd("A1", "O1", roster, both), CodeNotPermitted)
	want(t, "switched off at once", MayAdd("A1", "", roster, inactive(both)), "")
	roster = append(roster, both)
	renamed := both
	renamed.Name = "Xenia Example"
	want(t, "renamed", MayChange("A1", "", roster, renamed), "")
	more := person("X1", Administrator, Technologist, Radiopharmacist)
	want(t, "a further role", MayChange("A1", "", roster, more), CodeCombined)
}

// On the machine an administrator is let in, and nobody gets other rights.
func TestMayAdmit(t *testing.T) {
	roster := []Person{inactive(a1), r1}
	want(t, "not a person", MayAdmit(roster, Person{ID: "!"}), CodeID)
	want(t, "a new administrator", MayAdmit(roster, person("A2", Administrator)), "")
	want(t, "first of all", MayAdmit(nil, person("A2", Administrator)), "")
	want(t, "a new pharmacist", MayAdmit(roster, person("R2", Radiopharmacist)), CodeFirst)
	want(t, "a new one of both", MayAdmit(roster, person("A2", Administrator, Radiopharmacist)), CodeFirst)
	named := person("A2", Administrator)
	named.Name = r1.Name
	want(t, "name taken", MayAdmit(roster, named), CodeNameTaken)
	want(t, "switched on", MayAdmit(roster, a1), "")
	want(t, "with a further role", MayAdmit(roster, person("A1", Administrator, Technologist)), CodeAdmit)
	want(t, "no administrator", MayAdmit(roster, r1), CodeAdmit)
}

func TestMayReset(t *testing.T) {
	roster := []Person{a1, r1, inactive(person("A2", Administrator))}
	want(t, "by nobody", MayReset("X", roster, "Y"), CodeUnknownPerson)
	want(t, "by an inactive one", MayReset("A2", roster, "Y"), CodeInactive)
	want(t, "by one who may not", MayReset("R1", roster, "Y"), CodeNotPermitted)
	want(t, "not there", MayReset("A1", roster, "Y"), CodeUnknownPerson)
	want(t, "own", MayReset("A1", roster, "A1"), CodeOwnRights)
	want(t, "another's", MayReset("A1", roster, "R1"), "")
}

// However accounts are added and changed, there is an active administrator,
// no id comes twice, and none goes away.
func TestRosterKeepsAnAdministrator(t *testing.T) {
	ids := []string{"P1", "P2", "P3", "P4", "p1"}
	rapid.Check(t, func(t *rapid.T) {
		var roster []Person
		for range rapid.IntRange(1, 25).Draw(t, "steps") {
			p := Person{
				ID:     rapid.SampledFrom(ids).Draw(t, "id"),
				Name:   rapid.SampledFrom([]string{"Ann", "Ben", "Cleo", "Dan", "Eve"}).Draw(t, "name"),
				Roles:  []Role{rapid.SampledFrom(Roles()).Draw(t, "role")},
				Active: rapid.Bool().Draw(t, "active"),
			}
			by := rapid.SampledFrom(ids).Draw(t, "by")
			if MayAdd(by, "", roster, p) == nil {
				roster = append(roster, p)
			} else if MayChange(by, "", roster, p) == nil {
				for i := range roster {
					if roster[i].ID == p.ID {
						roster[i] = p
					}
				}
			}
			admins := 0
			seen := map[string]bool{}
			for _, q := range roster {
				if q.Active && q.Has(Administrator) {
					admins++
				}
				id, name := "id "+strings.ToLower(q.ID), "name "+strings.ToLower(q.Name)
				if seen[id] || seen[name] {
					t.Fatalf("%v: an id or a name twice", roster)
				}
				seen[id], seen[name] = true, true
			}
			if len(roster) > 0 && admins == 0 {
				t.Fatalf("%v has no active administrator", roster)
			}
		}
	})
}
