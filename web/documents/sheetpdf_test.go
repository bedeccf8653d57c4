package documents_test

import (
	"regexp"
	"strconv"
	"strings"
	"testing"

	"vialwright/fact"
	"vialwright/fold"
	"vialwright/journal"
	"vialwright/quantity"
	"vialwright/store"
	"vialwright/web"
	"vialwright/web/webtest"
)

// printedSheet is the text of the sheet of an order, by poppler.
func printedSheet(s *webtest.Story, order string) string {
	s.Helper()
	return s.T1.Printed("/sheet/" + order + ".pdf")
}

// Under each step stands what was recorded for it, and nowhere "Nothing
// recorded" of what was.
func TestSheetHasEveryStep(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("survey")
	s.T1.Fill("/day/enter/discard", "discard", "/day/enter/discard", "p0.from", "A1", "p0.into", "W1").Recorded()
	text := printedSheet(s, "P1")
	sections := regexp.MustCompile(`(?m)^\d+ (Order|Readiness|Receipt|Assay|Plan|Draw|Make-up|Transfer|Independent|Time-out|Residual|Surveys|Waste)[^\n]*$`).Split(text, -1)
	if len(sections) < 14 {
		t.Fatalf("%d steps: %s", len(sections)-1, text)
	}
	for _, want := range []struct {
		step  string
		words []string
	}{
		{"Readiness", []string{"readiness check", "meter constancy"}},
		{"Independent check, labels, release", []string{"second check", "label printed", "released", "handed over"}},
		{"Time-out and infusion", []string{"time-out", "complete"}},
		{"Surveys and contamination", []string{"survey"}},
		{"Waste", []string{"W1"}},
	} {
		_, rest, ok := strings.Cut(text, " "+want.step+"\n")
		next := regexp.MustCompile(`(?m)^\d+ [A-Z][a-z-]+|^Record: every`).FindStringIndex(rest)
		if !ok || next == nil {
			t.Fatalf("no section %s: %s", want.step, text)
		}
		for _, w := range want.words {
			if !strings.Contains(rest[:next[0]], w) {
				t.Errorf("%s does not say %q: %s", want.step, w, rest[:next[0]])
			}
		}
	}
	if strings.Contains(text, "Nothing recorded.") {
		t.Errorf("a step says that nothing was recorded: %s", text)
	}
	if strings.Contains(text, "Over the") || strings.Contains(text, "0.0000") {
		t.Error("old words, or a silly number")
	}
}

// A revision that nobody signed asks for no volume on the sheet either; signed, it does.
func TestSheetOfAnUnsignedRevision(t *testing.T) {
	const asks = "To reach the target"
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("remainder")
	s.DR.Fill(webtest.Entry(1), "correct", webtest.Entry(1), "p0.reason", "less after all", "p0.with.order.prescribed", "1.00 GBq", "p0.with.order.version", "2").Recorded()
	if text := printedSheet(s, "P1"); strings.Contains(text, asks) {
		t.Errorf("the sheet asks for a volume: %s", text)
	}
	s.Sign()
	if text := printedSheet(s, "P1"); !strings.Contains(text, asks) {
		t.Errorf("signed, the sheet asks for none: %s", text)
	}
}

// Before the residual is read the sheet has the dose rate before alone, with
// the number of its own entry.
func TestSheetBeforeTheResidual(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("infusion")
	text := printedSheet(s, "P1")
	if strings.Contains(text, "0000-12-31") || strings.Contains(text, "0001-01-01") {
		t.Errorf("a time that never was is on the sheet: %s", text)
	}
	before := regexp.MustCompile(`(?m)^(\d+) before`).FindStringSubmatch(text)
	s.Go("residual")
	after := regexp.MustCompile(`(?m)^(\d+) (before|after) 2027`).FindAllStringSubmatch(printedSheet(s, "P1"), -1)
	if before == nil || len(after) != 2 || after[0][1] != before[1] || after[1][1] == before[1] {
		t.Errorf("the dose rates carry the entries %v, then %v", before, after)
	}
}

// One order, one sheet: of another patient's dose from the same vial there is
// neither the patient nor the dose.
func TestSheetIsOfOnePatient(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("make-up")
	at := "/day"
	s.RP.Fill(at+"/enter/order", "order", at+"/enter/order", "p0.id", "P2", "p0.patient", "DEMO-0077", "p0.territory", "left lobe", "p0.prescribed", "0.77", "p0.prescribed.unit", "GBq",
		"p0.at", "2027-03-04T15:30", "p0.residual", "2", "p0.by", "E. Example").Recorded()
	bench := "/order/P2"
	s.Clock.Set("11:30")
	s.T1.Fill(bench, "resuspend", bench+"/step/resuspend").Recorded()
	s.T1.Fill(bench+"/step/draw", "step", bench+"/step/draw", "p0.volume", "1.3").Recorded()
	s.Clock.Set("11:34")
	s.T1.Fill(bench+"/step/remainder", "step", bench+"/step/remainder", "p0.gross", "1.07", "p0.gross.unit", "GBq", "p0.background", "0.2", "p0.background.unit", "MBq").Recorded()
	for order, others := range map[string][]string{
		"P1": {"P2", "DEMO-0077", "left lobe", "0.77 GBq", "770 MBq", "1.07", "Y2"},
		"P2": {"P1", "DEMO-0042", "right lobe", "1.3 GBq", "1300 MBq"},
	} {
		text := printedSheet(s, order)
		for _, w := range others {
			if at := regexp.MustCompile(`\b` + w + `\b`).FindStringIndex(text); at != nil {
				t.Errorf("the sheet of %s says %q: ...%s", order, w, text[max(0, at[0]-150):min(len(text), at[1]+60)])
			}
		}
		if !strings.Contains(text, map[string]string{"P1": "DEMO-0042", "P2": "DEMO-0077"}[order]) {
			t.Errorf("the sheet of %s does not name its patient", order)
		}
	}
	s.T1.Look("/sheet/P9.pdf").Says(404)
}

// A reading that was corrected stands on the sheet as it was and as it is, with
// who changed it and why; and the second check with both figures and their
// difference.
func TestSheetHasCorrectionsAndTheSecondCheck(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("remainder")
	var n string
	for _, e := range fold.Entries(webtest.Case(s).Records) {
		if r, ok := e.Fact.(*fact.Read); ok && r.Gross.Text == "1.87 GBq" {
			n = strconv.Itoa(e.Number)
		}
	}
	entry := "/entry/" + n + "/correct"
	s.T1.Fill(entry, "correct", entry, "p0.reason", "the display was read again", "p0.with.read.gross", "1.86 GBq", "pin", webtest.PIN).Recorded()
	for _, c := range webtest.Chapters[6:10] {
		c.Tell(s)
	}
	text := strings.Join(strings.Fields(printedSheet(s, "P1")), " ")
	for _, w := range []string{
		"1.86 GBq (50.27 mCi)", "was: meter reading", "1.87 GBq", "reason: the display was read again", "corrects entry " + n,
		"Second check, entry", "First figure, of the record", "Second figure, reading of", "[second - first = ", "Difference, % of the first", "Agrees",
	} {
		if !strings.Contains(text, w) {
			t.Errorf("the sheet does not say %q: %s", w, text)
		}
	}
}

// The decay table of the blank sheet is for the half-life of the site, which the figures of the
// program go by: f(2 d) = 2^(-48 h/64.2 h) = 0.5956, where the evaluated one has 0.5948.
func TestBlankSheetHasTheHalfLifeOfTheSite(t *testing.T) {
	halfLife, err := quantity.Parse[quantity.Span]("64.2 h")
	if err != nil {
		t.Fatal(err)
	}
	l := webtest.New(t, func(c *web.Config) {
		links, err := journal.Seal(journal.Head{}, func() journal.Salt { return journal.Salt{1} }, journal.Record{
			Recorded: c.Clock(), By: "setup", Fact: &fact.Site{Zone: c.Zone, HalfLife: halfLife},
		})
		if err != nil {
			t.Fatal(err)
		}
		first := store.Record{Seq: links[0].Seq, Hash: links[0].Hash, Body: []byte(links[0].Body)}
		if err := c.Log.Append(t.Context(), store.Head{}, first); err != nil {
			t.Fatal(err)
		}
	}).Hire()
	text := l.As("T1").Printed("/blank.pdf")
	if !strings.Contains(text, "Half-life used 64.2 h") || !strings.Contains(text, "f 0.5956 ") {
		t.Errorf("not that of the site: %s", text)
	}
}
