package web

import (
	"net/http"
	"strings"
	"testing"

	"vialwright/fact"
)

// furtherReading reads the source vial once more, as for the next patient.
func (s *story) furtherReading(gross string) {
	s.Helper()
	s.t1.fill(theBench, "reading", theBench+"/step/reading", "p0.of", "S1", "p0.gross", gross, "p0.gross.unit", "GBq",
		"p0.background", "0.2", "p0.background.unit", "MBq").recorded()
}

// TestLabelIsAsItWasPrinted: what a label says is written when it is printed.
// One ordinary further reading of the source vial moves the dose and not the
// label; the laboratory sees before the hand-over that the two have moved
// apart, and prints a new label.
func TestLabelIsAsItWasPrinted(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("release")
	pdf := func() string { return s.t1.look("/labels/" + s.serial + ".pdf").says(200).body }
	first := pdf()
	l, _ := s.facts("label")[0].(*fact.Label)
	if p := l.Printed; p == nil || p.Activity.Text != "1.33 GBq" || p.Volume.Text != "3.5 mL" || p.Lot != "L-0311" || p.Dose != 1 || p.Doses != 1 ||
		p.ValidFrom.Format("15:04") != "11:10" || !strings.HasPrefix(p.HalfLife.Text, "64.04") {
		t.Fatalf("printed %+v", l.Printed)
	}
	s.clock.set("12:00")
	s.furtherReading("1.79")
	if pdf() != first {
		t.Error("the label changed after it was printed")
	}
	says := l.Serial.String() + " of order P1 says 1.33 GBq"
	s.t1.look(theBench).says(200, says, "now 1.36", "print a new label")
	s.rp.look(theBench+"/step/hand-over").says(200, says)
	s.clock.set("12:10")
	s.label()
	if l, _ := s.facts("label")[1].(*fact.Label); l.Printed.Activity.Text != "1.36 GBq" || l.Copy != 2 {
		t.Errorf("the second label says %+v", l.Printed)
	}
	if p := s.t1.look(theBench); strings.Contains(p.text(), "label-drift") || strings.Contains(p.text(), says) {
		t.Error("the new label is said to have moved")
	}
	s.handOver()
}

// TestTrueLabelIsGiven: after the hand-over the figure that is printed on the
// label is accepted at the time-out, and the team reads that the dose has
// moved; another figure is refused.
func TestTrueLabelIsGiven(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("hand-over")
	s.clock.set("12:40")
	s.furtherReading("1.78")
	s.nurse.look(theBench+"/time-out").says(200, "says 1.33 GBq and by the readings the dose is now", "tell the team before it is given")
	s.clock.set("13:25")
	readOut := func(activity string) *page {
		return s.nurse.fill(theBench+"/time-out", "step", theBench+"/time-out", "p0.patient", "DEMO-0042", "p0.territory", "right lobe",
			"p0.activity", activity, "p0.activity.unit", "GBq", "p0.with", "DR1", "pin2", pin)
	}
	readOut("1.36").says(http.StatusForbidden, "the activity read out is not that of the order")
	readOut("1.33").recorded()
	s.nurse.look(theBench).says(200, "Give the dose")
}

// TestPrintALabelPrints: the label is fetched at once by the page that follows
// its entry, and only then; its print is in the journal.
func TestPrintALabelPrints(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("second-check")
	s.clock.set("11:45")
	s.step(s.t1, "label").recorded()
	p := s.t1.get(theBench)
	serial := labelLink.FindStringSubmatch(p.body)[1]
	if got, want := p.header.Get("Refresh"), "0; url=/labels/"+serial+".pdf?save"; got != want {
		t.Errorf("the page after it fetches %q, want %q", got, want)
	}
	if again := s.t1.get(theBench).header.Get("Refresh"); again != "" {
		t.Errorf("the page fetches %q once more", again)
	}
	saved := s.t1.look("/labels/" + serial + ".pdf?save").says(200)
	if got := saved.header.Get("Content-Disposition"); got != `attachment; filename="label-`+serial+`.pdf"` || !strings.HasPrefix(saved.body, "%PDF-") {
		t.Errorf("saved as %q", got)
	}
	if n := len(s.facts("label")); n != 1 {
		t.Errorf("%d prints in the journal", n)
	}
}

// TestNoLabelOutOfTime: a dose whose window is over gets no label.
func TestNoLabelOutOfTime(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("second-check")
	s.clock.set("23:59")
	s.t1 = s.as2("T1")
	s.step(s.t1, "label").says(http.StatusForbidden, "no label is printed")
	if n := len(s.facts("label")); n != 0 {
		t.Errorf("%d labels in the journal", n)
	}
}

// TestReassignAtTheBench: a labelled dose is given to another signed order, by
// who may release; there it is checked and labelled again.
func TestReassignAtTheBench(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("label")
	at, other := theBench+"/step/reassign", "/order/P2"
	s.rp.fill("/day/enter/order", "order", "/day/enter/order", "p0.id", "P2", "p0.patient", "DEMO-0043", "p0.territory", "left lobe",
		"p0.prescribed", "1.30", "p0.prescribed.unit", "GBq", "p0.at", "2027-03-04T14:00", "p0.residual", "2", "p0.by", "D. Example").recorded()
	s.rp.fill(theBench, "reassign", at, "p0.to", "P2").says(http.StatusForbidden, "order P2 is not signed in its present version")
	s.dr.fill(other, "sign-order", other+"/step/sign-order").recorded()
	if p := s.t1.look(theBench); strings.Contains(p.body, `id="reassign"`) {
		t.Error("who may not release is offered to give the dose to another order")
	}
	s.rp.fill(theBench, "reassign", at, "p0.to", "P2").recorded()
	s.t1.look("/labels/"+s.serial+".pdf").says(http.StatusConflict, "the dose was given to order P2")
	s.rp.look(theBench+"/step/draw").says(200, "The syringe now stands at")
	s.rp.look(other).says(200, "A1")
	if p := s.rp.look(other + "/step/release"); strings.Contains(p.body, `name="p0.serial"`) {
		t.Error("the dose may be released without a new check and a new label")
	}
	s.dr.look("/history").says(200, "given to another order")
}

// TestLabelBeforeTheTransfer: the label of the administration vial that is
// printed while the dose is in its syringe names both, and holds after the
// transfer, for which it proposes the vial.
func TestLabelBeforeTheTransfer(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("make-up")
	s.check()
	s.step(s.t1, "label", "p0.into", "A7").recorded()
	l, _ := s.facts("label")[0].(*fact.Label)
	if l.Of != "Y1" || l.Into != "A7" || l.Size != fact.VialLabel || l.Printed == nil {
		t.Fatalf("the label is %+v", l)
	}
	before := s.t1.look("/labels/" + l.Serial.Compact() + ".pdf").says(200).body
	s.clock.set("11:46")
	s.step(s.t1, "transfer").recorded()
	if x, _ := s.facts("transfer")[0].(*fact.Transfer); x.Into != "A7" {
		t.Errorf("transferred into %s", x.Into)
	}
	s.clock.set("11:48")
	s.step(s.t1, "baseline", "p0.before.rate", "182 180 184 181", "p0.before.background", "0.2").recorded()
	if s.t1.look("/labels/"+l.Serial.Compact()+".pdf").says(200).body != before {
		t.Error("the label changed by the transfer")
	}
	s.serial = l.Serial.Compact()
	s.release()
}
