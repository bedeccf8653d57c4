package plan_test

import (
	"fmt"
	"net/http"
	"strings"
	"testing"

	"vialwright/web/webtest"
)

// offer is an offer of two vials in a zone ten hours before that of the site in March.
func offer(id, orderBy, due, more string) string {
	return fmt.Sprintf("offer: {parcel: %s, supplier: Supplier, zone: Asia/Tokyo, vials: 2, labelled: 4 GBq, reference: 2027-03-%sT18:00-01:00, volume: 5 mL, order-by: 2027-03-%s+09:00, due: 2027-03-%sT08:00, at: 2027-03-02T08:10%s}", id, due, orderBy, due, more)
}

// TestAhead: the coming days say which offer serves what, until when by either clock, and why one
// cannot be had. P7, on the next day, asks for more than any vial in hand holds then; two vials of
// 4 GBq at 18:00 are 8.92 GBq at 08:00, when 3 that read 3.34 GBq the day before are 7.7 GBq.
func TestAhead(t *testing.T) {
	const p7 = "order: {id: P7, patient: DEMO-7, prescribed: 3.3 GBq, at: 2027-03-05T12:00}"
	both := []string{ // three vials are needed, and each offer has two
		offer("OF1", "04T19:00", "05", ""), offer("OF2", "04T19:00", "05", ""),
		strings.NewReplacer("P7", "P8", "12:00", "13:00").Replace(p7), strings.NewReplacer("P7", "P9", "12:00", "14:00").Replace(p7),
	}
	for name, c := range map[string]struct {
		tell, says []string
		not        string
	}{
		"nothing to order": {nil, []string{"Coming days, to Wednesday 17 March", "P7 cannot be served", "P7 from S1"}, "Offer"},
		"ordered in time": {
			[]string{offer("OF1", "04T19:00", "05", "")},
			[]string{"Every order is planned", "P7 OF1-1", "Offer OF1 2 vials of 4 GBq of Supplier, due Fri 5 Mar 08:00. Order it until Thu 4 Mar 19:00 (UTC+09:00), here 09:00: it serves P7."},
			"",
		},
		"supplier at UTC":    {[]string{strings.NewReplacer("Asia/Tokyo", "UTC", "+09:00", "Z").Replace(offer("OF1", "04T10:00", "05", ""))}, []string{"P7 OF1-1", "Order it until Thu 4 Mar 10:00 (UTC+00:00), here 09:00", "Not looked at", "licence for the vials still to come, since no line of it for Y-90 has a limit"}, ""},
		"cut-off passed":     {[]string{offer("OF1", "04T17:59", "05", "")}, []string{"P7 cannot be served", "Its order-by has passed: Thu 4 Mar 17:59 (UTC+09:00), here 07:59."}, ""},
		"nobody needs it":    {[]string{offer("OF1", "04T19:00", "05", ""), offer("OF2", "05T19:00", "06", "")}, []string{"Offer OF2 2 vials of 4 GBq of Supplier, due Sat 6 Mar 08:00. No order needs it. It can be ordered until Fri 5 Mar 19:00 (UTC+09:00), here Fri 5 Mar 09:00."}, ""},
		"supplier's holiday": {[]string{offer("OF1", "04T19:00", "05", ", sent: 2027-03-05T01:00+09:00"), "holiday: {day: 2027-03-05, name: an invented feast, supplier: supplier}"}, []string{"P7 cannot be served", "Supplier is closed on Fri 5 Mar, an invented feast."}, "Not planned with"},
		"holiday here":       {[]string{offer("OF1", "04T19:00", "05", ""), "holiday: {day: 2027-03-05, name: an invented feast}"}, []string{"P7 cannot be served", "Not planned with OF1 Fri 5 Mar is a holiday, an invented feast, and nobody receives its parcel."}, "Offer OF1"},
		"too much":           {[]string{offer("OF1", "04T19:00", "05", ""), licence("16.5 GBq", "01T08:00")}, []string{"P7 cannot be served", "Not planned with OF1 With its parcel", "more than the 16.5 GBq that the licence allows (L-1)."}, "Offer OF1"},
		"both too much":      {append(both, licence("17 GBq", "01T08:00")), []string{"cannot be served", "the licence."}, "Not planned with"},
		"too many vials":     {[]string{strings.Replace(offer("OF1", "04T19:00", "05", ""), "vials: 2", "vials: 900000000", 1)}, []string{"P7 cannot be served", "Not planned with OF1 A plan can have 40 vials at most, and has 3 without it."}, "Offer OF1"},
		"room for both":      {append(both, licence("26 GBq", "01T08:00")), []string{"Every order is planned"}, "No order needs it"},
		"ordered": {
			[]string{offer("OF1", "03T19:00", "05", ", cancel-until: 2027-03-04T20:00+09:00"), strings.NewReplacer("PC9", "OF1", "03-04T18", "03-05T18").Replace(coming(2, "05T08:00", ", volume: 5 mL"))},
			[]string{"Every order is planned", "P7 OF1-1"},
			"Offer OF1",
		},
		"to be cancelled": {
			[]string{offer("OF1", "03T19:00", "06", ", cancel-until: 2027-03-04T20:00+09:00"), strings.NewReplacer("PC9", "OF1", "03-04T18", "03-06T18").Replace(coming(2, "06T08:00", ", volume: 5 mL"))},
			[]string{"Ordered OF1 No order needs it. It can be cancelled until Thu 4 Mar 20:00 (UTC+09:00), here 10:00."},
			"",
		},
	} {
		t.Run(name, func(t *testing.T) {
			m := newMorning(t)
			m.setUp("p0.receipt", "60", "p0.receipt.unit", "min")
			m.Tell(append(c.tell, p7)...)
			page := m.t1.Look("/plan/ahead").Says(http.StatusOK, c.says...)
			if text := page.Text(); c.not != "" && strings.Contains(text, c.not) {
				t.Errorf("%q is said: %s", c.not, text)
			}
			if strings.Contains(page.Body, `id="re-plan"`) {
				t.Error("a plan of other days can be taken")
			}
			m.t1.Look("/plan").Says(http.StatusOK, "Every order is planned")
		})
	}
}

// TestOfferEntered: an offer is entered by its form; a time that is not of the supplier's zone,
// or an arrival before it is ordered, is refused.
func TestOfferEntered(t *testing.T) {
	m := newMorning(t)
	m.setUp("p0.receipt", "60", "p0.receipt.unit", "min")
	enter := func(changes ...string) *webtest.Page {
		return m.t1.Fill("/hot-lab/enter/offer", "offer", "/hot-lab/enter/offer", append([]string{
			"p0.parcel", "OF1", "p0.supplier", "Supplier", "p0.zone", "Asia/Tokyo", "p0.vials", "2", "p0.labelled", "4.0", "p0.labelled.unit", "GBq", "p0.reference", "2027-03-05T18:00-01:00",
			"p0.volume", "5.0", "p0.volume.unit", "mL", "p0.order-by", "2027-03-04T19:00+09:00", "p0.due", "2027-03-05T08:00",
		}, changes...)...)
	}
	enter("p0.order-by", "2027-03-04T19:00+10:00").Says(http.StatusUnprocessableEntity, "19:00+10:00 is no offset of Asia/Tokyo on that day")
	enter("p0.due", "2027-03-04T08:30").Says(http.StatusUnprocessableEntity, "it arrives before it can be ordered until 09:00")
	enter().Recorded()
	m.t1.Look("/plan/ahead").Says(http.StatusOK, "Every order is planned", "Offer OF1 2 vials of 4.0 GBq of Supplier")
}
