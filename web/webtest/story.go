package webtest

import (
	"math"
	"net/url"
	"regexp"
	"slices"
	"strconv"

	"vialwright/fact"
	"vialwright/journal"
	"vialwright/web/kit"
)

// Bench is the address of the bench of the story.
const Bench = "/order/P1"

// Settings is how many records stand before the first entry of a story: the
// site, its policy and its meter, and the accounts of the staff.
const Settings = 11

// Entry is the address of an entry's correction, counted from the first entry.
func Entry(n int) string { return "/entry/" + strconv.Itoa(n+Settings) + "/correct" }

// Story tells a preparation at the bench, up to a step.
type Story struct {
	*Lab
	RP, T1, MP, DR, Nurse *Browser
	Serial                string
	// Second is the second identifier of the order; empty where it has none.
	// Territory is the one that is treated.
	Second, Territory string
}

// NewStory is a story that has not begun, with its people signed in.
func NewStory(l *Lab) *Story {
	return &Story{Lab: l, RP: l.As("RP1"), T1: l.As("T1"), MP: l.As("MP1"), DR: l.As("DR1"), Nurse: l.As("SN1"), Territory: "right lobe"}
}

// Chapter is a step of the story.
type Chapter struct {
	Key  string
	Tell func(*Story)
}

// Chapters are all of them in their order.
var Chapters = []Chapter{
	{"order", (*Story).order},
	{"readiness", step("", technologist, "readiness", "p0.result", "pass", "p1.result", "pass", "p2.result", "pass", "p3.result", "pass", "p4.result", "pass", "p5.result", "pass")},
	{"receipt", step("", technologist, "receipt", "p0.vial", "S1", "p0.lot", "L-0311", "p0.labelled", "3.0", "p0.labelled.unit", "GBq", "p0.reference", "2027-03-04T18:00", "p0.volume", "5.0")},
	{"assay", step("11:00", technologist, "assay", "p0.gross", "3.24", "p0.gross.unit", "GBq", "p0.background", "0.2", "p0.background.unit", "MBq")},
	{"draw", (*Story).draw},
	{"remainder", step("11:14", technologist, "remainder", "p0.gross", "1.87", "p0.gross.unit", "GBq", "p0.background", "0.2", "p0.background.unit", "MBq")},
	{"make-up", step("11:18", technologist, "make-up", "p0.volume", "1.3", "p0.diluent", "water for injection", "p0.lot", "W-77")},
	{"transfer", step("11:20", technologist, "transfer")},
	{"baseline", step("11:30", technologist, "baseline", "p0.before.rate", "182 180 184 181", "p0.before.background", "0.2")},
	{"second-check", (*Story).check},
	{"label", (*Story).label},
	{"release", (*Story).release},
	{"hand-over", (*Story).handOver},
	{"time-out", (*Story).timeOut},
	{"infusion", step("14:10", nurse, "infusion", "p0.start", "2027-03-04T13:30", "p0.stop", "2027-03-04T14:05", "p0.reason", "complete")},
	{"residual", step("15:12", technologist, "residual", "p0.after.rate", "6.4 6.2 6.6 6.4", "p0.after.background", "0.2")},
	{"survey", step("15:20", technologist, "survey", "p0.rate", "0.3", "p0.background", "0.2", "p1.rate", "0.3", "p1.background", "0.2")},
	{"close", step("15:30", radiopharmacist, "close", "p1.into", "W1")},
}

func technologist(s *Story) *Browser    { return s.T1 }
func radiopharmacist(s *Story) *Browser { return s.RP }
func nurse(s *Story) *Browser           { return s.Nurse }

// step tells a step that somebody does by its form at an hour, where it is empty at that of
// the step before.
func step(at string, who func(*Story) *Browser, key string, typed ...string) func(*Story) {
	return func(s *Story) {
		s.Helper()
		if at != "" {
			s.Clock.Set(at)
		}
		s.Step(who(s), key, typed...).Recorded()
	}
}

// Go tells some chapters.
func (s *Story) Go(keys ...string) {
	s.Helper()
	for _, key := range keys {
		i := slices.IndexFunc(Chapters, func(c Chapter) bool { return c.Key == key })
		Chapters[i].Tell(s)
	}
}

// Until tells the story up to a step, which is done too.
func (s *Story) Until(key string) *Story {
	s.Helper()
	for _, c := range Chapters {
		c.Tell(s)
		if c.Key == key {
			return s
		}
	}
	s.Fatalf("no chapter %s", key)
	return s
}

// order enters the order, signed.
func (s *Story) order() {
	s.Helper()
	s.RP.Fill("/day/enter/order", "order", "/day/enter/order",
		"p0.id", "P1", "p0.patient", "DEMO-0042", "p0.territory", "right lobe", "p0.prescribed", "1.30", "p0.prescribed.unit", "GBq",
		"p0.at", "2027-03-04T13:30", "p0.residual", "2", "p0.by", "D. Example").Recorded()
	s.Sign()
}

// LargeVial tells another beginning: an order of 2.20 GBq, and a vial that holds 5.16 GBq
// at the infusion, read and resuspended.
func (s *Story) LargeVial() {
	s.Helper()
	s.RP.Fill("/day/enter/order", "order", "/day/enter/order",
		"p0.id", "P1", "p0.patient", "DEMO-0042", "p0.territory", "right lobe", "p0.prescribed", "2.20", "p0.prescribed.unit", "GBq",
		"p0.at", "2027-03-04T13:30", "p0.residual", "2", "p0.by", "D. Example", "p0.or-at-stasis", "no").Recorded()
	s.Sign()
	s.Go("readiness")
	s.Step(s.T1, "receipt", "p0.vial", "S1", "p0.lot", "L-0311", "p0.labelled", "4.9", "p0.labelled.unit", "GBq",
		"p0.reference", "2027-03-04T18:00", "p0.volume", "5.0").Recorded()
	s.Clock.Set("11:00")
	s.Step(s.T1, "assay", "p0.gross", "5.30", "p0.gross.unit", "GBq", "p0.background", "0.2", "p0.background.unit", "MBq").Recorded()
	s.Clock.Set("11:10")
	s.T1.Fill(Bench, "resuspend", Bench+"/step/resuspend").Recorded()
}

// Sign signs the order.
func (s *Story) Sign() {
	s.Helper()
	s.DR.Fill(Bench, "sign-order", Bench+"/step/sign-order").Recorded()
}

// Step sends the form of a step with changes, given as name, value pairs.
func (s *Story) Step(b *Browser, key string, changes ...string) *Page {
	s.Helper()
	return b.Fill(Bench+"/step/"+key, "step", Bench+"/step/"+key, changes...)
}

func (s *Story) draw() {
	s.Helper()
	s.Clock.Set("11:10")
	s.T1.Fill(Bench, "resuspend", Bench+"/step/resuspend").Recorded()
	s.Step(s.T1, "draw", "p0.volume", "2.2").Recorded()
}

func (s *Story) check() {
	s.Helper()
	s.Clock.Set("11:40")
	s.MP.Fill(Bench+"/check", "step", Bench+"/check", "p0.gross", "1.86", "p0.gross.unit", "GBq",
		"p0.background", "0.2", "p0.background.unit", "MBq", "p0.activity", "1.33", "p0.activity.unit", "GBq").Recorded()
}

// LabelLink finds the address of a label on a page.
var LabelLink = regexp.MustCompile(`/labels/([0-9A-Z]{12})\.pdf`)

func (s *Story) label() {
	s.Helper()
	s.Clock.Set("11:45")
	s.Step(s.T1, "label").Recorded()
	m := LabelLink.FindStringSubmatch(s.T1.Look(Bench).Body)
	if m == nil {
		s.Fatal("no label on the bench")
	}
	s.Serial = m[1]
}

func (s *Story) release() {
	s.Helper()
	s.Clock.Set("11:50")
	s.Step(s.RP, "release", "p0.serial", s.Serial).Recorded()
}

func (s *Story) handOver() {
	s.Helper()
	s.Clock.Set("12:30")
	s.Step(s.RP, "hand-over", "p0.serial", s.Serial, "p0.to", "SN1", "p0.place", "suite 2", "pin2", PIN).Recorded()
}

func (s *Story) timeOut() {
	s.Helper()
	s.Clock.Set("13:25")
	s.Nurse.Fill(Bench+"/time-out", "step", Bench+"/time-out", "p0.patient", "DEMO-0042", "p0.second-identifier", s.Second, "p0.territory", s.Territory,
		"p0.activity", "1.33", "p0.activity.unit", "GBq", "p0.with", "DR1", "pin2", PIN).Recorded()
}

// Case is everything that was recorded of the work.
func Case(s *Story) *kit.File {
	all := s.Server.Lab.Last(math.MaxInt)
	newest := uint64(len(all))
	return &kit.File{Records: slices.DeleteFunc(all, func(r journal.Record) bool { return fact.Is(r.Fact, fact.Account) }), Newest: newest}
}

// Facts are the facts of a kind in the case, in their order.
func (s *Story) Facts(kind string) []fact.Fact {
	s.Helper()
	var out []fact.Fact
	for _, r := range Case(s).Records {
		if fact.Word(r.Fact) == kind {
			out = append(out, r.Fact)
		}
	}
	return out
}

// Touch is the one touch, sent with a nonce.
func (s *Story) Touch(b *Browser, nonce string) *Page {
	s.Helper()
	return b.Post(Bench+"/resuspend", url.Values{"nonce": {nonce}, "p0.of": {"S1"}})
}
