package preparation_test

import (
	"slices"
	"strings"
	"testing"

	"vialwright/fact"
	"vialwright/quantity"
	"vialwright/rules"
	"vialwright/web"
	"vialwright/web/kit"
	"vialwright/web/webtest"
)

// ruledLab names the rule profile us, and no limit of the site's own, which would stop
// beside it.
func ruledLab(t *testing.T) func(*web.Config) {
	t.Helper()
	us, err := rules.Load("us")
	if err != nil {
		t.Fatal(err)
	}
	return func(c *web.Config) {
		c.Rules = &us
		for _, f := range c.Site {
			if p, ok := f.(*fact.Policy); ok {
				p.Limit = quantity.Stated[quantity.Fraction]{}
			}
		}
	}
}

// rememberedLab is one whose profile has the exceptions from memory.
func rememberedLab(t *testing.T) func(*web.Config) {
	t.Helper()
	us := ruledLab(t)
	return func(c *web.Config) {
		us(c)
		for i, v := range c.Rules.Values {
			if slices.Contains([]rules.Key{rules.ExceptStasis, rules.ExceptEmergent, rules.ReviseWithin}, v.Key) {
				c.Rules.Values[i].Mark = rules.Memory
			}
		}
	}
}

// ruled is a story in a laboratory that has named a rule profile; its order says
// what it rests on.
func ruled(t *testing.T, order ...string) *webtest.Story {
	t.Helper()
	return ruledIn(t, ruledLab(t), order...)
}

func ruledIn(t *testing.T, lab func(*web.Config), order ...string) *webtest.Story {
	t.Helper()
	s := webtest.NewStory(webtest.New(t, lab).Hire())
	s.RP.Fill("/day/enter/order", "order", "/day/enter/order", append([]string{
		"p0.id", "P1", "p0.patient", "DEMO-0042", "p0.territory", "right lobe", "p0.prescribed", "1.30", "p0.prescribed.unit", "GBq",
		"p0.at", "2027-03-04T13:30", "p0.residual", "2", "p0.by", "D. Example",
	}, order...)...).Recorded()
	s.Sign()
	return untilInfusion(s, order)
}

// untilInfusion goes on until the dose is in the suite.
func untilInfusion(s *webtest.Story, order []string) *webtest.Story {
	if i := slices.Index(order, "p0.second-identifier"); i >= 0 {
		s.Second = order[i+1]
	}
	for _, c := range webtest.Chapters[1:] {
		if c.Key == "infusion" {
			return s
		}
		c.Tell(s)
	}
	return s
}

// infuse ends the infusion, with what is said of it; that another territory was treated is
// asked about, and is so.
func infuse(s *webtest.Story, changes ...string) {
	s.Helper()
	p := s.Step(s.Nurse, "infusion", append([]string{"p0.start", "2027-03-04T13:30", "p0.stop", "2027-03-04T14:05"}, changes...)...)
	if slices.Contains(changes, "p0.treated") {
		p = s.Nurse.Post(webtest.Bench+"/step/infusion", p.Answered("step", "p0.treated", 0))
	}
	p.Recorded()
}

// infused ends the infusion for a reason and reads a residual of about a third.
func infused(s *webtest.Story, changes ...string) {
	s.Clock.Set("14:10")
	infuse(s, changes...)
	s.Clock.Set("15:12")
	s.Step(s.T1, "residual", "p0.after.rate", "60 60 60 60", "p0.after.background", "0.2").Recorded()
}

// TestEventOnTheBench: after the residual the bench says which paragraph applies,
// and until when; the draft names no patient.
func TestEventOnTheBench(t *testing.T) {
	s := ruled(t, "p0.or-at-stasis", "no")
	infused(s, "p0.reason", "blockage", "p0.evidence", "DEMO-0042 lay still, the line was blocked")
	p := s.T1.Look(webtest.Bench + "/step/residual")
	if strings.Contains(p.Text(), "does not say which rule applies") {
		t.Error("the bench says that it cannot say which rule applies, and a profile does")
	}
	p.Says(200, "Rules").Says(200, "10 CFR 35.3045(a) [verified]").Says(200, "excuses nothing").Says(200, "By the end of 2027-03-05")
	s.T1.Look("/").Says(200, "P1: Tell the authority by telephone by the end of 2027-03-05 (1 d 9 h left).")
	draft := s.T1.Look(webtest.Bench+"/draft").Says(200, "Prescribed: 1.30 GBq").Says(200, "[###] lay still")
	if strings.Contains(draft.Text(), "0042") {
		t.Errorf("the draft names the patient:\n%s", draft.Text())
	}
}

// The draft of a report is marked in practice, as everything is that can be printed.
func TestPracticeDraftIsMarked(t *testing.T) {
	rules := ruledLab(t)
	s := ruledIn(t, func(c *web.Config) { rules(c); c.Practice = true }, "p0.or-at-stasis", "no")
	infused(s, "p0.reason", "blockage", "p0.evidence", "the line was blocked")
	if draft := s.T1.Look(webtest.Bench+"/draft").Says(200, "Bench of P1"); !strings.Contains(draft.Text(), kit.PracticeMark+" DRAFT OF A REPORT") {
		t.Errorf("the draft is not marked: %s", draft.Text())
	}
}

// TestStasisOnTheBench: stasis is no event where the order allows it and somebody saw it
// with a free path, with how that is known. By a profile that has it from memory, stasis lifts nothing, though the
// order allows it and somebody saw it with a free path: the report is asked for, and the
// paragraph that may lift it is named, until a person has judged.
func TestStasisOnTheBench(t *testing.T) {
	at := func(lab func(*web.Config)) *webtest.Story {
		s := ruledIn(t, lab, "p0.or-at-stasis", "yes")
		infused(s, "p0.reason", "stasis", "p0.evidence", "radiologist: no forward flow", "p0.path-free", "yes")
		return s
	}
	at(ruledLab(t)).T1.Look(webtest.Bench+"/step/residual").Says(200, "No event: stasis and the order allowed it", "[second-hand]")
	s := at(rememberedLab(t))
	s.T1.Look(webtest.Bench+"/step/residual").Says(200, "Event; the exception for stasis is from memory only: the physician or the radiation safety officer must check").
		Says(200, "from memory, not read for this profile", "By the end of 2027-03-05")
	s.T1.Look("/").Says(200, "P1: Tell the authority by telephone by the end of 2027-03-05")
}

// TestPrescriptionOnTheBench: an order that says what it rests on is checked when
// it is entered, and refused at its field where the figures cannot belong together.
func TestPrescriptionOnTheBench(t *testing.T) {
	rests := []string{
		"p0.dosimetry.method", "partition", "p0.dosimetry.tumour-mass", "0.2", "p0.dosimetry.tumour-mass.unit", "kg", "p0.dosimetry.normal-mass", "1.4", "p0.dosimetry.normal-mass.unit", "kg",
		"p0.dosimetry.tumour-to-normal", "3 to 1", "p0.dosimetry.lung-shunt", "6.25", "p0.dosimetry.lung-shunt-method", "planar geometric mean",
	}
	s := ruled(t, rests...)
	// 1.3 GBq of the example of the package comment of dose: 104.77·1.3/1.5·49.73/49.67.
	s.T1.Look(webtest.Bench).Says(200, "Check of the prescription, never a plan").Says(200, "about 91 Gy").Says(200, "EANM").Says(200, "this one binds").Says(200, "a convention, from memory")
	infused(s, "p0.reason", "complete")
	s.T1.Look(webtest.Bench+"/step/residual").Says(200, "not an image-based dose")
	s.RP.Fill("/day/enter/order", "order", "/day/enter/order", append(rests, "p0.id", "P2", "p0.patient", "DEMO-0043", "p0.territory", "left lobe", "p0.prescribed", "1.30", "p0.prescribed.unit", "GBq",
		"p0.at", "2027-03-04T16:30", "p0.by", "D. Example", "p0.dosimetry.perfused-mass", "1.0", "p0.dosimetry.perfused-mass.unit", "kg")...).Says(422, "check all three")
	// What cannot belong together is refused in the form as it is on the command line, with the way out.
	order := []string{"p0.id", "P2", "p0.patient", "DEMO-0043", "p0.territory", "left lobe", "p0.prescribed", "1.30", "p0.prescribed.unit", "GBq", "p0.at", "2027-03-04T16:30", "p0.by", "D. Example"}
	enter := func(d ...string) *webtest.Page {
		fields := slices.Clone(order)
		for _, kept := range []string{"perfused-mass", "closed-system-ratio", "lung-shunt", "lung-shunt-method"} { // of what was refused before
			fields = append(fields, "p0.dosimetry."+kept, "")
		}
		for _, region := range []string{"lungs", "liver", "background"} {
			for _, view := range []string{"anterior", "posterior", "area"} {
				fields = append(fields, "p0.dosimetry.lung-shunt-counts."+region+"."+view, "")
			}
		}
		for i := 0; i < len(d); i += 2 {
			fields = append(fields, "p0.dosimetry."+d[i], d[i+1])
		}
		return s.RP.Fill("/day/enter/order", "order", "/day/enter/order", fields...)
	}
	masses := []string{"tumour-mass", "0.2", "tumour-mass.unit", "kg", "normal-mass", "1.4", "normal-mass.unit", "kg"}
	enter("method", "closed-system", "tumour-mass", "0.3", "tumour-mass.unit", "kg", "closed-system-ratio", "1.2 to 1", "lung-shunt", "10", "lung-shunt-method", "planar").
		Says(422, "a lung shunt fraction is lungs/(lungs + liver)", "Write tumour-lung-share, or choose the partition method")
	enter(append(masses, "method", "partition", "tumour-to-normal", "3 to 1",
		"lung-shunt-counts.lungs.anterior", "1000", "lung-shunt-counts.lungs.posterior", "900", "lung-shunt-counts.lungs.area", "2400",
		"lung-shunt-counts.liver.anterior", "181000", "lung-shunt-counts.liver.posterior", "151000", "lung-shunt-counts.liver.area", "1500",
		"lung-shunt-counts.background.anterior", "600", "lung-shunt-counts.background.posterior", "550", "lung-shunt-counts.background.area", "1200")...).
		Says(422, "are -200 anterior and -200 posterior, and both have to be above 0", "Check the counts, the areas and the place of the background")
	enter(append(masses, "method", "partition", "tumour-to-normal", "3 to 1", "lung-shunt", "6.25", "lung-shunt-method", "planar", "absorbed-dose", "300", "to", "tumour")...).Recorded()
	s.DR.Look("/order/P2").Says(200, "ask the physician which of the two is meant")
}

// TestOrderByAbsorbedDose: an order may name an absorbed dose alone. The activity
// follows, is shown with its working where the physician signs, and a revision
// voids the signature. D = K·A·(1 - L)/m with K = 49.72542 (MIRD): 120 Gy to 0.8 kg
// at a shunt of 8 % are 96/(49.72542·0.92) = 2.09848 GBq.
func TestOrderByAbsorbedDose(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire())
	order := []string{
		"p0.id", "P1", "p0.patient", "DEMO-0042", "p0.one-identifier", "", "p0.at", "2027-03-04T13:30", "p0.by", "D. Example", "p0.dosimetry.method", "mono-compartment",
		"p0.dosimetry.absorbed-dose", "120", "p0.dosimetry.to", "perfused-volume", "p0.dosimetry.perfused-mass", "0.8", "p0.dosimetry.perfused-mass.unit", "kg",
		"p0.dosimetry.lung-shunt", "8", "p0.dosimetry.lung-shunt-method", "entered from the report",
	}
	enter := func(more ...string) *webtest.Page {
		return s.RP.Fill("/day/enter/order", "order", "/day/enter/order", append(order, more...)...)
	}
	enter().Says(422, "one identifier of the patient").Says(422, "why there is one only")
	enter("p0.second-identifier", "DEMO-0042").Says(422, "the first one again")
	enter("p0.second-identifier", "STAY-7", "p0.dosimetry.lung-shunt", "", "p0.dosimetry.lung-shunt-counts.lungs.anterior", "12000").Says(422)
	enter("p0.second-identifier", "STAY-7", "p0.site", "liver", "p0.territory", "right lobe", "p0.dosimetry.lung-shunt-counts.lungs.anterior", "").Recorded()
	s.DR.Look(webtest.Bench).Says(200, "2.1 GBq", "D = K·A·(1 - L)/m", "120 Gy to the perfused volume by the mono-compartment method", "the signature stands under it", "STAY-7", "liver")
	s.Sign()
	if x, _ := s.Facts("sign-order")[0].(*fact.SignOrder); x.Activity.Text != "2.1 GBq" {
		t.Errorf("signed is %q", x.Activity.Text)
	}
	s.RP.Fill(webtest.Entry(1), "correct", webtest.Entry(1), "p0.reason", "not at hand", "p0.with.order.second-identifier", "").Says(422, "he order would have one identifier of the patient")
	s.RP.Fill(webtest.Entry(1), "correct", webtest.Entry(1), "p0.with.order.second-identifier", "STAY-7", "p0.reason", "the mass was that of the whole liver", "p0.with.order.dosimetry.perfused-mass", "0.7 kg").Recorded()
	s.DR.Look(webtest.Bench).Says(200, "the order changed after it was signed", "1.84 GBq")
}

// TestBaselineIsAsked: a dose rate that no dose of such an activity has is asked
// about before it is recorded, without a figure of the dose, which who enters it
// may be about to check.
func TestBaselineIsAsked(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("transfer")
	p := s.Step(s.T1, "baseline", "p0.before.rate", "990000", "p0.before.background", "0.2")
	p.Says(422, "does not fit what the readings of this dose give").Says(422, "published order of magnitude")
	s.Step(s.T1, "baseline", "p0.before.rate", "182", "p0.before.background", "0.2").Recorded()
}

// TestJarInAnotherUnit: the jar is read in the unit of the meter, which cancels: 18.2 mR/h
// before and 0.64 after over a background of 0.02 leave the same share as ten times as many
// uSv/h do. It is printed as it was read, and a second unit beside it is refused.
func TestJarInAnotherUnit(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, ruledLab(t)).Hire()).Until("transfer")
	s.Clock.Set("11:30")
	unit := func(half string, unit string) []string {
		return []string{"p0." + half + ".rate.unit", unit, "p0." + half + ".background.unit", unit}
	}
	s.Step(s.T1, "baseline", append(unit("before", "mR/h"), "p0.before.rate", "18.2 18.0 18.4 18.1", "p0.before.background", "0.2", "p0.before.background.unit", "uSv/h")...).Says(422, "one does not turn into the other", "ead both with one meter")
	s.Step(s.T1, "baseline", append(unit("before", "mR/h"), "p0.before.rate", "18.2 18.0 18.4 18.1", "p0.before.background", "0.02")...).Recorded()
	baseline := lastOf(s, "residual")
	s.Go("second-check", "label", "release", "hand-over", "time-out", "infusion")
	s.Clock.Set("15:12")
	if v := s.T1.Look(webtest.Bench + "/step/residual").Form("step"); v.Get("p0.after.rate.unit") != "mR/h" || v.Get("p0.after.background.unit") != "mR/h" {
		t.Errorf("the residual is asked in another unit than the baseline: %v", v)
	}
	s.Step(s.T1, "residual", append(unit("after", "uSv/h"), "p0.after.rate", "6.4", "p0.after.background", "0.2")...).Says(422, "he reading before is in mR/h and the one after in µSv/h")
	s.Step(s.T1, "residual", append(unit("after", "mR/h"), "p0.after.rate", "0.64 mR/h 620 uR/h 0.66 0.64", "p0.after.background", "0.02")...).Recorded()
	s.T1.Look(webtest.Bench).Says(200, "1.282 ± 0.039 GBq")
	if sheet := s.T1.Printed("/sheet/P1.pdf"); !strings.Contains(sheet, "18.2 mR/h, 18.0 mR/h, 18.4 mR/h, 18.1 mR/h") || !strings.Contains(sheet, "0.64 mR/h") {
		t.Errorf("the sheet does not say what the meter showed:\n%s", sheet)
	}
	// Both were typed in a wrong unit: each is corrected by itself, and until both are there
	// is no residual.
	for _, c := range []struct{ half, at, rate, background, says string }{
		{"after", lastOf(s, "residual"), "6.4 uSv/h, 6.2 uSv/h, 6.6 uSv/h, 6.4 uSv/h", "0.2 uSv/h", "before and after its infusion are in mR/h and µSv/h, and one does not turn into the other: correct the one that is in the wrong unit"},
		{"before", baseline, "182 uSv/h, 180 uSv/h, 184 uSv/h, 181 uSv/h", "0.2 uSv/h", "1.282 ± 0.039 GBq"},
	} {
		with := "p0.with.residual." + c.half
		s.T1.Fill(c.at, "correct", c.at, "p0.reason", "the unit of the meter was misread", with+".rate", c.rate, with+".background", c.background).Recorded()
		page := s.T1.Look(webtest.Bench+"/step/residual").Says(200, c.says)
		if half := c.half == "after"; half == strings.Contains(page.Text(), "1.282") {
			t.Errorf("%s corrected: the bench says %s", c.half, page.Text())
		}
	}
}

// What was delivered with most of it left behind is known to a tenth: its large figure has no
// more digits than the uncertainty beside it.
func TestLargeFigureFitsItsUncertainty(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, ruledLab(t)).Hire()).Until("infusion")
	s.Clock.Set("15:12")
	s.Step(s.T1, "residual", "p0.after.rate", "64 uSv/h 62 uSv/h 66 uSv/h 64 uSv/h", "p0.after.background", "0.2").Recorded()
	page := s.T1.Look(webtest.Bench).Text()
	if !strings.Contains(page, "0.84 GBq delivered") || !strings.Contains(page, "840 ± 100 MBq") {
		t.Errorf("the bench says %s", page)
	}
}

// The residual is asked in the very unit of the baseline: a bare number of a meter that
// shows mrem/h would be ten times too low as µSv/h.
func TestResidualInTheUnitOfTheBaseline(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, ruledLab(t)).Hire()).Until("transfer")
	s.Clock.Set("11:30")
	s.Step(s.T1, "baseline", "p0.before.rate", "18.2 mrem/h 18.0 mrem/h", "p0.before.background", "0.02 mrem/h").Recorded()
	s.Go("second-check", "label", "release", "hand-over", "time-out", "infusion")
	s.Clock.Set("15:12")
	page := s.T1.Look(webtest.Bench + "/step/residual")
	if v := page.Form("step"); v.Get("p0.after.rate.unit") != "mrem/h" || v.Get("p0.after.background.unit") != "mrem/h" {
		t.Errorf("the residual is asked in %s over %s", v.Get("p0.after.rate.unit"), v.Get("p0.after.background.unit"))
	}
}

// TestOrderCompleted: after the residual the physician completes the order on one
// form, filled in with what was delivered, the odds, the paragraph and the reason. A
// completion after its deadline says so, on the page and in the entry.
func TestOrderCompleted(t *testing.T) {
	s := ruled(t, "p0.or-at-stasis", "no")
	at := webtest.Bench + "/step/complete-order"
	if strings.Contains(s.DR.Look(webtest.Bench).Body, `id="complete-order"`) {
		t.Error("an order is completed before its dose was given")
	}
	infused(s, "p0.reason", "blockage", "p0.evidence", "the line was blocked")
	s.DR.Look("/").Says(200, "Complete this order", "Complete the order at the latest by Fri 5 Mar 14:05")
	s.Nurse.Fill(webtest.Bench, "milestone", webtest.Bench+"/step/milestone", "p0.what", "procedure-ended", "p0.at", "2027-03-04T14:20").Recorded()
	s.Clock.Set("15:50")
	s.Nurse.Fill(webtest.Bench, "milestone", webtest.Bench+"/step/milestone", "p0.what", "left-recovery", "p0.at", "2027-03-04T15:50").Recorded()
	s.DR.Look("/").Says(200, "Complete the order at the latest by Fri 5 Mar 14:20")
	s.Clock.Set("16:00")
	p := s.DR.Look(webtest.Bench)
	p.Says(200, "Probability of being beyond the limit", "10 CFR 35.3045(a) [verified]", "blockage", "completed 10 min after the patient left recovery")
	s.DR.Fill(webtest.Bench, "complete-order", at).Recorded()
	x, _ := s.Facts("complete-order")[0].(*fact.CompleteOrder)
	if x == nil || x.Late != "10 min after the patient left recovery" || x.Outcome != "event" || x.Delivered.Value <= 0 || x.DeliveredU.Value <= 0 || x.Beyond.Text == "" || x.Version != "1" {
		t.Errorf("the completion holds %+v", x)
	}
	done := s.DR.Look(webtest.Bench)
	done.Says(200, "Order completed", "10 min after the patient left recovery")
	if strings.Contains(done.Body, `id="complete-order"`) || strings.Contains(s.DR.Look("/").Text(), "omplete th") {
		t.Error("what is completed is asked for again")
	}
	s.Clock.Set("16:20")
	s.Step(s.T1, "survey", "p0.rate", "0.3", "p0.background", "0.2").Recorded()
	// The record is closed once the deviation is explained: the stop says so, with the way there.
	if p := s.RP.Look(webtest.Bench).Says(200, "Write a deviation for order P1 first."); !strings.Contains(p.Body, `href="#deviation"`) {
		t.Error("nothing leads to the deviation that the record waits for")
	}
	// Another reading of the residual changes what was delivered: it is completed again.
	s.T1.Fill(lastOf(s, "residual"), "correct", lastOf(s, "residual"), "p0.reason", "another scale", "p0.with.residual.after.rate", "30 uSv/h, 30 uSv/h").Recorded()
	s.DR.Look(webtest.Bench).Says(200, "has changed since: it is completed again", "Complete this order")
}

// lastOf is the address of the correction of the last entry of a kind.
func lastOf(s *webtest.Story, kind string) string {
	n := 0
	for _, r := range webtest.Case(s).Records {
		if fact.Word(r.Fact) == kind {
			n = r.N
		}
	}
	return webtest.Entry(n - webtest.Settings)
}

// TestClocksOutlastTheRecord: an event keeps its countdown on the board after the
// record of the order was closed, until all it asks for is recorded or a person has
// judged that it is none.
func TestClocksOutlastTheRecord(t *testing.T) {
	for _, end := range [][]string{{"referrer-and-patient", "authority", "written-report"}, {"no-event"}} {
		s := ruled(t, "p0.or-at-stasis", "no")
		infused(s, "p0.reason", "blockage", "p0.evidence", "the line was blocked")
		s.DR.Fill(webtest.Bench, "complete-order", webtest.Bench+"/step/complete-order").Recorded()
		s.Clock.Set("16:00")
		s.Go("survey")
		s.RP.Fill(webtest.Bench, "deviation", webtest.Bench+"/step/deviation", "p0.text", "a third was given").Recorded()
		s.Go("close")
		const asks = "Tell the authority by telephone"
		s.T1.Look("/").Says(200, "P1: "+asks)
		for _, what := range end {
			s.RP.Fill(webtest.Bench, "event-report", webtest.Bench+"/step/event-report", "p0.what", what, "p0.text", "by the physicist, by telephone").Recorded()
		}
		if p := s.T1.Look("/"); strings.Contains(p.Text(), asks) || strings.Contains(p.Text(), "written report") {
			t.Errorf("%v: the board still counts down: %s", end, p.Text())
		}
	}
}

// TestCompletionOutlastsTheRecord: an order within its limits stays on the board with its
// deadline after its record was closed, until the physician completed it.
func TestCompletionOutlastsTheRecord(t *testing.T) {
	s := ruled(t, "p0.or-at-stasis", "no")
	s.Go("infusion", "residual", "survey", "close")
	s.RP.Fill("/day/enter/discard", "discard", "/day/enter/discard", "p0.from", "S1", "p0.into", "WB-1").Recorded()
	const asks = "P1: Complete the order at the latest by Fri 5 Mar 14:05"
	s.T1.Look("/").Says(200, asks, "Closed, not completed")
	s.DR.Look("/").Says(200, asks, "Complete this order")
	s.DR.Fill(webtest.Bench, "complete-order", webtest.Bench+"/step/complete-order").Recorded()
	if text := s.T1.Look("/").Text(); strings.Contains(text, "omplete the order") || strings.Contains(text, "P1:") {
		t.Errorf("the board still asks: %s", text)
	}
}

// TestEventBeforeTheJar: what makes an event whatever the jar will say is shown with its
// clock as soon as it is recorded: another territory, and also an end that nothing
// excuses waits on the board for what was delivered.
func TestEventBeforeTheJar(t *testing.T) {
	for name, c := range map[string]struct{ changes, says []string }{
		"another territory": {
			[]string{"p0.reason", "complete", "p0.treated", "left lobe"},
			[]string{"P1: Tell the authority by telephone by the end of 2027-03-05", "Ordered was right lobe, treated was left lobe", "Tell the referring physician and the patient", "By 2027-03-05 14:05"},
		},
		"a leak": {
			[]string{"p0.reason", "leak", "p0.evidence", "the line was wet"},
			[]string{"P1: Whether it was an event: cannot say: what was delivered: neither the jar nor the parts were read", "Cannot say: what was delivered"},
		},
		"parts alone": { // nobody read the jar: 0.6 of 1.33 GBq are in the vial
			[]string{"p0.reason", "other", "p0.text", "not known yet"},
			[]string{"P1: Tell the authority by telephone by the end of 2027-03-05", "beyond the limit of 20 % or more below by 10 CFR 35.3045(a) [verified]", "by Fri 5 Mar 14:30"},
		},
		"nothing yet": {[]string{"p0.reason", "complete"}, nil},
	} {
		s := ruled(t, "p0.or-at-stasis", "no")
		s.Clock.Set("14:10")
		infuse(s, c.changes...)
		if name == "parts alone" {
			s.Clock.Set("14:30")
			read := []string{"p0.gross.unit", "MBq", "p0.background", "0.2", "p0.background.unit", "MBq"}
			s.T1.Fill(webtest.Bench, "reading", webtest.Bench+"/step/reading", append(read, "p0.of", "A1", "p0.gross", "600")...).Recorded()
			s.T1.Fill(webtest.Bench, "parts", webtest.Bench+"/step/parts", append(read, "p0.holds", "line, catheter and swabs", "p0.gross", "9.1")...).Recorded()
		}
		text := s.T1.Look("/").Text() + s.T1.Look(webtest.Bench).Text()
		for _, want := range c.says {
			if !strings.Contains(text, want) {
				t.Errorf("%s: %q is not said in %s", name, want, text)
			}
		}
		if c.says == nil && strings.Contains(text, "event") {
			t.Errorf("%s: %s", name, text)
		}
	}
}

// TestUndecidedOutlastsTheRecord: what a rule profile cannot say without stays on the
// board after the record was closed, until it is entered or a person has judged.
func TestUndecidedOutlastsTheRecord(t *testing.T) {
	const asks = "P1: Whether it was an event: cannot say: whether the order says \"or at stasis\"."
	for _, judged := range []bool{true, false} {
		s := ruledIn(t, ruledLab(t))
		infused(s, "p0.reason", "stasis", "p0.evidence", "radiologist: no forward flow", "p0.path-free", "yes")
		both := asks + " Complete the order at the latest by Fri 5 Mar "
		if text := s.T1.Look("/").Says(200, both).Text(); strings.Count(text, "See P1") != 1 {
			t.Errorf("one order has more than one line of what is due: %s", text)
		}
		s.DR.Fill(webtest.Bench, "complete-order", webtest.Bench+"/step/complete-order").Recorded()
		s.Clock.Set("16:00")
		s.Go("survey")
		s.RP.Fill(webtest.Bench, "deviation", webtest.Bench+"/step/deviation", "p0.text", "a third was given").Recorded()
		s.Go("close")
		s.RP.Fill("/day/enter/discard", "discard", "/day/enter/discard", "p0.from", "S1", "p0.into", "WB-1").Recorded()
		s.T1.Look("/").Says(200, asks)
		done := func() bool {
			text := s.T1.Look(webtest.Bench).Text()
			return strings.Contains(text, "Everything is done") || strings.Contains(text, "is complete.")
		}
		if done() {
			t.Error("the bench says that everything is done while it is not decided whether it was an event")
		}
		if judged {
			s.RP.Fill(webtest.Bench, "event-report", webtest.Bench+"/step/event-report", "p0.what", "no-event", "p0.text", "the order was read again by the physicist").Recorded()
		} else {
			p := s.RP.Fill(webtest.Entry(1), "correct", webtest.Entry(1), "p0.reason", "the order says so", "p0.with.order.or-at-stasis", "yes", "p0.countersigned", "MP1", "pin2", webtest.PIN)
			v := p.Form("correct")
			v.Set("p0.reason.answer", p.Choice("p0.reason.answer", 0))
			v.Set("pin", webtest.PIN)
			v.Set("pin2", webtest.PIN)
			s.RP.Post(webtest.Entry(1), v).Recorded()
		}
		if text := s.T1.Look("/").Text(); strings.Contains(text, "Whether it was an event") {
			t.Errorf("judged %v: the board still asks: %s", judged, text)
		}
	}
}

// TestEmergentRevised: an order that ended for an emergent condition asks for its
// revision in the completion, and runs until it is there.
func TestEmergentRevised(t *testing.T) {
	s := ruled(t, "p0.or-at-stasis", "no")
	infused(s, "p0.reason", "emergent-condition", "p0.evidence", "radiologist: vasospasm, seen on two runs")
	s.T1.Look("/").Says(200, "P1: Revise the order, with the reason by Fri 5 Mar 14:05")
	at := webtest.Bench + "/step/complete-order"
	s.DR.Fill(webtest.Bench, "complete-order", at).Says(422, "By the profile the order is revised")
	s.DR.Fill(webtest.Bench, "complete-order", at, "p0.revision", "the activity delivered, since the artery went into spasm").Recorded()
	if p := s.T1.Look("/"); strings.Contains(p.Text(), "Revise the order") {
		t.Errorf("the board still asks for the revision: %s", p.Text())
	}
}

// TestRevisedAfterRelease: an order that is revised after the release takes the
// release back, and the bench says what to do.
func TestRevisedAfterRelease(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("release")
	s.RP.Fill(webtest.Entry(1), "correct", webtest.Entry(1), "p0.reason", "another lobe after all", "p0.with.order.territory", "left lobe", "p0.with.order.version", "2").Recorded()
	s.RP.Look(webtest.Bench).Says(200, "revised after the dose was released", "the physician signs it", "check, label and release it again", "or take it back")
}

// TestPatientGoesHome: the release of the patient asks for nursing and pregnancy, the
// sheet says on what basis and how to behave, and imaging is a record. 1.282 GBq leave
// 58.5 · 1.282 = 75 kBq in a litre of urine of the first day (Health Phys 114 (2018) 58).
func TestPatientGoesHome(t *testing.T) {
	s := ruled(t, "p0.or-at-stasis", "no", "p0.second-identifier", "STAY-7", "p0.one-identifier", "")
	if p := s.DR.Look(webtest.Bench + "/going-home.pdf"); p.Status != 404 {
		t.Errorf("a sheet before anything was given: %d", p.Status)
	}
	s.Clock.Set("14:10")
	s.Step(s.Nurse, "infusion", "p0.start", "2027-03-04T13:30", "p0.stop", "2027-03-04T14:05", "p0.reason", "complete").Recorded()
	s.Go("residual")
	at := webtest.Bench + "/step/"
	s.DR.Fill(webtest.Bench, "release-patient", at+"release-patient", "p0.basis", "estimate below the limit", "p0.given", "yes").Says(422, "it is empty")
	s.DR.Fill(webtest.Bench, "release-patient", at+"release-patient", "p0.basis", "estimate below the limit", "p0.given", "yes", "p0.nursing", "does-not-apply", "p0.pregnant", "no").Recorded()
	s.T1.Fill(webtest.Bench, "imaging", at+"imaging", "p0.result", "as-intended", "p0.modality", "pet-ct", "p0.by", "D. Example").Recorded()
	s.T1.Look(webtest.Bench).Says(200, "Patient released", "estimate below the limit", "as intended pet-ct")
	text := strings.Join(strings.Fields(s.T1.Printed(webtest.Bench+"/going-home.pdf")), " ")
	for _, want := range []string{"DEMO-0042; STAY-7", "estimate below the limit", "Nursing a child does not apply", "10 CFR 35.75", "flush twice", "75 kBq"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not on the sheet: %s", want, text)
		}
	}
}
