package procedure_test

import (
	"strings"
	"testing"

	"vialwright/people"
	"vialwright/procedure"
)

const (
	theOther     = "order: {id: P2, patient: K-0500, territory: left lobe, version: \"1\", prescribed: 1.30 GBq, at: @14:00, residual: 2 %}"
	theOtherSign = "sign-order: {for: P2, version: \"1\", at: @07:15}"
	theReassign  = "reassign: {container: A1, from: P1, to: P2, at: @12:00}"
)

// TestReassign: a dose that is given to another order is checked and labelled
// for that order; what was checked, labelled and released for the first is void,
// and that order is drawn for again.
func TestReassign(t *testing.T) {
	b := upTo(t, procedure.Release).does(dora, theOther, theOtherSign).does(rita, theReassign)
	c, r := b.reckon()
	if c.Serves["A1"] != "P2" || c.Draws[0].For != "P2" || r.Orders[1].Dispensed == nil || r.Orders[0].Dispensed != nil {
		t.Fatalf("serves %v, draws %+v", c.Serves, c.Draws)
	}
	had, _ := upTo(t, procedure.Release).reckon()
	for _, id := range []string{"S1", "A1"} {
		if c.Book.Volume(id) != had.Book.Volume(id) {
			t.Errorf("%s holds %v, held %v", id, c.Book.Volume(id), had.Book.Volume(id))
		}
	}
	old, got := b.prep("P1"), b.prep("P2")
	if s := old.Step(procedure.Draw).State; s != procedure.Now || old.Container != "" {
		t.Errorf("P1 stands at draw %s, in %q", s, old.Container)
	}
	if l := old.Labels[0]; l.Void != "the dose was given to order P2" {
		t.Errorf("the old label: %q", l.Void)
	}
	if got.Container != "A1" || got.Step(procedure.Draw).State != procedure.Done || got.Step(procedure.Draw).By != "tech-1" {
		t.Errorf("P2: %+v", got.Step(procedure.Draw))
	}
	for _, p := range []procedure.Preparation{old, got} {
		for _, key := range []procedure.Key{procedure.SecondCheck, procedure.Label, procedure.Release} {
			if s := p.Step(key).State; s == procedure.Done {
				t.Errorf("%s of %s is %s", key, p.Order, s)
			}
		}
	}
	b.does(tess, strings.ReplaceAll(theRelease, "@11:50", "@12:10"))
	if s := b.prep("P1").Step(procedure.Release).State; s == procedure.Done {
		t.Error("the void label releases the dose of the first order")
	}
}

// TestMayReassign goes down the list of MayReassign.
func TestMayReassign(t *testing.T) {
	both := func() *bench { return upTo(t, procedure.Release).does(dora, theOther, theOtherSign) }
	for _, c := range []struct {
		name string
		b    *bench
		who  people.Person
		want string
	}{
		{"a technologist", both(), tess, people.CodeNotPermitted},
		{"a closed record", both().does(rita, "close: {for: P2, at: @11:55}"), rita, procedure.CodeClosed},
		{"a dose that was given", upTo(t, procedure.Infusion).does(dora, theOther, theOtherSign), rita, procedure.CodeGiven},
		{"to a cancelled order", both().does(rita, "cancel: {for: P2, reason: ill, at: @11:55}"), rita, procedure.CodeCancelled},
		{"no dose", newBench(t).does(dora, theOrder, theSign, theOther, theOtherSign), rita, procedure.CodeNotYet},
		{"a dose that left", upTo(t, procedure.HandOver).does(dora, theOther, theOtherSign), rita, procedure.CodeNotYet},
		{"to an order with a dose", both().does(tess, "draw: {from: S1, into: Y2, for: P2, at: @11:55, volume: 1.0 mL}"), rita, procedure.CodeAlready},
		{"the other order unsigned", upTo(t, procedure.Release).does(dora, theOther), rita, procedure.CodeUnsigned},
		{"a dose whose check differs", upTo(t, procedure.Baseline).does(dora, theOther, theOtherSign).does(phil, differing), rita, procedure.CodeMismatch},
		{"a dose that was read again and not checked", upTo(t, procedure.Baseline).does(dora, theOther, theOtherSign).does(phil, differing).does(tess, reread), rita, procedure.CodeMismatch},
		{"both signed", both(), rita, ""},
		{"of a cancelled preparation", both().does(rita, "cancel: {for: P1, reason: ill, at: @11:55}"), rita, ""},
	} {
		if got := code(procedure.MayReassign(c.who, c.b.prep("P1"), c.b.prep("P2"))); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}
