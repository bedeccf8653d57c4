package web

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
)

// leads asks that an answer leads somewhere.
func (p *page) leads(to string) *page {
	p.tb.Helper()
	if p.status != http.StatusSeeOther || p.location != to {
		p.tb.Errorf("%d, leads to %q, want %q: %s", p.status, p.location, to, p.text())
	}
	return p
}

// What is scanned at the board leads to what it belongs to, and what is not
// known is refused with the text that came.
func TestScan(t *testing.T) {
	l := newLab1(t, nil).hire()
	s := newStory(l)
	s.until("order")
	scan := func(raw string) *page {
		t.Helper()
		return s.t1.post("/scan?back=/day", url.Values{"raw": {raw}})
	}
	// The element strings of a worked example of the GS1 General
	// Specifications, with a lot and dates of ours.
	const pack = "(01)09506000134352(10)L-0311(17)270305(21)A7"
	scan(pack).leads("/day/enter/receive")
	p := s.t1.get("/day/enter/receive")
	p.says(200, "Scanned The pack says "+pack, "What you typed by")
	for name, want := range map[string]string{"p0.lot": "L-0311", "p0.expiry": "2027-03-05T", "p0.pack": pack} {
		if got := p.form("receive").Get(name); got != want {
			t.Errorf("%s is %q, want %q", name, got, want)
		}
	}
	typed := []string{"p0.vial", "S1", "p0.labelled", "3.0 GBq", "p0.reference", "2027-03-04T18:00", "p0.volume", "5.0", "p0.at", "2027-03-04T08:00"}
	// The day is not taken for a time: the person has to say the hour.
	s.t1.fill("/day/enter/receive", "receive", "/day/enter/receive", typed...).says(422, "2027-03-05T")
	s.t1.fill("/day/enter/receive", "receive", "/day/enter/receive", append(typed, "p0.expiry", "2027-03-05T18:00")...).leads("/")
	scan(pack).leads("/")
	s.t1.get("/").says(200, "Scanned This is S1, lot L-0311")

	scan("DEMO-0042").leads(theBench)
	scan("WK99-VFTV-W544").says(404, "no dose of this laboratory has the label")
	scan("what\x1dis this").says(404, "“what·is this”")
	if got := scan("<script>alert(1)</script>").body; strings.Contains(got, "<script>alert") {
		t.Error("a scanned script is not shown as text")
	}
}

// A label scanned at the board is in the field that asks for it at the bench.
func TestScanOfALabel(t *testing.T) {
	l := newLab1(t, nil).hire()
	s := newStory(l)
	s.until("label")
	serial := s.serial
	s.rp.look("/")
	s.rp.post("/scan", url.Values{"raw": {strings.ToLower(strings.ReplaceAll(serial, "-", ""))}}).leads(theBench)
	if got := s.rp.get(theBench).form("step").Get("p0.serial"); strings.ReplaceAll(got, "-", "") != serial {
		t.Errorf("the bench asks for the label with %q in the field, want %q", got, serial)
	}
}
