package state_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"vialwright/dispensing"
	"vialwright/dose"
	"vialwright/fold"
	"vialwright/journal"
	"vialwright/state"
)

// lungs is an order of a patient whose dose gives the lungs 19.39 Gy, of at most 30 Gy.
func lungs(id, patient, at, more string) string {
	return fmt.Sprintf("order: {id: %s, prescribed: 1.30 GBq, patient: %s, at: %s, dosimetry: {method: partition, tumour-mass: 0.2 kg, normal-mass: 1.4 kg, tumour-to-normal: 3 to 1, lung-shunt: 30 %%, lung-shunt-method: planar geometric mean, lung-max: 30 Gy%s}}",
		id, patient, at, more)
}

// lungFindings are those of the lungs of an order.
func lungFindings(tb testing.TB, c dispensing.Case, order string) (out []string) {
	tb.Helper()
	for _, x := range dispensing.Reckon(c, time.Time{}).Findings {
		if x.Code == dispensing.Code(dose.LungLimit) && x.Order == order {
			out = append(out, string(x.Severity)+" "+x.Text)
		}
	}
	return out
}

// TestLungsOfOnePatientFromTwoVials: two orders of one patient, drawn from two vials, are two
// groups, and the lungs of both are held against the limit with each, as in the whole record.
func TestLungsOfOnePatientFromTwoVials(t *testing.T) {
	const (
		noon, later = "2027-03-01T13:30", "2027-03-15T13:30"
		total       = ", lung-total-max: 38 Gy"
	)
	for name, c := range map[string]struct {
		orders [2]string
		then   []string // entry 8 is the first order, entry 9 the second
		stops  [2]int
	}{
		"one day":        {[2]string{lungs("P1", "K-1", noon, ""), lungs("P2", "K-1", noon, "")}, nil, [2]int{1, 1}},
		"two patients":   {[2]string{lungs("P1", "K-1", noon, ""), lungs("P2", "K-2", noon, "")}, nil, [2]int{}},
		"two weeks":      {[2]string{lungs("P1", "K-1", noon, ""), lungs("P2", "K-1", later, total)}, nil, [2]int{0, 1}},
		"stated before":  {[2]string{lungs("P1", "K-1", noon, ""), lungs("P2", "K-1", later, total+", lung-dose-before: 10 Gy")}, nil, [2]int{}},
		"cancelled":      {[2]string{lungs("P1", "K-1", noon, ""), lungs("P2", "K-1", noon, "")}, []string{"cancel: {for: P2, reason: no longer wanted, at: 2027-03-01T09:00}"}, [2]int{}},
		"cancelled once": {[2]string{lungs("P1", "K-1", noon, ""), lungs("P2", "K-1", noon, "")}, []string{"cancel: {for: P2, reason: no longer wanted, at: 2027-03-01T09:00}", "correct: {entry: 12, reason: of another order}"}, [2]int{1, 1}},
		"closed": {
			[2]string{lungs("P1", "K-1", noon, ""), lungs("P2", "K-1", noon, "")},
			[]string{"infuse: {for: P2, from: Y2, start: 2027-03-01T13:30, reason: complete}", "close: {for: P2, at: 2027-03-01T15:00}"},
			[2]int{1, 1},
		},
		"another patient by a correction": {[2]string{lungs("P1", "K-1", noon, ""), lungs("P2", "K-1", noon, "")}, []string{"correct: {entry: 9, reason: a slip, with: {" + lungs("P2", "K-2", noon, "") + "}}"}, [2]int{}},
		"this patient by a correction":    {[2]string{lungs("P1", "K-1", noon, ""), lungs("P2", "K-2", noon, "")}, []string{"correct: {entry: 9, reason: a slip, with: {" + lungs("P2", "K-1", noon, "") + "}}"}, [2]int{1, 1}},
		"another shunt by a correction": {
			[2]string{lungs("P1", "K-1", noon, ""), lungs("P2", "K-1", noon, "")},
			[]string{"correct: {entry: 9, reason: a slip, with: {" + strings.Replace(lungs("P2", "K-1", noon, ""), "30 %", "3 %", 1) + "}}"},
			[2]int{},
		},
	} {
		s := newSite(t)
		for i, line := range slices.Concat([]string{
			"receive: {vial: S1, lot: L-1, labelled: 3.0 GBq, reference: 2027-03-01T18:00, volume: 5.0 mL, at: 2027-03-01T07:10}",
			"receive: {vial: S2, lot: L-2, labelled: 3.0 GBq, reference: 2027-03-01T18:00, volume: 5.0 mL, at: 2027-03-01T07:11}",
			"read: {of: S1, meter: M1, at: 2027-03-01T08:00, gross: 3.34 GBq, background: 0.2 MBq}",
			"read: {of: S2, meter: M1, at: 2027-03-01T08:00, gross: 3.34 GBq, background: 0.2 MBq}",
		}, c.orders[:], []string{
			"draw: {from: S1, into: Y1, for: P1, at: 2027-03-01T08:10, volume: 2.1 mL}",
			"draw: {from: S2, into: Y2, for: P2, at: 2027-03-01T08:11, volume: 2.1 mL}",
		}, c.then) {
			s.now = monday.Add(time.Duration(i) * time.Hour)
			s.add(s.fact(line))
		}
		whole, err := fold.Records(s.records, time.LoadLocation)
		if err != nil {
			t.Fatal(name, err)
		}
		away := state.Over(func(numbers []int) (out []journal.Record) {
			for _, n := range numbers {
				out = append(out, s.records[n-1])
			}
			return out
		}, nil)
		for _, r := range s.records {
			away.Add(r)
			away.PutAway(r.Recorded.Add(time.Minute))
		}
		for i, order := range []string{"P1", "P2"} {
			groups := s.books.Groups(order)
			own := away.Groups(order)
			same(t, s.books.Elsewhere(groups, s.books.Records(groups)), away.Elsewhere(own, away.Records(own)))
			records := s.books.Records(groups, order)
			beside, err := fold.Beside(records, s.books.Elsewhere(groups, records), time.LoadLocation)
			if err != nil {
				t.Fatal(name, err)
			}
			want, got := lungFindings(t, whole, order), lungFindings(t, beside, order)
			if !slices.Equal(got, want) || len(want) != c.stops[i] {
				t.Errorf("%s: on %s the group says %q, the whole record %q", name, order, got, want)
			}
		}
	}
}

// TestOneOrderOnce: an order that a file has already is not beside it once more, whatever ids the file was asked for,
// and an identifier is the same in whatever letters.
func TestOneOrderOnce(t *testing.T) {
	s := newSite(t)
	for i, line := range []string{
		"receive: {vial: S1, lot: L-1, labelled: 3.0 GBq, reference: 2027-03-01T18:00, volume: 5.0 mL, at: 2027-03-01T07:10}",
		"receive: {vial: S2, lot: L-2, labelled: 3.0 GBq, reference: 2027-03-01T18:00, volume: 5.0 mL, at: 2027-03-01T07:11}",
		lungs("P1", "K-1", "2027-03-01T13:30", ""), lungs("P2", "k-1", "2027-03-01T13:30", ""),
		"draw: {from: S1, into: Y1, for: P1, at: 2027-03-01T08:10, volume: 2.1 mL}",
		"draw: {from: S2, into: Y2, for: P2, at: 2027-03-01T08:11, volume: 2.1 mL}",
	} {
		s.now = monday.Add(time.Duration(i) * time.Hour)
		s.add(s.fact(line))
	}
	groups := s.books.Groups("P1")
	records := s.books.Records(groups, "P1")
	if got := s.books.Elsewhere(nil, records); slices.ContainsFunc(got, func(r journal.Record) bool {
		return slices.ContainsFunc(records, func(x journal.Record) bool { return x.N == r.N })
	}) {
		t.Errorf("of the records %v the file has some already", got)
	}
	c, err := fold.Beside(records, s.books.Elsewhere(groups, records), time.LoadLocation)
	if err != nil {
		t.Fatal(err)
	}
	if got := lungFindings(t, c, "P1"); len(got) != 1 {
		t.Errorf("K-1 and k-1 are held together as %q", got)
	}
}
