package replica

import (
	"slices"
	"strings"
	"testing"
	"time"

	"vialwright/experience/invented"
	"vialwright/fact"
	"vialwright/fold"
	"vialwright/journal"
	"vialwright/store"
	"vialwright/store/storetest"
)

// TestOldRecordsAreReadAgain: of three years of an invented laboratory the old
// records are not in memory; what is shown of them is what was recorded, and a
// record that was changed after it was verified is never shown.
func TestOldRecordsAreReadAgain(t *testing.T) {
	all, err := invented.Site(500, 1, time.Date(2027, 3, 1, 0, 0, 0, 0, time.UTC), time.LoadLocation)
	must(t, err)
	links, err := journal.Seal(journal.Head{}, salt, all...)
	must(t, err)
	log := &storetest.Memory{}
	must(t, log.Append(t.Context(), store.Head{}, stored(links)...))
	r := open(t, log)
	for _, e := range fold.Entries(all) {
		o, ok := e.Fact.(*fact.Order)
		if !ok {
			continue
		}
		f := r.File(o.ID)
		if _, found := f.Entry(e.Number); !found || !slices.ContainsFunc(f.Records, func(x journal.Record) bool { _, closed := x.Fact.(*fact.Close); return closed }) {
			t.Fatalf("%s is shown with %d records", o.ID, len(f.Records))
		}
		for _, x := range f.Records {
			if want := all[x.N-1]; x.By != want.By || !x.Recorded.Equal(want.Recorded) || !fact.Same(x.Fact, want.Fact) {
				t.Fatalf("record %d is %v", x.N, x.Fact)
			}
		}
	}
	at := slices.IndexFunc(log.Records, func(x store.Record) bool { return strings.Contains(string(x.Body), `"P0100"`) })
	log.Records[at].Body = []byte(strings.Replace(string(log.Records[at].Body), `"P0100"`, `"P0101"`, 1))
	defer func() {
		if fault := recover(); fault == nil || r.Broken() != nil {
			t.Errorf("a record that was changed is shown: %v", fault)
		}
	}()
	r.File("P0100")
}

func must(tb testing.TB, err error) {
	tb.Helper()
	if err != nil {
		tb.Fatal(err)
	}
}
