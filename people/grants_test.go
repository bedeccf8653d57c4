package people

import (
	"flag"
	"fmt"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write the golden table again")

// acts gives all acts, in the order of the table.
func acts() []Act {
	var out []Act
	for _, g := range grants {
		for _, e := range g.acts {
			out = append(out, e.act)
		}
	}
	return out
}

// golden is the table as a text: a line for each act, a column for each role.
func golden() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%-17s", "act")
	for _, r := range Roles() {
		fmt.Fprintf(&b, " %.6s", fmt.Sprintf("%-6s", short(r)))
	}
	b.WriteString("  signed\n")
	for _, a := range acts() {
		fmt.Fprintf(&b, "%-17s", a)
		for _, r := range Roles() {
			cell := "-"
			if Allowed(r, a) {
				cell = "yes"
			}
			fmt.Fprintf(&b, " %-6s", cell)
		}
		if a.Meaning() != "" {
			b.WriteString("  signed")
		}
		b.WriteString("\n")
	}
	return regexp.MustCompile(` +\n`).ReplaceAllString(b.String(), "\n")
}

func short(r Role) string {
	return map[Role]string{
		Administrator: "admin", Radiopharmacist: "pharm", Technologist: "techn", Physicist: "physi",
		Physician: "doctor", Nurse: "nurse", Observer: "obser",
	}[r]
}

// Every role and act: testdata/allowed.txt was read cell by cell; a change of
// the table has to change it too.
func TestAllowedGolden(t *testing.T) {
	const path = "testdata/allowed.txt"
	if *update {
		if err := os.WriteFile(path, []byte(golden()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	got := golden()
	if got != string(want) {
		t.Errorf("the table is not that of %s:\n%s", path, got)
	}
	// Allowed, May and Act.Roles must say the same of every cell.
	lines := strings.Split(strings.TrimSpace(string(want)), "\n")[1:]
	if len(lines) != len(acts()) {
		t.Fatalf("%d lines for %d acts", len(lines), len(acts()))
	}
	for i, a := range acts() {
		cells := strings.Fields(lines[i])
		if cells[0] != string(a) {
			t.Fatalf("line %d is of %s, want %s", i, cells[0], a)
		}
		for j, r := range Roles() {
			want := cells[j+1] == "yes"
			may := May(Person{ID: "P1", Name: "Pat Example", Roles: []Role{r}, Active: true}, a) == nil
			if Allowed(r, a) != want || may != want || slices.Contains(a.Roles(), r) != want {
				t.Errorf("%s, %s: Allowed %v, May %v, Roles %v, want %v", r, a, Allowed(r, a), may, a.Roles(), want)
			}
		}
	}
}

// What the published rules say of single acts, written down apart from the
// table.
func TestAllowedByRule(t *testing.T) {
	only := map[Act][]Role{
		SignOrder:     {Physician},                  // 10 CFR 35.40(a)
		CompleteOrder: {Physician},                  // 10 CFR 35.40(b)(6)
		OverrideLimit: {Physician},                  // 10 CFR 35.63(d)
		SetMeter:      {Physicist},                  // who calibrates
		Release:       {Radiopharmacist, Physician}, // common practice
		Draw:          {Radiopharmacist, Technologist},
		AddPerson:     {Administrator},
		ChangePerson:  {Administrator},
		ResetSecret:   {Administrator},
	}
	for a, want := range only {
		if !slices.Equal(a.Roles(), want) {
			t.Errorf("%s: %v, want %v", a, a.Roles(), want)
		}
	}
	mayLook := []Act{SignIn, ChangeSecret, SeeBoard, SeeHistory, Verify}
	mayRun := slices.Concat(mayLook, []Act{SeeHealth, AddPerson, ChangePerson, ResetSecret, AgreeRights, Backup, Export, SeePrivate})
	for _, a := range acts() {
		if Allowed(Observer, a) != slices.Contains(mayLook, a) {
			t.Errorf("an observer and %s: %v", a, Allowed(Observer, a))
		}
		if Allowed(Administrator, a) != slices.Contains(mayRun, a) {
			t.Errorf("an administrator and %s: %v", a, Allowed(Administrator, a))
		}
	}
}

// The table itself: each act once, with all its words, its roles in order.
func TestTable(t *testing.T) {
	var seen []Act
	word := regexp.MustCompile(`^[a-z]+(-[a-z]+)*$`)
	for _, g := range grants {
		order := func(r Role) int { return slices.Index(Roles(), r) }
		if !slices.IsSortedFunc(g.roles, func(a, b Role) int { return order(a) - order(b) }) || order(g.roles[0]) < 0 {
			t.Errorf("roles %v are not in their order", g.roles)
		}
		if len(g.roles) == 0 || len(g.acts) == 0 || len(g.why) < 40 {
			t.Errorf("a group without roles, acts or a reason: %+v", g)
		}
		for _, e := range g.acts {
			if slices.Contains(seen, e.act) || !word.MatchString(string(e.act)) || e.text == "" {
				t.Errorf("%q twice, or without words", e.act)
			}
			if e.act.Text() != e.text || e.act.Meaning() != e.meaning || e.act.Why() != g.why {
				t.Errorf("%q does not give what its entry says", e.act)
			}
			seen = append(seen, e.act)
		}
	}
	if !slices.Equal(seen, acts()) {
		t.Errorf("acts() = %v, want %v", acts(), seen)
	}
	// Anyone who lifts something or corrects signs for it.
	for _, a := range []Act{SecondCheck, OverrideWarning, OverrideStop, OverrideLimit, Release, Correct, SignOrder, TimeOut, Close} {
		if a.Meaning() == "" {
			t.Errorf("%s is not signed", a)
		}
	}
}

// What is no role or no act is allowed nothing and says nothing.
func TestUnknown(t *testing.T) {
	for _, a := range []Act{"", "draws", "Draw", "release "} {
		if Allowed(Radiopharmacist, a) || a.Text()+a.Meaning()+a.Why() != "" || len(a.Roles()) != 0 {
			t.Errorf("%q is an act", a)
		}
	}
	for _, r := range []Role{"", "Administrator", "owner"} {
		if Allowed(r, SignIn) || r.Title() != "" {
			t.Errorf("%q is a role", r)
		}
	}
}

// The caller may do with the list what it wants.
func TestRolesAreACopy(t *testing.T) {
	Release.Roles()[0] = Observer
	Roles()[0] = "none"
	if Allowed(Observer, Release) || Roles()[0] != Administrator {
		t.Error("the table was changed from outside")
	}
}
