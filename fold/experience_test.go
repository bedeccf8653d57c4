package fold_test

import (
	"strings"
	"testing"
	"time"

	"vialwright/casefile"
	"vialwright/dispensing"
	"vialwright/fact/facttest"
	"vialwright/fold"
	"vialwright/journal"
	"vialwright/ledger"
	"vialwright/quantity"
)

// experienceCase is a case with what was learned, and perhaps a policy. The order
// states no residual.
func experienceCase(tb testing.TB, policy string, entries ...string) dispensing.Case {
	tb.Helper()
	text := "case: 1\nzone: Atlantic/Azores\n" + policy + "entries:\n" +
		"  - order: {id: P1, prescribed: 1.30 GBq, at: 2027-03-04T13:30}\n" +
		"  - receive: {vial: S1, lot: L-0311, labelled: 3.0 GBq, reference: 2027-03-04T18:00, volume: 5.0 mL}\n"
	for _, e := range entries {
		text += "  - " + e + "\n"
	}
	f, err := casefile.Decode([]byte(text), time.LoadLocation)
	if err != nil {
		tb.Fatal(err)
	}
	c, err := fold.File(f)
	if err != nil {
		tb.Fatal(err)
	}
	return c
}

const (
	experience0 = "experience: {at: 2027-03-04T08:00, up-to: 1200, yields: [{vial: 3 GBq in 5 mL, by: NT1, q: 92 %, u: 2 %, cases: 200, own: 41}, " +
		"{vial: 3 GBq in 5 mL, q: 93 %, u: 3 %, cases: 200, own: 200}, {q: 95 %, u: 5 %, cases: 200}], residuals: [{fraction: 3 %, u: 1 %, cases: 180}]}"
	experience1 = "experience: {at: 2027-03-04T11:30, yields: [{q: 80 %, u: 4 %, cases: 300}], residuals: [{vial: 3 GBq in 5 mL, fraction: 5 %, u: 1 %, cases: 280}], reason: more cases}"
)

func drawBy(who string) string {
	return strings.Replace("draw: {from: S1, into: Y1, for: P1, at: 2027-03-04T11:10, volume: 2.2 mL}", "}", who+"}", 1)
}

// A draw rests on the row of its vial's kind and of who drew, as learned by
// the time of the draw; one that is learned later changes nothing of it.
func TestADrawRestsOnWhatWasLearnedByThen(t *testing.T) {
	for name, x := range map[string]struct {
		policy, by string
		want       ledger.Share
	}{
		"the person":          {"", ", by: NT1", ledger.Share{Value: 0.92, U: 0.02}},
		"anybody else":        {"", ", by: RP1", ledger.Share{Value: 0.93, U: 0.03}},
		"nobody named":        {"", "", ledger.Share{Value: 0.93, U: 0.03}},
		"a policy wins":       {"policy: {draw-yield: {q: 97 %, u: 4 %}}\n", "", ledger.Share{Value: 0.97, U: 0.04}},
		"unless it follows":   {"policy: {draw-yield: {q: 97 %, u: 4 %}, learn: yes}\n", "", ledger.Share{Value: 0.93, U: 0.03}},
		"or does not want to": {"policy: {learn: no}\n", "", ledger.Share{Value: 1, U: 0.05}},
	} {
		c := experienceCase(t, x.policy, experience0, drawBy(x.by), experience1)
		if got := c.Draws[0].Yield; got != x.want {
			t.Errorf("%s: %v, want %v", name, got, x.want)
		}
		if follows := !strings.Contains(x.policy, "learn: no") && (x.policy == "" || strings.Contains(x.policy, "learn: yes")); c.Draws[0].Learned != follows {
			t.Errorf("%s: follows the site experience: %v", name, c.Draws[0].Learned)
		}
		if c.Experience == nil || c.Experience.Yields[0].Cases != 300 {
			t.Errorf("%s: the last one is not in force: %+v", name, c.Experience)
		}
	}
}

// What was learned of the residual raises no prescription: an order that states
// none allows nothing, whatever the site's cases say.
func TestALearnedResidualRaisesNothing(t *testing.T) {
	c := experienceCase(t, "", experience0)
	if o := c.Orders[0]; o.Allowed() != 0 || o.Target() != o.Prescribed {
		t.Errorf("%+v", o)
	}
	if r, ok := c.UsualResidual(); !ok || r.Share.Value != 0.03 {
		t.Errorf("for information: %+v", r)
	}
}

// The residual of an order is an activity or a percentage, written back as it
// was read.
func TestTheResidualOfAnOrder(t *testing.T) {
	for text, want := range map[string]quantity.Activity{"42 MBq": 42e6, "3.2 %": 1.3e9 * 0.032 / 0.968, "1.35 mCi": 49.95e6} {
		line := "order: {id: P1, prescribed: 1.30 GBq, at: 2027-03-04T13:30, residual: " + text + "}"
		o := facttest.FoldLines(t, line).Orders[0]
		near(t, text, float64(o.Allowed()), float64(want), 1e-12)
		facts := facttest.Decode(t, facttest.CaseOf(t, line)).Facts
		r := journal.Record{Recorded: facttest.Local("07:00").UTC(), By: "dr-1", Fact: facts[len(facts)-1]}
		data, err := r.Marshal()
		if err != nil || !strings.Contains(string(data), `"residual":"`+text+`"`) {
			t.Errorf("%s is written %s, %v", text, data, err)
		}
	}
	for _, text := range []string{"1.4 GBq", "100 %"} {
		err := facttest.RefusedBy(string(facttest.CaseOf(t, "order: {id: P1, prescribed: 1.30 GBq, at: 2027-03-04T13:30, residual: "+text+"}")))
		if err == nil || !strings.Contains(err.Error(), "leaves nothing to give") {
			t.Errorf("%s: %v", text, err)
		}
	}
}

// Learning is no work: it does not move the moment a case speaks of.
func TestLearningIsNoMoment(t *testing.T) {
	if c := experienceCase(t, "", experience0); !c.Last.IsZero() {
		t.Errorf("last is %v", c.Last)
	}
}
