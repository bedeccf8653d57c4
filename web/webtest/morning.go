package webtest

import (
	"context"
	"fmt"
	"net/http"
	"strings"
	"time"

	"vialwright/casefile"
	"vialwright/fact"
	"vialwright/journal"
	"vialwright/replica"
	"vialwright/web"
	"vialwright/web/kit"
)

// Tell records entries as they are written in a case file, by T1 and without their
// forms.
func (l *Lab) Tell(lines ...string) {
	l.Helper()
	text := "case: 2\nzone: Atlantic/Azores\nentries:\n  - " + strings.Join(lines, "\n  - ") + "\n"
	f, err := casefile.Decode([]byte(text), time.LoadLocation)
	if err != nil {
		l.Fatal(err)
	}
	for _, x := range f.Facts[1:] {
		err := l.Server.Lab.Append(context.Background(), replica.Entry{IDs: fact.Names(x), Class: fact.Observation, Decide: func(*kit.File, int) ([]journal.Record, error) {
			return []journal.Record{{Recorded: l.Clock.Now(), By: "T1", Fact: x}}, nil
		}})
		if err != nil {
			l.Fatal(err)
		}
	}
}

var daySetup = []string{
	"p0.opens", "08:00", "p0.closes", "18:00", "p0.benches", "2", "p0.suites", "1", "p0.takes", "30 min", "p0.check", "10 min", "p0.lead", "20 min",
	"p0.hold", "8 h", "p0.infusion", "45 min", "p0.step", "15 min", "p0.dead", "0.3 mL", "p0.syringe", "5 mL", "p0.yield-u", "1 %", "p0.scatter", "2 %", "p0.hand-dose", "0.15 mSv",
}

// Morning is an invented morning at eight in a practice laboratory: six orders, three
// vials, the day set up.
func Morning(l *Lab) *Lab {
	l.Clock.Set("08:00")
	rp := l.As("RP1")
	rp.Look("/plan").Says(http.StatusOK, "Not set up")
	rp.Fill("/plan/setup", "day-setup", "/plan/setup", daySetup...).Recorded()
	for i, a := range []string{"1.30", "0.90", "1.10", "0.85", "0.75", "1.00"} {
		l.Tell(fmt.Sprintf("order: {id: P%d, patient: DEMO-%d, one-identifier: an invented patient, prescribed: %s GBq, at: 2027-03-04T%02d:00}", i+1, i+1, a, 10+i))
	}
	for i := range 3 {
		l.Tell(
			fmt.Sprintf("receive: {vial: S%d, lot: L-%d, labelled: 3.0 GBq, reference: 2027-03-04T18:00, volume: 5 mL, at: 2027-03-04T07:50}", i+1, i+1),
			fmt.Sprintf("read: {of: S%d, meter: M1, at: 2027-03-04T07:5%d, gross: 3.34 GBq, background: 0.2 MBq}", i+1, 5+i),
		)
	}
	return l
}

// InPractice makes a laboratory one to practise in.
func InPractice(c *web.Config) { c.Practice = true }
