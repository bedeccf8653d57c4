package web

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"vialwright/journal"
	"vialwright/quantity"
)

// opened is a case in which nothing has been entered.
func opened(t *testing.T) *story {
	t.Helper()
	s := newStory(newLab1(t, nil).hire())
	return s
}

// TestPolicy: the settings of a case without entries are set with a reason,
// and every later case begins with them.
func TestPolicy(t *testing.T) {
	s := opened(t)
	at := "/settings"
	p := s.rp.look(at).says(200, "Limit of the site", "Assumed: 10 %", "I answer for this setting from its date on")
	if v := p.form("policy"); v.Get("p0.limit") != "20" || v.Get("p0.tolerance") != "" {
		t.Errorf("the form holds %v", v)
	}
	set := func(changes ...string) *page { return s.rp.fill(at, "policy", at, changes...) }
	set("p0.limit", "15").says(http.StatusUnprocessableEntity, "it is empty")
	set("p0.limit", "5", "p0.reason", "slipped").says(http.StatusUnprocessableEntity, "lies inside the tolerance")
	set("p0.limit", "15", "p0.makeup", "5 3", "p0.reason", "slipped").says(http.StatusUnprocessableEntity, "is empty")
	set("p0.limit", "15", "p0.draw-yield.q", "97", "p0.reason", "half of it").says(http.StatusUnprocessableEntity, "u is missing")
	set("p0.limit", "15", "p0.draw-yield.q", "", "p0.makeup", "", "p0.reason", "x", "pin", "1357").says(http.StatusUnprocessableEntity, "that is not right")
	set("p0.limit", "15", "p0.tolerance", "10.0", "p0.label-tolerance", "8", "p0.confidence", "90", "p0.makeup", "3 6", "p0.graduation", "0.2", "p0.draw-yield.q", "97",
		"p0.draw-yield.u", "3", "p0.residual-u", "25", "p0.basis", "label", "p0.learn", "yes", "p0.order-signature", "not-required", "p0.take-over", "required",
		"p0.verdicts.conforms", "give it", "p0.reason", "decided in the meeting of March").recorded()
	st, err := s.srv.reckon(mustCase(s), s.clock.now())
	if err != nil {
		t.Fatal(err)
	}
	if got := st.c.Policy; got.Limit != 0.15 || got.Confidence != 0.9 || got.MakeupMax != 6 || got.Graduation != 0.2 || got.Yield.Value != 0.97 || got.Verdicts.Conforms != "give it" || !got.LearnYield {
		t.Errorf("the policy in force is %+v", got)
	}
	s.rp.look("/history").says(200, "decided in the meeting of March")
	if v := s.rp.look(at).form("policy"); v.Get("p0.makeup") != "3 6" || v.Get("p0.tolerance") != "10.0" || v.Get("p0.basis") != "label" || v.Get("p0.reason") != "" {
		t.Errorf("the form holds %v", v)
	}
}

// TestSettingsOfTheirTime: a new setting holds for what comes after it, and what
// was entered before keeps the one of its time.
func TestSettingsOfTheirTime(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("order")
	s.rp.fill("/settings", "policy", "/settings", "p0.tolerance", "5", "p0.reason", "decided in spring").recorded()
	s.rp.fill("/day", "order", "/day/enter/order", "p0.id", "P2", "p0.patient", "DEMO-0043", "p0.prescribed", "0.80", "p0.prescribed.unit", "GBq",
		"p0.at", "2027-03-04T15:30", "p0.by", "D. Example").recorded()
	st, err := s.srv.reckon(s.srv.openFile(s.clock.now()), s.clock.now())
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []quantity.Fraction{0.10, 0.05} {
		if got := st.c.Orders[i].Rules.Tolerance; got != want {
			t.Errorf("%s is judged by a tolerance of %v, want %v", st.c.Orders[i].ID, got, want)
		}
	}
}

// TestMeters: a meter is set by the physicist, with a factor for each kind of
// container and range of volume; one that is new may come at any time.
func TestMeters(t *testing.T) {
	s := opened(t)
	at := "/meters"
	s.rp.look(at).says(http.StatusForbidden, "may not set a meter")
	m1 := at + "?meter=M1"
	if v := s.mp.look(m1).form("meter"); v.Get("p0.id") != "M1" || v.Get("p0.geometry.syringe.0.factor") != "0.95" || v.Get("p0.geometry.syringe.0.u") != "1" || v.Get("p0.geometry.syringe.0.basis") != "label" {
		t.Errorf("the form holds %v", v)
	}
	set := func(changes ...string) *page { return s.mp.fill(m1, "meter", m1, changes...) }
	set("p0.calibration-u", "1.5").says(http.StatusUnprocessableEntity, "it is empty")
	set("p0.geometry.syringe.0.factor", "ninety", "p0.reason", "x").says(http.StatusUnprocessableEntity, "it is no number")
	set("p0.geometry.syringe.0.factor", "0", "p0.reason", "x").says(http.StatusUnprocessableEntity, "no factor of a meter")
	wide := m1 + "&ranges=1"
	s.mp.fill(wide, "meter", m1, "p0.calibration-u", "1.5", "p0.geometry.syringe.0.factor", "0.95", "p0.geometry.syringe.0.fill", "0.5 3", "p0.geometry.syringe.1.factor", "0.97", "p0.geometry.syringe.1.u", "1",
		"p0.geometry.syringe.1.basis", "label", "p0.geometry.syringe.1.fill", "3.5 5", "p0.reason", "calibrated anew").says(http.StatusUnprocessableEntity, "do not follow on those")
	s.mp.fill(wide, "meter", m1, "p0.calibration-u", "1.5", "p0.geometry.syringe.0.factor", "0.95", "p0.geometry.syringe.0.fill", "0.5 3", "p0.geometry.syringe.1.factor", "0.97", "p0.geometry.syringe.1.u", "1",
		"p0.geometry.syringe.1.basis", "label", "p0.geometry.syringe.1.fill", "3 5", "p0.reason", "calibrated anew").recorded()
	_, _, all := journal.Settings(mustCase(s).Facts())
	if len(all) != 1 || all[0].CalibrationU.Value != quantity.Fraction(0.015) || len(all[0].Geometry.Syringe) != 2 || all[0].Geometry.Syringe[1].Factor.Text != "0.97" || len(all[0].Geometry.ShippingVial) != 1 {
		t.Errorf("the meter is %+v", all[0])
	}
	if p := s.mp.look(m1); p.form("meter").Get("p0.geometry.syringe.1.fill") != "3 5" || !strings.Contains(p.text(), "calibrated anew") {
		t.Errorf("the form holds %v", p.form("meter"))
	}
	s.mp.post("/day", nil)
	s.rp.fill("/day", "note", "/day/enter/note", "p0.text", "the first entry").recorded()
	add := []string{
		"p0.id", "M2", "p0.calibration-u", "3", "p0.repeatability", "1", "p0.geometry.shipping-vial.0.factor", "1.2", "p0.geometry.shipping-vial.0.u", "1",
		"p0.geometry.shipping-vial.0.basis", "label", "p0.reason", "the first one is away",
	}
	s.mp.fill(at, "meter", at, append(add, "p0.id", "M1")...).says(http.StatusUnprocessableEntity, "the calibration of M1 before it does not begin earlier")
	s.clock.add(time.Minute)
	s.mp.fill(at, "meter", at, append(add, "p0.id", "M1")...).recorded()
	s.mp.fill(at, "meter", at, add...).recorded()
	s.t1.look("/day").says(200, "M2")
}
