package replica

import (
	"fmt"
	"path/filepath"
	"testing"
	"time"

	"vialwright/journal"
	"vialwright/store"
	"vialwright/store/sqlite"
)

// yearsOf is a log of many orders of one patient, years back, each with the records of its own vial, and of
// one order P0 of today.
func yearsOf(tb testing.TB, orders int) store.Log {
	tb.Helper()
	const doses = ", dosimetry: {method: partition, tumour-mass: 0.2 kg, normal-mass: 1.4 kg, tumour-to-normal: 3 to 1, lung-shunt: 3 %, lung-shunt-method: planar geometric mean}"
	var all []journal.Record
	at := time.Date(2020, 3, 1, 8, 0, 0, 0, time.UTC)
	add := func(format string, args ...any) {
		all = append(all, journal.Record{Recorded: at, By: "T1", Fact: parsed(tb, fmt.Sprintf(format, args...))})
	}
	day := func() string { return at.Format(time.DateOnly) }
	for i := range orders {
		at = at.AddDate(0, 0, 3)
		id := i + 1
		add("receive: {vial: S%d, lot: L-1, labelled: 3.0 GBq, reference: %sT18:00, volume: 5.0 mL, at: %sT07:10}", id, day(), day())
		add("order: {id: P%d, prescribed: 1.30 GBq, patient: unknown, at: %sT13:30%s}", id, day(), doses)
		add("draw: {from: S%d, into: Y%d, for: P%d, at: %sT08:10, volume: 2.1 mL}", id, id, id, day())
		for k := range 40 {
			add("read: {of: Y%d, meter: M1, at: %sT09:%02d, gross: 1.3 GBq, background: 0.2 MBq}", id, day(), k)
		}
	}
	at = time.Date(2027, 3, 1, 8, 0, 0, 0, time.UTC)
	add("order: {id: P0, prescribed: 1.30 GBq, patient: unknown, at: %sT13:30%s}", day(), doses)
	log, err := sqlite.Create(tb.Context(), filepath.Join(tb.TempDir(), "journal"))
	if err != nil {
		tb.Fatal(err)
	}
	tb.Cleanup(func() { log.Close() })
	grow(tb, log, all)
	return log
}

// BenchmarkFileOfOrdersOfYears measures what a page of an order waits for other orders of its patient.
func BenchmarkFileOfOrdersOfYears(b *testing.B) {
	for _, orders := range []int{0, 1, 3, 500} {
		r := open(b, yearsOf(b, orders))
		b.Run(fmt.Sprint(orders), func(b *testing.B) {
			for b.Loop() {
				if f := r.File("P0"); len(f.Records) == 0 {
					b.Fatal(len(f.Records))
				}
			}
		})
	}
}
