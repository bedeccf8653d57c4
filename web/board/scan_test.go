package board_test

import (
	"net/url"
	"strings"
	"testing"

	"vialwright/web/webtest"
)

// What is scanned at the board leads to what it belongs to, and what is not
// known is refused with the text that came.
func TestScan(t *testing.T) {
	l := webtest.New(t, nil).Hire()
	s := webtest.NewStory(l)
	s.Until("order")
	scan := func(raw string) *webtest.Page {
		t.Helper()
		return s.T1.Post("/scan?back=/day", url.Values{"raw": {raw}})
	}
	// The element strings of a worked example of the GS1 General
	// Specifications, with a lot and dates of ours.
	const pack = "(01)09506000134352(10)L-0311(17)270305(21)A7"
	scan(pack).Leads("/day/enter/receive")
	p := s.T1.Get("/day/enter/receive")
	p.Says(200, "Scanned The pack says "+pack, "It is filled in below")
	for name, want := range map[string]string{"p0.lot": "L-0311", "p0.expiry": "2027-03-05T", "p0.pack": pack} {
		if got := p.Form("receive").Get(name); got != want {
			t.Errorf("%s is %q, want %q", name, got, want)
		}
	}
	typed := []string{"p0.vial", "S1", "p0.labelled", "3.0 GBq", "p0.reference", "2027-03-04T18:00", "p0.volume", "5.0", "p0.at", "2027-03-04T08:00"}
	// The day is not taken for a time: the person has to say the hour.
	s.T1.Fill("/day/enter/receive", "receive", "/day/enter/receive", typed...).Says(422, "2027-03-05T")
	s.T1.Fill("/day/enter/receive", "receive", "/day/enter/receive", append(typed, "p0.expiry", "2027-03-05T18:00")...).Leads("/")
	scan(pack).Leads("/")
	s.T1.Get("/").Says(200, "Scanned This is S1, lot L-0311")

	scan("DEMO-0042").Leads(webtest.Bench)
	scan("WK99-VFTV-W544").Says(404, "No dose of this laboratory has the label")
	scan("what\x1dis this").Says(404, "“what·is this”")
	scan(" ").Leads("/day")
	if strings.Contains(s.T1.Get("/history").Text(), "of 1 character") {
		t.Error("a blank is recorded as a scan that is not known")
	}
	if got := scan("<script>alert(1)</script>").Body; strings.Contains(got, "<script>alert") {
		t.Error("a scanned script is not shown as text")
	}
}

// A label scanned at the board is in the field that asks for it at the bench.
func TestScanOfALabel(t *testing.T) {
	l := webtest.New(t, nil).Hire()
	s := webtest.NewStory(l)
	s.Until("label")
	serial := s.Serial
	s.RP.Look("/")
	s.RP.Post("/scan", url.Values{"raw": {strings.ToLower(strings.ReplaceAll(serial, "-", ""))}}).Leads(webtest.Bench)
	if got := s.RP.Get(webtest.Bench).Form("step").Get("p0.serial"); strings.ReplaceAll(got, "-", "") != serial {
		t.Errorf("the bench asks for the label with %q in the field, want %q", got, serial)
	}
}
