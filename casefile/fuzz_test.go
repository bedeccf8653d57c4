package casefile_test

import (
	"errors"
	"reflect"
	"strings"
	"testing"
	"time"

	"vialwright/casefile"
	"vialwright/fact"
	"vialwright/fact/facttest"
	"vialwright/fold"
	"vialwright/journal"
)

// FuzzCaseFile: no bytes make the reader panic; what is refused has a place
// and a message; what is read survives export, and its fold is the same from
// the file and from records.
func FuzzCaseFile(f *testing.F) {
	for _, name := range []string{"worked.yaml", "all-kinds.yaml"} {
		f.Add(facttest.File(f, name))
		f.Add(asJSON(f, facttest.File(f, name), ""))
	}
	for _, r := range facttest.Refusals(f) {
		f.Add([]byte(r.File))
	}
	zones := facttest.CachedZones()
	f.Fuzz(func(t *testing.T, data []byte) {
		file, err := casefile.Decode(data, zones)
		if err != nil {
			checkFileError(t, err, data)
			return
		}
		_, err = fold.File(file)
		if err != nil {
			checkFileError(t, err, data)
		}
		again, bad := casefile.Export(file.Facts, zones)
		if bad != nil {
			t.Fatal(bad)
		}
		back, bad := casefile.Decode(again, zones)
		if bad != nil {
			t.Fatalf("%v\n%s", bad, again)
		}
		if !reflect.DeepEqual(back.Facts, file.Facts) {
			t.Fatalf("exported\n%s", again)
		}
		_, second := fold.Facts(readBack(t, file.Facts), zones)
		if (second == nil) != (err == nil) {
			t.Fatalf("folded from the file: %v; from records: %v", err, second)
		}
	})
}

// readBack writes facts as records and reads them.
func readBack(t *testing.T, facts []fact.Fact) []fact.Fact {
	t.Helper()
	out := make([]fact.Fact, len(facts))
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
	var e *casefile.Error
	if !errors.As(err, &e) || e.Code == "" || e.Msg == "" || strings.Contains(e.Error(), "\n") {
		t.Fatalf("%#v", err)
	}
	whole := e.Code == "empty-file" || len(data) > casefile.MaxBytes
	if lines := strings.Count(string(data), "\n") + 1; whole != (e.Line == 0) || e.Line > lines || e.Line > 0 && (e.Col == 0) != (e.Code == "not-yaml") {
		t.Fatalf("line %d, column %d of %d lines: %v", e.Line, e.Col, lines, err)
	}
}
