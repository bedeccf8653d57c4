package procedure_test

import (
	"strings"
	"testing"

	"vialwright/journal"
	"vialwright/people"
	"vialwright/procedure"
)

// withheld is what a person is not shown, in words: the orders to be checked, by order
// and container, and behind a slash those that the reading before its draw gives away.
func (b *bench) withheld(who people.Person, ids ...string) string {
	b.tb.Helper()
	w := procedure.Withhold(who, b.reckoned().Preparations(), journal.Numbered(b.records))
	var out []string
	for _, id := range ids {
		out = append(out, id+":"+strings.Join(w.By(id), "+")+"/"+strings.Join(w.BeforeDraw(id), "+"))
	}
	return strings.Join(out, " ")
}

// The remainder of a vial with two doses gives the first away, so that anyone who may
// still check a dose sees nothing of its set; the other vial is open.
func TestWithheldOfTwoOrdersOnOneVial(t *testing.T) {
	b := newBench(t)
	says := func(when string, who people.Person, want string) {
		t.Helper()
		if got := b.withheld(who, "P1", "P2", "P3", "S1", "S2", "Y1"); got != want {
			t.Errorf("%s, %s: %s\nwant %s", when, who.ID, got, want)
		}
	}
	const nothing = "P1:/ P2:/ P3:/ S1:/ S2:/ Y1:/"
	b.does(rita,
		"order: {id: P1, prescribed: 1.30 GBq, at: @13:30, territory: right}",
		"order: {id: P2, prescribed: 0.60 GBq, at: @14:30, territory: left}",
		"order: {id: P3, prescribed: 0.60 GBq, at: @14:30, territory: right}",
		"receive: {vial: S1, lot: L-1, labelled: 3.0 GBq, reference: @18:00, volume: 5.0 mL, at: @08:00}",
		"receive: {vial: S2, lot: L-1, labelled: 3.0 GBq, reference: @18:00, volume: 5.0 mL, at: @08:00}")
	b.does(tess, "read: {of: S1, meter: M1, at: @11:00, gross: 3.24 GBq, background: 0.2 MBq}")
	says("before a draw", tom, nothing)
	b.does(tess, "draw: {from: S1, into: Y1, for: P1, at: @11:10, volume: 2.2 mL}")
	says("one drawn", tom, "P1:P1/ P2:/ P3:/ S1:P1/ S2:/ Y1:P1/")
	says("one drawn", tess, nothing)
	says("one drawn", dora, nothing)
	b.does(tess, "read: {of: S1, meter: M1, at: @11:14, gross: 1.87 GBq, background: 0.2 MBq}")
	b.does(tess, "draw: {from: S1, into: Y2, for: P2, at: @11:20, volume: 1.0 mL}")
	says("two drawn", tom, "P1:P1+P2/ P2:P1+P2/P1 P3:/ S1:P1+P2/ S2:/ Y1:P1+P2/")
	b.does(tom, "see-figures: {for: P1, at: @11:21}")
	says("who chose to see the first", tom, "P1:P2/ P2:P2/ P3:/ S1:P2/ S2:/ Y1:P2/")
	says("who did not", phil, "P1:P1+P2/ P2:P1+P2/P1 P3:/ S1:P1+P2/ S2:/ Y1:P1+P2/")
	b.does(tess, "draw: {from: S2, into: Y3, for: P3, at: @11:30, volume: 1.0 mL}")
	says("another vial", phil, "P1:P1+P2/ P2:P1+P2/P1 P3:P3/ S1:P1+P2/ S2:P3/ Y1:P1+P2/")
	b.does(tess, "correct: {entry: 7, reason: it was the other vial, with: {draw: {from: S2, into: Y1, for: P1, at: @11:10, volume: 2.2 mL}}}")
	says("a draw that was moved joins both", phil, "P1:P1+P2+P3/ P2:P1+P2+P3/P1 P3:P1+P2+P3/P1+P2 S1:P1+P2+P3/ S2:P1+P2+P3/ Y1:P1+P2+P3/")
}
