package web

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"vialwright/journal"
	"vialwright/quantity"
)

// opened is a case in which nothing has been entered.
func opened(t *testing.T, name string) *story {
	t.Helper()
	s := newStory(newLab1(t, nil).hire())
	s.rp.post("/case", url.Values{"name": {name}}).recorded()
	return s
}

// TestPolicy: the settings of a case without entries are set with a reason,
// and every later case begins with them.
func TestPolicy(t *testing.T) {
	s := opened(t, theCase)
	at := "/case/" + theCase + "/settings"
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
	s.rp.look("/case/"+theCase+"/history").says(200, "decided in the meeting of March")
	if v := s.rp.look(at).form("policy"); v.Get("p0.makeup") != "3 6" || v.Get("p0.tolerance") != "10.0" || v.Get("p0.basis") != "label" || v.Get("p0.reason") != "" {
		t.Errorf("the form holds %v", v)
	}

	s.rp.post("/case", url.Values{"name": {"next"}}).recorded()
	f, _ := s.srv.lab.Case("next")
	_, policy, meters := journal.Settings(f.Facts())
	if policy == nil || policy.Limit.Text != "15 %" || policy.TakeOver != journal.Required || policy.Reason != "" || len(meters) != 1 {
		t.Errorf("the next case begins with %+v, %v", policy, meters)
	}
}

// TestPolicyStays: once something is entered the settings stay, whoever asks.
func TestPolicyStays(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("order")
	at := "/case/" + theCase + "/settings"
	before := mustCase(s).Last()
	s.rp.look(at).says(200, "this case has entries, and its settings stay")
	v := url.Values{"nonce": {"n"}, "head": {decimal(before)}, "pin": {pin}, "p0.limit": {"90"}, "p0.limit.unit": {"%"}, "p0.reason": {"x"}}
	s.rp.post(at, v).says(http.StatusForbidden, "this case has entries")
	meters := "/case/" + theCase + "/meters"
	s.mp.look(meters+"?meter=M1").says(200, "this case has entries, and its settings stay")
	v = url.Values{
		"nonce": {"m"}, "head": {decimal(before)}, "pin": {pin}, "p0.id": {"M1"}, "p0.calibration-u": {"9"}, "p0.calibration-u.unit": {"%"},
		"p0.repeatability": {"1"}, "p0.repeatability.unit": {"%"}, "p0.reason": {"x"},
	}
	s.mp.post(meters+"?meter=M1", v).says(http.StatusForbidden, "this case has entries")
	if mustCase(s).Last() != before {
		t.Error("a setting was recorded in a case with entries")
	}
}

// TestMeters: a meter is set by the physicist, with a factor for each kind of
// container and range of volume; one that is new may come at any time.
func TestMeters(t *testing.T) {
	s := opened(t, theCase)
	at := "/case/" + theCase + "/meters"
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
	s.mp.post("/case/"+theCase, nil)
	s.rp.fill("/case/"+theCase, "note", "/case/"+theCase+"/enter/note", "p0.text", "the first entry").recorded()
	add := []string{
		"p0.id", "M2", "p0.calibration-u", "3", "p0.repeatability", "1", "p0.geometry.shipping-vial.0.factor", "1.2", "p0.geometry.shipping-vial.0.u", "1",
		"p0.geometry.shipping-vial.0.basis", "label", "p0.reason", "the first one is away",
	}
	s.mp.fill(at, "meter", at, append(add, "p0.id", "M1")...).says(http.StatusForbidden, "this case has entries")
	s.mp.fill(at, "meter", at, add...).recorded()
	s.t1.look("/case/"+theCase).says(200, "M2")
}
