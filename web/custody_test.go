package web

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"vialwright/fact"
	"vialwright/people"
)

// facts are the facts of a kind in the case, in their order.
func (s *story) facts(kind string) []fact.Fact {
	s.Helper()
	var out []fact.Fact
	for _, r := range mustCase(s).Records {
		if r.Fact.Kind() == kind {
			out = append(out, r.Fact)
		}
	}
	return out
}

// An order is signed by the physician alone, and a dose whose order is not
// signed as it is does not leave.
func TestOrderSignature(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("label")
	s.rp.look(theBench).says(200, "Order signed", "DR1")
	order := entry(1)
	s.rp.fill(order, "correct", order, "p0.reason", "another lobe", "p0.with.order.version", "2").recorded()
	s.rp.look(theBench).says(200, "Not signed", "the order changed after it was signed")
	for _, who := range []*browser{s.rp, s.t1, s.mp, s.nurse} {
		if p := who.look(theBench); strings.Contains(p.body, `id="sign-order"`) {
			t.Errorf("%s is offered the signature", who.id)
		}
	}
	// The order was changed, so that the dose is checked and labelled anew; the
	// release waits for the signature all the same.
	s.check()
	s.label()
	s.clock.set("11:50")
	refused := s.rp.look(theBench + "/step/release")
	refused.says(200, "the order changed after it was signed", "the authorised physician signs the present version")
	if strings.Contains(refused.body, `name="p0.serial"`) {
		t.Error("the release of an order that is not signed has a form")
	}
	wrong := s.dr.fill(theBench, "sign-order", theBench+"/step/sign-order", "pin", "1357")
	wrong.says(http.StatusUnprocessableEntity, "that is not right")
	s.sign()
	signs := s.facts("sign-order")
	if x, _ := signs[len(signs)-1].(*fact.SignOrder); len(signs) != 2 || x.Version != "2" || x.For != "P1" {
		t.Errorf("signatures %+v", signs)
	}
	s.dr.look(theBench).says(200, "Order signed", "DR1")
	s.release()
	s.rp.look("/history").says(200, "order signed", "I prescribe this")
}

// Whoever takes a dose over signs for it: on the form of the hand-over, or in
// a session of their own; until then the bench says so.
func TestTakeOver(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("release")
	s.clock.set("12:30")
	give := func(changes ...string) *page {
		return s.step(s.rp, "hand-over", append([]string{"p0.serial", s.serial, "p0.to", "SN1", "p0.place", "suite 2"}, changes...)...)
	}
	give("pin2", "1357").says(http.StatusUnprocessableEntity, "the PIN of SN1: that is not right")
	give("p0.to", "RP1", "pin2", pin).says(http.StatusUnprocessableEntity, "that is you")
	give("p0.to", "OB1", "pin2", pin).says(http.StatusUnprocessableEntity, "may not take a dose over")
	give("p0.to", "nobody", "pin2", pin).says(http.StatusUnprocessableEntity, "there is no account nobody")
	give().recorded()
	s.rp.look(theBench).says(200, "Not taken over", "handed over to SN1")
	s.nurse.look(theBench+"/time-out").says(200, "Not taken over")
	if strings.Contains(s.rp.look(theBench).body, `id="take-over"`) {
		t.Error("who handed it over is offered to take it over")
	}
	s.nurse.fill(theBench, "take-over", theBench+"/step/take-over", "pin", "1357").says(http.StatusUnprocessableEntity, "that is not right")
	s.nurse.fill(theBench, "take-over", theBench+"/step/take-over").recorded()
	if p := s.rp.look(theBench); strings.Contains(p.text(), "Not taken over") {
		t.Error("taken over, and the bench still says it is not")
	}
	s.timeOut()
}

// Both signatures of a form are in the record, in the history and on the
// sheet.
func TestCountersigned(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("time-out")
	h, _ := s.facts("hand-over")[0].(*fact.HandOver)
	x, _ := s.facts("time-out")[0].(*fact.TimeOut)
	if h.Countersigned != "SN1" || x.Countersigned != "DR1" {
		t.Errorf("countersigned by %q and %q", h.Countersigned, x.Countersigned)
	}
	s.rp.look("/history").says(200, "Countersigned by DR1", "Countersigned by SN1")
	var got []string
	for _, r := range mustCase(s).Records {
		who, acts := signatures(r)
		for i := range who {
			got = append(got, who[i]+" "+string(acts[i]))
		}
	}
	want := "DR1 sign-order, MP1 second-check, RP1 release, RP1 hand-over, SN1 take-over, SN1 time-out, DR1 time-out"
	if strings.Join(got, ", ") != want {
		t.Errorf("signatures %s, want %s", strings.Join(got, ", "), want)
	}
	for _, f := range mustCase(s).Records {
		if strings.Contains(strings.Join(texts(f.Fact), " "), pin) {
			t.Errorf("a PIN stands in the record: %s", f.Fact.Kind())
		}
	}
}

func texts(f fact.Fact) []string {
	var out []string
	for _, l := range held(f) {
		out = append(out, l.Text)
	}
	return out
}

// The second PIN has the lock-out of the one whose it is, and says whose it
// is; who types it for others is slowed down, whoever the others are.
func TestSecondPINLocks(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("hand-over")
	s.clock.set("13:25")
	hold := func(digits string) *page {
		return s.nurse.fill(theBench+"/time-out", "step", theBench+"/time-out", "p0.patient", "DEMO-0042", "p0.territory", "right lobe",
			"p0.activity", "1.33", "p0.activity.unit", "GBq", "p0.with", "DR1", "pin2", digits)
	}
	for range 5 {
		hold("1357").says(http.StatusUnprocessableEntity, "the PIN of DR1")
		s.clock.add(11 * time.Second)
	}
	locked := hold(pin)
	locked.says(http.StatusUnprocessableEntity, "the PIN of DR1: it was wrong too often", "DR1 signs in with the password once")
	if v := locked.form("step"); v.Get("pin2") != "" || v.Get("p0.patient") != "DEMO-0042" {
		t.Errorf("the PIN is shown, or what was typed is gone: %v", v)
	}
	if d, found, err := s.srv.kept.draft(t.Context(), "SN1", theBench+"/time-out"); err != nil || !found || strings.Contains(d.Text, "pin") {
		t.Errorf("a PIN lies among the drafts, or nothing does: %q, %v", d.Text, err)
	}
	s.as2("DR1")
	hold(pin).recorded()

	s = newStory(newLab1(t, nil).hire()).until("hand-over")
	s.clock.set("13:25")
	last := ""
	for range 12 {
		last = hold("1357").text()
	}
	if !strings.Contains(last, "there were too many tries") {
		t.Errorf("twelve tries at once are not slowed down: %s", last)
	}
}

// Who has no PIN cannot countersign, and is told where to get one.
func TestSecondPINMissing(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("hand-over")
	s.clock.set("13:25")
	err := s.srv.kept.changeAccounts(t.Context(), func(all []account) ([]account, error) {
		for i := range all {
			if all[i].Has(people.Physician) {
				all[i].PIN = ""
			}
		}
		return all, nil
	})
	if err != nil {
		t.Fatal(err)
	}
	s.nurse.fill(theBench+"/time-out", "step", theBench+"/time-out", "p0.patient", "DEMO-0042", "p0.territory", "right lobe",
		"p0.activity", "1.33", "p0.activity.unit", "GBq", "p0.with", "DR1", "pin2", pin).says(http.StatusUnprocessableEntity, "DR1 has no PIN yet")
}
