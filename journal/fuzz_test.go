package journal_test

import (
	"errors"
	"strings"
	"testing"

	"vialwright/journal"
)

// FuzzRecord: what parses is written again with the same bytes, and what is
// refused is refused with a place inside it.
func FuzzRecord(f *testing.F) {
	f.Add(drawBody)
	for _, l := range sealed(f, decode(f, file(f, "all-kinds.yaml")).Facts) {
		f.Add(l.Body)
	}
	for _, c := range badRecords {
		if len(c.new) < 1000 {
			f.Add(strings.Replace(drawBody, c.old, c.new, 1))
		}
	}
	f.Fuzz(func(t *testing.T, body string) {
		r, err := journal.Parse(body)
		if err != nil {
			var e *journal.RecordError
			if !errors.As(err, &e) || e.Code == "" || e.Msg == "" || e.Offset < 0 || e.Offset > len(body) {
				t.Fatalf("%#v", err)
			}
			return
		}
		again, err := r.Marshal()
		if err != nil {
			t.Fatal(err)
		}
		if string(again) != body {
			t.Fatalf("read\n%s\nwritten\n%s", body, again)
		}
	})
}
