package web

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"vialwright/fact"
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
	set("p0.limit", "15", "p0.make-up", "5 3", "p0.reason", "slipped").says(http.StatusUnprocessableEntity, "is empty")
	set("p0.limit", "15", "p0.draw-yield.q", "97", "p0.reason", "half of it").says(http.StatusUnprocessableEntity, "u is missing")
	set("p0.limit", "15", "p0.draw-yield.q", "", "p0.make-up", "", "p0.reason", "x", "pin", "1357").says(http.StatusUnprocessableEntity, "that is not right")
	set("p0.limit", "15", "p0.tolerance", "10.0", "p0.label-tolerance", "8", "p0.confidence", "90", "p0.make-up", "3 6", "p0.graduation", "0.2", "p0.draw-yield.q", "97",
		"p0.draw-yield.u", "3", "p0.residual-u", "25", "p0.basis", "label", "p0.learn", "yes", "p0.order-signature", "not-required", "p0.take-over", "required",
		"p0.verdicts.conforms", "give it", "p0.reason", "decided in the meeting of March").recorded()
	st, err := s.srv.reckon(mustCase(s), s.clock.now())
	if err != nil {
		t.Fatal(err)
	}
	if got := st.Case.Policy; got.Limit != 0.15 || got.Confidence != 0.9 || got.MakeUpMax != 6 || got.Graduation != 0.2 || got.Yield.Value != 0.97 || got.Verdicts.Conforms != "give it" || !got.LearnYield {
		t.Errorf("the policy in force is %+v", got)
	}
	s.rp.look("/history").says(200, "decided in the meeting of March")
	if v := s.rp.look(at).form("policy"); v.Get("p0.make-up") != "3 6" || v.Get("p0.tolerance") != "10.0" || v.Get("p0.basis") != "label" || v.Get("p0.reason") != "" {
		t.Errorf("the form holds %v", v)
	}
}

// TestSettingsOfTheirTime: a new setting holds for what comes after it, and what
// was entered before keeps the one of its time.
func TestSettingsOfTheirTime(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("order")
	s.rp.fill("/settings", "policy", "/settings", "p0.tolerance", "5", "p0.reason", "decided in spring").recorded()
	s.rp.fill("/day/enter/order", "order", "/day/enter/order", "p0.id", "P2", "p0.patient", "DEMO-0043", "p0.prescribed", "0.80", "p0.prescribed.unit", "GBq",
		"p0.at", "2027-03-04T15:30", "p0.by", "D. Example").recorded()
	st, err := s.srv.reckon(s.srv.openFile(s.clock.now()), s.clock.now())
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []quantity.Fraction{0.10, 0.05} {
		if got := st.Case.Orders[i].Rules.Tolerance; got != want {
			t.Errorf("%s is judged by a tolerance of %v, want %v", st.Case.Orders[i].ID, got, want)
		}
	}
}

// TestSettingsFromATime: a setting and a calibration may begin later, never
// earlier: that is said before anybody signs, beside its field. Until then what
// was in force is, and what began under it keeps it, as the page says.
func TestSettingsFromATime(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("order")
	policy := []string{"p0.tolerance", "5", "p0.reason", "decided in spring"}
	m1 := "/meters?meter=M1"
	meter := []string{"p0.calibration-u", "1.5", "p0.reason", "calibrated anew"}
	set := func(b *browser, at, id string, typed []string, from string) *page {
		return b.fill(at, id, at, append(typed[:len(typed):len(typed)], "p0.from", from)...)
	}
	before := mustCase(s).Newest
	for _, c := range []struct{ from, says string }{
		{"2027-03-04T09:59", "2027-03-04 09:59 (UTC-01:00) is in the past"},
		{"2026-03-04T12:00", "is in the past"},
		{"2027-03-04T11:59+01:00", "2027-03-04 09:59 (UTC-01:00) is in the past"}, // in another zone
		{"soon", "it is not written as year-month-day"},
	} {
		for _, p := range []*page{set(s.rp, "/settings", "policy", policy, c.from), set(s.mp, m1, "meter", meter, c.from)} {
			p.says(http.StatusUnprocessableEntity, c.says)
			if i := strings.Index(p.body, `name="p0.from" value="`+strings.ReplaceAll(c.from, "+", "&#43;")+`"`); i < 0 || !strings.Contains(p.body[i:min(len(p.body), i+900)], "Error: ") {
				t.Errorf("%s: it does not stand beside its field", c.from)
			}
		}
	}
	if n := mustCase(s).Newest; n != before {
		t.Errorf("%d records", n-before)
	}
	set(s.rp, "/settings", "policy", policy, "2027-03-04T12:00").recorded()
	set(s.mp, m1, "meter", meter, "2027-03-04T12:00").recorded()
	s.rp.look("/settings").says(200, "Settings that hold from 2027-03-04 12:00 (UTC-01:00) are recorded already", "An order keeps the tolerance")
	s.mp.look(m1).says(200, "This calibration holds from 2027-03-04 12:00")
	order := func(id string) {
		s.rp.fill("/day/enter/order", "order", "/day/enter/order", "p0.id", id, "p0.patient", "DEMO-0043", "p0.prescribed", "0.80", "p0.prescribed.unit", "GBq",
			"p0.at", "2027-03-04T15:30", "p0.by", "D. Example").recorded()
	}
	order("P2")
	if p := s.rp.look("/settings"); strings.Contains(p.text(), "keep the rules") {
		t.Error("an order is said to differ before anything has changed")
	}
	s.clock.set("12:00")
	s.rp.look("/settings").says(200, "These orders keep the rules they were signed under, which differ from those in force: P1, P2.")
	order("P3")
	st, err := s.srv.reckon(s.srv.openFile(s.clock.now()), s.clock.now())
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []quantity.Fraction{0.10, 0.10, 0.05} {
		if got := st.Case.Orders[i].Rules.Tolerance; got != want {
			t.Errorf("%s is judged by a tolerance of %v, want %v", st.Case.Orders[i].ID, got, want)
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
	_, _, all := fact.Settings(mustCase(s).Facts())
	if len(all) != 1 || all[0].CalibrationU.Value != quantity.Fraction(0.015) || len(all[0].Geometry.Syringe) != 2 || all[0].Geometry.Syringe[1].Factor.Text != "0.97" || len(all[0].Geometry.ShippingVial) != 1 {
		t.Errorf("the meter is %+v", all[0])
	}
	if p := s.mp.look(m1); p.form("meter").Get("p0.geometry.syringe.1.fill") != "3 5" || !strings.Contains(p.text(), "calibrated anew") {
		t.Errorf("the form holds %v", p.form("meter"))
	}
	s.mp.post("/day", nil)
	s.rp.fill("/day/enter/note", "note", "/day/enter/note", "p0.text", "the first entry").recorded()
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
