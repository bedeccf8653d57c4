package preparation_test

import (
	"strings"
	"testing"

	"vialwright/web/webtest"
)

// A survey without a limit of the site has no verdict: the page says what to do, and where
// a limit is set.
func TestSurveyWithoutALimit(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("survey")
	s.T1.Look("/day").Says(200, "the site has set none (dose rate of a place, less background)", "compare it with the rule of your site yourself, and set the limit in the settings")
}

// What is left in the administration vial goes into a waste item as the record is closed, and
// no item that left takes it. Without one the record stays open, with what to do; once it is
// said that it stays in stock nothing is asked.
func TestCloseWithWhatIsLeft(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("survey")
	page := s.RP.Look(webtest.Bench+"/step/close").Says(200, "goes into waste item")
	if n := strings.Count(page.Text(), "goes into waste item"); n != 1 {
		t.Errorf("%d containers are asked about", n)
	}
	s.Step(s.RP, "close").Says(422, "What is left in A1 goes into waste item", "If it stays in stock or leaves, enter that first, under Waste bins.")
	s.Step(s.RP, "close", "p1.into", "W1").Recorded()
	if text := s.AsElsewhere("T1").Look("/inventory").Text(); !strings.Contains(text, "W1 waste bin:") || strings.Contains(text, " dose:") {
		t.Errorf("the residual is not in the bin: %s", text)
	}
}

func TestCloseWithWhatStaysInStock(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("survey")
	const keep = "/hot-lab/enter/keep-stock"
	s.T1.Fill(keep, "keep-stock", keep, "p0.of", "A1", "p0.store", "safe 2", "p0.until", "2027-04-04T17:00").Recorded()
	if text := s.RP.Look(webtest.Bench + "/step/close").Text(); strings.Contains(text, "goes into waste item") {
		t.Errorf("what stays in stock is asked for: %s", text)
	}
	s.Step(s.RP, "close").Recorded()
}
