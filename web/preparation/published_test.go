package preparation_test

import (
	"strings"
	"testing"

	"vialwright/web/webtest"
)

// TestPublishedEvents: four reported events, each entered by the forms of the bench, come
// out there and on the board as they were reported (NRC event notifications at nrc.gov).
// The amounts are the reports', scaled to the doses of this story, of which 1.3288 GBq
// were dispensed for 1.30: of 27.6 mCi 14.5 are 0.6830 of 1.30 GBq, so that 0.4860 of the
// dose stayed behind, and the jar reads 0.4860·181.55 uSv/h·2^(-3.7/64.0417) over
// background, which is 84.8; of 43.2 mCi 4.53 leave 0.8974, 156.5 uSv/h.
func TestPublishedEvents(t *testing.T) {
	for name, c := range map[string]struct {
		give        func(t *testing.T) *webtest.Story
		bench       []string
		board       string
		draft, lack string
	}{
		"ENS 55617 (r): spasm, 14.5 of 27.6 mCi": {
			short("85.0", "p0.reason", "emergent-condition", "p0.evidence", "radiologist: vasospasm, seen on two runs"),
			[]string{"No event: emergent condition, order to be revised by 2027-03-05 14:05", "-47 % ± 10 %", "[second-hand]"},
			"P1: Revise the order, with the reason by Fri 5 Mar 14:05", "-47 % ± 10 %", "Tell the authority",
		},
		"ENS 55211: a clog, 4.53 of 43.2 mCi": {
			short("156.7", "p0.reason", "blockage", "p0.evidence", "the line was blocked, and was not opened"),
			[]string{"Event", "-89 % ± 18 %", "The reason is blockage, which excuses nothing", "10 CFR 35.3045(a) [verified]"},
			"P1: Tell the authority by telephone by the end of 2027-03-05", "-89 % ± 18 %", "Revise the order",
		},
		"ENS 52524: one lobe ordered, both given": {
			short("6.4", "p0.reason", "complete", "p0.treated", "both lobes"),
			[]string{"Event", "Ordered was right lobe, treated was both lobes", "10 CFR 35.3045(a), dose to another site [verified]"},
			"P1: Tell the referring physician and the patient by Fri 5 Mar 14:05", "treated was both lobes", "Revise the order",
		},
		"ENS 55947: an undrawn vial, 5.1 GBq for 2.2": {
			undrawn,
			[]string{"Event", "+131.8 %", "20 % or more above", "Still to be entered: whether it was the patient of the order"},
			"P1: Tell the authority by telephone by the end of 2027-03-05", "+131.8 %", "Revise the order",
		},
	} {
		t.Run(name, func(t *testing.T) {
			s := c.give(t)
			page, board := s.T1.Look(webtest.Bench+"/step/residual"), s.T1.Look("/")
			page.Says(200, c.bench...)
			board.Says(200, c.board)
			s.T1.Look(webtest.Bench+"/draft").Says(200, c.draft)
			// Another site is an event whatever the amount: no limit was held against it.
			form, site := s.DR.Look(webtest.Bench).Text(), strings.Contains(name, "both given")
			if !strings.Contains(form, "Complete this order") || strings.Contains(form, "Probability of being beyond the limit") == site {
				t.Errorf("the completion says: %s", form)
			}
			if strings.Contains(board.Text(), c.lack) {
				t.Errorf("the board says %q", c.lack)
			}
		})
	}
}

// short is a story whose residual gives a dose rate, with what the infusion says.
func short(rate string, infusion ...string) func(*testing.T) *webtest.Story {
	return func(t *testing.T) *webtest.Story {
		s := ruled(t, "p0.or-at-stasis", "no")
		s.Clock.Set("14:10")
		infuse(s, infusion...)
		s.Clock.Set("15:12")
		p := s.Step(s.T1, "residual", "p0.after.rate", rate, "p0.after.background", "0.2")
		if strings.Contains(p.Text(), "may be the whole dose: is it so?") { // it is so, says the person
			p = s.T1.Post(webtest.Bench+"/step/residual", p.Answered("step", "p0.after.rate", 0))
		}
		p.Recorded()
		return s
	}
}

// undrawn is a story in which all of the vial goes out for an order of less than half of
// it: asked about at the draw, stopped after it, and given in spite of that. Nobody read
// the jar before, so that only the parts in the activity meter say what was delivered.
func undrawn(t *testing.T) *webtest.Story {
	s := webtest.NewStory(webtest.New(t, ruledLab(t)).Hire())
	s.LargeVial()
	read := []string{"p0.gross.unit", "MBq", "p0.background", "0.2", "p0.background.unit", "MBq"}
	asked := s.Step(s.T1, "draw", "p0.volume", "5.0").Says(422, "5.0 mL")
	s.T1.Post(webtest.Bench+"/step/draw", asked.Answered("step", "p0.volume", 0)).Recorded() // it is so, says the person
	s.Clock.Set("11:14")
	s.Step(s.T1, "remainder", append(read, "p0.gross", "0.4")...).Recorded()
	s.T1.Look(webtest.Bench).Says(200, "Beyond the limit of more than 20 % by 10 CFR 35.63(d) [verified]", "% from the prescribed")
	for _, p := range []*webtest.Page{
		s.RP.Look(webtest.Bench+"/step/release").Says(200, "Nobody has checked this dose"),
		s.Nurse.Look(webtest.Bench+"/step/infusion").Says(200, "Adjust comes first"),
	} {
		if strings.Contains(p.Body, `id="step" class="entry`) {
			t.Errorf("the whole vial can be let go: %s", p.Text())
		}
	}
	s.T1.Fill(webtest.Bench, "deviation", webtest.Bench+"/step/deviation", "p0.text", "the vial went to the suite undrawn").Recorded()
	s.Clock.Set("14:10")
	s.Step(s.Nurse, "infusion", "p0.start", "2027-03-04T13:30", "p0.stop", "2027-03-04T14:05", "p0.reason", "complete").Recorded()
	s.Clock.Set("15:12")
	s.T1.Look(webtest.Bench+"/step/residual").Says(200, "Read Y1 with the residual in the activity meter")
	s.Step(s.T1, "residual", append(read, "p0.gross", "36.3")...).Recorded()
	s.T1.Look(webtest.Bench).Says(200, "these parts are missing from them: line, catheter, swabs")
	s.T1.Fill(webtest.Bench, "parts", webtest.Bench+"/step/parts", append(read, "p0.holds", "line, catheter and swabs", "p0.gross", "16.35")...).Recorded()
	return s
}

// TestDraftNamesNobody: no identifier that was ever recorded of the patient is in the draft
// of a report, its address or what is sent with it: also not one that a correction took
// away, which the words of that day still hold.
func TestDraftNamesNobody(t *testing.T) {
	s := ruled(t, "p0.or-at-stasis", "no", "p0.second-identifier", "STAY-7719", "p0.one-identifier", "")
	infused(s, "p0.reason", "blockage", "p0.evidence", "demo 0042 (stay7719) lay still; DEMO-0099, STAY-8840 had been meant", "p0.text", "line of Demo-0042 blocked")
	draft := func() (all string) {
		p := s.T1.Look(webtest.Bench+"/draft").Says(200, "lay still", "had been meant", "blocked")
		all = webtest.Bench + "/draft\n" + p.Body
		for name, values := range p.Header {
			all += "\n" + name + ": " + strings.Join(values, ", ")
		}
		return strings.ToLower(all)
	}
	none := func(when string, identifiers ...string) {
		t.Helper()
		text := draft()
		for _, id := range identifiers {
			for _, word := range append(strings.Split(id, "-"), id, strings.ReplaceAll(id, "-", " "), strings.ReplaceAll(id, "-", "")) {
				if strings.Contains(text, strings.ToLower(word)) {
					t.Errorf("%s: %q is in the draft:\n%s", when, word, text)
				}
			}
		}
	}
	none("as it was ordered", "DEMO-0042", "STAY-7719")
	const order = "p0.with.order."
	s.RP.Fill(webtest.Entry(1), "correct", webtest.Entry(1), "p0.reason", "another patient", order+"patient", "DEMO-0099", order+"second-identifier", "STAY-8840").Recorded()
	none("after the correction", "DEMO-0042", "STAY-7719", "DEMO-0099", "STAY-8840")
}
