package preparation_test

import (
	"net/url"
	"strings"
	"testing"

	"vialwright/web/webtest"
)

// Who might still check a dose is shown no figure of it from the draw on, also
// where they may draw themselves; they may choose to see them, and then do not
// check it, whatever they send.
func TestSeeFigures(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("remainder")
	t2 := s.As("T2")
	for _, b := range []*webtest.Browser{s.RP, t2, s.MP} {
		if p := b.Look(webtest.Bench); strings.Contains(p.Text(), "1.329") || !strings.Contains(p.Text(), "no figure of it is shown to you") {
			t.Errorf("%s, who might check, sees the figures: %s", b.ID, p.Text())
		}
	}
	s.T1.Look(webtest.Bench).Says(200, "1.329")
	t2.Fill(webtest.Bench, "see-figures", webtest.Bench+"/step/see-figures").Recorded()
	t2.Look(webtest.Bench).Says(200, "1.329")
	if strings.Contains(s.T1.Look(webtest.Bench).Body, `id="see-figures"`) || strings.Contains(t2.Look(webtest.Bench).Body, `id="see-figures"`) {
		t.Error("who sees the figures is asked whether to see them")
	}
	s.Go("make-up", "transfer", "baseline")
	s.Clock.Set("11:40")
	t2.Look(webtest.Bench+"/check").Says(200, "chose to see the figures of this dose")
	v := url.Values{
		"nonce": {"n"}, "head": {webtest.Decimal(webtest.Case(s).Newest)}, "pin": {webtest.PIN}, "p0.of": {"S1"}, "p0.meter": {"M1"}, "p0.gross": {"1.86"}, "p0.gross.unit": {"GBq"},
		"p0.background": {"0.2"}, "p0.background.unit": {"MBq"}, "p0.activity": {"1.33"}, "p0.activity.unit": {"GBq"},
	}
	t2.Post(webtest.Bench+"/check", v).Says(403, "chose to see the figures of this dose")
	s.Go("second-check")
	s.T1.Look("/history").Says(200, "chose to see the figures")
	s.Go("label", "release")
}

// TestCheckOfAnotherOrderComesFirst: on the page of an order whose figures give away a dose
// that is to be checked, the button leads who may check it there, and not to the figures,
// after which they could not check it any more.
func TestCheckOfAnotherOrderComesFirst(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("remainder")
	s.RP.Fill("/day/enter/order", "order", "/day/enter/order", "p0.id", "P2", "p0.patient", "DEMO-0043", "p0.territory", "left lobe", "p0.prescribed", "0.55", "p0.prescribed.unit", "GBq",
		"p0.at", "2027-03-04T14:30", "p0.residual", "2", "p0.by", "D. Example").Recorded()
	s.DR.Fill("/order/P2", "sign-order", "/order/P2/step/sign-order").Recorded()
	main := func() string {
		_, from, _ := strings.Cut(s.MP.Look("/order/P2").Says(200, "The dose of P1 follows").Body, `class="button main"`)
		link, _, _ := strings.Cut(from, "</a>")
		return link
	}
	if got := main(); !strings.Contains(got, "Show figures") {
		t.Errorf("before P1 is made up the button is %q", got)
	}
	s.Go("make-up")
	if got := main(); !strings.Contains(got, `href="/order/P1/check"`) || !strings.Contains(got, "Do the second check of P1") {
		t.Errorf("when P1 is to be checked the button is %q", got)
	}
}

// TestFocusOfARefusedForm: where the fault is of no field, whoever works without a mouse is
// in the first field of the form again.
func TestFocusOfARefusedForm(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("order")
	at := webtest.Bench + "/step/readiness"
	p := s.T1.Post(at, url.Values{"nonce": {"n"}, "head": {webtest.Decimal(webtest.Case(s).Newest)}}).Says(422, "Nothing was filled in")
	_, step, _ := strings.Cut(p.Body, `id="step"`)
	if field, _, _ := strings.Cut(step, "</fieldset>"); !strings.Contains(field, "autofocus") {
		t.Errorf("the first field of the refused form has no focus: %s", field)
	}
}

// TestUnitOfThePage: one reading that was typed in MBq does not turn the prescription and
// the large numbers into MBq, while the board, the label and the findings say GBq; a meter
// in mCi does.
func TestUnitOfThePage(t *testing.T) {
	for _, x := range []struct{ gross, unit, want, never string }{
		{"3240", "MBq", "1.30 GBq", "1300 MBq"},
		{"3.240", "GBq", "1.30 GBq", "1300 MBq"},
		{"87.57", "mCi", "35.14 mCi", "1300 MBq"},
	} {
		s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("receipt")
		s.Clock.Set("11:00")
		s.Step(s.T1, "assay", "p0.gross", x.gross, "p0.gross.unit", x.unit, "p0.background", "0.2", "p0.background.unit", "MBq").Recorded()
		if p := s.T1.Get(webtest.Bench).Says(200, x.want); strings.Contains(p.Text(), x.never) {
			t.Errorf("after a reading of %s %s the page says %s", x.gross, x.unit, x.never)
		}
	}
}
