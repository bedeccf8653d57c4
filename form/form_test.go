package form_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"vialwright/form"
	"vialwright/quantity"
)

func Example() {
	f, _ := form.Open([]byte("id: P1\nmass: 0.3 kg\nat: 2027-03-04T13:30\n"), 1<<10)
	f.Zone(time.FixedZone("", -3600))
	id, mass, at := f.Text("id", form.Must), form.Amount[quantity.Mass](f, "mass", form.Must), f.Time("at", form.Must)
	fmt.Println(id, mass, quantity.FormatTime(at, nil), f.Done())
	// Output: P1 0.3 kg 2027-03-04T13:30:00-01:00 <nil>
}

// read asks for one field of each shape.
func read(text string) error {
	f, err := form.Open([]byte(text), 1<<10)
	if err != nil {
		return err
	}
	f.Text("id", form.Must)
	f.Word("method", form.May, "partition", "surface-area")
	f.YesNo("stasis", form.May)
	f.Time("at", form.May)
	f.Date("day", form.May)
	form.Amount[quantity.Mass](f, "mass", form.May)
	f.Count("lung", form.May, "counts")
	f.Texts("names", form.May)
	f.Text("note", form.May)
	f.Text("note-read-by", form.Need(f.Has("note")))
	if g := f.Group("group", form.May); g != nil {
		g.Text("inner", form.Must)
	}
	for _, g := range f.Groups("list", form.May) {
		g.Text("inner", form.Must)
	}
	return f.Done()
}

// TestRefused holds the place, the code and the way out of each refusal.
func TestRefused(t *testing.T) {
	for _, c := range []struct {
		text, code, says string
		line, col        int
	}{
		{"id: P1\n", "", "", 0, 0},
		{"id: P1\nlung: 13200 counts\nlist: [{inner: a}]\nnames: [a, b]\nstasis: no\nday: 2027-03-04\n", "", "", 0, 0},
		{"", "no-fields", "holds nothing", 0, 0},
		{"- id: P1\n", "no-fields", "a list", 1, 1},
		{"mass: 1 kg\n", "field-missing", "id is missing", 1, 1},
		{"id: P1\nmass: 3\n", "unit-missing", "mass: ", 2, 7},
		{"id: P1\nmass: 3 GBq\n", "unit-kind", "mass: ", 2, 7},
		{"id: P1\nmethod: guess\n", "no-such-word", "one of partition, surface-area", 2, 9},
		{"id: P1\nstasis: maybe\n", "no-such-word", "one of yes, no", 2, 9},
		{"id: P1\nat: 2027-03-04T13:30\n", "time-zone-needed", "at: ", 2, 5},
		{"id: P1\nday: 04/03/2027\n", "no-date", "2027-03-04", 2, 6},
		{"id: P1\nlung: 13200\n", "no-count", "counts", 2, 7},
		{"id: P1\nlung: -4 counts\n", "no-count", "counts", 2, 7},
		{"id: P1\nlung: 1e3 counts\n", "no-count", "counts", 2, 7},
		{"id: P1\ngroup: 4\n", "wrong-shape", "a group of fields", 2, 8},
		{"id: P1\ngroup: {innr: a}\n", "field-missing", "group.inner", 2, 8},
		{"id: P1\ngroup: {inner: a, innr: b}\n", "unknown-field", "group.innr", 2, 19},
		{"id: P1\nlist: [a]\n", "wrong-shape", "list[1]", 2, 8},
		{"id: P1\nlist: [{}]\n", "field-missing", "list[1].inner", 2, 8},
		{"id: P1\nnote: a\n", "field-missing", "note-read-by is missing", 2, 7},
		{"id: P1\nnames: [[a]]\n", "wrong-shape", "list of texts", 2, 8},
		{"id: P1\nmas: 1 kg\n", "unknown-field", `"mas" is no field here`, 2, 1},
	} {
		err := read(c.text)
		var e *form.Error
		if c.code == "" {
			if err != nil {
				t.Errorf("%q: %v", c.text, err)
			}
			continue
		}
		if !errors.As(err, &e) || e.Code != c.code || e.Line != c.line || e.Col != c.col || !strings.Contains(e.Error(), c.says) {
			t.Errorf("%q: %#v, want %s at %d,%d with %q", c.text, err, c.code, c.line, c.col, c.says)
		}
	}
}
