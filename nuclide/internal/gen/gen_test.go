package gen

import (
	"go/parser"
	"go/token"
	"strings"
	"testing"
)

const head = "source s | evaluation | edition | date | seen\n"

func TestUncertaintyNotations(t *testing.T) {
	for _, c := range []struct{ value, u, literal, published string }{
		{"2.6684", "(13)", "13E-4", "2.6684(13) d"},
		{"2278.7", "(16)", "16E-1", "2278.7(16) d"},
		{"100", "(7)", "7E0", "100(7) d"},
		{"1.4E-6", "(3)", "3E-7", "1.4(3)E-6 d"},
		{"230.55E3", "(11)", "11E1", "230.55(11)E3 d"},
		{"230.55E3", "0.11E3", "0.11E3", "230.55E3 +- 0.11E3 d"},
		{"64.10", "-", "0", "64.10 d"},
	} {
		literal, published, err := uncertainty(c.value, c.u, "d")
		if err != nil || literal != c.literal || published != c.published {
			t.Errorf("%s %s: %q %q %v", c.value, c.u, literal, published, err)
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
		_, err := Source([]byte(c.table))
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v, want it to say %q", c.name, err, c.says)
		}
	}
}

// Whatever table is accepted becomes a Go file that parses, the same twice.
func FuzzSource(f *testing.F) {
	f.Add(head + "datum Y-90 | half-life | 0 | 2.6684 | (13) | d | s | default\n")
	f.Add(head + "datum \"\\ | q | 0 | 1.4E-6 | 0.1 | d | s | default\n# end")
	f.Fuzz(func(t *testing.T, table string) {
		code, err := Source([]byte(table))
		if err != nil {
			return
		}
		if _, err := parser.ParseFile(token.NewFileSet(), "table_gen.go", code, parser.AllErrors); err != nil {
			t.Fatalf("%v\n%s", err, code)
		}
		again, err := Source([]byte(table))
		if err != nil || string(again) != string(code) {
			t.Fatal("the same table gave another file")
		}
	})
}
