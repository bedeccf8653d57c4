package web

import (
	"archive/zip"
	"bytes"
	"io"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"vialwright/casefile"
	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/fold"
	"vialwright/journal"
)

// TestWaste: what is put to waste leaves its container, and the item is listed
// with what it holds now, for who may still check without a figure.
func TestWaste(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("transfer")
	s.t1.look("/waste").says(200, "Nothing is in the waste yet")
	at := "/day"
	put := func(changes ...string) *page {
		return s.t1.fill(at+"/enter/discard", "discard", at+"/enter/discard", changes...)
	}
	if v := s.t1.look(at + "/enter/discard").form("discard"); v.Get("p0.into") != "W1" {
		t.Errorf("the form proposes %v", v)
	}
	s.clock.set("11:35")
	put("p0.from", "S1", "p0.into", "S1", "p0.volume", "1").says(http.StatusUnprocessableEntity)
	put("p0.from", "S1", "p0.into", "W1", "p0.volume", "9").says(http.StatusUnprocessableEntity)
	put("p0.from", "S1", "p0.into", "W1", "p0.volume", "1").recorded()
	if x, _ := s.facts("discard")[0].(*fact.Discard); x.From != "S1" || x.Into != "W1" || x.Volume.Text != "1 mL" {
		t.Errorf("recorded %+v", x)
	}
	s.t1.look(at+"/enter/discard").says(200, "Here already: W1")
	s.mp.look("/waste").says(200, "W1", "not shown before your second check")
	// 1.87 GBq in 2.8 mL at 11:14: 1 mL holds 0.667 GBq, and 0.665 at 11:35.
	s.t1.look("/waste").says(200, "W1", "66", "1 mL")
	s.clock.add(10 * 64 * time.Hour)
	if p := s.as2("T1").look("/waste"); strings.Contains(p.text(), "665") {
		t.Errorf("ten half-lives later it says the same: %s", p.text())
	}
}

// TestStaffDoses: doses are summed for each person and year, as the last
// correction has them.
func TestStaffDoses(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("order")
	at := "/day"
	s.t1.look("/doses").says(200, "No staff dose was entered yet")
	put := func(changes ...string) *page {
		return s.t1.fill(at+"/enter/exposure", "exposure", at+"/enter/exposure", changes...)
	}
	put().says(http.StatusUnprocessableEntity, "no dose was entered")
	put("p0.finger", "0.4").recorded()
	put("p0.finger", "200", "p0.finger.unit", "uSv", "p0.body", "3", "p0.body.unit", "uSv", "p0.for", "P1", "p0.text", "ring and badge").recorded()
	put("p0.who", "RP1", "p0.body", "1", "p0.body.unit", "uSv", "p0.at", "2026-12-31T23:30").recorded()
	put("p0.who", "RP1", "p0.body", "2", "p0.body.unit", "uSv").recorded()
	s.t1.look("/doses").says(200, "T. Example (T1), 2027", "finger 600 µSv", "body 3 µSv", "2 readings", "R. Example (RP1), 2026", "R. Example (RP1), in all")
	entry := entry(4)
	s.t1.fill(entry, "correct", entry, "p0.reason", "read the other ring", "p0.with.exposure.finger", "300 uSv").recorded()
	s.t1.look("/doses").says(200, "finger 700 µSv")
	s.t1.fill(entry, "correct", entry, "p0.reason", "not of this person", "p0.strike", "yes").recorded()
	s.t1.look("/doses").says(200, "finger 400 µSv", "1 reading")
	s.dr.look("/doses").says(http.StatusForbidden, "may not enter a staff dose")
}

// unzipped are the files of an archive.
func unzipped(t *testing.T, data string) map[string]string {
	t.Helper()
	r, err := zip.NewReader(bytes.NewReader([]byte(data)), int64(len(data)))
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]string{}
	for _, f := range r.File {
		part, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		text, err := io.ReadAll(part)
		if err != nil {
			t.Fatal(err)
		}
		out[f.Name] = string(text)
	}
	return out
}

// TestExport: the case file that is given out reckons to what the site does, the
// raw lines are those of the log, and who may not export does not.
func TestExport(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("release")
	at := "/export/P1"
	s.rp.look("/order/P1/export").says(200, "Case file", "Raw lines")
	p := s.rp.look(at + "/case.yaml")
	if p.status != 200 || !strings.Contains(p.header.Get("Content-Disposition"), "P1.yaml") {
		t.Fatalf("%d %s", p.status, p.text())
	}
	back, err := casefile.Decode([]byte(p.body), time.LoadLocation)
	if err != nil {
		t.Fatal(err)
	}
	c, err := fold.File(back)
	if err != nil {
		t.Fatal(err)
	}
	st, err := s.srv.reckon(s.srv.lab.File("P1"), s.clock.now())
	if err != nil {
		t.Fatal(err)
	}
	if got := dispensing.Reckon(c, s.clock.now()); got.Orders[0].Dispensed.Activity != st.Result.Orders[0].Dispensed.Activity || len(got.Findings) != len(st.Result.Findings) {
		t.Errorf("the file gives %v, the site %v", got.Orders[0].Dispensed, st.Result.Orders[0].Dispensed)
	}
	lines := strings.Split(strings.TrimSuffix(s.rp.look(at+"/records.txt").body, "\n"), "\n")
	if len(lines) != len(s.srv.lab.File("P1").Records) {
		t.Errorf("%d raw lines", len(lines))
	}
	for _, line := range lines {
		l, err := journal.ParseLink(line)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := l.Record(); err != nil || l.Hash != s.srv.lab.Hash(int(l.Seq)) {
			t.Errorf("line %d: %v", l.Seq, err)
		}
	}
	s.rp.look(at + "/other.txt").says(http.StatusNotFound)
	s.rp.look("/order/nowhere/export").says(http.StatusNotFound)
	for _, b := range []*browser{s.t1, s.dr, s.nurse} {
		b.look(at+"/case.yaml").says(http.StatusForbidden, "may not export records")
	}
}

// TestExportDays: the archive of some days has the lines that were recorded on
// them and the orders they belong to.
func TestExportDays(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("release")
	first := mustCase(s).Newest
	s.clock.add(24 * time.Hour)
	s.rp = s.as2("RP1")
	s.rp.fill("/day/enter/order", "order", "/day/enter/order", "p0.id", "P2", "p0.patient", "DEMO-0043", "p0.prescribed", "0.80", "p0.prescribed.unit", "GBq",
		"p0.at", "2027-03-08T13:30", "p0.by", "D. Example").recorded()
	days := func(from, to string) *page { return s.rp.post("/export/days", url.Values{"from": {from}, "to": {to}}) }
	days("2027-03-05", "2027-03-04").says(http.StatusUnprocessableEntity, "it lies before the first")
	days("yesterday", "2027-03-04").says(http.StatusUnprocessableEntity, "it is no day")
	s.rp.look("/export").says(200, "Export days")

	one := unzipped(t, days("2027-03-04", "2027-03-04").body)
	if n := strings.Count(one["records.txt"], "\n"); uint64(n) != first || len(one) != 3 || one["cases/P1.yaml"] == "" {
		t.Errorf("the first day has %d lines, want %d; files %d", n, first, len(one))
	}
	back, err := casefile.Decode([]byte(one["cases/P1.yaml"]), time.LoadLocation)
	if err != nil {
		t.Fatal(err)
	}
	c, err := fold.File(back)
	if err != nil {
		t.Fatal(err)
	}
	st, err := s.srv.reckon(s.srv.lab.File("P1"), s.clock.now())
	if err != nil {
		t.Fatal(err)
	}
	if got, want := dispensing.Reckon(c, s.clock.now()).Orders[0].Dispensed, st.Result.Orders[0].Dispensed; got.Activity != want.Activity || got.U != want.U {
		t.Errorf("the file gives %v, the site %v", got, want)
	}
	two := unzipped(t, days("2027-03-05", "2027-03-05").body)
	if !strings.HasPrefix(two["records.txt"], decimal(first+1)+" ") || two["cases/P2.yaml"] == "" || two["cases/P1.yaml"] != "" {
		t.Errorf("the second day: %v", two)
	}
	both := unzipped(t, days("2027-03-04", "2027-03-05").body)
	if both["records.txt"] != one["records.txt"]+two["records.txt"] || !strings.Contains(both["README.txt"], "Exported by RP1") {
		t.Errorf("both days are not the two together: %s", both["README.txt"])
	}
}

// TestExportIsBlind: who may still check a dose is not given its figures in a
// file either.
func TestExportIsBlind(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("baseline")
	at := "/export/P1"
	for _, path := range []string{"/order/P1/export", at + "/case.yaml", at + "/records.txt"} {
		s.mp.look(path).says(http.StatusForbidden, "you may do the second check")
	}
	s.mp.post("/export/days", url.Values{"from": {"2027-03-04"}, "to": {"2027-03-04"}}).says(http.StatusForbidden, "you may do the second check")
}

// TestCopies: each print of a label is counted and says so, and the ones
// before it are no longer printed.
func TestCopies(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("label")
	first := s.serial
	p := s.t1.look(theBench+"/step/label").says(200, "I have destroyed the label that this one replaces")
	if strings.Contains(p.text(), ", copy") {
		t.Errorf("the first print is called a copy: %s", p.text())
	}
	s.step(s.t1, "label").recorded()
	p = s.t1.look(theBench).says(200, ", copy 2")
	second := labelLink.FindStringSubmatch(p.body)[1]
	if second == first {
		t.Error("a copy has the serial of the one it replaces")
	}
	s.t1.look("/labels/"+first+".pdf").says(http.StatusConflict, "no longer in force")
	if p := s.t1.look("/labels/" + second + ".pdf"); p.status != http.StatusOK {
		t.Errorf("the copy is not printed: %d %s", p.status, p.text())
	}
	for i, f := range s.facts("label") {
		if l, _ := f.(*fact.Label); l.Copy != i+1 {
			t.Errorf("print %d is counted as %d", i+1, l.Copy)
		}
	}
}

// TestCorrectionAsksEveryField: a correction can give what the entry left out,
// by what the fields of its kind are, and asks in the words of the trade.
func TestCorrectionAsksEveryField(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("assay")
	s.t1.fill("/day/enter/deviation", "deviation", "/day/enter/deviation", "p0.text", "A glove tore.", "pin", pin).recorded()
	e := mustCase(s).Entries()
	at := entry(len(e))
	s.t1.look(at).says(200, "What went wrong", "Order", "It may be left empty")
	s.t1.fill(at, "correct", at, "p0.reason", "it was of one order", "p0.with.deviation.for", "P1", "pin", pin).recorded()
	x, ok := mustCase(s).Entries()[len(e)-1].Fact.(*fact.Deviation)
	if !ok || x.For != "P1" || x.Text != "A glove tore." {
		t.Errorf("the deviation is %+v", x)
	}
}

// TestExportBeforeTheDraw: an order that nothing was drawn for is given out with the
// vials it can be drawn from, so that the file plans what the bench plans.
func TestExportBeforeTheDraw(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("assay")
	back, err := casefile.Decode([]byte(s.rp.look("/export/P1/case.yaml").body), time.LoadLocation)
	if err != nil {
		t.Fatal(err)
	}
	c, err := fold.File(back)
	if err != nil {
		t.Fatal(err)
	}
	o := dispensing.Reckon(c, s.clock.now()).Orders[0]
	if o.Plan == nil || o.Plan.From != "S1" {
		t.Errorf("the file plans %+v", o.Plan)
	}
}
