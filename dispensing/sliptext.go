package dispensing

import (
	"fmt"
	"strconv"
	"strings"

	"vialwright/quantity"
	"vialwright/slip"
)

// list names containers.
func list(ids []string) string {
	if len(ids) < 2 {
		return strings.Join(ids, "")
	}
	return strings.Join(ids[:len(ids)-1], ", ") + " and " + ids[len(ids)-1]
}

// chance is a probability in words.
func chance(p float64) string { return strconv.FormatFloat(100*p, 'f', 0, 64) + " %" }

// text is the text of the part of an entry that is suspected.
func (r *reckoner) text(x slip.Explanation) string {
	t := r.typed[x.Entry]
	switch x.Part {
	case slip.TheVolume, slip.TheMove:
		return t.Volume
	case slip.TheReading:
		if t.Activity == "" { // sent by a meter
			return show(t.Gross)
		}
	}
	return t.Activity
}

// explain says in a sentence what happened, probably or perhaps.
func (r *reckoner) explain(x slip.Explanation) string {
	typed, verb, adverb := r.text(x), "may be", "perhaps "
	if x.Odds >= 0.5 {
		verb, adverb = "is probably", "probably "
	}
	switch x.Kind {
	case slip.PointMoved, slip.OtherUnit, slip.Swapped, slip.Misread, slip.GrossForNet:
		return fmt.Sprintf("%s %s %s (%s)", typed, verb, x.Meant, x.Kind)
	case slip.OtherContainer:
		return fmt.Sprintf("%s %s a reading of %s", typed, verb, x.Place)
	case slip.WrongHour, slip.WrongDay:
		what, late := "the time of "+typed, "late"
		if x.Part == slip.TheLabel {
			what = "the reference time"
		}
		if x.Hours < 0 {
			late = "early"
		}
		return fmt.Sprintf("%s %s %d h too %s (check date, hour and zone)", what, verb, abs(x.Hours), late)
	case slip.NothingMoved:
		return adverb + "nothing was drawn"
	case slip.MovedTwice:
		return adverb + "it was drawn twice"
	case slip.OtherSource:
		return adverb + "it was drawn from " + x.Place
	case slip.OtherTarget:
		return adverb + "it was drawn into " + x.Place
	}
	return typed + " does not fit, and no usual slip explains it"
}

func abs(n int) int { return max(n, -n) }

// account gives the likeliest explanation, what is close to it or physical, and
// what else has more than one hundredth of the odds, once for each.
func (r *reckoner) account(s slip.Set) string {
	out := r.explain(s.Explanations[0]) + r.expected(s, s.Explanations[0])
	next := false
	for _, x := range s.Explanations[1:] {
		if x.Odds < slip.Said || x.Kind == slip.Unknown || (next && !x.Kind.Physical()) {
			continue
		}
		next = next || !x.Kind.Physical()
		where := ""
		if x.Entry != s.Explanations[0].Entry {
			where = fmt.Sprintf("entry %d: ", x.Entry)
		}
		out += fmt.Sprintf("; or, with %s of the odds, %s%s", chance(x.Odds), where, r.explain(x))
	}
	return out
}

// expected says what the other entries give of the one suspected.
func (r *reckoner) expected(s slip.Set, x slip.Explanation) string {
	e, ok := s.Expect[x.Entry]
	switch {
	case !ok:
		return ""
	case x.Part == slip.TheReading:
		_, unit, _ := strings.Cut(r.text(x), " ")
		if r.typed[x.Entry].Activity == "" {
			unit = "MBq"
		}
		if least, err := quantity.Parse[quantity.Activity]("0.0001 " + unit); err == nil && quantity.Activity(e.Value+2*e.U) < least.Value {
			return ": the others give less than " + least.Text
		}
		return ": the others give " + quantity.Format(quantity.Activity(e.Value), quantity.Activity(e.U), unit)
	case x.Part == slip.TheVolume || x.Part == slip.TheMove:
		for _, d := range r.Draws {
			if d.Entry == x.Entry {
				had := quantity.Volume(r.Book.VolumeBefore(d.Entry))
				return ": the others give " + quantity.Format(quantity.Volume(e.Value)*had, quantity.Volume(e.U)*had, "mL")
			}
		}
	}
	return ""
}
