package site_test

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"vialwright/fact"
	"vialwright/quantity"
	"vialwright/web/webtest"
)

// TestPolicy: the settings of a case without entries are set with a reason,
// and every later case begins with them.
func TestPolicy(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire())
	at := "/settings"
	p := s.RP.Look(at).Says(200, "Limit of the site", "Assumed: 10 %", "I answer for this setting from its date on")
	if v := p.Form("policy"); v.Get("p0.limit") != "20" || v.Get("p0.tolerance") != "" {
		t.Errorf("the form holds %v", v)
	}
	set := func(changes ...string) *webtest.Page { return s.RP.Fill(at, "policy", at, changes...) }
	set("p0.limit", "15").Says(http.StatusUnprocessableEntity, "it is empty")
	set("p0.limit", "5", "p0.reason", "slipped").Says(http.StatusUnprocessableEntity, "lies inside the tolerance")
	set("p0.limit", "15", "p0.make-up", "5 3", "p0.reason", "slipped").Says(http.StatusUnprocessableEntity, "is empty")
	set("p0.limit", "15", "p0.draw-yield.q", "97", "p0.reason", "half of it").Says(http.StatusUnprocessableEntity, "u is missing")
	set("p0.limit", "15", "p0.draw-yield.q", "", "p0.make-up", "", "p0.reason", "x", "pin", "1357").Says(http.StatusUnprocessableEntity, "that is not right")
	set("p0.limit", "15", "p0.tolerance", "10.0", "p0.label-tolerance", "8", "p0.confidence", "90", "p0.make-up", "3 6", "p0.graduation", "0.2", "p0.draw-yield.q", "97",
		"p0.draw-yield.u", "3", "p0.residual-u", "25", "p0.basis", "label", "p0.learn", "yes", "p0.order-signature", "not-required", "p0.take-over", "required",
		"p0.verdicts.conforms", "give it", "p0.reason", "decided in the meeting of March").Recorded()
	st := s.Reckoned(webtest.Case(s))
	if got := st.Case.Policy; got.Limit != 0.15 || got.Confidence != 0.9 || got.MakeUpMax != 6 || got.Graduation != 0.2 || got.Yield.Value != 0.97 || got.Verdicts.Conforms != "give it" || !got.LearnYield {
		t.Errorf("the policy in force is %+v", got)
	}
	s.RP.Look("/history").Says(200, "decided in the meeting of March")
	if v := s.RP.Look(at).Form("policy"); v.Get("p0.make-up") != "3 6" || v.Get("p0.tolerance") != "10.0" || v.Get("p0.basis") != "label" || v.Get("p0.reason") != "" {
		t.Errorf("the form holds %v", v)
	}
}

// TestSettingsOfTheirTime: a new setting holds for what comes after it, and what
// was entered before keeps the one of its time.
func TestSettingsOfTheirTime(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("order")
	s.RP.Fill("/settings", "policy", "/settings", "p0.tolerance", "5", "p0.reason", "decided in spring").Recorded()
	s.RP.Fill("/day/enter/order", "order", "/day/enter/order", "p0.id", "P2", "p0.patient", "DEMO-0043", "p0.prescribed", "0.80", "p0.prescribed.unit", "GBq",
		"p0.at", "2027-03-04T15:30", "p0.by", "D. Example").Recorded()
	st := s.Reckoned(s.Server.OpenFile(s.Clock.Now()))
	for i, want := range []quantity.Fraction{0.10, 0.05} {
		if got := st.Case.Orders[i].Rules.Tolerance; got != want {
			t.Errorf("%s is judged by a tolerance of %v, want %v", st.Case.Orders[i].ID, got, want)
		}
	}
}

// TestSettingFaultsAtOnce: all that is wrong with a form of settings is told at once,
// each beside its field.
func TestSettingFaultsAtOnce(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("order")
	past := "2027-03-04T09:59"
	for _, p := range []*webtest.Page{
		s.RP.Fill("/settings", "policy", "/settings", "p0.tolerance", "-4", "p0.confidence", "-1", "p0.graduation", "soon", "p0.reason", "", "p0.from", past),
		s.MP.Fill("/meters?meter=M1", "meter", "/meters?meter=M1", "p0.calibration-u", "-3", "p0.repeatability", "-1", "p0.reason", "", "p0.from", past),
	} {
		p.Says(http.StatusUnprocessableEntity, "is in the past", "Fill it in")
		if n, want := strings.Count(p.Body, "aria-invalid"), 4+strings.Count(p.Body, `value="soon"`); n != want {
			t.Errorf("%d fields are marked, want %d: %s", n, want, p.Text())
		}
	}
}

// TestSettingsFromATime: a setting and a calibration may begin later, never
// earlier: that is said before anybody signs, beside its field. Until then what
// was in force is, and what began under it keeps it, as the page says.
func TestSettingsFromATime(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("order")
	policy := []string{"p0.tolerance", "5", "p0.reason", "decided in spring"}
	m1 := "/meters?meter=M1"
	meter := []string{"p0.calibration-u", "1.5", "p0.reason", "calibrated again"}
	set := func(b *webtest.Browser, at, id string, typed []string, from string) *webtest.Page {
		return b.Fill(at, id, at, append(typed[:len(typed):len(typed)], "p0.from", from)...)
	}
	before := webtest.Case(s).Newest
	for _, c := range []struct{ from, says string }{
		{"2027-03-04T09:59", "2027-03-04 09:59 (UTC-01:00) is in the past"},
		{"2026-03-04T12:00", "is in the past"},
		{"2027-03-04T11:59+01:00", "2027-03-04 09:59 (UTC-01:00) is in the past"}, // in another zone
		{"soon", "it is not written as year-month-day"},
	} {
		for _, p := range []*webtest.Page{set(s.RP, "/settings", "policy", policy, c.from), set(s.MP, m1, "meter", meter, c.from)} {
			p.Says(http.StatusUnprocessableEntity, c.says)
			if i := strings.Index(p.Body, `name="p0.from" value="`+strings.ReplaceAll(c.from, "+", "&#43;")+`"`); i < 0 || !strings.Contains(p.Body[i:min(len(p.Body), i+900)], "Error: ") {
				t.Errorf("%s: it does not stand beside its field", c.from)
			}
		}
	}
	if n := webtest.Case(s).Newest; n != before {
		t.Errorf("%d records", n-before)
	}
	set(s.RP, "/settings", "policy", policy, "2027-03-04T12:00").Recorded()
	set(s.MP, m1, "meter", meter, "2027-03-04T12:00").Recorded()
	s.RP.Look("/settings").Says(200, "Settings that hold from 2027-03-04 12:00 (UTC-01:00) are recorded already", "An order keeps the tolerance")
	s.MP.Look(m1).Says(200, "This calibration holds from 2027-03-04 12:00")
	order := func(id string) {
		s.RP.Fill("/day/enter/order", "order", "/day/enter/order", "p0.id", id, "p0.patient", "DEMO-0043", "p0.prescribed", "0.80", "p0.prescribed.unit", "GBq",
			"p0.at", "2027-03-04T15:30", "p0.by", "D. Example").Recorded()
	}
	order("P2")
	if p := s.RP.Look("/settings"); strings.Contains(p.Text(), "keep the rules") {
		t.Error("an order is said to differ before anything has changed")
	}
	s.Clock.Set("12:00")
	s.RP.Look("/settings").Says(200, "These orders keep the rules they were signed under, which differ from those in force: P1, P2.")
	order("P3")
	st := s.Reckoned(s.Server.OpenFile(s.Clock.Now()))
	for i, want := range []quantity.Fraction{0.10, 0.10, 0.05} {
		if got := st.Case.Orders[i].Rules.Tolerance; got != want {
			t.Errorf("%s is judged by a tolerance of %v, want %v", st.Case.Orders[i].ID, got, want)
		}
	}
}

// TestMeters: a meter is set by the physicist, with a factor for each kind of
// container and range of volume; one that is new may come at any time.
func TestMeters(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire())
	at := "/meters"
	s.RP.Look(at).Says(http.StatusForbidden, "may not set a meter")
	m1 := at + "?meter=M1"
	if v := s.MP.Look(m1).Form("meter"); v.Get("p0.id") != "M1" || v.Get("p0.geometry.syringe.0.factor") != "0.95" || v.Get("p0.geometry.syringe.0.u") != "1" || v.Get("p0.geometry.syringe.0.basis") != "label" {
		t.Errorf("the form holds %v", v)
	}
	set := func(changes ...string) *webtest.Page { return s.MP.Fill(m1, "meter", m1, changes...) }
	set("p0.calibration-u", "1.5").Says(http.StatusUnprocessableEntity, "it is empty")
	set("p0.geometry.syringe.0.factor", "ninety", "p0.reason", "x").Says(http.StatusUnprocessableEntity, "it is no number")
	set("p0.geometry.syringe.0.factor", "0", "p0.reason", "x").Says(http.StatusUnprocessableEntity, "no factor of a meter")
	wide := m1 + "&ranges=1"
	s.MP.Fill(wide, "meter", m1, "p0.calibration-u", "1.5", "p0.geometry.syringe.0.factor", "0.95", "p0.geometry.syringe.0.fill", "0.5 3", "p0.geometry.syringe.1.factor", "0.97", "p0.geometry.syringe.1.u", "1",
		"p0.geometry.syringe.1.basis", "label", "p0.geometry.syringe.1.fill", "3.5 5", "p0.reason", "calibrated again").Says(http.StatusUnprocessableEntity, "do not follow on those")
	s.MP.Fill(wide, "meter", m1, "p0.calibration-u", "1.5", "p0.geometry.syringe.0.factor", "0.95", "p0.geometry.syringe.0.fill", "0.5 3", "p0.geometry.syringe.1.factor", "0,97", "p0.geometry.syringe.1.u", "1",
		"p0.geometry.syringe.1.basis", "label", "p0.geometry.syringe.1.fill", "3 5", "p0.reason", "calibrated again").Recorded()
	_, _, all := fact.Settings(webtest.Case(s).Facts())
	if len(all) != 1 || all[0].CalibrationU.Value != quantity.Fraction(0.015) || len(all[0].Geometry.Syringe) != 2 || all[0].Geometry.Syringe[1].Factor.Text != "0.97" || len(all[0].Geometry.ShippingVial) != 1 {
		t.Errorf("the meter is %+v", all[0])
	}
	if p := s.MP.Look(m1); p.Form("meter").Get("p0.geometry.syringe.1.fill") != "3 5" || !strings.Contains(p.Text(), "calibrated again") {
		t.Errorf("the form holds %v", p.Form("meter"))
	}
	s.MP.Post("/day", nil)
	s.RP.Fill("/day/enter/note", "note", "/day/enter/note", "p0.text", "the first entry").Recorded()
	add := []string{
		"p0.id", "M2", "p0.calibration-u", "3", "p0.repeatability", "1", "p0.geometry.shipping-vial.0.factor", "1.2", "p0.geometry.shipping-vial.0.u", "1",
		"p0.geometry.shipping-vial.0.basis", "label", "p0.reason", "the first one is away",
	}
	s.MP.Fill(at, "meter", at, append(add, "p0.id", "M1")...).Says(http.StatusUnprocessableEntity, "the calibration of M1 before it does not begin earlier")
	s.Clock.Add(time.Minute)
	s.MP.Fill(at, "meter", at, append(add, "p0.id", "M1")...).Recorded()
	s.MP.Fill(at, "meter", at, add...).Recorded()
	s.T1.Look("/day").Says(200, "M2")
}
