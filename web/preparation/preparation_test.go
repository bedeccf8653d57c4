package preparation_test

import (
	"testing"

	"vialwright/web/webtest"
)

// The whole preparation, as people do it: eighteen steps, six people.
func TestWholePreparation(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("close")
	s.RP.Look(webtest.Bench).Says(200, "Everything is done", "Delivered", "1.2")
	s.RP.Look("/").Says(200, "Closed")
	s.RP.Look("/history").Says(200, "second check", "1.86 GBq", "released", "time-out")
	for _, path := range []string{"/sheet/P1.pdf", "/blank.pdf", "/labels/" + s.Serial + ".pdf"} {
		p := s.RP.Look(path)
		if p.Status != 200 || p.Header.Get("Content-Type") != "application/pdf" || p.Body[:5] != "%PDF-" {
			t.Errorf("%s: %d %s", path, p.Status, p.Text())
		}
	}
}
