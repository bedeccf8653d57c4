package procedure_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"vialwright/dispensing"
	"vialwright/identity"
	"vialwright/people"
	"vialwright/procedure"
)

// TestRefusals goes down the list of Permit: each refusal in its order, in a
// record that the refusals before it do not meet, and most of those after do.
func TestRefusals(t *testing.T) {
	off := rita
	off.Active = false
	for _, c := range []struct {
		name string
		at   procedure.Key // the walk is played up to this step
		more func(*bench)
		who  people.Person
		step procedure.Key
		want string
	}{
		{"no such step", procedure.Close, nil, off, "lunch", procedure.CodeUnknownStep},
		{"switched off", procedure.Close, nil, off, procedure.Release, people.CodeInactive},
		{"not permitted", procedure.Close, nil, tess, procedure.Release, people.CodeNotPermitted},
		{"closed", procedure.Close, nil, rita, procedure.Release, procedure.CodeClosed},
		{"given up", procedure.Draw, func(b *bench) { b.does(rita, "cancel: {for: P1, reason: fever, at: @11:30}") }, rita, procedure.Release, procedure.CodeCancelled},
		{"given", procedure.Infusion, nil, rita, procedure.Release, procedure.CodeGiven},
		{"time-out of a given dose", procedure.Infusion, nil, nora, procedure.TimeOut, procedure.CodeGiven},
		{"release of nothing", procedure.Assay, nil, rita, procedure.Release, people.CodeNothingDone},
		{"check of nothing", procedure.Receipt, nil, rita, procedure.SecondCheck, people.CodeNothingDone},
		{"own work", procedure.Baseline, nil, tess, procedure.SecondCheck, people.CodeOwnWork},
		{"unchecked", procedure.Baseline, nil, rita, procedure.Release, people.CodeNoCheck},
		{"stale", procedure.Label, func(b *bench) { b.does(tess, reread) }, rita, procedure.Release, people.CodeCheckStale},
		{"stale by a changed order", procedure.Label, func(b *bench) { b.does(dora, changedOrder) }, rita, procedure.Release, people.CodeCheckStale},
		{"not independent", procedure.Baseline, func(b *bench) { b.does(tess, theCheck, theLabel) }, rita, procedure.Release, people.CodeNotIndependent},
		{"handed over twice", procedure.HandOver, nil, tess, procedure.HandOver, people.CodeNotHolder},
		{"check after one that differs", procedure.Baseline, func(b *bench) { b.does(rita, differing) }, tom, procedure.SecondCheck, procedure.CodeMismatch},
		{"release after one that differs", procedure.Baseline, func(b *bench) { b.does(rita, differing) }, rita, procedure.Release, procedure.CodeMismatch},
		{"one that agrees does not outvote", procedure.Baseline, func(b *bench) { b.does(rita, differing).does(tom, theCheck) }, rita, procedure.Release, procedure.CodeMismatch},
		{"transfer after one that differs", procedure.MakeUp, func(b *bench) { b.does(rita, differing) }, tess, procedure.Transfer, procedure.CodeMismatch},
		{"transfer after a further reading alone", procedure.MakeUp, func(b *bench) { b.does(rita, differing).does(tess, leftAgain) }, tess, procedure.Transfer, procedure.CodeNotYet},
		{"transfer after the check was struck out", procedure.MakeUp, func(b *bench) { b.does(rita, differing, strikeCheck) }, tess, procedure.Transfer, procedure.CodeNotYet},
		{"transfer after all was drawn again", procedure.MakeUp, func(b *bench) {
			b.does(rita, differing).does(tess, "return: {from: Y1, into: S1, at: @11:47}", "draw: {from: S1, into: Y2, for: P1, at: @11:48, volume: 3.5 mL}", strings.Replace(leftAgain, "11:47", "11:50", 1))
		}, tess, procedure.Transfer, procedure.CodeNotYet},
		{"transfer after both read again", procedure.MakeUp, func(b *bench) { b.does(rita, differing).does(tess, leftAgain).does(rita, checkAgain) }, tess, procedure.Transfer, ""},
		{"transfer of what nobody checked", procedure.MakeUp, nil, tess, procedure.Transfer, ""},
		{"transfer under a stop", procedure.Remainder, func(b *bench) {
			b.does(tess, "make-up: {of: Y1, at: @11:18, volume: 1.3 mL, diluent: saline}")
		}, tess, procedure.Transfer, procedure.CodeHeld},
		{"more is drawn under a stop", procedure.Remainder, func(b *bench) {
			b.does(tess, "make-up: {of: Y1, at: @11:18, volume: 1.3 mL, diluent: saline}")
		}, tess, procedure.Adjust, procedure.CodeHeld},
		{"more is drawn for what is outside tolerance", procedure.Draw, func(b *bench) {
			b.does(tess, "read: {of: S1, meter: M1, at: @11:14, gross: 2.3 GBq, background: 0.2 MBq}", "read: {of: S1, meter: M1, at: @11:15, gross: 2.3 GBq, background: 0.2 MBq}")
		}, tess, procedure.Adjust, ""},
		{"nothing is ready", procedure.Readiness, func(b *bench) {
			b.does(tess, "check: {what: consumables, result: fail, text: no needles, at: @07:50}")
		}, tess, procedure.Receipt, procedure.CodeNotYet},
		{"the meter failed later", procedure.Assay, func(b *bench) {
			b.does(tess, "check: {what: meter-constancy, of: M1, result: fail, at: @11:05}")
		}, tess, procedure.Draw, procedure.CodeNotYet},
		{"unlabelled", procedure.SecondCheck, nil, rita, procedure.Release, procedure.CodeNotYet},
		{"unreleased", procedure.Label, nil, tess, procedure.HandOver, procedure.CodeNotYet},
		{"without a time-out", procedure.HandOver, nil, nora, procedure.Infusion, procedure.CodeNotYet},
		{"drawn twice", procedure.Draw, nil, tess, procedure.Draw, procedure.CodeAlready},
		{"transferred twice", procedure.Transfer, nil, tess, procedure.Transfer, procedure.CodeAlready},
		{"released twice", procedure.Release, nil, rita, procedure.Release, procedure.CodeAlready},
		{"topped up after the transfer", procedure.Transfer, nil, tess, procedure.Adjust, procedure.CodeTransferred},
		{"made up after the transfer", procedure.Transfer, nil, tess, procedure.MakeUp, procedure.CodeTransferred},
		{"a vial that is not what its label says", procedure.Receipt, func(b *bench) {
			b.does(tess, "read: {of: S1, meter: M1, at: @11:00, gross: 4.2 GBq, background: 0.2 MBq}",
				"read: {of: S1, meter: M1, at: @11:01, gross: 4.19 GBq, background: 0.2 MBq}")
		}, tess, procedure.Draw, procedure.CodeHeld},
		{"a vial whose only reading is not what its label says", procedure.Receipt, func(b *bench) {
			b.does(tess, "read: {of: S1, meter: M1, at: @11:00, gross: 4.2 GBq, background: 0.2 MBq}")
		}, tess, procedure.Draw, procedure.CodeNotYet},
		{"too late", procedure.Release, func(b *bench) { b.now = b.now.Add(12 * time.Hour) }, tess, procedure.HandOver, procedure.CodeHeld},
		{"too early", procedure.HandOver, func(b *bench) { b.now = b.now.Add(-9 * time.Hour) }, nora, procedure.TimeOut, procedure.CodeWindow},
		{"unexplained", procedure.Release, func(b *bench) { b.does(nora, theInfusion).does(tess, theAfter, theSurvey) }, rita, procedure.Close, procedure.CodeNoDeviation},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := upTo(t, c.at)
			if c.more != nil {
				c.more(b)
			}
			if got := b.permit(c.who, c.step); got != c.want {
				k, s, why := b.at()
				t.Errorf("%q, want %q; it stands at %s, %s: %s", got, c.want, k, s, why)
			}
		})
	}
}

const (
	reread       = "read: {of: A1, meter: M1, at: @11:47, gross: 1.32 GBq, background: 0.2 MBq}"
	differing    = "second-check: {for: P1, of: S1, meter: M1, at: @11:38, gross: 1.93 GBq, background: 0.2 MBq, activity: 1.26 GBq}"
	leftAgain    = "read: {of: S1, meter: M1, at: @11:47, gross: 1.86 GBq, background: 0.2 MBq}"
	checkAgain   = "second-check: {for: P1, of: S1, meter: M1, at: @11:49, gross: 1.86 GBq, background: 0.2 MBq, activity: 1.33 GBq}"
	strikeCheck  = "correct: {entry: 14, reason: read the wrong line}"
	changedOrder = "correct: {entry: 1, reason: a new version, with: {order: {id: P1, patient: K-0417, territory: right lobe, version: \"2\", prescribed: 1.31 GBq, at: @13:30, residual: 2 %}}}"
	secondLabel  = "label: {serial: 96VF-6KJ2-HTHP, for: P1, of: A1, size: administration-vial, copy: 2, at: @11:58}"
	shieldLabel  = "label: {serial: 6MPC-RVVY-V3P6, for: P1, of: A1, size: shield, copy: 1, at: @11:46}"
)

// TestAReasonIsAskedOnce: what was not given for the patient's sake has its
// reason in the infusion, and is closed without a deviation that repeats it;
// after a blockage the deviation says what happened.
func TestAReasonIsAskedOnce(t *testing.T) {
	for reason, want := range map[string]string{"stasis": "", "emergent-condition": "", "patient-intervention": "", "blockage": procedure.CodeNoDeviation} {
		b := upTo(t, procedure.TimeOut).does(nora, strings.Replace(theInfusion, "complete", reason, 1)).
			does(tess, strings.Replace(theAfter, "6.4", "60", 1), theSurvey)
		if got := b.permit(rita, procedure.Close); got != want {
			t.Errorf("%s: %q, want %q", reason, got, want)
		}
	}
}

// TestThirdAct: after a check that differs, a further reading or a correction
// opens the check again; a check that was corrected is none itself.
func TestThirdAct(t *testing.T) {
	b := upTo(t, procedure.Baseline).does(rita, differing)
	b.stands(procedure.SecondCheck, procedure.Blocked)
	for name, third := range map[string]func(*bench){
		"a further reading": func(b *bench) { b.does(tess, reread) },
		"the check struck out": func(b *bench) {
			b.does(rita, "correct: {entry: 16, reason: read the wrong line}")
		},
		"the check corrected": func(b *bench) {
			b.does(rita, "correct: {entry: 16, reason: slip, with: {"+theCheck+"}}")
		},
	} {
		b := upTo(t, procedure.Baseline).does(rita, differing)
		third(b)
		b.stands(procedure.SecondCheck, procedure.Now)
		if got := b.permit(rita, procedure.SecondCheck); got != "" {
			t.Errorf("%s: a check after it: %q", name, got)
		}
		b.does(rita, theCheck)
		b.stands(procedure.Label, procedure.Now)
	}
}

func TestScanned(t *testing.T) {
	serial := func(text string) identity.Serial {
		s, err := identity.Parse(text)
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	own, second, shield := serial("WK99-VFTV-W544"), serial("96VF-6KJ2-HTHP"), serial("6MPC-RVVY-V3P6")
	for _, c := range []struct {
		name  string
		more  func(*bench)
		step  procedure.Key
		found identity.Serial
		want  string
	}{
		{"no such step", nil, "lunch", identity.Serial{}, procedure.CodeUnknownStep},
		{"nothing", nil, procedure.Release, identity.Serial{}, procedure.CodeNoLabel},
		{"another dose", nil, procedure.Release, second, procedure.CodeOtherLabel},
		{"replaced", func(b *bench) { b.does(tess, secondLabel) }, procedure.Release, own, procedure.CodeVoidLabel},
		{"the one that replaces", func(b *bench) { b.does(tess, secondLabel) }, procedure.Release, second, ""},
		{"after more work", func(b *bench) { b.does(tess, reread) }, procedure.HandOver, own, procedure.CodeVoidLabel},
		{"of an older order", func(b *bench) { b.does(dora, changedOrder) }, procedure.HandOver, own, procedure.CodeVoidLabel},
		{"of an emptied vial", func(b *bench) {
			b.does(tess, "return: {from: A1, into: S1, at: @11:47}", "draw: {from: S1, into: Y2, for: P1, at: @11:48, volume: 2.2 mL}", "transfer: {from: Y2, into: A2, at: @11:49}")
		}, procedure.HandOver, own, procedure.CodeVoidLabel},
		{"the shield's, at release", func(b *bench) { b.does(tess, shieldLabel) }, procedure.Release, shield, procedure.CodeLabelSize},
		{"the shield's, later", func(b *bench) { b.does(tess, shieldLabel) }, procedure.HandOver, shield, ""},
		{"its own", nil, procedure.Release, own, ""},
	} {
		b := upTo(t, procedure.Label)
		if c.more != nil {
			c.more(b)
		}
		if got := code(procedure.Scanned(b.prep("P1"), c.step, c.found)); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

// TestHolds: a finding is lifted by an override of its code for the order, and
// no longer once the dose changed.
func TestHolds(t *testing.T) {
	b := newBench(t).does(dora, theOrder, theSign).does(tess, theChecks...).does(tess, theVial, theAssay,
		"draw: {from: S1, into: Y1, for: P1, at: @11:10, volume: 2.2 mL}", "read: {of: S1, meter: M1, at: @11:14, gross: 1.72 GBq, background: 0.2 MBq}")
	b.stands(procedure.Adjust, procedure.Now)
	holds := b.prep("P1").Holds
	if len(holds) != 1 || holds[0].Code != dispensing.OutsideTolerance || holds[0].Act != people.OverrideStop {
		t.Fatalf("holds %+v", holds)
	}
	b.does(phil, "override: {for: P1, code: outside-tolerance, reason: the physician agrees, at: @11:16}")
	b.stands(procedure.MakeUp, procedure.Now)
	if holds := b.prep("P1").Holds; len(holds) != 0 {
		t.Errorf("lifted, and still %+v", holds)
	}
	b.does(tess, theMakeUp)
	if holds := b.prep("P1").Holds; len(holds) != 1 {
		t.Errorf("an override outlived further work: %+v", holds)
	}
	b.does(phil, "override: {for: P1, code: beyond-limit, reason: the wrong code, at: @11:19}")
	if holds := b.prep("P1").Holds; len(holds) != 1 {
		t.Errorf("an override of another code lifted %+v", holds)
	}
}

// TestHoldsOfTheVial: an override of what the label says of the vial outlives
// the draw, and is for one order.
func TestHoldsOfTheVial(t *testing.T) {
	b := upTo(t, procedure.Receipt).does(tess, "read: {of: S1, meter: M1, at: @11:00, gross: 4.2 GBq, background: 0.2 MBq}",
		"read: {of: S1, meter: M1, at: @11:01, gross: 4.19 GBq, background: 0.2 MBq}")
	b.stands(procedure.Draw, procedure.Blocked)
	b.does(phil, "override: {for: P1, code: label-mismatch, reason: the maker confirms 3.9 GBq, at: @11:05}")
	b.stands(procedure.Draw, procedure.Now)
	b.does(tess, "draw: {from: S1, into: Y1, for: P1, at: @11:10, volume: 1.7 mL}", "read: {of: S1, meter: M1, at: @11:14, gross: 2.83 GBq, background: 0.2 MBq}")
	if holds := b.prep("P1").Holds; len(holds) != 0 {
		t.Errorf("after the draw %+v", holds)
	}
	b.does(tess, "correct: {entry: 9, reason: another volume, with: {receive: {vial: S1, lot: L-0311, labelled: 3.0 GBq, reference: @18:00, volume: 5.1 mL, at: @08:00}}}")
	if holds := b.prep("P1").Holds; len(holds) != 1 {
		t.Errorf("after a correction of the vial %+v", holds)
	}
}

// TestASlipIsMendedNotLifted: an override does not bring back the figures of a
// set in which an entry slipped; its correction does.
func TestASlipIsMendedNotLifted(t *testing.T) {
	const slipped, right = "read: {of: S1, meter: M1, at: @11:15, gross: %s, background: 0.2 MBq}", "1.85 GBq"
	b := upTo(t, procedure.Draw).does(tess, "read: {of: S1, meter: M1, at: @11:14, gross: 1.85 GBq, background: 0.2 MBq}",
		fmt.Sprintf(slipped, "18.5 GBq"))
	b.stands(procedure.Remainder, procedure.Now)
	b.does(phil, "override: {for: P1, code: reading-disagrees, reason: it is so, at: @11:16}")
	holds := b.prep("P1").Holds
	if len(holds) != 1 || holds[0].Code != dispensing.ReadingDisagrees {
		t.Fatalf("holds %+v", holds)
	}
	b.stands(procedure.Remainder, procedure.Now)
	b.does(tess, fmt.Sprintf("correct: {entry: %d, reason: the point, with: {%s}}", holds[0].Entry, fmt.Sprintf(slipped, right)))
	b.stands(procedure.MakeUp, procedure.Now)
}

// TestVoidedRelease: work on the dose after its release takes it back.
func TestVoidedRelease(t *testing.T) {
	b := upTo(t, procedure.HandOver).does(tess, "correct: {entry: 11, reason: a slipped digit, with: {draw: {from: S1, into: Y1, for: P1, at: @11:10, volume: 2.3 mL}}}")
	b.stands(procedure.SecondCheck, procedure.Now)
	p := b.prep("P1")
	for _, k := range []procedure.Key{procedure.Label, procedure.Release, procedure.HandOver} {
		if s := p.Step(k); s.State != procedure.Later {
			t.Errorf("%s is %+v", k, s)
		}
	}
}

// TestNextDoseFromTheVial: readings of the vial for the next dose leave a
// released one alone, but not one whose figure they move.
func TestNextDoseFromTheVial(t *testing.T) {
	next := "order: {id: P2, patient: K-0418, prescribed: 0.5 GBq, at: @15:30}"
	b := upTo(t, procedure.Release).does(dora, next).does(rita, "read: {of: S1, meter: M1, at: @12:00, gross: 1.855 GBq, background: 0.2 MBq}",
		"draw: {from: S1, into: Y5, for: P2, at: @12:05, volume: 0.9 mL}", "read: {of: S1, meter: M1, at: @12:10, gross: 1.31 GBq, background: 0.2 MBq}")
	b.stands(procedure.HandOver, procedure.Now)
	if got := b.permit(tess, procedure.HandOver); got != "" {
		t.Errorf("handing over: %q", got)
	}
	if p := b.prep("P2"); p.Step(procedure.Remainder).State != procedure.Done || p.Step(procedure.SecondCheck).State != procedure.Later {
		t.Errorf("the next one: %+v", p.Steps)
	}
	b = upTo(t, procedure.Release).does(dora, next).does(rita, "read: {of: S1, meter: M1, at: @12:00, gross: 1.5 GBq, background: 0.2 MBq}")
	if got := b.permit(tess, procedure.HandOver); got == "" {
		t.Error("a dose whose figure moved by a tenth is handed over")
	}
}

// TestTimeOut: what was read out has to be what the record holds; the last
// time-out counts.
func TestTimeOut(t *testing.T) {
	for _, c := range []struct {
		name, patient, territory, activity string
		want                               procedure.State
	}{
		{"as recorded", "K-0417", "right lobe", "1.33 GBq", procedure.Done},
		{"in the other unit", "K-0417", "right lobe", "35.9 mCi", procedure.Done},
		{"another patient", "K-0471", "right lobe", "1.33 GBq", procedure.Blocked},
		{"written otherwise", "k-0417", "right lobe", "1.33 GBq", procedure.Blocked},
		{"another lobe", "K-0417", "left lobe", "1.33 GBq", procedure.Blocked},
		{"another activity", "K-0417", "right lobe", "1.13 GBq", procedure.Blocked},
		{"a slip of unit", "K-0417", "right lobe", "1.33 mCi", procedure.Blocked},
	} {
		line := "time-out: {for: P1, patient: " + c.patient + ", territory: " + c.territory + ", activity: " + c.activity + ", with: dr-1, at: @13:20}"
		b := upTo(t, procedure.HandOver).does(nora, line)
		if s := b.prep("P1").Step(procedure.TimeOut); s.State != c.want {
			t.Errorf("%s: %+v", c.name, s)
		}
		if got := b.permit(nora, procedure.Infusion); (got == "") != (c.want == procedure.Done) {
			t.Errorf("%s: the infusion: %q", c.name, got)
		}
		b.does(nora, theTimeOut).stands(procedure.Infusion, procedure.Now)
	}
}

// TestCheckByOwnHand: a check by someone with a hand in the work is none, and
// a release after it is not in force, no matter who recorded it.
func TestCheckByOwnHand(t *testing.T) {
	b := upTo(t, procedure.Baseline).does(tess, theCheck, theLabel).does(rita, theRelease)
	b.stands(procedure.SecondCheck, procedure.Now)
	if _, _, why := b.at(); why != "it was checked by someone who took part in the work or had seen its figures" {
		t.Errorf("why: %q", why)
	}
	if s := b.prep("P1").Step(procedure.Release); s.State != procedure.Later {
		t.Errorf("release is %+v", s)
	}
	// The check of another does not bring the release before it into force.
	b.does(rita, strings.ReplaceAll(theCheck, "11:40", "11:55"))
	b.stands(procedure.Release, procedure.Now)
	if got := b.permit(rita, procedure.Release); got != "" {
		t.Errorf("to release again: %q", got)
	}
}

// TestNamedByAnother: who is named in a reading had a hand in the work as much
// as who recorded it.
func TestNamedByAnother(t *testing.T) {
	b := upTo(t, procedure.Draw).does(tess, "read: {of: S1, meter: M1, at: @11:14, gross: 1.87 GBq, background: 0.2 MBq, by: tech-2}")
	b.does(tess, theMakeUp, theTransfer, theBefore)
	for _, who := range []people.Person{tess, tom} {
		if got := b.permit(who, procedure.SecondCheck); got != people.CodeOwnWork {
			t.Errorf("a check by %s: %q", who.ID, got)
		}
	}
	if by := b.prep("P1").Step(procedure.Remainder).By; by != tom.ID {
		t.Errorf("the reading is by %q", by)
	}
}

// TestLabelVersions: the record keeps the labels, and says of each why it is
// void; what is expected at a hand-over is the one in force.
func TestLabelVersions(t *testing.T) {
	b := upTo(t, procedure.Label).does(tess, secondLabel)
	p := b.prep("P1")
	if len(p.Labels) != 2 || p.Labels[0].Void == "" || p.Labels[1].Void != "" || p.Expect.Label != p.Labels[1].Serial {
		t.Errorf("labels %+v", p.Labels)
	}
	want := identity.Item{Patient: "K-0417", Order: "P1", Version: "1", Territory: "right lobe", Vial: "S1", Label: p.Labels[1].Serial}
	if p.Expect != want {
		t.Errorf("expected %+v, want %+v", p.Expect, want)
	}
}

// TestStruckOutWork: who drew had a hand in the dose, although another struck
// the entry out and entered the draw again.
func TestStruckOutWork(t *testing.T) {
	b := upTo(t, procedure.Assay).does(tom, theDraw)
	b.does(tess, "correct: {entry: 11, reason: the wrong account}", theDraw, theLeft, theMakeUp, theTransfer, theBefore)
	for who, want := range map[string]string{tom.ID: people.CodeOwnWork, tess.ID: people.CodeOwnWork, rita.ID: ""} {
		p := b.prep("P1")
		i := slices.IndexFunc(team, func(x people.Person) bool { return x.ID == who })
		if got := code(procedure.Permit(team[i], procedure.SecondCheck, p, p.Deeds)); got != want {
			t.Errorf("a check by %s: %q, want %q", who, got, want)
		}
	}
}

// TestPlanAgainstDirective: ENS 56139 (NRC event notification, 2022): the directive was
// wrong, the laboratory saw it and gave the right dose to the right place, and it was a
// report all the same. Whatever the plan says, the dose stops until a revised order is
// signed, and its label and release are made by that one; so does ENS 47057 (r), in
// which the other lobe was agreed upon in the room and not on paper.
func TestPlanAgainstDirective(t *testing.T) {
	b := upTo(t, procedure.HandOver)
	refused := func(when string) {
		t.Helper()
		if got := b.permit(nora, procedure.Infusion); got == "" {
			t.Errorf("%s the infusion is let begin", when)
		}
	}
	b.does(nora, "time-out: {for: P1, patient: K-0417, territory: left lobe, activity: 1.34 GBq, with: dr-1, at: @13:20}").stands(procedure.TimeOut, procedure.Blocked)
	refused("by the plan and against the order")
	b.does(dora, "correct: {entry: 1, reason: the plan says the left lobe, with: {order: {id: P1, patient: K-0417, territory: left lobe, version: \"2\", prescribed: 1.30 GBq, at: @13:30, residual: 2 %}}}")
	refused("with a revised order that nobody signed")
	b.does(dora, "sign-order: {for: P1, version: \"2\", at: @13:21}")
	refused("with the label and the release of the first order")
	b.stands(procedure.SecondCheck, procedure.Now)
	at := func(line string) string { return strings.Replace(line, "@11:58", "@13:24", 1) }
	b.does(rita, "second-check: {for: P1, of: S1, meter: M1, at: @13:23, gross: 1.826 GBq, background: 0.2 MBq, activity: 1.33 GBq}").
		does(tess, at(secondLabel)).does(rita, "release: {for: P1, serial: 96VF-6KJ2-HTHP, at: @13:25}").
		does(tess, "hand-over: {for: P1, serial: 96VF-6KJ2-HTHP, to: sn-1, place: suite 2, at: @13:26, countersigned: sn-1}").
		does(nora, "time-out: {for: P1, patient: K-0417, territory: left lobe, activity: 1.34 GBq, with: dr-1, at: @13:27}")
	if got := b.permit(nora, procedure.Infusion); got != "" {
		t.Errorf("under the revised order the infusion is refused: %s", got)
	}
}
