package hotlab

import (
	"time"

	"vialwright/fact"
)

// Wrong says what cannot be right in an entry about places or persons by itself: the field,
// what is wrong with it, and the way out. The text is empty where nothing is.
func Wrong(f fact.Fact) (field, text, way string) {
	var from, to time.Time
	text = "it ends before it begins"
	switch x := f.(type) {
	case *fact.DoseReport:
		field, from, to = "to", x.From, x.To
	case *fact.Wears:
		field, from, to = "until", x.From, x.Until
	case *fact.Training:
		field, from, to = "until", x.At, x.Until
	case *fact.Pregnancy:
		field, from, to = "ended", x.At, x.Ended
	case *fact.Spill:
		field, from, to, text = "ended", x.At, x.Ended, "it was dealt with before it happened"
	case *fact.Contaminated:
		if field, from, to, text = "since", x.Since, x.At, "it was read before it came about"; from.IsZero() {
			return "", "", ""
		}
	case *fact.FingerRatio:
		if x.Ratio.Value <= 0 {
			return "ratio", "a ratio of nothing", "write fingertip over ring: " + ratiosInPrint
		}
	case *fact.PointReading:
		if x.Rate.IsZero() && x.CountRate.IsZero() && x.Swab == nil {
			return "rate", "nothing was measured", "enter a dose rate, a count rate, or counts"
		}
	}
	if to.IsZero() || to.After(from) {
		return "", "", ""
	}
	return field, text, "check both times and their dates"
}
