package lessons

import (
	"testing"

	"vialwright/dispensing"
	"vialwright/quantity"
	"vialwright/settling"
)

// TestOffInWords: how far off a reading is, and for how long it can be taken.
func TestOffInWords(t *testing.T) {
	for _, c := range []struct {
		off  quantity.Fraction
		want string
	}{
		{0.0004, "less than 0.1 %"},
		{-0.00049, "less than 0.1 %"},
		{-0.0006, "about 0.1 %, too low"},
		{-0.0061, "about 0.6 %, too low"},
		{0.023, "about 2.3 %, too high"},
	} {
		if got := offBy(c.off); got != c.want {
			t.Errorf("%v is %q, want %q", c.off, got, c.want)
		}
	}
	small := &Curve{SettlingTest: dispensing.SettlingTest{Meter: "M1"}, Fit: settling.CurveFit{Fresh: 3e9, Amplitude: 0.005, Tau: 60, Effect: true, Last: 600}}
	quick := &Curve{Fit: settling.CurveFit{Fresh: 3e9, Amplitude: 0.5, Tau: 20, Effect: true, Last: 600}}
	if got := quick.Within(); got != "the reading is off by more than 1 % (an assumption) within the first second after resuspension." {
		t.Error(got)
	}
	if got := small.Within(); got != "up to 10 min after resuspension the reading is off by no more than 1 % (an assumption)." {
		t.Error(got)
	}
}
