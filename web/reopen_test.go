package web

import (
	"net/http"
	"strconv"
	"testing"

	"vialwright/procedure"
)

// TestCorrectionInAClosedRecord: it takes who may close the record and another
// person's signature, shows the old figures beside the new before it is signed
// and after, reopens the record, and leaves what was done before done.
func TestCorrectionInAClosedRecord(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("close")
	n := 0
	for _, e := range mustCase(s).Entries() {
		if e.First.Kind() == "read" {
			n = e.Number // the reading of the vial after the draw, which names no order
		}
	}
	at := "/entry/" + strconv.Itoa(n) + "/correct"
	right := []string{"p0.reason", "digits exchanged", "p0.with.read.gross", "1.78 GBq", "p0.countersigned", "MP1", "pin2", pin}
	s.t1.fill(at, "correct", at, right...).says(http.StatusForbidden, "only who may close a record may correct it afterwards")
	p := s.rp.fill(at, "correct", at, right...)
	p.says(http.StatusUnprocessableEntity, "The record of P1 is closed, and this correction reopens it", "GBq before,", "GBq after", "Yes: correct it")
	right = append(right, "p0.reason.answer", p.choice("p0.reason.answer", 0))
	s.rp.fill(at, "correct", at, append(right, "pin2", "")...).says(http.StatusUnprocessableEntity, "the other person types their own PIN")
	s.rp.fill(at, "correct", at, append(right, "p0.countersigned", "RP1")...).says(http.StatusUnprocessableEntity, "that is you")
	if got := s.prep(); !got.Closed {
		t.Fatal("a refused correction has reopened the record")
	}
	before := s.prep()
	s.rp.fill(at, "correct", at, right...).recorded()
	after := s.prep()
	if after.Closed || after.Reopened == 0 {
		t.Errorf("the record is closed %v, reopened by %d", after.Closed, after.Reopened)
	}
	for i, old := range before.Steps {
		if x := after.Steps[i]; x.Key != procedure.Close && x.State != old.State {
			t.Errorf("%s is %s (%s), was %s", x.Key, x.State, x.Why, old.State)
		}
	}
	s.rp.look("/history").says(200, "P1, dispensed, at infusion", "before,", "signed by MP1", "I have seen the old and the new figures")
	s.rp.look(theBench).says(200, "Reopened", "close it again", "before,")
	s.step(s.rp, "close").recorded()
	if !s.prep().Closed {
		t.Error("it cannot be closed again")
	}
}

// prep is the preparation of the order now.
func (s *story) prep() procedure.Preparation {
	s.Helper()
	st, err := s.srv.reckon(mustCase(s), s.clock.now())
	if err != nil {
		s.Fatal(err)
	}
	return st.Preparation("P1")
}
