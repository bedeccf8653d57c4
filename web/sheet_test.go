package web

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"vialwright/fact"
)

// onPaper begins a sheet, as the person who wrote it.
func (b *browser) onPaper(changes ...string) *browser {
	b.Helper()
	v := url.Values{"sheet": {"4"}, "by": {b.id}, "day": {"2027-03-04"}}
	for i := 0; i+1 < len(changes); i += 2 {
		v.Set(changes[i], changes[i+1])
	}
	b.look("/day")
	b.post("/paper", v).recorded()
	return b
}

// A whole preparation was done on paper, without power, and is entered on the
// evening of the next day, when its dose is long past its window: each person
// enters what they signed, in its order and with the times of the sheet.
func TestWholePreparationFromPaper(t *testing.T) {
	l := newLab1(t, nil).hire()
	l.clock.set("20:00")
	l.clock.add(24 * time.Hour)
	s := newStory(l)
	for _, b := range []*browser{s.rp, s.t1, s.mp, s.dr, s.nurse} {
		b.onPaper()
	}
	at := "/day"
	s.rp.fill(at+"/enter/order", "order", at+"/enter/order", "p0.id", "P1", "p0.patient", "DEMO-0042", "p0.territory", "right lobe", "p0.prescribed", "1.30", "p0.prescribed.unit", "GBq",
		"p0.at", "2027-03-04T13:30", "p0.residual", "2", "p0.by", "D. Example").recorded()
	s.dr.fill(theBench, "sign-order", theBench+"/step/sign-order", "p0.at", "7:15").recorded()
	gbq := func(gross, time string) []string {
		return []string{"p0.gross", gross, "p0.gross.unit", "GBq", "p0.background", "0.2", "p0.background.unit", "MBq", "p0.at", time}
	}
	var ready []string
	for _, n := range []string{"0", "1", "2", "3", "4", "5"} {
		ready = append(ready, "p"+n+".result", "pass")
	}
	s.step(s.t1, "readiness", append(ready, "p5.at", "07:30")...).recorded()
	s.step(s.t1, "receipt", "p0.vial", "S1", "p0.lot", "L-0311", "p0.labelled", "3.0", "p0.labelled.unit", "GBq",
		"p0.reference", "2027-03-04T18:00", "p0.volume", "5.0", "p0.at", "08:00").recorded()
	s.step(s.t1, "assay", gbq("3.24", "11:00")...).recorded()
	s.step(s.t1, "draw", "p0.volume", "2.2", "p0.agitated", "11:09", "p0.at", "11:10").recorded()
	s.step(s.t1, "remainder", gbq("1.87", "11:14")...).recorded()
	s.step(s.t1, "make-up", "p0.volume", "1.3", "p0.diluent", "water for injection", "p0.lot", "W-77", "p0.at", "11:18").recorded()
	s.step(s.t1, "transfer", "p0.at", "11:20").recorded()
	s.step(s.t1, "baseline", "p0.before.rate", "182 180 184 181", "p0.before.background", "0.2", "p0.before.at", "11:30").recorded()
	s.mp.fill(theBench+"/check", "step", theBench+"/check", append(gbq("1.86", "11:40"), "p0.of", "S1", "p0.activity", "1.33", "p0.activity.unit", "GBq")...).recorded()
	s.step(s.t1, "label", "p0.at", "11:45").recorded()
	// A label written by hand has no serial: that of the record stands there.
	s.step(s.rp, "release", "p0.at", "11:50").recorded()
	s.step(s.rp, "hand-over", "p0.to", "SN1", "p0.place", "suite 2", "p0.at", "12:50").recorded()
	s.nurse.fill(theBench, "take-over", theBench+"/step/take-over", "p0.at", "12:52").recorded()
	s.nurse.fill(theBench+"/time-out", "step", theBench+"/time-out", "p0.patient", "DEMO-0042", "p0.territory", "right lobe",
		"p0.activity", "1.33", "p0.activity.unit", "GBq", "p0.with", "DR1", "p0.at", "13:25").recorded()
	s.step(s.nurse, "infusion", "p0.start", "13:30", "p0.stop", "14:05", "p0.reason", "complete").recorded()
	s.step(s.t1, "residual", "p0.after.rate", "6.4 6.2 6.6 6.4", "p0.after.background", "0.2", "p0.after.at", "15:12").recorded()
	s.step(s.t1, "survey", "p0.rate", "0.3", "p0.background", "0.2", "p0.at", "15:20").recorded()
	s.step(s.rp, "close", "p0.at", "15:30").recorded()

	s.rp.post("/paper", url.Values{"end": {"yes"}}).recorded()
	s.rp.look(theBench).says(200, "Everything is done", "Delivered")
	s.rp.look("/history").says(200, "late entry from paper, sheet 4, written by T1 at 2027-03-04 11:10 (UTC-01:00), entered by T1 at 2027-03-05 20:00 (UTC-01:00)")
	marked := 0
	for n, p := range papers(mustCase(s)) {
		if p.Sheet != "4" || p.By == "" {
			t.Errorf("entry %d: %+v", n, p)
		}
		marked++
	}
	if entries := 25; marked != entries {
		t.Errorf("%d entries are marked as from paper, want %d", marked, entries)
	}
	st, err := s.srv.reckon(mustCase(s), s.clock.now())
	if err != nil {
		t.Fatal(err)
	}
	q := &request{Server: s.srv, r: s.request(), now: s.clock.now()}
	for _, e := range q.paperRecord(st).Entries {
		if _, mark := s.entry(e.Number).(*fact.Paper); !mark && !strings.Contains(e.Text, "late entry from paper, sheet 4, written by ") {
			t.Errorf("the sheet that is printed does not say that entry %d came from paper: %s", e.Number, e.Text)
		}
	}
}

func (s *story) request() *http.Request {
	r, err := http.NewRequest(http.MethodGet, "/", nil)
	if err != nil {
		s.Fatal(err)
	}
	return r
}

func (s *story) entry(n int) fact.Fact {
	f := mustCase(s)
	e, _ := f.Entry(n)
	return e.First
}

// What a sheet cannot do: leave the time out, lie ahead, be signed by another.
func TestSheetRefuses(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("baseline")
	s.clock.set("18:00")
	s.t1.onPaper("by", "T2")
	s.t1.fill("/day/enter/note", "note", "/day/enter/note", "p0.text", "a drop").says(http.StatusUnprocessableEntity, "it is empty")
	s.t1.fill("/day/enter/note", "note", "/day/enter/note", "p0.text", "a drop", "p0.at", "19:00").says(http.StatusUnprocessableEntity, "this lies ahead")
	s.t1.fill("/day/enter/note", "note", "/day/enter/note", "p0.text", "a drop", "p0.at", "11:36").recorded()
	s.t1.look("/history").says(200, "sheet 4, written by T2 at 2027-03-04 11:36 (UTC-01:00), entered by T1 at 2027-03-04 18:00")

	s.mp.onPaper("by", "T1")
	s.mp.look(theBench+"/check").says(200, "his is signed, and T1 wrote the sheet")
	s.mp.onPaper()
	s.mp.fill(theBench+"/check", "step", theBench+"/check", "p0.of", "S1", "p0.gross", "1.86", "p0.gross.unit", "GBq",
		"p0.background", "0.2", "p0.background.unit", "MBq", "p0.activity", "1.33", "p0.activity.unit", "GBq", "p0.at", "11:40").recorded()

	for field, value := range map[string]string{"sheet": "", "by": "", "day": "yesterday"} {
		v := url.Values{"sheet": {"4"}, "by": {"T1"}, "day": {"2027-03-04"}}
		v.Set(field, value)
		s.t1.post("/paper", v).says(http.StatusUnprocessableEntity, "Error")
	}

	// It is for one person; the form of another asks for now.
	if p := s.nurse.look("/day"); strings.Contains(p.text(), "You are entering sheet") {
		t.Error("the sheet is entered by everybody")
	}
	s.t1.post("/paper", url.Values{"end": {"yes"}}).recorded()
	if p := s.t1.look("/day"); strings.Contains(p.text(), "You are entering sheet") {
		t.Error("the sheet was ended, and goes on")
	}
}

// Who wrote the sheet had a hand in the work, although another entered it.
func TestSheetIsWorkOfItsWriter(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("transfer")
	s.clock.set("18:00")
	s.rp.onPaper("by", "MP1")
	s.step(s.rp, "baseline", "p0.before.rate", "182 180", "p0.before.background", "0.2", "p0.before.at", "11:30").recorded()
	if p := s.mp.look(theBench + "/check"); strings.Contains(p.text(), "would check their own work") {
		t.Errorf("a dose rate is no work on the dose: %s", p.text())
	}
	s.rp.fill(theBench, "reading", theBench+"/step/reading", "p0.of", "A1", "p0.gross", "1.33", "p0.gross.unit", "GBq",
		"p0.background", "0.2", "p0.background.unit", "MBq", "p0.at", "11:35").recorded()
	s.mp.look(theBench+"/check").says(200, "would check their own work")
}
