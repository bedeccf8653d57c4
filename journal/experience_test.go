package journal_test

import (
	"strings"
	"testing"
	"time"

	"vialwright/dispensing"
	"vialwright/journal"
	"vialwright/ledger"
)

// learnedCase is a case with what was learned, and perhaps a policy. The order
// states no residual.
func learnedCase(tb testing.TB, policy string, entries ...string) dispensing.Case {
	tb.Helper()
	text := "case: 1\nzone: Atlantic/Azores\n" + policy + "entries:\n" +
		"  - order: {id: P1, prescribed: 1.30 GBq, at: 2027-03-04T13:30}\n" +
		"  - receive: {vial: S1, lot: L-0311, labelled: 3.0 GBq, reference: 2027-03-04T18:00, volume: 5.0 mL}\n"
	for _, e := range entries {
		text += "  - " + e + "\n"
	}
	f, err := journal.Decode([]byte(text), time.LoadLocation)
	if err != nil {
		tb.Fatal(err)
	}
	c, err := f.Fold()
	if err != nil {
		tb.Fatal(err)
	}
	return c
}

const (
	learned0 = "learned: {at: 2027-03-04T08:00, up-to: 1200, yields: [{vial: 3 GBq in 5 mL, by: NT1, q: 92 %, u: 2 %, cases: 200, own: 41}, " +
		"{vial: 3 GBq in 5 mL, q: 93 %, u: 3 %, cases: 200, own: 200}, {q: 95 %, u: 5 %, cases: 200}], residuals: [{fraction: 3 %, u: 1 %, cases: 180}]}"
	learned1 = "learned: {at: 2027-03-04T11:30, yields: [{q: 80 %, u: 4 %, cases: 300}], residuals: [{vial: 3 GBq in 5 mL, fraction: 5 %, u: 1 %, cases: 280}], reason: more cases}"
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
		"a policy wins":       {"policy: {draw-yield: {q: 97 %, u: 4 %}}\n", "", ledger.Share{}},
		"unless it follows":   {"policy: {draw-yield: {q: 97 %, u: 4 %}, learn: yes}\n", "", ledger.Share{Value: 0.93, U: 0.03}},
		"or does not want to": {"policy: {learn: no}\n", "", ledger.Share{}},
	} {
		c := learnedCase(t, x.policy, learned0, drawBy(x.by), learned1)
		if got := c.Draws[0].Yield; got != x.want {
			t.Errorf("%s: %v, want %v", name, got, x.want)
		}
		if c.Learned == nil || c.Learned.Entry != 5 {
			t.Errorf("%s: the last one is not in force: %+v", name, c.Learned)
		}
	}
}

// The residual of an order that states none is the learned one, and holds from
// the first draw on.
func TestALearnedResidual(t *testing.T) {
	for name, x := range map[string]struct {
		policy  string
		entries []string
		want    float64
	}{
		"nothing learned":     {"", nil, 0},
		"a kind not seen":     {"", []string{learned0}, 0.03},
		"the last":            {"", []string{learned0, learned1}, 0.05},
		"drawn in between":    {"", []string{learned0, drawBy(""), learned1}, 0.03},
		"drawn before":        {"", []string{drawBy(""), learned1}, 0},
		"a site that will no": {"policy: {learn: no}\n", []string{learned0}, 0},
		"struck out":          {"", []string{learned0, "correct: {entry: 3, reason: of another site}"}, 0},
	} {
		o := learnedCase(t, x.policy, x.entries...).Orders[0]
		if float64(o.Residual) != x.want || (o.Learned == nil) != (x.want == 0) {
			t.Errorf("%s: %v, %+v, want %v", name, o.Residual, o.Learned, x.want)
		}
	}
}

// Learning is no work: it does not move the moment a case speaks of.
func TestLearningIsNoMoment(t *testing.T) {
	if c := learnedCase(t, "", learned0); !c.Last.IsZero() {
		t.Errorf("last is %v", c.Last)
	}
}
