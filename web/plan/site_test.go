package plan_test

import (
	"net/http"
	"strings"
	"testing"

	"vialwright/web/webtest"
)

// setUp records the set-up of the day again, with changes.
func (m *morning) setUp(changes ...string) {
	m.Helper()
	m.As("RP1").Fill("/plan/setup", "day-setup", "/plan/setup", changes...).Recorded()
}

// TestPresence: the plan needs somebody to draw and somebody else to check at each draw. Who
// has no account does neither.
func TestPresence(t *testing.T) {
	m := newMorning(t)
	m.t1.Look("/plan").Says(http.StatusOK, "Every order is planned", "Who is present for draw and second check")
	for _, c := range []struct{ staff, says string }{
		{"T1 08:00-18:00; T2 08:00-18:00", "Every order is planned"},
		{"T1 08:00-18:00", "P1, P2, P3, P4, P5, P6 cannot be served"},
		{"T1 08:00-18:00; T9 08:00-18:00", "P1, P2, P3, P4, P5, P6 cannot be served"},
		{"T1 08:00-18:00; T1 08:00-18:00", "P1, P2, P3, P4, P5, P6 cannot be served"}, // nobody checks their own draw
		{"T1 08:00-12:00; T1 12:00-18:00; T2 08:00-18:00", "Every order is planned"},
		{"T1 08:00-18:00; T2 08:00-10:30", "cannot be served"},
	} {
		m.setUp("p0.staff", c.staff)
		text := m.t1.Look("/plan").Says(http.StatusOK, c.says).Text()
		if strings.Contains(text, "Who is present") {
			t.Errorf("%s: %s", c.staff, text)
		}
		if strings.Contains(c.says, "cannot") && !strings.Contains(text, "the people present, for draw and second check") {
			t.Errorf("%s: people are not named as what conflicts: %s", c.staff, text)
		}
	}
	m.As("RP1").Fill("/plan/setup", "day-setup", "/plan/setup", "p0.staff", "T1 16:00-08:00").Says(http.StatusUnprocessableEntity, "is not times of presence")
}

// TestPunctures: each draw is a puncture; a vial that has had all of them is not planned with.
func TestPunctures(t *testing.T) {
	m := newMorning(t)
	m.setUp("p0.punctures", "2")
	m.take("/plan")
	from := m.source("P1")
	for i, order := range []string{"P1", "P2"} {
		m.Clock.Set([]string{"09:00", "09:40"}[i])
		m.Tell("draw: {from: " + from + ", into: Y-" + order + ", for: " + order + ", at: 2027-03-04T0" + []string{"9:00", "9:40"}[i] + ", volume: 0.4 mL}")
	}
	m.t1.Look("/plan").Says(http.StatusOK, "Not planned with "+from+" It has had as many punctures as the set-up of the day allows.")
}

// coming is an order of vials that are due today.
func coming(due, volume string) string {
	return "expect-parcel: {parcel: PC9, vials: 1, labelled: 4 GBq, reference: 2027-03-04T18:00-01:00, due: 2027-03-04T" + due + volume + ", at: 2027-03-03T08:10}"
}

// TestComing: a vial that has not come is planned with by its label, where its order says its
// volume; it counts against the licence, and it is not planned with once it is overdue or on
// a holiday. P7 asks for more than any vial in hand holds.
func TestComing(t *testing.T) {
	for name, c := range map[string]struct {
		tell, says []string
	}{
		"with a volume": {[]string{coming("09:00", ", volume: 5 mL")}, []string{"P7 PC9-1", "the licence for the vials still to come, since no line of it for Y-90 has a limit"}},
		"no volume":     {[]string{coming("09:00", "")}, []string{"P7 cannot be served", "Not planned with PC9-1 The order of its parcel says no volume that can be drawn."}},
		"overdue":       {[]string{coming("07:30", ", volume: 5 mL")}, []string{"P7 cannot be served", "Not planned with PC9-1 Its parcel was due at 07:30 and has not arrived."}},
		"holiday": {
			[]string{coming("09:00", ", volume: 5 mL"), "holiday: {day: 2027-03-04, name: an invented feast}"},
			[]string{"P7 cannot be served", "Not planned with PC9-1 Today is a holiday, an invented feast, and nobody receives its parcel."},
		},
		"not received": {
			[]string{coming("09:00", ", volume: 5 mL"), "parcel: {parcel: PC9, at: 2027-03-04T07:55, vials: 1, labelled: 4 GBq, reference: 2027-03-04T18:00-01:00, category: yellow-ii, condition: intact, papers: agree}"},
			[]string{"P7 cannot be served", "Not planned with parcel PC9 It has arrived, and not all of its vials were received yet."},
		},
		"received": {
			[]string{
				"parcel: {parcel: PC9, at: 2027-03-04T07:55, vials: 1, labelled: 4 GBq, reference: 2027-03-04T18:00-01:00, category: yellow-ii, condition: intact, papers: agree}",
				"receive: {vial: S9, parcel: PC9, lot: L-9, labelled: 4 GBq, reference: 2027-03-04T18:00-01:00, at: 2027-03-04T08:00, volume: 5 mL}",
			},
			[]string{"P7 S9"},
		},
		"another basis": { // label and traceable scale lie 19 to 26 % apart in print
			[]string{coming("09:00", ", volume: 5 mL"), "policy: {basis: traceable, from: 2027-03-04T08:00, reason: a test}"},
			[]string{"P7 cannot be served", "Not planned with PC9-1 It is known on the label basis, and the prescriptions are on the traceable basis."},
		},
		"licence": {
			[]string{coming("09:00", ", volume: 5 mL"), "licence-line: {id: L-1, nuclide: Y-90, form: microspheres, most: 12 GBq, from: 2027-03-01T08:00}"},
			[]string{"P7 cannot be served", "the order P7; the licence."},
		},
		"licence enough": {
			[]string{coming("09:00", ", volume: 5 mL"), "licence-line: {id: L-1, nuclide: Y-90, form: microspheres, most: 16 GBq, from: 2027-03-01T08:00}"},
			[]string{"P7 PC9-1"},
		},
	} {
		t.Run(name, func(t *testing.T) {
			m := newMorning(t)
			m.Tell(append(c.tell, "order: {id: P7, patient: DEMO-7, prescribed: 3.3 GBq, at: 2027-03-04T17:00}")...)
			text := m.t1.Look("/plan").Says(http.StatusOK, c.says...).Text()
			if name == "received" && strings.Contains(text, "parcel PC9") {
				t.Errorf("its vial was received: %s", text)
			}
			if name != "with a volume" && strings.Contains(strings.ToLower(text), "the licence for the vials") {
				t.Errorf("the licence is said not to be looked at: %s", text)
			}
		})
	}
}

// TestNoDay: what no day can be planned with is refused where it is entered: an order without
// a time, one whose times leave no window, a vial in two places.
func TestNoDay(t *testing.T) {
	m := newMorning(t)
	order := []string{"p0.id", "P7", "p0.patient", "DEMO-7", "p0.territory", "right lobe", "p0.prescribed", "1.0", "p0.prescribed.unit", "GBq", "p0.by", "D. Example"}
	fill := func(b *webtest.Browser, form string, changes ...string) *webtest.Page {
		return b.Fill("/day/enter/"+form, form, "/day/enter/"+form, changes...)
	}
	fill(m.As("RP1"), "order", order...).Says(http.StatusUnprocessableEntity, "Planned infusion")
	fill(m.As("RP1"), "order", append(order, "p0.at", "2027-03-04T16:00", "p0.not-before", "2027-03-04T16:30", "p0.not-after", "2027-03-04T15:30")...).Says(http.StatusUnprocessableEntity, "Infusion not after")
	fill(m.t1, "receive", "p0.vial", "S1", "p0.lot", "L-9", "p0.labelled", "3.0", "p0.labelled.unit", "GBq", "p0.reference", "2027-03-04T18:00", "p0.volume", "5.0").Says(http.StatusUnprocessableEntity, "S1")
	m.t1.Look("/plan").Says(http.StatusOK, "Every order is planned")
}
