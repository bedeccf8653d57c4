package journal_test

import (
	"errors"
	"reflect"
	"strings"
	"testing"
	"time"

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

// FuzzCaseFile: no bytes make the reader panic; what is refused has a place
// and a message; what is read survives export, and its fold is the same from
// the file and from records.
func FuzzCaseFile(f *testing.F) {
	for _, name := range []string{"worked.yaml", "all-kinds.yaml"} {
		f.Add(file(f, name))
		f.Add(asJSON(f, file(f, name), ""))
	}
	for _, r := range refusals(f) {
		f.Add([]byte(r.file))
	}
	zones := cachedZones()
	f.Fuzz(func(t *testing.T, data []byte) {
		file, err := journal.Decode(data, zones)
		if err != nil {
			checkFileError(t, err, data)
			return
		}
		_, err = journal.FoldFile(file)
		if err != nil {
			checkFileError(t, err, data)
		}
		again, bad := journal.Export(file.Facts, zones)
		if bad != nil {
			t.Fatal(bad)
		}
		back, bad := journal.Decode(again, zones)
		if bad != nil {
			t.Fatalf("%v\n%s", bad, again)
		}
		if !reflect.DeepEqual(back.Facts, file.Facts) {
			t.Fatalf("exported\n%s", again)
		}
		_, second := journal.Fold(readBack(t, file.Facts), zones)
		if (second == nil) != (err == nil) {
			t.Fatalf("folded from the file: %v; from records: %v", err, second)
		}
	})
}

// readBack writes facts as records and reads them.
func readBack(t *testing.T, facts []journal.Fact) []journal.Fact {
	t.Helper()
	out := make([]journal.Fact, len(facts))
	for i, f := range facts {
		body, err := journal.Record{Recorded: time.Unix(1_800_000_000, 0), By: "rp-1", Fact: f}.Marshal()
		if err != nil {
			t.Fatal(err)
		}
		r, err := journal.Parse(string(body))
		if err != nil {
			t.Fatalf("%v\n%s", err, body)
		}
		if !reflect.DeepEqual(r.Fact, f) {
			t.Fatalf("read back %+v, want %+v", r.Fact, f)
		}
		out[i] = r.Fact
	}
	return out
}

func checkFileError(t *testing.T, err error, data []byte) {
	t.Helper()
	var e *journal.FileError
	if !errors.As(err, &e) || e.Code == "" || e.Msg == "" || strings.Contains(e.Error(), "\n") {
		t.Fatalf("%#v", err)
	}
	whole := e.Code == "empty-file" || len(data) > journal.MaxBytes
	if lines := strings.Count(string(data), "\n") + 1; whole != (e.Line == 0) || e.Line > lines || e.Line > 0 && (e.Col == 0) != (e.Code == "not-yaml") {
		t.Fatalf("line %d, column %d of %d lines: %v", e.Line, e.Col, lines, err)
	}
}
