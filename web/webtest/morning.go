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
	l.Clock.Set("07:40")
	rp := l.As("RP1")
	rp.Look("/plan").Says(http.StatusOK, "Not set up")
	rp.Fill("/plan/setup", "day-setup", "/plan/setup", daySetup...).Recorded()
	t1, dr := l.As("T1"), l.As("DR1")
	for i, a := range []string{"1.30", "0.90", "1.10", "0.87", "0.75", "1.00"} {
		id := fmt.Sprint("P", i+1)
		rp.Fill("/day/enter/order", "order", "/day/enter/order", "p0.id", id, "p0.patient", "DEMO-"+fmt.Sprint(i+1), "p0.territory", "right lobe",
			"p0.prescribed", a, "p0.prescribed.unit", "GBq", "p0.at", fmt.Sprintf("2027-03-04T%02d:00", 10+i), "p0.by", "D. Example").Recorded()
		dr.Fill("/order/"+id, "sign-order", "/order/"+id+"/step/sign-order").Recorded()
	}
	l.Clock.Set("07:50")
	for i := range 3 {
		vial := fmt.Sprint("S", i+1)
		t1.Fill("/day/enter/receive", "receive", "/day/enter/receive", "p0.vial", vial, "p0.lot", "L-"+fmt.Sprint(i+1), "p0.labelled", "3.0", "p0.labelled.unit", "GBq",
			"p0.reference", "2027-03-04T18:00", "p0.volume", "5.0").Recorded()
	}
	for i := range 3 {
		l.Clock.Set(fmt.Sprintf("07:5%d", 5+i))
		t1.Fill("/order/P1", "reading", "/order/P1/step/reading", "p0.of", fmt.Sprint("S", i+1), "p0.gross", "3.34", "p0.gross.unit", "GBq", "p0.background", "0.2", "p0.background.unit", "MBq").Recorded()
	}
	l.Clock.Set("08:00")
	return l
}

// InPractice makes a laboratory one to practise in.
func InPractice(c *web.Config) { c.Practice = true }
