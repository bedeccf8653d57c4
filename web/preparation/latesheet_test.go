package preparation_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"vialwright/fact"
	"vialwright/web/documents"
	"vialwright/web/kit"
	"vialwright/web/webtest"
)

// onPaper begins a sheet, as the person who wrote it.
func onPaper(b *webtest.Browser, changes ...string) *webtest.Browser {
	b.Helper()
	v := url.Values{"sheet": {"4"}, "by": {b.ID}, "day": {"2027-03-04"}}
	for i := 0; i+1 < len(changes); i += 2 {
		v.Set(changes[i], changes[i+1])
	}
	b.Look("/day")
	b.Post("/paper", v).Recorded()
	return b
}

// A whole preparation was done on paper, without power, and is entered on the
// evening of the next day, when its dose is long past its window: each person
// enters what they signed, in its order and with the times of the sheet.
func TestWholePreparationFromPaper(t *testing.T) {
	l := webtest.New(t, nil).Hire()
	l.Clock.Set("20:00")
	l.Clock.Add(24 * time.Hour)
	s := webtest.NewStory(l)
	for _, b := range []*webtest.Browser{s.RP, s.T1, s.MP, s.DR, s.Nurse} {
		onPaper(b)
	}
	at := "/day"
	s.RP.Fill(at+"/enter/order", "order", at+"/enter/order", "p0.id", "P1", "p0.patient", "DEMO-0042", "p0.territory", "right lobe", "p0.prescribed", "1.30", "p0.prescribed.unit", "GBq",
		"p0.at", "2027-03-04T13:30", "p0.residual", "2", "p0.by", "D. Example").Recorded()
	s.DR.Fill(webtest.Bench, "sign-order", webtest.Bench+"/step/sign-order", "p0.at", "7:15").Recorded()
	gbq := func(gross, time string) []string {
		return []string{"p0.gross", gross, "p0.gross.unit", "GBq", "p0.background", "0.2", "p0.background.unit", "MBq", "p0.at", time}
	}
	var ready []string
	for _, n := range []string{"0", "1", "2", "3", "4", "5"} {
		ready = append(ready, "p"+n+".result", "pass")
	}
	s.Step(s.T1, "readiness", append(ready, "p5.at", "07:30")...).Recorded()
	s.Step(s.T1, "receipt", "p0.vial", "S1", "p0.lot", "L-0311", "p0.labelled", "3.0", "p0.labelled.unit", "GBq",
		"p0.reference", "2027-03-04T18:00", "p0.volume", "5.0", "p0.at", "08:00").Recorded()
	s.Step(s.T1, "assay", gbq("3.24", "11:00")...).Recorded()
	s.Step(s.T1, "draw", "p0.volume", "2.2", "p0.agitated", "11:09", "p0.at", "11:10").Recorded()
	s.Step(s.T1, "remainder", gbq("1.87", "11:14")...).Recorded()
	s.Step(s.T1, "make-up", "p0.volume", "1.3", "p0.diluent", "water for injection", "p0.lot", "W-77", "p0.at", "11:18").Recorded()
	s.Step(s.T1, "transfer", "p0.at", "11:20").Recorded()
	s.Step(s.T1, "baseline", "p0.before.rate", "182 180 184 181", "p0.before.background", "0.2", "p0.before.at", "11:30").Recorded()
	s.MP.Fill(webtest.Bench+"/check", "step", webtest.Bench+"/check", append(gbq("1.86", "11:40"), "p0.of", "S1", "p0.activity", "1.33", "p0.activity.unit", "GBq")...).Recorded()
	s.Step(s.T1, "label", "p0.at", "11:45").Recorded()
	// A label written by hand has no serial: that of the record stands there.
	s.Step(s.RP, "release", "p0.at", "11:50").Recorded()
	s.Step(s.RP, "hand-over", "p0.to", "SN1", "p0.place", "suite 2", "p0.at", "12:50").Recorded()
	s.Nurse.Fill(webtest.Bench, "take-over", webtest.Bench+"/step/take-over", "p0.at", "12:52").Recorded()
	s.Nurse.Fill(webtest.Bench+"/time-out", "step", webtest.Bench+"/time-out", "p0.patient", "DEMO-0042", "p0.territory", "right lobe",
		"p0.activity", "1.33", "p0.activity.unit", "GBq", "p0.with", "DR1", "p0.at", "13:25").Recorded()
	s.Step(s.Nurse, "infusion", "p0.start", "13:30", "p0.stop", "14:05", "p0.reason", "complete").Recorded()
	s.Step(s.T1, "residual", "p0.after.rate", "6.4 6.2 6.6 6.4", "p0.after.background", "0.2", "p0.after.at", "15:12").Recorded()
	s.Nurse.Fill(webtest.Bench, "milestone", webtest.Bench+"/step/milestone", "p0.what", "procedure-ended", "p0.at", "14:15").Recorded()
	s.DR.Fill(webtest.Bench, "complete-order", webtest.Bench+"/step/complete-order", "p0.at", "15:18").Recorded()
	s.Step(s.T1, "survey", "p0.rate", "0.3", "p0.background", "0.2", "p0.at", "15:20").Recorded()
	s.Step(s.RP, "close", "p0.at", "15:30", "p1.into", "W1").Recorded()

	s.RP.Post("/paper", url.Values{"end": {"yes"}}).Recorded()
	s.RP.Look(webtest.Bench).Says(200, "Everything is done", "Delivered")
	s.RP.Look("/history").Says(200, "late entry from paper, sheet 4, written by T1 at 2027-03-04 11:10 (UTC-01:00), entered by T1 at 2027-03-05 20:00 (UTC-01:00)")
	marked := 0
	for n, p := range kit.Papers(webtest.Case(s)) {
		if p.Sheet != "4" || p.By == "" {
			t.Errorf("entry %d: %+v", n, p)
		}
		marked++
	}
	if entries := 28; marked != entries {
		t.Errorf("%d entries are marked as from paper, want %d", marked, entries)
	}
	st := s.Reckoned(webtest.Case(s))
	for _, e := range documents.Record(request(s.Lab), st).Entries {
		if _, mark := entry(s, e.Number).(*fact.Paper); !mark && !strings.Contains(e.Text, "late entry from paper, sheet 4, written by ") {
			t.Errorf("the sheet that is printed does not say that entry %d came from paper: %s", e.Number, e.Text)
		}
	}
}

func entry(s *webtest.Story, n int) fact.Fact {
	f := webtest.Case(s)
	e, _ := f.Entry(n)
	return e.First
}

// What a sheet cannot do: leave the time out, lie ahead, be signed by another.
func TestSheetRefuses(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("baseline")
	s.Clock.Set("18:00")
	onPaper(s.T1, "by", "T2")
	s.T1.Fill("/day/enter/note", "note", "/day/enter/note", "p0.text", "a drop").Says(http.StatusUnprocessableEntity, "it is empty")
	s.T1.Fill("/day/enter/note", "note", "/day/enter/note", "p0.text", "a drop", "p0.at", "19:00").Says(http.StatusUnprocessableEntity, "this is in the future")
	s.T1.Fill("/day/enter/note", "note", "/day/enter/note", "p0.text", "a drop", "p0.at", "18:02").Says(http.StatusUnprocessableEntity, "this is in the future")
	s.T1.Fill("/day/enter/note", "note", "/day/enter/note", "p0.text", "by a clock ahead", "p0.at", "18:01").Recorded()
	s.T1.Fill("/day/enter/note", "note", "/day/enter/note", "p0.text", "a drop", "p0.at", "11:36").Recorded()
	s.T1.Look("/history").Says(200, "sheet 4, written by T2 at 2027-03-04 11:36 (UTC-01:00), entered by T1 at 2027-03-04 18:00")

	onPaper(s.MP, "by", "T1")
	s.MP.Look(webtest.Bench+"/check").Says(200, "his is signed, and T1 wrote the sheet")
	onPaper(s.MP)
	s.MP.Fill(webtest.Bench+"/check", "step", webtest.Bench+"/check", "p0.of", "S1", "p0.gross", "1.86", "p0.gross.unit", "GBq",
		"p0.background", "0.2", "p0.background.unit", "MBq", "p0.activity", "1.33", "p0.activity.unit", "GBq", "p0.at", "11:40").Recorded()

	for field, value := range map[string]string{"sheet": "", "by": "", "day": "yesterday"} {
		v := url.Values{"sheet": {"4"}, "by": {"T1"}, "day": {"2027-03-04"}}
		v.Set(field, value)
		s.T1.Post("/paper", v).Says(http.StatusUnprocessableEntity, "Error")
	}

	// It is for one person; the form of another asks for now.
	if p := s.Nurse.Look("/day"); strings.Contains(p.Text(), "You are entering sheet") {
		t.Error("the sheet is entered by everybody")
	}
	s.T1.Post("/paper", url.Values{"end": {"yes"}}).Recorded()
	if p := s.T1.Look("/day"); strings.Contains(p.Text(), "You are entering sheet") {
		t.Error("the sheet was ended, and goes on")
	}
}

// Who wrote the sheet had a hand in the work, although another entered it.
func TestSheetIsWorkOfItsWriter(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("transfer")
	s.Clock.Set("18:00")
	onPaper(s.RP, "by", "MP1")
	s.Step(s.RP, "baseline", "p0.before.rate", "182 180", "p0.before.background", "0.2", "p0.before.at", "11:30").Recorded()
	if p := s.MP.Look(webtest.Bench + "/check"); strings.Contains(p.Text(), "would check their own work") {
		t.Errorf("a dose rate is no work on the dose: %s", p.Text())
	}
	s.RP.Fill(webtest.Bench, "reading", webtest.Bench+"/step/reading", "p0.of", "A1", "p0.gross", "1.33", "p0.gross.unit", "GBq",
		"p0.background", "0.2", "p0.background.unit", "MBq", "p0.at", "11:35").Recorded()
	s.MP.Look(webtest.Bench+"/check").Says(200, "would check their own work")
}
