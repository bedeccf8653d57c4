package web

import (
	"net/url"
	"strings"
	"testing"
)

// Who might still check a dose is shown no figure of it from the draw on, also
// where they may draw themselves; they may choose to see them, and then do not
// check it, whatever they send.
func TestSeeFigures(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("remainder")
	t2 := s.as("T2")
	for _, b := range []*browser{s.rp, t2, s.mp} {
		if p := b.look(theBench); strings.Contains(p.text(), "1.329") || !strings.Contains(p.text(), "no figure of it is shown to you") {
			t.Errorf("%s, who might check, sees the figures: %s", b.id, p.text())
		}
	}
	s.t1.look(theBench).says(200, "1.329")
	t2.fill(theBench, "see-figures", theBench+"/step/see-figures").recorded()
	t2.look(theBench).says(200, "1.329")
	if strings.Contains(s.t1.look(theBench).body, `id="see-figures"`) || strings.Contains(t2.look(theBench).body, `id="see-figures"`) {
		t.Error("who sees the figures is asked whether to see them")
	}
	s.makeUp()
	s.transfer()
	s.baseline()
	s.clock.set("11:40")
	t2.look(theBench+"/check").says(200, "chose to see the figures of this dose")
	v := url.Values{
		"nonce": {"n"}, "head": {decimal(mustCase(s).Newest)}, "pin": {pin}, "p0.of": {"S1"}, "p0.meter": {"M1"}, "p0.gross": {"1.86"}, "p0.gross.unit": {"GBq"},
		"p0.background": {"0.2"}, "p0.background.unit": {"MBq"}, "p0.activity": {"1.33"}, "p0.activity.unit": {"GBq"},
	}
	t2.post(theBench+"/check", v).says(403, "chose to see the figures of this dose")
	s.check()
	s.t1.look("/history").says(200, "chose to see the figures")
	s.label()
	s.release()
}
