package experience_test

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"

	"vialwright/experience"
	"vialwright/fact"
	"vialwright/learning"
)

func near(tb testing.TB, what string, got, want, tolerance float64) {
	tb.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		tb.Errorf("%s is %.9g, want %.9g within %g", what, got, want, tolerance)
	}
}

func one(tb testing.TB, text string) experience.Preparation {
	tb.Helper()
	got, err := experience.Of(records(tb, text), time.LoadLocation)
	if err != nil {
		tb.Fatal(err)
	}
	if len(got) != 1 {
		tb.Fatalf("%d preparations, want 1", len(got))
	}
	return got[0]
}

// TestWorkedExample is that of the package comment, by hand: the two readings
// in one geometry, to the digits given there. The residual is that of package
// dispensing, 3.55 %, with u from the display alone:
//
//	steps 1 and 0.1: u1 = √((1 + 0.01)/12) = 0.29011; 0.1 twice: u2 = 0.04082; N1 = 181.8, N2 = 6.2
//	u(f) = √((f·0.29011/181.8)² + (1.04086·0.04082/181.8)²) = 0.0002405
func TestWorkedExample(t *testing.T) {
	p := one(t, head+`  - read:     {of: S1, meter: M1, at: 2027-03-04T11:00, gross: 3.24 GBq, background: 0.2 MBq}
  - draw:     {from: S1, into: Y1, for: P1, at: 2027-03-04T11:10, volume: 2.2 mL}
  - make-up:  {of: S1, at: 2027-03-04T11:12, volume: 1.0 mL, diluent: water for injection}
  - read:     {of: S1, meter: M1, at: 2027-03-04T11:14, gross: 1.87 GBq, background: 0.2 MBq}
`+given)
	near(t, "yield", float64(p.Draws[0].Yield), 0.957741, 1e-6)
	near(t, "u(yield)", float64(p.Draws[0].U), 0.019475, 1e-6)
	near(t, "residual", float64(p.Residual.Fraction), 0.035497, 1e-6)
	near(t, "u(residual)", float64(p.Residual.FractionU), 0.0002405, 1e-7)
	near(t, "activity left behind", float64(p.Residual.Activity), 0.035497*float64(p.Dispensed), 1e-6*float64(p.Dispensed))
	// Of the full dose at 11:30, two hours before it was given.
	near(t, "dose rate per GBq", p.PerGBq, 181.8/(float64(p.Dispensed)*math.Exp2(2/64.0417)/1e9), 1e-4)
	if p.Person != "rp-3" || p.Kind != "3 GBq in 5 mL" || p.Lot != "L-0311" || len(p.Left) > 0 {
		t.Errorf("%+v", p)
	}
	// A_d = 1.30 GBq/0.98·2^(2h20min/64.0417h)
	near(t, "planned", float64(p.Planned), 1.3e9/0.98*math.Exp2(7.0/3/64.0417), 1e3)
}

// TestGeometriesThatDiffer: after a draw of 2.2 mL the vial holds 2.8 mL, in
// the other fill: its factor 1.02 and the uncertainties of both factors enter.
//
//	rho = 0.578594/1.02, y = (1 − rho)·5/2.2, u(rho)/rho = √(2·0.8² + 0.5² + 1²) %
func TestGeometriesThatDiffer(t *testing.T) {
	p := one(t, head+`  - read:     {of: S1, meter: M1, at: 2027-03-04T11:00, gross: 3.24 GBq, background: 0.2 MBq}
  - draw:     {from: S1, into: Y1, for: P1, at: 2027-03-04T11:10, volume: 2.2 mL}
  - read:     {of: S1, meter: M1, at: 2027-03-04T11:14, gross: 1.87 GBq, background: 0.2 MBq}
`+given)
	rho := 0.578594 / 1.02
	y := (1 - rho) * 5 / 2.2
	rel := math.Sqrt(2*0.008*0.008 + 0.005*0.005 + 0.01*0.01)
	near(t, "yield", float64(p.Draws[0].Yield), y, 2e-6)
	near(t, "u(yield)", float64(p.Draws[0].U), math.Hypot(5/2.2*rho*rel, y*0.1/math.Sqrt(12)/2.2), 2e-6)
}

// TestAStoppedInfusionTeachesNoResidual: what was not given is not residual.
func TestAStoppedInfusionTeachesNoResidual(t *testing.T) {
	for reason, taught := range map[string]bool{"complete": true, "blockage": false, "stasis": false} {
		p := one(t, head+`  - read:     {of: S1, meter: M1, at: 2027-03-04T11:00, gross: 3.24 GBq, background: 0.2 MBq}
  - draw:     {from: S1, into: Y1, for: P1, at: 2027-03-04T11:10, volume: 2.2 mL}
  - read:     {of: S1, meter: M1, at: 2027-03-04T11:14, gross: 1.87 GBq, background: 0.2 MBq}
`+strings.Replace(given, "  - residual", "  - infuse: {for: P1, start: 2027-03-04T13:30, stop: 2027-03-04T13:40, reason: "+reason+"}\n  - residual", 1))
		if (p.Residual != nil) != taught || (len(p.Left) == 0) != taught {
			t.Errorf("%s: residual %+v, left %v", reason, p.Residual, p.Left)
		}
	}
}

// TestWhatCannotBeTold: what is missing is named, and nothing is made up.
func TestWhatCannotBeTold(t *testing.T) {
	before := "  - read:     {of: S1, meter: M1, at: 2027-03-04T11:00, gross: 3.24 GBq, background: 0.2 MBq}\n"
	draw := "  - draw:     {from: S1, into: Y1, for: P1, at: 2027-03-04T11:10, volume: 2.2 mL}\n"
	after := "  - read:     {of: S1, meter: M1, at: 2027-03-04T11:14, gross: 1.87 GBq, background: 0.2 MBq}\n"
	for name, x := range map[string]struct{ entries, why string }{
		"not read before":   {draw + after + given, "was not read between the movement before the draw and the draw"},
		"not read after":    {before + draw + given, "was not read between the draw and the next movement"},
		"two meters":        {before + draw + strings.Replace(after, "M1", "M2", 1) + given, "no meter read S1"},
		"a top-up between":  {before + draw + "  - draw: {from: S1, into: Y1, for: P1, at: 2027-03-04T11:12, volume: 0.2 mL}\n" + after + given, "was not read between the draw and the next movement"},
		"a reading slipped": {before + draw + strings.Replace(after, "1.87", "3.20", 1) + given, "which no draw does"},
	} {
		p := one(t, head+x.entries)
		if len(p.Draws) != 0 || !strings.Contains(strings.Join(p.Left, "; "), x.why) {
			t.Errorf("%s: %d draws, left %q, want %q", name, len(p.Draws), p.Left, x.why)
		}
	}
}

// TestWhatIsFinished: an open order teaches nothing, nor one given up; a
// correction counts as if it had always been there.
func TestWhatIsFinished(t *testing.T) {
	drawn := head + `  - read:     {of: S1, meter: M1, at: 2027-03-04T11:00, gross: 3.24 GBq, background: 0.2 MBq}
  - draw:     {from: S1, into: Y1, for: P1, at: 2027-03-04T11:10, volume: 2.2 mL, by: NT1}
  - read:     {of: S1, meter: M1, at: 2027-03-04T11:14, gross: 18.7 GBq, background: 0.2 MBq}
  - correct:  {entry: 5, reason: a slipped digit, with: {read: {of: S1, meter: M1, at: 2027-03-04T11:14, gross: 1.87 GBq, background: 0.2 MBq}}}
`
	for name, x := range map[string]struct {
		more string
		want int
	}{
		"open":                   {"", 0},
		"closed":                 {"  - close: {for: P1, at: 2027-03-04T16:00}\n", 1},
		"closing struck out":     {"  - close: {for: P1, at: 2027-03-04T16:00}\n  - correct: {entry: 7, reason: too early}\n", 0},
		"given up":               {"  - cancel: {for: P1, reason: put off, at: 2027-03-04T12:00}\n  - close: {for: P1, at: 2027-03-04T16:00}\n", 0},
		"given, by its residual": {given, 1},
		"infused":                {"  - infuse: {for: P1, start: 2027-03-04T13:30, reason: complete, catheter: coiled}\n", 1},
	} {
		got, err := experience.Of(records(t, drawn+x.more), time.LoadLocation)
		if err != nil || len(got) != x.want {
			t.Errorf("%s: %d preparations, %v, want %d", name, len(got), err, x.want)
			continue
		}
		if x.want == 1 && (len(got[0].Draws) != 1 || got[0].Person != "NT1" || math.Abs(float64(got[0].Draws[0].Yield)-0.93) > 0.1) {
			t.Errorf("%s: %+v", name, got[0])
		}
		if x.want == 1 && (got[0].Catheter == "coiled") != (name == "infused") {
			t.Errorf("%s: catheter %q", name, got[0].Catheter)
		}
	}
}

// TestPeerUncertainties reckons the yields of invented cases with the Python
// package uncertainties, which propagates by itself. To 1e-9: the same
// arithmetic in another order.
func TestPeerUncertainties(t *testing.T) {
	var in bytes.Buffer
	var want []learning.Draw
	for _, c := range past(t, 40, 7) {
		p, err := experience.Of(c, time.LoadLocation)
		if err != nil {
			t.Fatal(err)
		}
		if len(p[0].Draws) == 0 {
			continue
		}
		var reads []*fact.Read
		var vial *fact.Receive
		var draw *fact.Draw
		for _, r := range c {
			switch x := r.Fact.(type) {
			case *fact.Read:
				reads = append(reads, x)
			case *fact.Receive:
				vial = x
			case *fact.Draw:
				draw = x
			case *fact.Correct:
				reads[1], _ = x.With.(*fact.Read)
			}
		}
		fmt.Fprintln(&in, reads[0].Gross.Value.MBq(), reads[1].Gross.Value.MBq(), reads[0].Background.Value.MBq(), 1, 0.008,
			reads[1].At.Sub(reads[0].At).Minutes(), 64.0417, float64(vial.Volume.Value), float64(draw.Volume.Value), 0.1)
		want = append(want, p[0].Draws[0])
	}
	out := python(t, "testdata/yield_peer.py", in.Bytes())
	lines := strings.Split(strings.TrimSpace(out), "\n")
	if len(lines) != len(want) || len(want) < 38 {
		t.Fatalf("%d answers for %d draws", len(lines), len(want))
	}
	for i, line := range lines {
		var y, u float64
		if _, err := fmt.Sscan(line, &y, &u); err != nil {
			t.Fatal(err)
		}
		near(t, "yield", float64(want[i].Yield), y, 1e-7)
		near(t, "u(yield)", float64(want[i].U), u, 1e-7)
	}
}

func python(tb testing.TB, script string, in []byte) string {
	tb.Helper()
	if testing.Short() {
		tb.Skip("-short: the program that it is compared with is not asked")
	}
	if err := exec.Command("/usr/bin/python3", "-c", "import uncertainties").Run(); err != nil {
		if os.Getenv("CI") == "true" {
			tb.Fatalf("the peer needs python3 with uncertainties: %v", err)
		}
		tb.Skipf("the peer needs python3 with uncertainties: %v", err)
	}
	cmd := exec.Command("/usr/bin/python3", script)
	cmd.Stdin = bytes.NewReader(in)
	out, err := cmd.Output()
	if err != nil {
		tb.Fatal(err)
	}
	return string(out)
}
