package preparation_test

import (
	"net/http"
	"strings"
	"testing"

	"vialwright/fact"
	"vialwright/web/webtest"
)

// furtherReading reads the source vial once more, as for the next patient.
func furtherReading(s *webtest.Story, gross string) {
	s.Helper()
	s.T1.Fill(webtest.Bench, "reading", webtest.Bench+"/step/reading", "p0.of", "S1", "p0.gross", gross, "p0.gross.unit", "GBq",
		"p0.background", "0.2", "p0.background.unit", "MBq").Recorded()
}

// TestLabelIsAsItWasPrinted: what a label says is written when it is printed.
// One ordinary further reading of the source vial moves the dose and not the
// label; the laboratory sees before the hand-over that the two have moved
// apart, and prints a new label.
func TestLabelIsAsItWasPrinted(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("release")
	pdf := func() string { return s.T1.Look("/labels/" + s.Serial + ".pdf").Says(200).Body }
	first := pdf()
	l, _ := s.Facts("label")[0].(*fact.Label)
	if p := l.Printed; p == nil || p.Activity.Text != "1.33 GBq" || p.Volume.Text != "3.5 mL" || p.Lot != "L-0311" || p.Dose != 1 || p.Doses != 1 ||
		p.ValidFrom.Format("15:04") != "11:10" || !strings.HasPrefix(p.HalfLife.Text, "64.04") {
		t.Fatalf("printed %+v", l.Printed)
	}
	s.Clock.Set("12:00")
	furtherReading(s, "1.79")
	if pdf() != first {
		t.Error("the label changed after it was printed")
	}
	says := l.Serial.String() + " of order P1 says 1.33 GBq"
	s.T1.Look(webtest.Bench).Says(200, says, "now 1.36", "print a new label")
	s.RP.Look(webtest.Bench+"/step/hand-over").Says(200, says)
	s.Clock.Set("12:10")
	s.Go("label")
	if l, _ := s.Facts("label")[1].(*fact.Label); l.Printed.Activity.Text != "1.36 GBq" || l.Copy != 2 {
		t.Errorf("the second label says %+v", l.Printed)
	}
	if p := s.T1.Look(webtest.Bench); strings.Contains(p.Text(), "label-drift") || strings.Contains(p.Text(), says) {
		t.Error("the new label is said to have moved")
	}
	s.Go("hand-over")
}

// TestTrueLabelIsGiven: after the hand-over the figure that is printed on the
// label is accepted at the time-out, and the team reads that the dose has
// moved; another figure is refused.
func TestTrueLabelIsGiven(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("hand-over")
	s.Clock.Set("12:40")
	furtherReading(s, "1.78")
	s.Nurse.Look(webtest.Bench+"/time-out").Says(200, "says 1.33 GBq and by the readings the dose is now", "tell the team before it is given")
	s.Clock.Set("13:25")
	readOut := func(activity string) *webtest.Page {
		return s.Nurse.Fill(webtest.Bench+"/time-out", "step", webtest.Bench+"/time-out", "p0.patient", "DEMO-0042", "p0.territory", "right lobe",
			"p0.activity", activity, "p0.activity.unit", "GBq", "p0.with", "DR1", "pin2", webtest.PIN)
	}
	readOut("1.36").Says(http.StatusForbidden, "The activity read out is not that of the order")
	readOut("1.33").Recorded()
	s.Nurse.Look(webtest.Bench).Says(200, "Give the dose")
}

// TestPrintALabelPrints: the label is fetched at once by the page that follows
// its entry, and only then; its print is in the journal.
func TestPrintALabelPrints(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("second-check")
	s.Clock.Set("11:45")
	s.Step(s.T1, "label").Recorded()
	p := s.T1.Get(webtest.Bench)
	serial := webtest.LabelLink.FindStringSubmatch(p.Body)[1]
	if got, want := p.Header.Get("Refresh"), "0; url=/labels/"+serial+".pdf?save"; got != want {
		t.Errorf("the page after it fetches %q, want %q", got, want)
	}
	if again := s.T1.Get(webtest.Bench).Header.Get("Refresh"); again != "" {
		t.Errorf("the page fetches %q once more", again)
	}
	saved := s.T1.Look("/labels/" + serial + ".pdf?save").Says(200)
	if got := saved.Header.Get("Content-Disposition"); got != `attachment; filename="label-`+serial+`.pdf"` || !strings.HasPrefix(saved.Body, "%PDF-") {
		t.Errorf("saved as %q", got)
	}
	if n := len(s.Facts("label")); n != 1 {
		t.Errorf("%d prints in the journal", n)
	}
}

// TestLabelNamesItsContainer: while the dose is in the syringe Y1, the page, the entry and
// the print of the label of the administration vial A1 name both; once it is in A1, they
// name A1 alone.
func TestLabelNamesItsContainer(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("make-up")
	s.Go("second-check")
	s.Clock.Set("11:45")
	p := s.T1.Look(webtest.Bench).Says(200, "Print the label of the dose in Y1", "Administration vial it goes into")
	if got := p.Form("step"); got.Get("p0.size") != string(fact.VialLabel) || got.Get("p0.into") != "A1" {
		t.Fatalf("asked is %v", got)
	}
	for i, c := range []struct {
		size, into, prints, links string
	}{
		{"administration-vial", "A1", "Syringe Y1, vial A1", ": administration vial. Syringe Y1, vial A1"},
		{"syringe", "", "Syringe Y1", ": syringe. Syringe Y1"},
		{"shield", "", "Dose in Y1", ": shield. Dose in Y1"},
	} {
		s.Step(s.T1, "label", "p0.size", c.size).Recorded()
		l, _ := s.Facts("label")[i].(*fact.Label)
		if l.Of != "Y1" || l.Into != c.into || string(l.Size) != c.size {
			t.Errorf("recorded is the label %s of %s into %q", l.Size, l.Of, l.Into)
		}
		if got := s.T1.Printed("/labels/" + l.Serial.Compact() + ".pdf"); !strings.Contains(got, c.prints) {
			t.Errorf("the label of size %s does not print %q: %s", c.size, c.prints, got)
		}
		s.T1.Look(webtest.Bench).Says(200, l.Serial.String()+c.links)
	}
	s.Go("transfer")
	s.Step(s.T1, "label").Recorded()
	l, _ := s.Facts("label")[3].(*fact.Label)
	if got := s.T1.Printed("/labels/" + l.Serial.Compact() + ".pdf"); l.Of != "A1" || !strings.Contains(got, "Vial A1") || strings.Contains(got, "Y1") {
		t.Errorf("once it is in A1: the label of %s prints %s", l.Of, got)
	}
	s.T1.Look(webtest.Bench).Says(200, l.Serial.String()+": administration vial. Vial A1")
}

// TestNoLabelOutOfTime: a dose whose window is over gets no label.
func TestNoLabelOutOfTime(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("second-check")
	s.Clock.Set("23:59")
	s.T1 = s.AsElsewhere("T1")
	s.Step(s.T1, "label").Says(http.StatusForbidden, "no label is printed")
	if n := len(s.Facts("label")); n != 0 {
		t.Errorf("%d labels in the journal", n)
	}
}

// TestReassignAtTheBench: a labelled dose is given to another signed order, by
// who may release; there it is checked and labelled again.
func TestReassignAtTheBench(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("label")
	at, other := webtest.Bench+"/step/reassign", "/order/P2"
	s.RP.Fill("/day/enter/order", "order", "/day/enter/order", "p0.id", "P2", "p0.patient", "DEMO-0043", "p0.territory", "left lobe",
		"p0.prescribed", "1.30", "p0.prescribed.unit", "GBq", "p0.at", "2027-03-04T14:00", "p0.residual", "2", "p0.by", "D. Example").Recorded()
	s.RP.Fill(webtest.Bench, "reassign", at, "p0.to", "P2").Says(http.StatusForbidden, "Order P2 is not signed in its present version")
	s.DR.Fill(other, "sign-order", other+"/step/sign-order").Recorded()
	if p := s.T1.Look(webtest.Bench); strings.Contains(p.Body, `id="reassign"`) {
		t.Error("who may not release is offered to give the dose to another order")
	}
	s.RP.Fill(webtest.Bench, "reassign", at, "p0.to", "P2").Recorded()
	s.T1.Look("/labels/"+s.Serial+".pdf").Says(http.StatusConflict, "The dose was given to order P2")
	s.RP.Look(webtest.Bench+"/step/draw").Says(200, "The syringe now stands at")
	s.RP.Look(other).Says(200, "A1")
	if p := s.RP.Look(other + "/step/release"); strings.Contains(p.Body, `name="p0.serial"`) {
		t.Error("the dose may be released without a new check and a new label")
	}
	s.DR.Look("/history").Says(200, "given to another order")
}

// TestLabelBeforeTheTransfer: the label of the administration vial that is
// printed while the dose is in its syringe names both, and holds after the
// transfer, for which it proposes the vial.
func TestLabelBeforeTheTransfer(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("make-up")
	s.Go("second-check")
	s.Step(s.T1, "label", "p0.into", "A7").Recorded()
	l, _ := s.Facts("label")[0].(*fact.Label)
	if l.Of != "Y1" || l.Into != "A7" || l.Size != fact.VialLabel || l.Printed == nil {
		t.Fatalf("the label is %+v", l)
	}
	before := s.T1.Look("/labels/" + l.Serial.Compact() + ".pdf").Says(200).Body
	s.Clock.Set("11:46")
	s.Step(s.T1, "transfer").Recorded()
	if x, _ := s.Facts("transfer")[0].(*fact.Transfer); x.Into != "A7" {
		t.Errorf("transferred into %s", x.Into)
	}
	s.Clock.Set("11:48")
	s.Step(s.T1, "baseline", "p0.before.rate", "182 180 184 181", "p0.before.background", "0.2").Recorded()
	if s.T1.Look("/labels/"+l.Serial.Compact()+".pdf").Says(200).Body != before {
		t.Error("the label changed by the transfer")
	}
	s.Serial = l.Serial.Compact()
	s.Go("release")
}
