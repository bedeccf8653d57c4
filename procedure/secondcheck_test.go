package procedure_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/people"
	"vialwright/procedure"
	"vialwright/quantity"
)

// checked is the dose of the walk after a check: of what was read, what it
// showed, and the figure worked out, by a person.
func checked(b *bench, who people.Person, of, gross, figure string) procedure.Preparation {
	b.tb.Helper()
	b.does(who, fmt.Sprintf("second-check: {for: P1, of: %s, meter: M1, at: @11:40, gross: %s, background: 0.2 MBq, activity: %s}", of, gross, figure))
	return b.prep("P1")
}

// TestSecondCheckByHand is the worked example of the package comment, reckoned
// by hand there.
func TestSecondCheckByHand(t *testing.T) {
	p := checked(upTo(t, procedure.Baseline), rita, "S1", "1.86 GBq", "1.33 GBq")
	if len(p.Checks) != 1 {
		t.Fatalf("checks %+v", p.Checks)
	}
	c := p.Checks[0]
	for _, x := range []struct {
		name      string
		got, want float64
	}{{"first", c.First.MBq(), 1328.83}, {"second", c.Read.MBq(), 1330.05}, {"difference", c.Difference.MBq(), 1.23}, {"its u", c.U.MBq(), 20.64}} {
		if math.Abs(x.got-x.want) > 0.3 { // u also holds the last digit of the display and the background
			t.Errorf("%s %.3f MBq, want %.2f", x.name, x.got, x.want)
		}
	}
	if !c.Agrees() || c.By != "rp-1" || len(c.Shared) != 1 || c.Limit != 0.05 {
		t.Errorf("%+v", c)
	}
}

// TestSecondCheck: what was read decides, and what was typed beside it has to
// follow from it.
func TestSecondCheck(t *testing.T) {
	for _, c := range []struct {
		name           string
		setting        func(*fact.Policy)
		of, gross, fig string
		refused        string // by Checkable
		agrees         bool
	}{
		{"as the record", nil, "S1", "1.86 GBq", "1.33 GBq", "", true},
		{"the figure to 1 %", nil, "S1", "1.86 GBq", "1.318 GBq", "", true},
		{"the figure to more", nil, "S1", "1.86 GBq", "1.315 GBq", procedure.CodeWorking, false},
		{"the prescription typed beside an own reading", nil, "S1", "1.86 GBq", "1.30 GBq", procedure.CodeWorking, false},
		{"the first figure beside a reading of nothing", nil, "S1", "0.10 GBq", "1.33 GBq", procedure.CodeWorking, false},
		{"within limit and 3 u", nil, "S1", "1.91 GBq", "1.28 GBq", "", true},
		{"beyond 5 %", nil, "S1", "1.93 GBq", "1.26 GBq", "", false},
		{"within a wider limit, beyond 3 u", limit("15 %"), "S1", "1.93 GBq", "1.26 GBq", "", false},
		{"beyond a narrower limit", limit("3 %"), "S1", "1.91 GBq", "1.28 GBq", "", false},
		{"the dose, which the site does not read", nil, "A1", "1.33 GBq", "1.34 GBq", procedure.CodeNotCompared, false},
		{"the dose, where the site does", either, "A1", "1.32 GBq", "1.32 GBq", "", true},
		{"a tenth of the dose with its figure beside it", either, "A1", "0.13 GBq", "1.33 GBq", procedure.CodeWorking, false},
		{"a tenth of the dose, honestly", either, "A1", "0.133 GBq", "0.133 GBq", "", false},
		{"the emptied syringe", either, "Y1", "1.3 GBq", "1.33 GBq", procedure.CodeNotCompared, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := upTo(t, procedure.Baseline)
			if c.setting != nil {
				b.decided(c.setting)
			}
			p := checked(b, rita, c.of, c.gross, c.fig)
			last := p.Checks[len(p.Checks)-1]
			if got := code(procedure.Checkable(last.CheckResult)); got != c.refused {
				t.Errorf("refused with %q, want %q: %+v", got, c.refused, last)
			}
			if last.Agrees() != c.agrees || (p.Step(procedure.SecondCheck).State == procedure.Done) != c.agrees {
				t.Errorf("agrees %v, the step is %s, want %v: %+v", last.Agrees(), p.Step(procedure.SecondCheck).State, c.agrees, last)
			}
		})
	}
}

// limit and either are settings of the site.
func limit(text string) func(*fact.Policy) {
	return func(p *fact.Policy) { p.CheckLimit, _ = quantity.Parse[quantity.Fraction](text) }
}

func either(p *fact.Policy) { p.CheckReads = fact.ReadsEither }

// TestCheckAfterAnotherDraw: once more was drawn from the vial its remainder
// does not tell the dose, and the container is read.
func TestCheckAfterAnotherDraw(t *testing.T) {
	b := upTo(t, procedure.Baseline)
	_, r := b.reckon()
	if w := r.Orders[0].Second; len(w) != 1 || w[0].Of != "S1" || len(w[0].Shared) != 1 {
		t.Errorf("ways %+v", w)
	}
	b.does(dora, "order: {id: P2, prescribed: 0.4 GBq, at: @13:30}").does(tess, "draw: {from: S1, into: Y2, for: P2, at: @11:35, volume: 0.5 mL}")
	_, r = b.reckon()
	if w := r.Orders[0].Second; len(w) != 1 || w[0].Of != "A1" || w[0].Shared != nil {
		t.Errorf("ways after another draw %+v", w)
	}
	if p := checked(b, rita, "A1", "1.32 GBq", "1.32 GBq"); !p.Checks[0].Agrees() {
		t.Errorf("the container: %+v", p.Checks[0])
	}
}

// TestStrikeCheck: a check that differs is struck out by its maker, once
// between two acts of work, or by who may release and did not prepare; never
// by who prepared.
func TestStrikeCheck(t *testing.T) {
	const strike = "correct: {entry: %d, reason: read the wrong line}"
	may := func(b *bench, who people.Person, maker, reason string) string {
		return code(procedure.MayStrikeCheck(who, b.prep("P1"), maker, reason))
	}
	b := upTo(t, procedure.Baseline).does(phil, differing)
	b.stands(procedure.SecondCheck, procedure.Blocked)
	for _, c := range []struct {
		who          people.Person
		reason, want string
	}{
		{tess, "slip", people.CodeNotPermitted},
		{tom, "slip", people.CodeNotPermitted},
		{nora, "slip", people.CodeNotPermitted},
		{rita, "slip", ""},
		{dora, "slip", ""},
		{rita, " ", people.CodeNoReason},
		{phil, "slip", ""},
		{phil, "", people.CodeNoReason},
	} {
		if got := may(b, c.who, "mp-1", c.reason); got != c.want {
			t.Errorf("%s: %q, want %q", c.who.ID, got, c.want)
		}
	}
	prepared := upTo(t, procedure.Baseline).does(rita, "read: {of: A1, meter: M1, at: @11:32, gross: 1.32 GBq, background: 0.2 MBq}").does(phil, differing)
	if got := may(prepared, rita, "mp-1", "slip"); got != people.CodeOwnWork {
		t.Errorf("who prepared and may release: %q", got)
	}
	// The maker's own slip, once; then the check is open to the same person.
	b.does(phil, fmt.Sprintf(strike, 16))
	b.stands(procedure.SecondCheck, procedure.Now)
	if got := b.permit(phil, procedure.SecondCheck); got != "" {
		t.Errorf("a check after the own slip: %q", got)
	}
	b.does(phil, differing)
	if got := may(b, phil, "mp-1", "slip"); got != procedure.CodeSlipTwice {
		t.Errorf("a second slip: %q", got)
	}
	if got := may(b, rita, "mp-1", "slip"); got != "" {
		t.Errorf("who may release, after that: %q", got)
	}
	b.does(tess, reread).does(phil, strings.ReplaceAll(differing, "11:38", "11:48"))
	if got := may(b, phil, "mp-1", "slip"); got != "" {
		t.Errorf("a slip after further work: %q", got)
	}
}

// TestCheckOfNothing: where the record determines no dose there is nothing to
// compare with.
func TestCheckOfNothing(t *testing.T) {
	p := checked(upTo(t, procedure.Draw), rita, "S1", "1.86 GBq", "1.33 GBq")
	if c := p.Checks[0]; c.Agrees() || c.Why == "" || c.CheckResult.Worked() {
		t.Errorf("%+v", c)
	}
	if (dispensing.CheckResult{}).Agrees() {
		t.Error("an empty result agrees")
	}
}

// TestTakenOverBeforeGiven: a dose that was handed over and not taken over is
// not given, whatever form asks; a deviation tells how it came about, and the
// site may do without.
func TestTakenOverBeforeGiven(t *testing.T) {
	given := strings.Replace(theHandOver, ", countersigned: sn-1", "", 1)
	untaken := func() *bench { return upTo(t, procedure.Release).does(tess, given) }
	b := untaken()
	if got := b.permit(nora, procedure.TimeOut); got != procedure.CodeNotTaken {
		t.Errorf("time-out: %q", got)
	}
	b.does(nora, theTimeOut)
	if got := b.permit(nora, procedure.Infusion); got != procedure.CodeNotTaken {
		t.Errorf("infusion: %q", got)
	}
	b.does(nora, "deviation: {for: P1, text: carried by the nurse, at: @13:29}")
	if got := b.permit(nora, procedure.Infusion); got != "" {
		t.Errorf("infusion with a deviation: %q", got)
	}
	b = untaken().does(nora, theTimeOut, "take-over: {for: P1, at: @13:27}")
	if got := b.permit(nora, procedure.Infusion); got != "" {
		t.Errorf("taken over: %q", got)
	}
	b = untaken()
	b.decided(func(p *fact.Policy) { p.TakeOver = fact.NotRequired })
	b.does(nora, theTimeOut)
	if got := b.permit(nora, procedure.Infusion); got != "" {
		t.Errorf("where the site does without: %q", got)
	}
}

// TestTerritoryAsSpoken: letter case and spaces do not make another territory.
func TestTerritoryAsSpoken(t *testing.T) {
	for spoken, want := range map[string]procedure.State{"Right Lobe": procedure.Done, "RIGHT  LOBE": procedure.Done, "left lobe": procedure.Blocked} {
		b := upTo(t, procedure.HandOver).does(nora, strings.Replace(theTimeOut, "right lobe", "\""+spoken+"\"", 1))
		if s := b.prep("P1").Step(procedure.TimeOut); s.State != want {
			t.Errorf("%s: %s, want %s: %s", spoken, s.State, want, s.Why)
		}
	}
}
