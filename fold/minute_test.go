package fold_test

import (
	"strings"
	"testing"

	"vialwright/fact/facttest"
	"vialwright/fold"
)

// TestMinutes: a time typed to the minute is not before one of the same minute
// that a clock stamped with its seconds, where the list has it after that. A
// minute earlier is.
func TestMinutes(t *testing.T) {
	const (
		drawn    = "draw: {from: S1, into: Y1, for: P1, at: 2027-03-04T11:10:30, volume: 2.2 mL}"
		labelled = "label: {serial: WK99-VFTV-W544, for: P1, of: Y1, size: syringe, copy: 1, at: 2027-03-04T11:40:20}"
		timeout  = "time-out: {for: P1, patient: K-1, activity: 1.3 GBq, with: dr-1, at: 2027-03-04T14:17:06}"
	)
	for name, c := range map[string]struct {
		lines         []string
		same, earlier string
	}{
		"a start after a time-out":                 {[]string{drawn, timeout, "infuse: {for: P1, start: 2027-03-04T@, stop: 2027-03-04T14:30, reason: complete}"}, "14:17", "14:16"},
		"a make-up after a draw":                   {[]string{drawn, "make-up: {of: Y1, at: 2027-03-04T@, volume: 1.3 mL, diluent: water for injection}"}, "11:10", "11:09"},
		"a transfer after a draw":                  {[]string{drawn, "transfer: {from: Y1, into: A1, at: 2027-03-04T@}"}, "11:10", "11:09"},
		"a release after a label":                  {[]string{drawn, labelled, "release: {for: P1, serial: WK99-VFTV-W544, at: 2027-03-04T@}"}, "11:40", "11:39"},
		"a draw in the minute of the resuspension": {[]string{"draw: {from: S1, into: Y1, for: P1, at: 2027-03-04T@, volume: 1 mL, agitated: 2027-03-04T11:10:40}"}, "11:10", "11:09"},
		"a stop in the minute of the start":        {[]string{drawn, "infuse: {for: P1, start: 2027-03-04T14:10:40, stop: 2027-03-04T@, reason: stasis}"}, "14:10", "14:09"},
		"a time-out in the minute of the start":    {[]string{drawn, "infuse: {for: P1, start: 2027-03-04T@, stop: 2027-03-04T14:30, reason: complete}", timeout}, "14:17", "14:16"},
	} {
		refused := func(at string) error {
			lines := append([]string{facttest.TheOrder, facttest.TheVial}, c.lines...)
			_, err := fold.File(facttest.Decode(t, []byte(strings.ReplaceAll(string(facttest.CaseOf(t, lines...)), "@", at))))
			return err
		}
		if err := refused(c.same); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if err := refused(c.earlier); err == nil {
			t.Errorf("%s: a minute earlier is taken too", name)
		}
	}
}
