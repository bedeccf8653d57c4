package board_test

import (
	"strings"
	"testing"

	"vialwright/web/webtest"
)

// Two orders out of one vial stand beside each other, and their sum against
// what the vial holds; worked by hand: 3.24 GBq in 5 mL at 11:00. P1 wants
// 1.30/0.98 · 2^(2.5/64.0417) = 1.3629 GBq, P2 1.10 · 2^(4/64.0417) = 1.1487
// GBq, together 2.512 GBq; with the yield assumed as 100 % that is 2.1 and 1.8
// mL, 3.9 mL together.
func TestSplit(t *testing.T) {
	l := webtest.New(t, nil).Hire()
	s := webtest.NewStory(l)
	s.Until("receipt")
	order := func(id, territory, prescribed string) {
		s.RP.Fill("/day/enter/order", "order", "/day/enter/order", "p0.id", id, "p0.patient", "DEMO-0042", "p0.territory", territory,
			"p0.prescribed", prescribed, "p0.prescribed.unit", "GBq", "p0.at", "2027-03-04T15:00", "p0.by", "D. Example").Recorded()
	}
	order("P2", "left lobe", "1.10")
	s.Go("assay")
	s.RP.Look("/day").Says(200, "Doses out of vial S1", "1 P1 right lobe, DEMO-0042 1.30 GBq (35.14 mCi)", "to draw 2.1 mL",
		"2 P2 left lobe, DEMO-0042 1.10 GBq (29.73 mCi)", "to draw 1.8 mL", "3.9 mL of 5 mL", "2.512 GBq of 3.240 ± 0.070 GBq")
	// A third is too much.
	order("P3", "left lobe", "1.20")
	s.RP.Get("/day").Says(200, "not enough")
	// An infusion of another day is told with its day.
	s.RP.Fill("/day/enter/order", "order", "/day/enter/order", "p0.id", "P4", "p0.patient", "DEMO-0043", "p0.territory", "left lobe",
		"p0.prescribed", "1.10", "p0.prescribed.unit", "GBq", "p0.at", "2027-03-05T15:00", "p0.by", "D. Example").Recorded()
	s.RP.Look("/day").Says(200, "4 P4 left lobe, DEMO-0043 1.10 GBq (29.73 mCi) Fri 5 Mar 15:00")
}

// TestVialsThatLeft: a vial that was handed on is not on the board and not in its sum, nor is
// it asked for when it expires; one that is lost is searched for.
func TestVialsThatLeft(t *testing.T) {
	for how, says := range map[string][]string{
		"transferred": {"No vial is here.", "No activity."},
		"lost":        {"Lost Search for it. The inventory says what to do.", "No activity."},
	} {
		s := webtest.NewStory(webtest.New(t, nil).Hire())
		s.Until("order")
		s.Tell("receive: {vial: S1, lot: L-0311, labelled: 3.0 GBq, reference: 2027-03-04T18:00, volume: 5.0 mL, at: 2027-03-04T09:30, expiry: 2027-03-04T12:00}")
		s.Tell("left-site: {of: S1, how: " + how + ", at: 2027-03-04T09:40, reason: invented}")
		s.Go("readiness")
		if text := s.T1.Look("/").Says(200, append(says, "Receive the vial")...).Text(); strings.Contains(text, "from S1") {
			t.Errorf("%s: %s", how, text)
		}
		s.T1.Look(webtest.Bench).Says(200, "Every vial that was received has left the site or is lost.")
		if text := s.T1.Look("/day/enter/discard").Says(200, "Waste item").Text(); strings.Contains(text, "S1") {
			t.Errorf("%s: it can be added to waste: %s", how, text)
		}
		s.Clock.Set("13:00")
		if text := s.T1.Look("/").Text(); strings.Contains(text, "has expired") {
			t.Errorf("%s: %s", how, text)
		}
	}
}
