package journal_test

import (
	"errors"
	"strings"
	"testing"

	"vialwright/fact/facttest"
	"vialwright/journal"
)

// FuzzRecord: what parses is written again with the same bytes, and what is
// refused is refused with a place inside it.
func FuzzRecord(f *testing.F) {
	f.Add(facttest.DrawBody)
	for _, l := range facttest.Sealed(f, facttest.Decode(f, facttest.File(f, "all-kinds.yaml")).Facts) {
		f.Add(facttest.Encoded(f, l))
	}
	for _, c := range facttest.BadRecords {
		if len(c.New) < 1000 {
			f.Add(strings.Replace(facttest.DrawBody, c.Old, c.New, 1))
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
