package plan_test

import (
	"fmt"
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

// TestSetUpIsPlannable: the form of a set-up that is there holds numbers and units apart, as
// a browser sends them back, and what no day can be planned with is refused where it is
// typed, all at once.
func TestSetUpIsPlannable(t *testing.T) {
	m := newMorning(t)
	form := m.As("RP1").Look("/plan/setup").Form("day-setup")
	if takes, unit := form.Get("p0.takes"), form.Get("p0.takes.unit"); strings.Contains(takes, " ") || unit != "min" {
		t.Errorf("a draw takes %q in %q", takes, unit)
	}
	m.As("RP1").Fill("/plan/setup", "day-setup", "/plan/setup", "p0.check", "300", "p0.step", "90", "p0.closes", "06:00", "p0.hold", "1", "p0.hold.unit", "min").Says(http.StatusUnprocessableEntity,
		"second check takes longer than the draw", "from 1 min to 60 min", "closes before it opens", "is less than the least")
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

// coming is an order of vials that are due on a day.
func coming(vials int, due, volume string) string {
	return fmt.Sprintf("expect-parcel: {parcel: PC9, vials: %d, labelled: 4 GBq, reference: 2027-03-04T18:00-01:00, due: 2027-03-%s%s, at: 2027-03-02T08:10}", vials, due, volume)
}

// licence is a limit from a time on.
func licence(most, from string) string {
	return "licence-line: {id: L-1, nuclide: Y-90, form: microspheres, most: " + most + ", from: 2027-03-" + from + "}"
}

// TestComing: a vial that has not come is planned with by its label, where its order says its
// volume and the set-up of the day how long receipt, survey and opening take; not where the
// licence does not let its parcel in, all vials of it as they are due, nor where it is overdue
// or a holiday. P7 asks for more than any vial in hand holds. By hand: 3 vials read at
// 3.34 GBq at about 07:56 are 9.91 GBq at 09:00, and one of 4 GBq at 18:00 is 4.41 GBq then; so
// 14.32 GBq are held with one, 18.73 GBq with two.
func TestComing(t *testing.T) {
	const ml = ", volume: 5 mL"
	const overdue = "Parcel PC9, due %s, has not arrived. Its vials are not planned with. Ask the supplier, or enter its arrival."
	for name, c := range map[string]struct {
		receipt    string
		tell, says []string
	}{
		"with a volume":    {"60", []string{coming(1, "04T09:00", ml)}, []string{"P7 PC9-1", "the licence for the vials still to come, since no line of it for Y-90 has a limit"}},
		"no volume":        {"60", []string{coming(1, "04T09:00", "")}, []string{"P7 cannot be served", "Not planned with PC9 The order of its parcel says no volume that can be drawn."}},
		"time to receive":  {"420", []string{coming(1, "04T09:00", ml)}, []string{"P7 PC9-1", "16:00 17:00"}},
		"no time":          {"420", []string{coming(1, "04T09:15", ml)}, []string{"P7 cannot be served"}},
		"nobody says":      {"", []string{coming(1, "04T09:00", ml)}, []string{"P7 cannot be served", "Not planned with PC9 The set-up of the day does not say how long receipt, survey and opening of a parcel take."}},
		"overdue":          {"60", []string{coming(1, "04T07:30", ml)}, []string{"P7 cannot be served", fmt.Sprintf(overdue, "07:30")}},
		"overdue for long": {"60", []string{coming(1, "03T07:30", ml)}, []string{"P7 cannot be served", fmt.Sprintf(overdue, "Wed 3 Mar 07:30")}},
		"holiday": {
			"60",
			[]string{coming(1, "04T09:00", ml), "holiday: {day: 2027-03-04, name: an invented feast}"},
			[]string{"P7 cannot be served", "Not planned with PC9 Today is a holiday, an invented feast, and nobody receives its parcel."},
		},
		"not received": {
			"60",
			[]string{coming(1, "04T09:00", ml), "parcel: {parcel: PC9, at: 2027-03-04T07:55, vials: 1, labelled: 4 GBq, reference: 2027-03-04T18:00-01:00, category: yellow-ii, condition: intact, papers: agree}"},
			[]string{"P7 cannot be served", "Not planned with parcel PC9 It has arrived, and not all of its vials were received yet."},
		},
		"received": {
			"60",
			[]string{
				"parcel: {parcel: PC9, at: 2027-03-04T07:55, vials: 1, labelled: 4 GBq, reference: 2027-03-04T18:00-01:00, category: yellow-ii, condition: intact, papers: agree}",
				"receive: {vial: S9, parcel: PC9, lot: L-9, labelled: 4 GBq, reference: 2027-03-04T18:00-01:00, at: 2027-03-04T08:00, volume: 5 mL}",
			},
			[]string{"P7 S9"},
		},
		"another basis": { // label and traceable scale lie 19 to 26 % apart in print
			"60",
			[]string{coming(1, "04T09:00", ml), "policy: {basis: traceable, from: 2027-03-04T08:00, reason: a test}"},
			[]string{"P7 cannot be served", "Not planned with PC9 It is known on the label basis, and the prescriptions are on the traceable basis."},
		},
		"licence": {
			"60",
			[]string{coming(1, "04T09:00", ml), licence("14.2 GBq", "01T08:00")},
			[]string{"P7 cannot be served", "Not planned with PC9 With its parcel", "more than the 14.2 GBq that the licence allows (L-1)."},
		},
		"licence of a whole parcel": {
			"60",
			[]string{coming(2, "04T09:00", ml), licence("18.6 GBq", "01T08:00")},
			[]string{"P7 cannot be served", "Not planned with PC9 With its parcel"},
		},
		"licence when it is due": {
			"60",
			[]string{coming(1, "04T09:00", ml), licence("20 GBq", "01T08:00"), licence("14.2 GBq", "04T08:30")},
			[]string{"P7 cannot be served", "Not planned with PC9 With its parcel"},
		},
		"licence enough":               {"60", []string{coming(1, "04T09:00", ml), licence("14.4 GBq", "01T08:00")}, []string{"P7 PC9-1"}},
		"licence of a parcel after it": {"60", []string{coming(1, "04T09:00", ml), licence("14.4 GBq", "01T08:00"), strings.Replace(coming(2, "04T15:00", ml), "PC9", "PC8", 1)}, []string{"P7 PC9-1", "Not planned with PC8 With its parcel"}},
	} {
		t.Run(name, func(t *testing.T) {
			m := newMorning(t)
			if c.receipt != "" {
				m.setUp("p0.receipt", c.receipt, "p0.receipt.unit", "min")
			}
			m.Tell(append(c.tell, "order: {id: P7, patient: DEMO-7, prescribed: 3.3 GBq, at: 2027-03-04T17:00}")...)
			text := m.t1.Look("/plan").Says(http.StatusOK, c.says...).Text()
			if name == "received" && strings.Contains(text, "parcel PC9") {
				t.Errorf("its vial was received: %s", text)
			}
			if strings.HasPrefix(name, "licence") && strings.Contains(strings.ToLower(text), "the licence for the vials") {
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
