package preparation_test

import (
	"strings"
	"testing"

	"vialwright/web/webtest"
)

// TestRevisionWaitsForItsSignature: a revision that nobody signed moves nothing: the
// bench names no volume by it, says that it waits for its signature, and takes no draw
// and no return by it. Signed, it does.
func TestRevisionWaitsForItsSignature(t *testing.T) {
	for _, c := range []struct{ until, signed string }{{"remainder", "Return 0"}, {"assay", "to the mark"}} {
		t.Run(c.until, func(t *testing.T) {
			s := webtest.NewStory(webtest.New(t, nil).Hire()).Until(c.until)
			before := s.T1.Look(webtest.Bench).Text()
			s.DR.Fill(webtest.Entry(1), "correct", webtest.Entry(1), "p0.reason", "less after all", "p0.with.order.prescribed", "1.00 GBq", "p0.with.order.version", "2").Recorded()
			p := s.T1.Look(webtest.Bench).Says(200, "Not signed The order changed after it was signed", "waits for its signature")
			for _, word := range []string{"Return 0", "return 0", "to the mark", "draw to", "Draw more"} {
				if strings.Contains(p.Text(), word) {
					t.Errorf("an unsigned revision: the bench says %q: %.3000s", word, p.Text())
				}
			}
			if strings.Contains(p.Body, `id="step" class="entry`) {
				t.Error("the step is offered by a revision that nobody signed")
			}
			s.Sign()
			if now := s.T1.Look(webtest.Bench).Says(200, c.signed); strings.Contains(now.Text(), "waits for its signature") || now.Text() == before {
				t.Errorf("signed: the bench says %.3000s", now.Text())
			}
		})
	}
}
