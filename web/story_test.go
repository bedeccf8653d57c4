package web

import (
	"regexp"
	"strconv"
	"testing"
)

const theBench = "/order/P1"

// settings is how many records stand before the first entry of a story: the
// site, its policy and its meter.
const settings = 3

// entry is the address of an entry's correction, counted from the first entry.
func entry(n int) string { return "/entry/" + strconv.Itoa(n+settings) + "/correct" }

// story tells a preparation at the bench, up to a step.
type story struct {
	*lab1
	rp, t1, mp, dr, nurse *browser
	serial                string
}

func newStory(l *lab1) *story {
	return &story{lab1: l, rp: l.as("RP1"), t1: l.as("T1"), mp: l.as("MP1"), dr: l.as("DR1"), nurse: l.as("SN1")}
}

// chapters are the steps of the story in their order.
var chapters = []struct {
	key  string
	tell func(*story)
}{
	{"order", (*story).order},
	{"readiness", (*story).readiness},
	{"receipt", (*story).receipt},
	{"assay", (*story).assay},
	{"draw", (*story).draw},
	{"remainder", (*story).remainder},
	{"make-up", (*story).makeUp},
	{"transfer", (*story).transfer},
	{"baseline", (*story).baseline},
	{"second-check", (*story).check},
	{"label", (*story).label},
	{"release", (*story).release},
	{"hand-over", (*story).handOver},
	{"time-out", (*story).timeOut},
	{"infusion", (*story).infusion},
	{"residual", (*story).residual},
	{"survey", (*story).survey},
	{"close", (*story).close},
}

// until tells the story up to a step, which is done too.
func (s *story) until(key string) *story {
	s.Helper()
	for _, c := range chapters {
		c.tell(s)
		if c.key == key {
			return s
		}
	}
	s.Fatalf("no chapter %s", key)
	return s
}

func (s *story) order() {
	s.Helper()
	s.rp.fill("/day/enter/order", "order", "/day/enter/order",
		"p0.id", "P1", "p0.patient", "DEMO-0042", "p0.territory", "right lobe", "p0.prescribed", "1.30", "p0.prescribed.unit", "GBq",
		"p0.at", "2027-03-04T13:30", "p0.residual", "2", "p0.by", "D. Example").recorded()
	s.sign()
}

func (s *story) sign() {
	s.Helper()
	s.dr.fill(theBench, "sign-order", theBench+"/step/sign-order").recorded()
}

func (s *story) step(b *browser, key string, changes ...string) *page {
	s.Helper()
	return b.fill(theBench+"/step/"+key, "step", theBench+"/step/"+key, changes...)
}

func (s *story) readiness() {
	s.Helper()
	var all []string
	for _, n := range []string{"0", "1", "2", "3", "4", "5"} {
		all = append(all, "p"+n+".result", "pass")
	}
	s.step(s.t1, "readiness", all...).recorded()
}

func (s *story) receipt() {
	s.Helper()
	s.step(s.t1, "receipt", "p0.vial", "S1", "p0.lot", "L-0311", "p0.labelled", "3.0", "p0.labelled.unit", "GBq",
		"p0.reference", "2027-03-04T18:00", "p0.volume", "5.0").recorded()
}

func (s *story) assay() {
	s.Helper()
	s.clock.set("11:00")
	s.step(s.t1, "assay", "p0.gross", "3.24", "p0.gross.unit", "GBq", "p0.background", "0.2", "p0.background.unit", "MBq").recorded()
}

func (s *story) draw() {
	s.Helper()
	s.clock.set("11:10")
	s.t1.fill(theBench, "shaken", theBench+"/step/shaken").recorded()
	s.step(s.t1, "draw", "p0.volume", "2.2").recorded()
}

func (s *story) remainder() {
	s.Helper()
	s.clock.set("11:14")
	s.step(s.t1, "remainder", "p0.gross", "1.87", "p0.gross.unit", "GBq", "p0.background", "0.2", "p0.background.unit", "MBq").recorded()
}

func (s *story) makeUp() {
	s.Helper()
	s.clock.set("11:18")
	s.step(s.t1, "make-up", "p0.volume", "1.3", "p0.diluent", "water for injection", "p0.lot", "W-77").recorded()
}

func (s *story) transfer() {
	s.Helper()
	s.clock.set("11:20")
	s.step(s.t1, "transfer").recorded()
}

func (s *story) baseline() {
	s.Helper()
	s.clock.set("11:30")
	s.step(s.t1, "baseline", "p0.before.rate", "182 180 184 181", "p0.before.background", "0.2").recorded()
}

func (s *story) check() {
	s.Helper()
	s.clock.set("11:40")
	s.mp.fill(theBench+"/check", "step", theBench+"/check", "p0.gross", "1.86", "p0.gross.unit", "GBq",
		"p0.background", "0.2", "p0.background.unit", "MBq", "p0.activity", "1.33", "p0.activity.unit", "GBq").recorded()
}

var labelLink = regexp.MustCompile(`/labels/([0-9A-Z]{12})\.pdf`)

func (s *story) label() {
	s.Helper()
	s.clock.set("11:45")
	s.step(s.t1, "label").recorded()
	m := labelLink.FindStringSubmatch(s.t1.look(theBench).body)
	if m == nil {
		s.Fatal("no label on the bench")
	}
	s.serial = m[1]
}

func (s *story) release() {
	s.Helper()
	s.clock.set("11:50")
	s.step(s.rp, "release", "p0.serial", s.serial).recorded()
}

func (s *story) handOver() {
	s.Helper()
	s.clock.set("12:30")
	s.step(s.rp, "hand-over", "p0.serial", s.serial, "p0.to", "SN1", "p0.place", "suite 2", "pin2", pin).recorded()
}

func (s *story) timeOut() {
	s.Helper()
	s.clock.set("13:25")
	s.nurse.fill(theBench+"/time-out", "step", theBench+"/time-out", "p0.patient", "DEMO-0042", "p0.territory", "right lobe",
		"p0.activity", "1.33", "p0.activity.unit", "GBq", "p0.with", "DR1", "pin2", pin).recorded()
}

func (s *story) infusion() {
	s.Helper()
	s.clock.set("14:10")
	s.step(s.nurse, "infusion", "p0.start", "2027-03-04T13:30", "p0.stop", "2027-03-04T14:05", "p0.reason", "complete").recorded()
}

func (s *story) residual() {
	s.Helper()
	s.clock.set("15:12")
	s.step(s.t1, "residual", "p0.after.rate", "6.4 6.2 6.6 6.4", "p0.after.background", "0.2").recorded()
}

func (s *story) survey() {
	s.Helper()
	s.clock.set("15:20")
	s.step(s.t1, "survey", "p0.rate", "0.3", "p0.background", "0.2", "p1.rate", "0.3", "p1.background", "0.2").recorded()
}

func (s *story) close() {
	s.Helper()
	s.clock.set("15:30")
	s.step(s.rp, "close").recorded()
}

// The whole preparation, as people do it: eighteen steps, six people.
func TestWholePreparation(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("close")
	s.rp.look(theBench).says(200, "Everything is done", "Delivered", "1.2")
	s.rp.look("/").says(200, "Closed")
	s.rp.look("/history").says(200, "second check", "1.86 GBq", "released", "time-out")
	for _, path := range []string{"/sheet/P1.pdf", "/blank.pdf", "/labels/" + s.serial + ".pdf"} {
		p := s.rp.look(path)
		if p.status != 200 || p.header.Get("Content-Type") != "application/pdf" || p.body[:5] != "%PDF-" {
			t.Errorf("%s: %d %s", path, p.status, p.text())
		}
	}
}
