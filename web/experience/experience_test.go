package experience_test

import (
	"regexp"
	"strings"
	"testing"

	"vialwright/web/webtest"
)

var bigNumber = regexp.MustCompile(`(?s)<output>([^<]*)<`)

// drawn is the bench at the draw, and the volume it asks for.
func toDraw(s *webtest.Story) (*webtest.Page, string) {
	s.Helper()
	s.Until("assay")
	p := s.T1.Look(webtest.Bench)
	m := bigNumber.FindStringSubmatch(p.Body)
	if m == nil {
		s.Fatalf("no number: %s", p.Text())
	}
	return p, m[1]
}

// A site with 200 finished cases, whose draws yield some 93 %, plans another
// draw than a new site, and says why: 1.30 GBq/0.98 at 13:30 from 3.24 GBq read
// at 11:00 is 2.103 mL if a draw yields what its volume says, and 2.103/0.924 =
// 2.276 mL if it yields 92.4 %. Inside 10 % of 1.3265 GBq lies 1.324 ± 0.074 GBq
// with Φ(1.82) − Φ(−1.76) = 93 %, 1.340 ± 0.056 GBq with 98 %.
func TestThePlanRestsOnWhatWasLearned(t *testing.T) {
	fresh, volume := toDraw(webtest.NewStory(webtest.New(t, nil).Hire()))
	if volume != "2.1" || strings.Contains(fresh.Text(), "of this site") {
		t.Errorf("a new site draws %s: %s", volume, fresh.Text())
	}
	fresh.Says(200, "Expected at infusion: 1.324 ± 0.074 GBq", "100 % with u 5 %: a guess, no site history", "92.54 % Probability within tolerance")
	s := webtest.NewStory(webtest.New(t, webtest.WithPast(t, 200)).Hire())
	p, volume := toDraw(s)
	if volume != "2.3" {
		t.Errorf("with 200 cases it draws %s", volume)
	}
	// The technologist has drawn nothing yet: the row of the kind of vial.
	p.Says(200, "Draw yield expected", "92.4 ± 3.1 %, from 198 draws of this site, 148 of them with 3 GBq in 5 mL", "without them: 97.0 ± 4.0 % (the site's policy)", "Expected at infusion: 1.340 ± 0.056 GBq", "97.77 % Probability within tolerance")
	if !strings.Contains(p.Body, `href="/experience"`) {
		t.Error("no link to what was learned")
	}
	// Somebody who has drawn before is planned for by their own draws.
	s.RP.Look(webtest.Bench).Says(200, "92.8 ± 2.9 %, from 198 draws of this site, 40 of them by RP1")
	// Who does not draw sees the kind's.
	s.DR.Look(webtest.Bench).Says(200, "148 of them with 3 GBq in 5 mL")
	s.RP.Look("/day").Says(200, "Draw yield, site experience", "from 198 draws")
	s.Go("draw")
	s.T1.Look("/history").Says(200, "site experience", "draw yield, 3 GBq in 5 mL, NT1 92.0 % ± 2.9 %", "by T1")
}

// What is open teaches nothing, and stands on no page; what is finished does.
func TestOpenPreparationsStayOut(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, webtest.WithPast(t, 60)).Hire()).Until("baseline")
	for _, who := range []*webtest.Browser{s.MP, s.RP, s.Nurse} {
		who.Look("/experience").Says(200, "60 finished orders", "µSv/h per GBq (", "Before any preparation", "100.0 ± 9.1 %", "P0041")
		for _, path := range []string{"/experience", "/charts", "/charts?of=drawn", "/charts?of=residual&by=person", "/charts?by=lot", "/charts?by=catheter"} {
			if strings.Contains(who.Look(path).Body, "/order/P1\"") {
				t.Errorf("%s shows the open case to %s", path, who.ID)
			}
		}
	}
	for _, key := range []string{"second-check", "label", "release", "hand-over", "time-out", "infusion", "residual"} {
		s.Go(key)
	}
	s.MP.Look("/experience").Says(200, "61 finished orders")
	s.MP.Look("/charts?of=drawn&by=person").Says(200, "Drawn, % of planned, T1", "the first of all preparations, since there are fewer than 10")
	s.MP.Look("/charts?by=catheter").Says(200, "coiled", "straight")
	s.MP.Look("/charts?of=drawn").Says(200, "No. 1", "P0041")
	s.MP.Look("/charts?of=nonsense&by=nonsense").Says(200, "Dispensed, % of prescribed")
}

// What was learned since is taken over with a reason, and a signature.
func TestTakingOverWhatWasLearnedSince(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, webtest.WithPast(t, 30)).Hire())
	s.Until("receipt")
	if strings.Contains(s.RP.Look("/").Text(), "Use current site experience") {
		t.Error("with the vial it was taken over already")
	}
	for _, c := range webtest.Chapters[3:] {
		c.Tell(s)
	}
	s.RP.Look("/").Says(200, "Use current site experience")
	if strings.Contains(s.T1.Look("/").Text(), "Take over") {
		t.Error("a technologist may not decide it")
	}
	s.RP.Fill("/day/enter/experience", "experience", "/day/enter/experience").Says(422, "it is empty")
	s.RP.Fill("/day/enter/experience", "experience", "/day/enter/experience", "p0.reason", "a case more").Recorded()
	if strings.Contains(s.RP.Look("/").Text(), "Use current site experience") {
		t.Error("it was taken over")
	}
	s.RP.Look("/history").Says(200, "a case more", "31 draws")
}

// A site without a finished case has pages that say so.
func TestNothingLearnedYet(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire())
	s.Go("order")
	s.RP.Look("/experience").Says(200, "No preparation is finished yet", "no finished order")
	s.RP.Look("/charts").Says(200, "There is no chart yet")
	if len(s.Facts("experience")) != 0 {
		t.Error("a fact of nothing")
	}
}
