package procedure_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/journal"
	"vialwright/people"
	"vialwright/procedure"
	"vialwright/quantity"
)

// without plays the walk up to a step, with no signature under the order.
func without(tb testing.TB, last procedure.Key) *bench {
	tb.Helper()
	b := upTo(tb, last)
	b.records = slices.DeleteFunc(b.records, func(r journal.Record) bool { _, sign := r.Fact.(*fact.SignOrder); return sign })
	return b
}

// decided puts settings into the policy of the case.
func (b *bench) decided(change func(*fact.Policy)) *bench {
	b.tb.Helper()
	for i, r := range b.records {
		if p, ok := r.Fact.(*fact.Policy); ok {
			x := *p
			change(&x)
			b.records[i].Fact = &x
			return b
		}
	}
	b.tb.Fatal("no policy")
	return nil
}

const (
	signAgain = "sign-order: {for: P1, version: \"2\", at: @11:48}"
	reorder   = "correct: {entry: 1, reason: %s, with: {order: {id: P1, patient: %p, territory: %t, version: \"%v\", prescribed: %a, at: @%h, residual: %r, by: %b}}}"
)

// reordered is a correction of the order; each change is a letter of reorder
// with its text.
func reordered(changes ...string) string {
	text := reorder
	for i := 0; i+1 < len(changes); i += 2 {
		text = strings.ReplaceAll(text, "%"+changes[i], changes[i+1])
	}
	return strings.NewReplacer("%s", "as asked", "%p", "K-0417", "%t", "right lobe", "%v", "1", "%a", "1.30 GBq", "%h", "13:30", "%r", "2 %", "%b", "D. Example").Replace(text)
}

// TestSignature: an order is signed as it is, or not signed.
func TestSignature(t *testing.T) {
	for _, c := range []struct {
		name string
		b    func() *bench
		why  string
	}{
		{"signed", func() *bench { return upTo(t, procedure.Label) }, ""},
		{"not signed", func() *bench { return without(t, procedure.Label) }, "the order is not signed"},
		{"signed late", func() *bench { return without(t, procedure.Label).does(dora, theSign) }, ""},
		{"struck out", func() *bench { return upTo(t, procedure.Label).does(dora, "correct: {entry: 2, reason: not yet}") }, "the order is not signed"},
		{"not asked for", func() *bench {
			return without(t, procedure.Label).decided(func(p *fact.Policy) { p.OrderSignature = fact.NotRequired })
		}, ""},
		{"asked for by name", func() *bench {
			return without(t, procedure.Label).decided(func(p *fact.Policy) { p.OrderSignature = fact.Required })
		}, "the order is not signed"},
		{"not asked for from tomorrow on", func() *bench {
			b := without(t, procedure.Label)
			b.put(rita.ID, &fact.Policy{OrderSignature: fact.NotRequired, From: b.now.AddDate(0, 0, 1), Reason: "as decided"})
			return b
		}, "the order is not signed"},
		{"of another version", func() *bench {
			return without(t, procedure.Label).does(dora, "sign-order: {for: P1, version: \"7\", at: @07:10}")
		}, "the order changed after it was signed"},
		{"of another order", func() *bench {
			return without(t, procedure.Label).does(dora, "order: {id: P2, prescribed: 0.5 GBq, at: @15:30}", "sign-order: {for: P2, at: @07:10}")
		}, "the order is not signed"},
		{"another version since", func() *bench { return upTo(t, procedure.Label).does(tess, reordered("v", "2")) }, "the order changed after it was signed"},
		{"another activity since", func() *bench { return upTo(t, procedure.Label).does(tess, reordered("a", "1.20 GBq")) }, "the order changed after it was signed"},
		{"another time since", func() *bench { return upTo(t, procedure.Label).does(tess, reordered("h", "14:30")) }, "the order changed after it was signed"},
		{"another territory since", func() *bench { return upTo(t, procedure.Label).does(tess, reordered("t", "left lobe")) }, "the order changed after it was signed"},
		{"another patient since", func() *bench { return upTo(t, procedure.Label).does(tess, reordered("p", "K-0471")) }, "the order changed after it was signed"},
		{"changed and changed back", func() *bench {
			return upTo(t, procedure.Label).does(tess, reordered("v", "2"), reordered())
		}, "the order changed after it was signed"},
		{"another spelling of the same activity", func() *bench { return upTo(t, procedure.Label).does(tess, reordered("a", "1300 MBq")) }, ""},
		{"what is expected to stay behind", func() *bench { return upTo(t, procedure.Label).does(tess, reordered("r", "3 %")) }, "the order changed after it was signed"},
		{"changed and signed again", func() *bench { return upTo(t, procedure.Label).does(tess, reordered("v", "2")).does(dora, signAgain) }, ""},
		{"changed, signed, and changed", func() *bench {
			return upTo(t, procedure.Label).does(tess, reordered("v", "2")).does(dora, signAgain).does(tess, reordered("v", "2", "a", "1.2 GBq"))
		}, "the order changed after it was signed"},
		{"entered again", func() *bench {
			b := upTo(t, procedure.Readiness)
			b.does(tess, "correct: {entry: 1, reason: entered twice}", theOrder)
			return b
		}, "the order changed after it was signed"},
	} {
		p := c.b().prep("P1")
		if got := p.Signature.Why(); got != c.why {
			t.Errorf("%s: %q, want %q", c.name, got, c.why)
		}
		if (p.Signature.By == "") != (c.why != "" || !p.Signature.Needed) {
			t.Errorf("%s: signed by %q", c.name, p.Signature.By)
		}
	}
	if s := upTo(t, procedure.Label).prep("P1").Signature; s.By != dora.ID || s.At.Format("15:04") != "07:10" {
		t.Errorf("%+v", s)
	}
}

// TestSignatureUnderADose: an order that names an absorbed dose alone is signed with
// the activity that follows, here 120·0.8/(49.72542·0.92) = 2.10 GBq, and that is
// void once another follows.
func TestSignatureUnderADose(t *testing.T) {
	const order = "order: {id: P7, version: \"1\", at: @13:30, dosimetry: {method: mono-compartment, absorbed-dose: 120 Gy, to: perfused-volume, perfused-mass: 0.8 kg, lung-shunt: 8 %, lung-shunt-method: entered}}"
	sign := func(activity string) string {
		return "sign-order: {for: P7, version: \"1\", at: @07:10" + activity + "}"
	}
	b := newBench(t)
	b.does(tess, order)
	for _, c := range []struct{ who, entry, why string }{
		{"", "", "the order is not signed"},
		{"dora", sign(""), "the order changed after it was signed"},
		{"dora", sign(", activity: 2.20 GBq"), "the order changed after it was signed"},
		{"dora", sign(", activity: 2.10 GBq"), ""},
		{"tess", "correct: {entry: 1, reason: another mass, with: {" + strings.Replace(order, "0.8 kg", "0.7 kg", 1) + "}}", "the order changed after it was signed"},
		{"dora", sign(", activity: 1.84 GBq"), ""},
	} {
		switch c.who {
		case "dora":
			b.does(dora, c.entry)
		case "tess":
			b.does(tess, c.entry)
		}
		if got := b.prep("P7").Signature.Why(); got != c.why {
			t.Errorf("after %q: %q, want %q", c.entry, got, c.why)
		}
	}
}

// TestReleaseNeedsTheSignature: the step is held until the order is signed as
// it is, and Permit says why in its place of the list.
func TestReleaseNeedsTheSignature(t *testing.T) {
	b := without(t, procedure.Label)
	b.stands(procedure.Release, procedure.Blocked)
	if got := b.permit(rita, procedure.Release); got != procedure.CodeUnsigned {
		t.Errorf("unsigned: %q", got)
	}
	b.now = b.now.Add(12 * 60 * 60e9) // out of its window too: the signature comes first
	if got := b.permit(rita, procedure.Release); got != procedure.CodeUnsigned {
		t.Errorf("unsigned and held: %q", got)
	}
	b = without(t, procedure.Label).does(dora, theSign)
	b.stands(procedure.Release, procedure.Now)
	if got := b.permit(rita, procedure.Release); got != "" {
		t.Errorf("signed: %q", got)
	}
	if b := without(t, procedure.Release); b.prep("P1").Step(procedure.Release).State != procedure.Done {
		t.Error("a release that was made before signatures were asked for is no longer in force")
	}
}

// TestMaySign goes down the list of MaySign.
func TestMaySign(t *testing.T) {
	off := dora
	off.Active = false
	for _, c := range []struct {
		name string
		b    *bench
		who  people.Person
		want string
	}{
		{"switched off", without(t, procedure.Close), off, people.CodeInactive},
		{"not permitted", without(t, procedure.Close), rita, people.CodeNotPermitted},
		{"closed", without(t, procedure.Close), dora, procedure.CodeClosed},
		{"given up", without(t, procedure.Draw).does(rita, "cancel: {for: P1, reason: fever, at: @11:30}"), dora, procedure.CodeCancelled},
		{"given", without(t, procedure.Infusion), dora, procedure.CodeGiven},
		{"signed", upTo(t, procedure.Draw), dora, procedure.CodeAlready},
		{"changed", upTo(t, procedure.Draw).does(tess, reordered("v", "2")), dora, ""},
		{"not signed", without(t, procedure.HandOver), dora, ""},
	} {
		if got := code(procedure.MaySign(c.who, c.b.prep("P1"))); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

const (
	givenAway = "hand-over: {for: P1, serial: WK99-VFTV-W544, to: sn-1, place: suite 2, at: @12:50}"
	tookOver  = "take-over: {for: P1, at: @12:55}"
)

// TestTakeOver: a dose that was handed over is taken over by its taker, and
// until then it says so.
func TestTakeOver(t *testing.T) {
	b := upTo(t, procedure.Release)
	if got := code(procedure.MayTakeOver(nora, b.prep("P1"))); got != people.CodeNotHandedOver {
		t.Errorf("before the hand-over: %q", got)
	}
	b.does(tess, givenAway)
	p := b.prep("P1")
	if p.Untaken != nora.ID || p.Step(procedure.HandOver).State != procedure.Done {
		t.Errorf("handed over: %+v", p)
	}
	for who, want := range map[*people.Person]string{&nora: "", &rita: "", &tess: people.CodeOwnHandOver} {
		if got := code(procedure.MayTakeOver(*who, p)); got != want {
			t.Errorf("%s takes it over: %q, want %q", who.ID, got, want)
		}
	}
	if got := b.permit(tess, procedure.HandOver); got != people.CodeHandedOver {
		t.Errorf("handed over again: %q", got)
	}
	for _, c := range []struct {
		site fact.Demand
		want string
	}{{"", procedure.CodeNotTaken}, {fact.NotRequired, ""}, {fact.Required, procedure.CodeNotTaken}} {
		b.decided(func(p *fact.Policy) { p.TakeOver = c.site })
		if got := b.permit(nora, procedure.TimeOut); got != c.want {
			t.Errorf("a time-out, where the site says %q of the take-over: %q, want %q", c.site, got, c.want)
		}
	}
	b.does(nora, tookOver)
	if p := b.prep("P1"); p.Untaken != "" {
		t.Errorf("taken over, and still %q", p.Untaken)
	}
	if got := b.permit(nora, procedure.TimeOut); got != "" {
		t.Errorf("a time-out after the take-over: %q", got)
	}
	if got := b.permit(tess, procedure.HandOver); got != people.CodeNotHolder {
		t.Errorf("handed over by who no longer holds it: %q", got)
	}
	closed := upTo(t, procedure.Close)
	if got := code(procedure.MayTakeOver(nora, closed.prep("P1"))); got != procedure.CodeClosed {
		t.Errorf("after the closing: %q", got)
	}
	if got := code(procedure.MayTakeOver(phil, closed.prep("P1"))); got != procedure.CodeClosed {
		t.Errorf("after the closing: %q", got)
	}
	if p := upTo(t, procedure.HandOver).prep("P1"); p.Untaken != "" {
		t.Errorf("countersigned, and still %q", p.Untaken)
	}
}

// TestReadOut goes down the list of ReadOut, and to both sides of its bounds.
func TestReadOut(t *testing.T) {
	b := upTo(t, procedure.HandOver)
	_, r := b.reckon()
	p := b.prep("P1")
	dose := r.Orders[0].Dispensed.Activity
	for _, c := range []struct {
		name, patient, territory string
		share                    quantity.Activity
		want                     string
	}{
		{"another patient, territory and activity", "K-0471", "left lobe", 2, "identifier, the territory and the activity"},
		{"another territory and activity", "K-0417", "left lobe", 2, "territory and the activity"},
		{"no territory", "K-0417", "", 1, "territory"},
		{"another activity", "K-0417", "right lobe", 0.9899, "activity"},
		{"a little more", "K-0417", "right lobe", 1.0101, "activity"},
		{"at the upper bound", "K-0417", "right lobe", 1.01, ""},
		{"at the lower bound", "K-0417", "right lobe", 0.99, ""},
		{"as it is", "K-0417", "right lobe", 1, ""},
	} {
		x := &fact.TimeOut{For: "P1", Patient: c.patient, Territory: c.territory}
		x.Activity.Value = c.share * dose
		err := procedure.ReadOut(x, p, r)
		switch {
		case c.want == "" && err != nil:
			t.Errorf("%s: %v", c.name, err)
		case c.want != "" && (code(err) != procedure.CodeReadOut || !strings.HasPrefix(err.Error(), "the "+c.want+" read out")):
			t.Errorf("%s: %v", c.name, err)
		}
	}
	x := &fact.TimeOut{For: "P1", Patient: "K-0417", Territory: "right lobe"}
	x.Activity.Value = dose
	if got := code(procedure.ReadOut(x, p, dispensing.Result{})); got != procedure.CodeReadOut {
		t.Errorf("a dose that is not known: %q", got)
	}
}

// TestFromPaper: who wrote the sheet had a hand in it, and signs it.
func TestFromPaper(t *testing.T) {
	for _, c := range []struct {
		who    people.Person
		act    people.Act
		writer string
		want   string
	}{
		{nora, people.Draw, "", people.CodeNotPermitted},
		{tess, people.Draw, "", procedure.CodeNoWriter},
		{tess, people.Draw, tom.ID, ""},
		{rita, people.SecondCheck, tom.ID, procedure.CodeNotWriter},
		{rita, people.SecondCheck, rita.ID, ""},
	} {
		if got := code(procedure.FromPaper(c.who, c.act, c.writer)); got != c.want {
			t.Errorf("%s, %s, written by %q: %q, want %q", c.who.ID, c.act, c.writer, got, c.want)
		}
	}
	b := upTo(t, procedure.MakeUp).does(tess, theTransfer, "paper: {first: 14, last: 14, sheet: \"4\", by: tech-2}", theBefore)
	if s := b.prep("P1").Step(procedure.Transfer); s.By != tom.ID {
		t.Errorf("the transfer that tech-2 wrote down is by %q", s.By)
	}
	for who, want := range map[*people.Person]string{&tom: people.CodeOwnWork, &tess: people.CodeOwnWork, &rita: ""} {
		if got := b.permit(*who, procedure.SecondCheck); got != want {
			t.Errorf("a check by %s: %q, want %q", who.ID, got, want)
		}
	}
	b.does(rita, theCheck, "paper: {first: 17, last: 17, sheet: \"4\", by: mp-1}")
	b.stands(procedure.SecondCheck, procedure.Now) // what another wrote is no check of one's own
}

// TestOutsideWindow: a dose whose window is over is held under a code of its
// own, which an override lifts, for its order.
func TestOutsideWindow(t *testing.T) {
	b := upTo(t, procedure.Release)
	late := func() bool {
		return slices.ContainsFunc(b.prep("P1").Holds, func(h procedure.Hold) bool {
			return h.Code == procedure.OutsideWindow && h.Order == "P1" && h.Act == people.OverrideStop
		})
	}
	if late() {
		t.Error("held inside its window")
	}
	b.now = b.now.Add(12 * time.Hour)
	if !late() {
		t.Errorf("not held after its window: %+v", b.prep("P1").Holds)
	}
}

// TestReadOutOfADoseGivenEarly: the label is for the planned moment; that the
// dose was given 1.6 h before, when it was 1.7 % more, takes nothing back.
func TestReadOutOfADoseGivenEarly(t *testing.T) {
	b := upTo(t, procedure.Release).does(rita, "override: {for: P1, code: outside-window, reason: the patient is here, at: @11:51}").does(tess,
		"hand-over: {for: P1, serial: WK99-VFTV-W544, to: sn-1, place: suite 2, at: @11:52, countersigned: sn-1}").does(nora,
		"time-out: {for: P1, patient: K-0417, territory: right lobe, activity: 1.33 GBq, with: dr-1, at: @11:53}",
		"infuse: {for: P1, start: @11:54, stop: @12:04, reason: complete}")
	if s := b.prep("P1").Step(procedure.TimeOut); s.State != procedure.Done {
		t.Errorf("%+v", s)
	}
	_, r := b.reckon() // 1.3288 GBq at 13:30 is the package's worked example
	if got := r.Checks[0].First.MBq(); got < 1328.7 || got > 1328.9 {
		t.Errorf("the check is compared at another moment than it was made for: %v MBq", got)
	}
}

// TestSeeFigures: a check by who had chosen to see the figures before is none;
// after an own check they are no secret.
func TestSeeFigures(t *testing.T) {
	see := "see-figures: {for: P1, at: @11:35}"
	b := upTo(t, procedure.Baseline).does(rita, see)
	if got := b.permit(rita, procedure.SecondCheck); got != people.CodeFiguresSeen {
		t.Errorf("a check by who has seen the figures: %q", got)
	}
	if got := b.permit(tom, procedure.SecondCheck); got != "" {
		t.Errorf("a check by another: %q", got)
	}
	b.does(rita, theCheck)
	b.stands(procedure.SecondCheck, procedure.Now)
	b.does(tom, theCheck)
	b.stands(procedure.Label, procedure.Now)

	b = upTo(t, procedure.SecondCheck).does(rita, "see-figures: {for: P1, at: @11:42}").does(tess, reread)
	if got := b.permit(rita, procedure.SecondCheck); got != "" {
		t.Errorf("a further check by who has checked before: %q", got)
	}
}
