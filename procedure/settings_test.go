package procedure_test

import (
	"testing"

	"vialwright/people"
	"vialwright/procedure"
)

// TestMaySet goes down the list of MaySet.
func TestMaySet(t *testing.T) {
	for _, c := range []struct {
		who      people.Person
		act      people.Act
		entries  int
		replaces bool
		want     string
	}{
		{tess, people.SetPolicy, 3, true, people.CodeNotPermitted},
		{rita, people.SetMeter, 0, false, people.CodeNotPermitted},
		{rita, people.SetPolicy, 3, true, procedure.CodeSettingsLate},
		{phil, people.SetMeter, 1, true, procedure.CodeSettingsLate},
		{phil, people.SetMeter, 3, false, ""},
		{phil, people.SetMeter, 0, true, ""},
		{rita, people.SetPolicy, 0, true, ""},
	} {
		if got := code(procedure.MaySet(c.who, c.act, c.entries, c.replaces)); got != c.want {
			t.Errorf("%s, %s, %d entries, replaces %v: %q, want %q", c.who.ID, c.act, c.entries, c.replaces, got, c.want)
		}
	}
}
