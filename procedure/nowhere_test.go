package procedure_test

import (
	"fmt"
	"slices"
	"testing"

	"vialwright/fact"
	"vialwright/procedure"
)

// A record is not closed while nobody has said where a syringe with something in it is:
// it goes into the waste, is kept as stock or leaves. A deviation is no answer.
func TestNoCloseWithAContainerNowhere(t *testing.T) {
	b := upTo(t, procedure.Survey)
	if got := b.permit(rita, procedure.Close); got != "" {
		t.Fatalf("with every container emptied: %q", got)
	}
	entry, transfer := 0, 0
	for _, r := range b.records {
		if !fact.IsHeader(r.Fact) {
			entry++
		}
		if fact.Word(r.Fact) == "transfer" {
			transfer = entry
		}
	}
	b.does(rita, fmt.Sprintf("correct: {entry: %d, reason: a part stayed in the syringe, with: {transfer: {from: Y1, into: A1, at: @11:20, volume: 3.2 mL}}}", transfer))
	b.does(rita, "deviation: {for: P1, text: a part stayed in the syringe, at: @15:40}")
	if got := b.permit(rita, procedure.Close); got != procedure.CodeNowhere {
		t.Errorf("with something in Y1: %q", got)
	}
	for _, told := range []string{
		"discard: {from: Y1, into: W9, at: @15:45}",
		"keep-stock: {of: Y1, store: hot lab safe, at: @15:45, until: 2027-04-04T12:00}",
		`left-site: {of: Y1, how: transferred, to: another laboratory, at: @15:45, reason: for a test}`,
	} {
		with := *b
		with.records = slices.Clone(b.records)
		with.does(tess, told)
		if got := with.permit(rita, procedure.Close); got != "" {
			t.Errorf("after %s: %q", told, got)
		}
	}
}
