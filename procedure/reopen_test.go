package procedure_test

import (
	"testing"

	"vialwright/procedure"
)

// TestReopened: a correction in a closed record reopens it, the steps done
// before it stay done with who did them, and it is closed again.
func TestReopened(t *testing.T) {
	for _, c := range []struct {
		name, correction string
		reopens          bool
	}{
		{"a reading of the vial", "correct: {entry: 12, reason: digits exchanged, with: {read: {of: S1, meter: M1, at: @11:14, gross: 1.78 GBq, background: 0.2 MBq}}}", true},
		{"the release struck out", "correct: {entry: 18, reason: not meant}", true},
		{"the order", "correct: {entry: 1, reason: another territory, with: {order: {id: P1, patient: K-0417, territory: left lobe, version: \"1\", prescribed: 1.30 GBq, at: @13:30, residual: 2 %}}}", true},
		{"the closing struck out", "correct: {entry: 24, reason: too early}", true},
		{"a check of readiness", "correct: {entry: 5, reason: another survey meter, with: {check: {what: survey-meter, of: G2, result: pass, at: @07:32}}}", false},
	} {
		b := upTo(t, procedure.Close)
		before := b.prep("P1")
		b.does(rita, c.correction)
		p := b.prep("P1")
		if p.Closed == c.reopens || (p.Reopened > 0) != c.reopens {
			t.Errorf("%s: closed %v, reopened by %d", c.name, p.Closed, p.Reopened)
		}
		for i, s := range p.Steps {
			if old := before.Steps[i]; s.Key != procedure.Close && (s.State != old.State || s.By != old.By) {
				t.Errorf("%s: %s is %s by %s (%s), was %s by %s", c.name, s.Key, s.State, s.By, s.Why, old.State, old.By)
			}
		}
		if !c.reopens {
			continue
		}
		b.stands(procedure.Close, procedure.Now)
		if got := b.permit(rita, procedure.Close); got != "" {
			t.Errorf("%s: closing again is refused: %s", c.name, got)
		}
		b.does(rita, "close: {for: P1, at: @17:00}")
		if p := b.prep("P1"); !p.Closed || p.Reopened != 0 || p.Now != -1 {
			t.Errorf("%s: closed again it is %+v", c.name, p)
		}
	}
}

// TestCorrectedAfterTheInfusion: a correction of a reading after the dose was
// given, and before the record is closed, takes back nothing that was done
// before: nobody reads that a dose which was released was given without it.
func TestCorrectedAfterTheInfusion(t *testing.T) {
	b := upTo(t, procedure.Infusion)
	before := b.prep("P1")
	b.does(rita, "correct: {entry: 12, reason: digits exchanged, with: {read: {of: S1, meter: M1, at: @11:14, gross: 1.78 GBq, background: 0.2 MBq}}}")
	p := b.prep("P1")
	for i, s := range p.Steps {
		if old := before.Steps[i]; s.State != old.State || s.By != old.By {
			t.Errorf("%s is %s by %s (%s), was %s by %s", s.Key, s.State, s.By, s.Why, old.State, old.By)
		}
	}
	b.stands(procedure.Residual, procedure.Now)
}
