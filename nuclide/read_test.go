package nuclide

import (
	"math"
	"strings"
	"testing"
)

const head = "source s | evaluation | edition | date | seen\n"

func TestUncertaintyNotations(t *testing.T) {
	for _, c := range []struct{ value, u, figure, published string }{
		{"2.6684", "(13)", "13E-4", "2.6684(13)"},
		{"2278.7", "(16)", "16E-1", "2278.7(16)"},
		{"100", "(7)", "7E0", "100(7)"},
		{"1.4E-6", "(3)", "3E-7", "1.4(3)E-6"},
		{"230.55E3", "(11)", "11E1", "230.55(11)E3"},
		{"230.55E3", "0.11E3", "0.11E3", "230.55E3 +- 0.11E3"},
		{"64.10", "-", "0", "64.10"},
	} {
		figure, published, err := uncertaintyOf(c.value, c.u)
		if err != nil || figure != c.figure || published != c.published {
			t.Errorf("%s %s: %q %q %v", c.value, c.u, figure, published, err)
		}
	}
}

func TestRefusals(t *testing.T) {
	datum := func(fields string) string { return head + "datum " + fields + "\n" }
	for _, c := range []struct{ name, table, says string }{
		{"unknown kind", "fact a | b\n", "line 1: neither"},
		{"field missing", head + "datum X | q | 0 | 1 | - | s | s\n", "line 2: neither"},
		{"field empty", head + "datum X | q | 0 | 1 | | s | s | default\n", "line 2: field 5"},
		{"source not declared", datum("X | q | 0 | 1 | - | s | other | default"), "not declared"},
		{"no number", datum("X | q | 0 | 1,5 | - | s | s | default"), "no plain decimal"},
		{"hexadecimal", datum("X | q | 0 | 0x10 | - | s | s | default"), "no plain decimal"},
		{"octal", datum("X | q | 0 | 010 | - | s | s | default"), "no plain decimal"},
		{"infinite", datum("X | q | 0 | Inf | - | s | s | default"), "no plain decimal"},
		{"uncertainty unclosed", datum("X | q | 0 | 1 | (3 | s | s | default"), "neither -"},
		{"uncertainty with a point", datum("X | q | 0 | 1 | (3.1) | s | s | default"), "neither -"},
		{"line number", datum("X | q | 1.5 | 1 | - | s | s | default"), "whole number"},
		{"role", datum("X | q | 0 | 1 | - | s | s | first"), "role"},
		{"no default", datum("X | q | 0 | 1 | - | s | s | alternative"), "0 defaults"},
		{"two defaults", datum("X | q | 0 | 1 | - | s | s | default\ndatum X | q | 0 | 2 | - | s | s | default"), "2 defaults"},
	} {
		_, err := readTable(c.table)
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v, want it to say %q", c.name, err, c.says)
		}
	}
}

// Whatever table is accepted has figures that are numbers, one of each the default.
func FuzzReadTable(f *testing.F) {
	f.Add(head + "datum Y-90 | half-life | 0 | 2.6684 | (13) | d | s | default\n")
	f.Add(head + "datum \"\\ | q | 0 | 1.4E-6 | 0.1 | d | s | default\n# end")
	f.Fuzz(func(t *testing.T, text string) {
		rows, err := readTable(text)
		for _, d := range rows {
			if err == nil && (math.IsInf(d.Value+d.U, 0) || d.Value < 0 || d.U < 0 || !strings.HasSuffix(d.Published, " "+d.Unit)) {
				t.Fatalf("%+v", d)
			}
		}
	})
}
