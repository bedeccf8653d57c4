package hotlab

import (
	"time"

	"vialwright/fact"
	"vialwright/fold"
	"vialwright/quantity"
)

// Again is the number of the entry that reports a dose already; false where none does.
func Again(all []fold.Entry, f fact.Fact) (entry int, again bool) {
	for _, e := range all {
		if SameReport(e.Fact, f) {
			return e.Number, true
		}
	}
	return 0, false
}

// SameReport tells that two reports are of one dosemeter, person, hand and period.
func SameReport(a, b fact.Fact) bool {
	was, ok := a.(*fact.DoseReport)
	now, also := b.(*fact.DoseReport)
	return ok && also && was.Dosemeter == now.Dosemeter && was.Who == now.Who && sameHand(was.Hand, now.Hand) && was.From.Equal(now.From) && was.To.Equal(now.To)
}

// Wrong says what cannot be right in an entry about places or persons by itself: the field,
// what is wrong with it, and the way out. The text is empty where nothing is.
func Wrong(f fact.Fact) (field, text, way string) {
	var from, to time.Time
	text = "it ends before it begins"
	switch x := f.(type) {
	case *fact.DoseReport:
		if field, from, to = "to", x.From, x.To; x.Hand != "" && !onHand(x.Worn) {
			return "hand", "a " + string(x.Worn) + " dosemeter is worn on no hand", "leave the hand out, or correct where it was worn"
		}
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
	case *fact.LeftSite:
		if x.How != fact.LeftReturned && (x.Inside != nil || !x.Surface.IsZero() || x.EmptyLabel != "" || x.OldLabels != "") {
			return "surface", "only an empty package that goes back is measured", "leave its readings out, or correct how it left"
		}
	case *fact.FingerRatio:
		if x.Ratio.Value <= 0 {
			return "ratio", "a ratio of nothing", "write fingertip over ring: " + ratiosInPrint
		}
	case *fact.BinReading:
		if quantity.Family(x.Rate) != quantity.Family(x.Background) {
			return "background", "the dose rate is " + x.Rate.Text + " and its background " + x.Background.Text + ", and one does not turn into the other", "read both with one meter, and write both in one unit"
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
