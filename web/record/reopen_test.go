package record_test

import (
	"net/http"
	"strconv"
	"testing"

	"vialwright/fact"
	"vialwright/procedure"
	"vialwright/web/webtest"
)

// TestCorrectionInAClosedRecord: it takes who may close the record and another
// person's signature, shows the old figures beside the new before it is signed
// and after, reopens the record, and leaves what was done before done.
func TestCorrectionInAClosedRecord(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("close")
	n := 0
	for _, e := range webtest.Case(s).Entries() {
		if fact.Word(e.First) == "read" {
			n = e.Number // the reading of the vial after the draw, which names no order
		}
	}
	at := "/entry/" + strconv.Itoa(n) + "/correct"
	right := []string{"p0.reason", "digits exchanged", "p0.with.read.gross", "1.78 GBq", "p0.countersigned", "MP1", "pin2", webtest.PIN}
	s.T1.Fill(at, "correct", at, right...).Says(http.StatusForbidden, "Only a person who may close a record may correct it afterwards")
	p := s.RP.Fill(at, "correct", at, right...)
	p.Says(http.StatusUnprocessableEntity, "The record of P1 is closed, and this correction reopens it", "GBq before,", "GBq after", "Yes: correct it")
	right = append(right, "p0.reason.answer", p.Choice("p0.reason.answer", 0))
	s.RP.Fill(at, "correct", at, append(right, "pin2", "")...).Says(http.StatusUnprocessableEntity, "The other person types their own PIN")
	s.RP.Fill(at, "correct", at, append(right, "p0.countersigned", "RP1")...).Says(http.StatusUnprocessableEntity, "that is you")
	if got := prep(s); !got.Closed {
		t.Fatal("a refused correction has reopened the record")
	}
	before := prep(s)
	s.RP.Fill(at, "correct", at, right...).Recorded()
	after := prep(s)
	if after.Closed || after.Reopened == 0 {
		t.Errorf("the record is closed %v, reopened by %d", after.Closed, after.Reopened)
	}
	for i, old := range before.Steps {
		if x := after.Steps[i]; x.Key != procedure.Close && x.State != old.State {
			t.Errorf("%s is %s (%s), was %s", x.Key, x.State, x.Why, old.State)
		}
	}
	s.RP.Look("/history").Says(200, "P1, dispensed, at infusion", "before,", "signed by P. Example (MP1)", "I have seen the old and the new figures")
	s.RP.Look(webtest.Bench).Says(200, "Reopened", "close it again", "before,")
	s.Step(s.RP, "close").Recorded()
	if !prep(s).Closed {
		t.Error("it cannot be closed again")
	}
}

// prep is the preparation of the order now.
func prep(s *webtest.Story) procedure.Preparation {
	s.Helper()
	st := s.Reckoned(webtest.Case(s))
	return st.Preparation("P1")
}
