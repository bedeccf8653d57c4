package record_test

import (
	"archive/zip"
	"bytes"
	"io"
	"net/http"
	"net/url"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"vialwright/casefile"
	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/fact/facttest"
	"vialwright/fold"
	"vialwright/web/webtest"
)

// TestWasteOfWhatIsWanted: a vial that an order is to be drawn from, what is left in
// one by which a dose is still to be checked, and a dose that was not given, go into
// the waste at a second press.
func TestWasteOfWhatIsWanted(t *testing.T) {
	const check = "What is left in S1 is needed for the second check of order P1"
	for _, c := range []struct{ step, of, says string }{
		{"assay", "S1", "What is in S1 is for order P1"},
		{"draw", "S1", check},
		{"remainder", "S1", check},
		{"baseline", "S1", check},
		{"make-up", "Y1", "What is in Y1 is for order P1"},
	} {
		of, s := c.of, webtest.NewStory(webtest.New(t, nil).Hire()).Until(c.step)
		at, typed := "/day/enter/discard", []string{"p0.from", of, "p0.into", "W1"}
		p := s.T1.Fill(at, "discard", at, typed...).Says(http.StatusUnprocessableEntity, c.says, "does not come back")
		if len(s.Facts("discard")) > 0 {
			t.Fatalf("%s is in the waste before the answer", of)
		}
		s.T1.Fill(at, "discard", at, append(typed, "p0.from.answer", p.Choice("p0.from.answer", 0))...).Recorded()
	}
}

// TestCheckAfterWaste: once what was left in the vial is in the waste, the dose is
// checked by the container that holds it, against the dose alone: 1.329 GBq at 13:30 is
// 1.3555 GBq at 11:40 (half-life 64.0417 h), of which the meter with its factor of 0.95
// for a syringe shows 1.288 GBq, with the background.
func TestCheckAfterWaste(t *testing.T) {
	for gross, c := range map[string]struct{ figure, says string }{"1.288": {"1.329", "Agrees"}, "1.186": {"1.224", "Differs"}} {
		s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("make-up")
		at, typed := "/day/enter/discard", []string{"p0.from", "S1", "p0.into", "W1"}
		p := s.T1.Fill(at, "discard", at, typed...)
		s.T1.Fill(at, "discard", at, append(typed, "p0.from.answer", p.Choice("p0.from.answer", 0))...).Recorded()
		s.Clock.Set("11:40")
		s.MP.Look(webtest.Bench+"/check").Says(200, "Y1, which holds the dose")
		s.MP.Fill(webtest.Bench+"/check", "step", webtest.Bench+"/check", "p0.gross", gross, "p0.gross.unit", "GBq", "p0.background", "0.2",
			"p0.background.unit", "MBq", "p0.activity", c.figure, "p0.activity.unit", "GBq").Recorded()
		s.MP.Look(webtest.Bench+"/check").Says(200, c.says)
	}
}

// TestWaste: what is put to waste leaves its container, and the item is listed
// with what it holds now, for who may still check without a figure.
func TestWaste(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("transfer")
	s.T1.Look("/waste").Says(200, "Nothing is held in the waste")
	at := "/day"
	put := func(changes ...string) *webtest.Page {
		return s.T1.Fill(at+"/enter/discard", "discard", at+"/enter/discard", changes...)
	}
	if v := s.T1.Look(at + "/enter/discard").Form("discard"); v.Get("p0.into") != "W1" {
		t.Errorf("the form proposes %v", v)
	}
	s.Clock.Set("11:35")
	put("p0.from", "S1", "p0.into", "S1", "p0.volume", "1").Says(http.StatusUnprocessableEntity)
	put("p0.from", "S1", "p0.into", "W1", "p0.volume", "9").Says(http.StatusUnprocessableEntity)
	part := []string{"p0.from", "S1", "p0.into", "W1", "p0.volume", "1"}
	put(append(part, "p0.from.answer", put(part...).Choice("p0.from.answer", 0))...).Recorded()
	if x, _ := s.Facts("discard")[0].(*fact.Discard); x.From != "S1" || x.Into != "W1" || x.Volume.Text != "1 mL" {
		t.Errorf("recorded %+v", x)
	}
	s.T1.Look(at+"/enter/discard").Says(200, "Here already: W1")
	s.MP.Look("/waste").Says(200, "W1", "not shown before your second check")
	// 1.87 GBq in 2.8 mL at 11:14: 1 mL holds 0.667 GBq, and 0.665 at 11:35.
	s.T1.Look("/waste").Says(200, "W1", "66", "1 mL")
	s.Clock.Add(10 * 64 * time.Hour)
	if p := s.AsElsewhere("T1").Look("/waste"); strings.Contains(p.Text(), "665") {
		t.Errorf("ten half-lives later it says the same: %s", p.Text())
	}
}

// TestStaffDoses: doses are summed for each person and year, as the last
// correction has them.
func TestStaffDoses(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("order")
	at := "/day"
	s.T1.Look("/doses").Says(200, "No staff dose was entered yet")
	put := func(changes ...string) *webtest.Page {
		return s.T1.Fill(at+"/enter/exposure", "exposure", at+"/enter/exposure", changes...)
	}
	put().Says(http.StatusUnprocessableEntity, "No dose was entered")
	put("p0.finger", "0.4").Recorded()
	put("p0.finger", "200", "p0.finger.unit", "uSv", "p0.body", "3", "p0.body.unit", "uSv", "p0.for", "P1", "p0.text", "ring and badge").Recorded()
	put("p0.who", "RP1", "p0.body", "1", "p0.body.unit", "uSv", "p0.at", "2026-12-31T23:30").Recorded()
	put("p0.who", "RP1", "p0.body", "2", "p0.body.unit", "uSv").Recorded()
	s.T1.Look("/doses").Says(200, "T. Example (T1), 2027", "finger 600 µSv", "body 3 µSv", "2 readings", "R. Example (RP1), 2026", "R. Example (RP1), in all")
	entry := webtest.Entry(4)
	// The entry is shown as it stands. A field is opened from what it says, and stays open
	// beside it once it was changed; a strike that is refused still says that it is one.
	row := regexp.MustCompile(`<details class="was"( open)?><summary>Finger dose <b>200 µSv</b></summary>`)
	if m := row.FindStringSubmatch(s.T1.Look(entry).Body); m == nil || m[1] != "" {
		t.Errorf("the field does not stand closed: %q", m)
	}
	if m := row.FindStringSubmatch(s.T1.Fill(entry, "correct", entry, "p0.with.exposure.finger", "300 uSv").Says(http.StatusUnprocessableEntity, "it is empty").Body); m == nil || m[1] == "" {
		t.Errorf("a changed field does not stand open: %q", m)
	}
	s.T1.Fill(entry, "correct", entry, "p0.strike", "yes").Says(http.StatusUnprocessableEntity, "It did not happen at all", "Finger dose 200 µSv")
	s.T1.Fill(entry, "correct", entry, "p0.reason", "read the other ring", "p0.with.exposure.finger", "300 uSv").Recorded()
	s.T1.Look("/doses").Says(200, "finger 700 µSv")
	s.T1.Fill(entry, "correct", entry, "p0.reason", "not of this person", "p0.strike", "yes").Recorded()
	s.T1.Look("/doses").Says(200, "finger 400 µSv", "1 reading")
	s.DR.Look("/doses").Says(http.StatusForbidden, "may not enter a staff dose")
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
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("release")
	at := "/export/P1"
	s.RP.Look("/order/P1/export").Says(200, "Case file", "Raw lines")
	p := s.RP.Look(at + "/case.yaml")
	if p.Status != 200 || !strings.Contains(p.Header.Get("Content-Disposition"), "P1.yaml") {
		t.Fatalf("%d %s", p.Status, p.Text())
	}
	back, err := casefile.Decode([]byte(p.Body), time.LoadLocation)
	if err != nil {
		t.Fatal(err)
	}
	c, err := fold.File(back)
	if err != nil {
		t.Fatal(err)
	}
	st := s.Reckoned(s.Server.Lab.File("P1"))
	if got := dispensing.Reckon(c, s.Clock.Now()); got.Orders[0].Dispensed.Activity != st.Result.Orders[0].Dispensed.Activity || len(got.Findings) != len(st.Result.Findings) {
		t.Errorf("the file gives %v, the site %v", got.Orders[0].Dispensed, st.Result.Orders[0].Dispensed)
	}
	lines := strings.Split(strings.TrimSuffix(s.RP.Look(at+"/records.txt").Body, "\n"), "\n")
	if len(lines) != len(s.Server.Lab.File("P1").Records) {
		t.Errorf("%d raw lines", len(lines))
	}
	for _, line := range lines {
		l, err := facttest.ParseLink(line)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := l.Record(); err != nil || l.Hash != s.Server.Lab.Hash(int(l.Seq)) {
			t.Errorf("line %d: %v", l.Seq, err)
		}
	}
	s.RP.Look(at + "/other.txt").Says(http.StatusNotFound)
	s.RP.Look("/order/nowhere/export").Says(http.StatusNotFound)
	for _, b := range []*webtest.Browser{s.T1, s.DR, s.Nurse} {
		b.Look(at+"/case.yaml").Says(http.StatusForbidden, "may not export records")
	}
}

// TestExportDays: the archive of some days has the lines that were recorded on
// them and the orders they belong to.
func TestExportDays(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("release")
	first := webtest.Case(s).Newest
	s.Clock.Add(24 * time.Hour)
	s.RP = s.AsElsewhere("RP1")
	s.RP.Fill("/day/enter/order", "order", "/day/enter/order", "p0.id", "P2", "p0.patient", "DEMO-0043", "p0.prescribed", "0.80", "p0.prescribed.unit", "GBq",
		"p0.at", "2027-03-08T13:30", "p0.by", "D. Example").Recorded()
	days := func(from, to string) *webtest.Page {
		return s.RP.Post("/export/days", url.Values{"from": {from}, "to": {to}})
	}
	days("2027-03-05", "2027-03-04").Says(http.StatusUnprocessableEntity, "it lies before the first")
	days("yesterday", "2027-03-04").Says(http.StatusUnprocessableEntity, "it is no day")
	s.RP.Look("/export").Says(200, "Export days")

	one := unzipped(t, days("2027-03-04", "2027-03-04").Body)
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
	st := s.Reckoned(s.Server.Lab.File("P1"))
	if got, want := dispensing.Reckon(c, s.Clock.Now()).Orders[0].Dispensed, st.Result.Orders[0].Dispensed; got.Activity != want.Activity || got.U != want.U {
		t.Errorf("the file gives %v, the site %v", got, want)
	}
	two := unzipped(t, days("2027-03-05", "2027-03-05").Body)
	if !strings.HasPrefix(two["records.txt"], webtest.Decimal(first+1)+" ") || two["cases/P2.yaml"] == "" || two["cases/P1.yaml"] != "" {
		t.Errorf("the second day: %v", two)
	}
	both := unzipped(t, days("2027-03-04", "2027-03-05").Body)
	if both["records.txt"] != one["records.txt"]+two["records.txt"] || !strings.Contains(both["README.txt"], "Exported by RP1") {
		t.Errorf("both days are not the two together: %s", both["README.txt"])
	}
}

// TestExportIsBlind: who may still check a dose is not given its figures in a
// file either.
func TestExportIsBlind(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("baseline")
	at := "/export/P1"
	for _, path := range []string{"/order/P1/export", at + "/case.yaml", at + "/records.txt"} {
		s.MP.Look(path).Says(http.StatusForbidden, "You may do the second check")
	}
	s.MP.Post("/export/days", url.Values{"from": {"2027-03-04"}, "to": {"2027-03-04"}}).Says(http.StatusForbidden, "You may do the second check")
}

// TestCopies: each print of a label is counted and says so, and the ones
// before it are no longer printed.
func TestCopies(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("label")
	first := s.Serial
	p := s.T1.Look(webtest.Bench+"/step/label").Says(200, "I have destroyed the label that this one replaces")
	if strings.Contains(p.Text(), ", copy") {
		t.Errorf("the first print is called a copy: %s", p.Text())
	}
	s.Step(s.T1, "label").Recorded()
	p = s.T1.Look(webtest.Bench).Says(200, ", copy 2")
	second := webtest.LabelLink.FindStringSubmatch(p.Body)[1]
	if second == first {
		t.Error("a copy has the serial of the one it replaces")
	}
	s.T1.Look("/labels/"+first+".pdf").Says(http.StatusConflict, "no longer in force")
	if p := s.T1.Look("/labels/" + second + ".pdf"); p.Status != http.StatusOK {
		t.Errorf("the copy is not printed: %d %s", p.Status, p.Text())
	}
	for i, f := range s.Facts("label") {
		if l, _ := f.(*fact.Label); l.Copy != i+1 {
			t.Errorf("print %d is counted as %d", i+1, l.Copy)
		}
	}
}

// TestCorrectionAsksEveryField: a correction can give what the entry left out,
// by what the fields of its kind are, and asks in the words of the trade.
func TestCorrectionAsksEveryField(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("assay")
	s.T1.Fill("/day/enter/deviation", "deviation", "/day/enter/deviation", "p0.text", "A glove tore.", "pin", webtest.PIN).Recorded()
	e := webtest.Case(s).Entries()
	at := webtest.Entry(len(e))
	s.T1.Look(at).Says(200, "What went wrong", "Order", "It may be left empty")
	s.T1.Fill(at, "correct", at, "p0.reason", "it was of one order", "p0.with.deviation.for", "P1", "pin", webtest.PIN).Recorded()
	x, ok := webtest.Case(s).Entries()[len(e)-1].Fact.(*fact.Deviation)
	if !ok || x.For != "P1" || x.Text != "A glove tore." {
		t.Errorf("the deviation is %+v", x)
	}
}

// TestCorrectionGivesAGroup: what an order rests on can be added by a correction, is
// checked then, and can be taken away again; a correction that leaves its fields empty
// adds nothing.
func TestCorrectionGivesAGroup(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("order")
	correct := func(changes ...string) *webtest.Page {
		return s.RP.Fill(webtest.Entry(1), "correct", webtest.Entry(1), append([]string{"p0.reason", "as the office wrote it"}, changes...)...)
	}
	order := func() *fact.Order {
		o, _ := webtest.Case(s).Entries()[0].Fact.(*fact.Order)
		return o
	}
	correct("p0.with.order.territory", "left lobe").Recorded()
	if o := order(); o.Dosimetry != nil || o.Territory != "left lobe" {
		t.Errorf("the corrected order is %+v", o)
	}
	const rests = "p0.with.order.dosimetry."
	correct(rests+"tumour-mass", "0.2 kg").Says(http.StatusUnprocessableEntity, "method")
	partition := []string{rests + "method", "partition", rests + "tumour-mass", "0.2 kg", rests + "normal-mass", "1.4 kg", rests + "tumour-to-normal", "3 to 1", rests + "lung-shunt", "6.25 %"}
	correct(partition...).Says(http.StatusUnprocessableEntity, "how it was found")
	correct(append(partition, rests+"lung-shunt-method", "planar geometric mean")...).Recorded()
	// 1.3 GBq in the geometry of the example of package dose: 104.77·1.3/1.5·49.73/49.67.
	s.DR.Look(webtest.Bench).Says(200, "Check of the prescription, never a plan", "about 91 Gy")
	correct(rests+"method", "", rests+"tumour-mass", "", rests+"normal-mass", "", rests+"tumour-to-normal", "", rests+"lung-shunt", "", rests+"lung-shunt-method", "").Recorded()
	if order().Dosimetry != nil {
		t.Errorf("what was taken away is still there: %+v", order().Dosimetry)
	}
}

// TestCorrectOfTheSite: what is of no order is corrected as often as it has to be, also
// where nothing else of its day is open.
func TestCorrectOfTheSite(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire())
	s.T1.Fill("/day/enter/note", "note", "/day/enter/note", "p0.text", "The hood hums.").Recorded()
	at := webtest.Entry(len(webtest.Case(s).Entries()))
	for _, text := range []string{"The hood whistles.", "The hood is silent."} {
		s.T1.Fill(at, "correct", at, "p0.reason", "I listened again", "p0.with.note.text", text, "pin", webtest.PIN).Recorded()
		if p := s.T1.Look(at).Says(200, "note"); !strings.Contains(p.Body, text) {
			t.Errorf("the next correction does not begin with %q: %s", text, p.Text())
		}
	}
}

// TestExportBeforeTheDraw: an order that nothing was drawn for is given out with the
// vials it can be drawn from, so that the file plans what the bench plans.
func TestExportBeforeTheDraw(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("assay")
	back, err := casefile.Decode([]byte(s.RP.Look("/export/P1/case.yaml").Body), time.LoadLocation)
	if err != nil {
		t.Fatal(err)
	}
	c, err := fold.File(back)
	if err != nil {
		t.Fatal(err)
	}
	o := dispensing.Reckon(c, s.Clock.Now()).Orders[0]
	if o.Plan == nil || o.Plan.From != "S1" {
		t.Errorf("the file plans %+v", o.Plan)
	}
}

// A correction stands beside the old entry, moves the figures, and makes the
// second check stale.
func TestCorrection(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("second-check")
	history := "/history"
	f := webtest.Case(s)
	n := 0
	for _, e := range f.Entries() {
		if fact.Word(e.First) == "read" {
			n = e.Number // the reading of what is left
		}
	}
	at := "/entry/" + strconv.Itoa(n) + "/correct"
	s.T1.Fill(at, "correct", at, "p0.with.read.gross", "1.86 GBq").Says(http.StatusUnprocessableEntity, "it is empty")
	s.T1.Fill(at, "correct", at, "p0.reason", "digits exchanged", "p0.with.read.gross", "1.86 liters").Says(http.StatusUnprocessableEntity, "Error")
	s.T1.Fill(at, "correct", at, "p0.reason", "digits exchanged", "p0.with.read.gross", "1.86 GBq").Recorded()
	newest := s.T1.Look(history).Says(200, "1.87 GBq", "1.86 GBq", "digits exchanged", "Corrected", "the newest first").Text()
	if strings.Index(newest, "digits exchanged") > strings.Index(newest, "order entered") {
		t.Errorf("the newest entry is not the first: %s", newest)
	}
	// From the bench of an order it leads back there: by the order of the entry, or by
	// the address it was called for with, where the entry is of a vial alone.
	q, err := http.NewRequest(http.MethodPost, s.HTTP.URL+at, strings.NewReader(url.Values{"nonce": {"back"}, "head": {webtest.Decimal(webtest.Case(s).Newest)}, "pin": {webtest.PIN}, "p0.reason": {"it never happened"}, "p0.strike": {"yes"}}.Encode()))
	if err != nil {
		t.Fatal(err)
	}
	q.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	q.Header.Set("Referer", s.HTTP.URL+at+"?for=P1")
	s.T1.Do(q).Leads(webtest.Bench)
	q, _ = http.NewRequest(http.MethodPost, s.HTTP.URL+at, strings.NewReader(url.Values{"nonce": {"again"}, "head": {webtest.Decimal(webtest.Case(s).Newest)}, "pin": {webtest.PIN}, "p0.reason": {"it did"}, "p0.with.read.of": {"S1"}, "p0.with.read.meter": {"M1"}, "p0.with.read.at": {"2027-03-04T11:14:00-01:00"}, "p0.with.read.gross": {"1.86 GBq"}, "p0.with.read.background": {"0.2 MBq"}}.Encode()))
	q.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	s.T1.Do(q).Leads(history)
	s.T1.Get(webtest.Bench).Says(200, "1.339")
	v := url.Values{"nonce": {"n"}, "head": {webtest.Decimal(webtest.Case(s).Newest)}, "pin": {webtest.PIN}, "p0.size": {"administration-vial"}}
	if p := s.T1.Post(webtest.Bench+"/step/label", v); p.Status == http.StatusSeeOther {
		t.Error("a label was printed on a check from before the correction")
	}
}

// TestFindInHistory: the entries of an order, a container, a patient by either identifier
// and a day are found however many were made since, and the address names no patient.
func TestFindInHistory(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("draw")
	s.Tell(slices.Repeat([]string{`note: {text: later, at: 2027-03-04T11:00}`}, 320)...)
	if text := s.T1.Look("/history").Text(); strings.Contains(text, "order entered") {
		t.Fatal("the order is among the newest records: nothing is looked for")
	}
	find := func(typed string) *webtest.Page {
		return s.T1.Post("/history", url.Values{"find": {typed}})
	}
	for typed, to := range map[string]string{"P1": "/history?of=P1", "S1": "/history?of=S1", " demo-0042": "/history?of=P1", "2027-03-04": "/history?day=2027-03-04"} {
		p := find(typed).Leads(to)
		s.T1.Look(p.Location).Says(200, "order entered", "Correct entry")
	}
	s.T1.Look("/history?day=2027-03-05").Says(200, "no record")
	for _, typed := range []string{"DEMO-004", "", "P9", "2027-3-4"} {
		find(typed).Says(http.StatusNotFound, "Not known")
	}
	s.T1.Look(webtest.Bench).Says(200, "History")
	if p := s.T1.Look(webtest.Bench); !strings.Contains(p.Body, "/history?of=P1") {
		t.Error("the bench does not lead to the history of its order")
	}
}

// TestCorrectionOfAVialLeadsBack: the correction of a reading of a vial that nothing was
// drawn from yet leads back to the bench that it was called for from.
func TestCorrectionOfAVialLeadsBack(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("assay")
	records := webtest.Case(s).Records
	at := "/entry/" + strconv.Itoa(records[len(records)-1].N) + "/correct"
	form := s.T1.Look(at + "?for=P1").Form("correct")
	form.Set("p0.reason", "the well was empty")
	form.Set("p0.strike", "yes")
	form.Set("pin", webtest.PIN)
	q, err := http.NewRequest(http.MethodPost, s.HTTP.URL+at, strings.NewReader(form.Encode()))
	if err != nil {
		t.Fatal(err)
	}
	q.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	q.Header.Set("Referer", s.HTTP.URL+at+"?for=P1")
	s.T1.Do(q).Leads(webtest.Bench)
}

// TestWhatIsOnlyStruckOutSaysSo: a label is not written anew, and the page asks for no correction of it.
func TestWhatIsOnlyStruckOutSaysSo(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("release")
	for _, r := range webtest.Case(s).Records {
		if _, is := r.Fact.(*fact.Label); !is {
			continue
		}
		p := s.T1.Look("/entry/"+strconv.Itoa(r.N)+"/correct").Says(http.StatusOK, "Strike out entry "+strconv.Itoa(r.N), "Strike it out")
		if strings.Contains(p.Text(), "Record the correction") {
			t.Errorf("a correction is asked for: %s", p.Text())
		}
		return
	}
	t.Fatal("no label was printed")
}
