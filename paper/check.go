package paper

import (
	"fmt"
	"slices"
	"strconv"

	"vialwright/dispensing"
)

// checks are the second checks: both figures and their difference.
func (w writer) checks() Section {
	var s Section
	for _, c := range w.r.Checks {
		if c.For == w.o.Order.ID {
			s.Rows = append(s.Rows, w.check(c)...)
		}
	}
	return s
}

func (w writer) check(c dispensing.CheckResult) []Row {
	which := "Second check, entry " + strconv.Itoa(c.Entry)
	if slices.Contains(w.rec.Hides, c.Entry) {
		return []Row{Words(which, "It does not confirm the first figure. Its own figures are shown once that is settled.")}
	}
	worked := Figure(which+": worked out", c.Figure, 0).at(w.o.Order.At, w.zone)
	worked.Corrected = w.rec.correction(c.Entry, w.zone)
	if c.Why != "" {
		return []Row{worked, Words("Not compared", sentence(c.Why))}
	}
	return []Row{
		worked,
		Figure("First figure, of the record", c.First, 0).at(w.o.Order.At, w.zone),
		Figure("Second figure, reading of "+c.Of, c.Read, 0).at(w.o.Order.At, w.zone).how(sharedWith(c)),
		Figure("Difference, second minus first", c.Difference, c.U).how(working("second - first", mbq(c.Read)+" - "+mbq(c.First), result(c.Difference, "MBq"))),
		Words("Difference, % of the first", dispensing.Share(c.Ratio())).how(ratio("difference/first", c.Difference, c.First)),
		Words("Agrees", fmt.Sprintf("%s: within %s of the first figure and %d standard uncertainties of the difference; worked out within %s of its own reading",
			yesNo[c.Agrees()], percent(c.Limit), dispensing.Deviates, percent(dispensing.Own))),
	}
}

// sharedWith says which readings of the first figure a second one rests on too.
func sharedWith(c dispensing.CheckResult) string {
	if len(c.Shared) == 0 {
		return "it shares no reading with the first"
	}
	return "it shares with the first the reading before the draw, entry " + c.SharedText()
}
