package main

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"vialwright/casefile"
	"vialwright/drill"
	"vialwright/experience"
	"vialwright/experience/invented"
	"vialwright/fact"
	"vialwright/fold"
	"vialwright/hotlab/quarter"
	"vialwright/journal"
	"vialwright/people"
	"vialwright/store"
)

// The practice laboratory is invented: no real patient, site, meter or vial.
// It has the settings of the drills, which are played in it. Its day is the day it is opened, so that the clocks on the screen run.
const practiceCase = `entries:
  - order: {id: P1, patient: PR-0001, one-identifier: an invented patient, territory: right lobe, version: "1", prescribed: 1.30 GBq, at: %INFUSE1%, residual: 3 %, by: an invented physician}
  - order: {id: P2, patient: PR-0002, one-identifier: an invented patient, territory: left lobe, version: "1", prescribed: 0.85 GBq, at: %INFUSE2%, residual: 4 %, by: an invented physician}
  - receive: {vial: S1, lot: PRACTICE-1, labelled: 3.0 GBq, reference: %REFERENCE%, volume: 5.0 mL, at: %RECEIVED%, expiry: %EXPIRY%}
`

const (
	practiceZone     = "Atlantic/Azores"
	practicePassword = "practice laboratory only"
	practicePIN      = "2749"
)

// practicePeople are invented. One is of each role.
var practicePeople = []people.Person{
	{ID: "AD1", Name: "Ada Invented", Roles: []people.Role{people.Administrator}, Active: true},
	{ID: "RP1", Name: "Rui Invented", Roles: []people.Role{people.Radiopharmacist}, Active: true},
	{ID: "RP2", Name: "Rosa Invented", Roles: []people.Role{people.Radiopharmacist}, Active: true},
	{ID: "NT1", Name: "Nuno Invented", Roles: []people.Role{people.Technologist}, Active: true},
	{ID: "MP1", Name: "Mara Invented", Roles: []people.Role{people.Physicist}, Active: true},
	{ID: "PH1", Name: "Paulo Invented", Roles: []people.Role{people.Physician}, Active: true},
	{ID: "NU1", Name: "Nadia Invented", Roles: []people.Role{people.Nurse}, Active: true},
	{ID: "OB1", Name: "Olga Invented", Roles: []people.Role{people.Observer}, Active: true},
}

// practiceParts is what each does in a preparation, in words.
var practiceParts = map[string]string{
	"NT1": "prepares the dose, from readiness to the residual. Begin as NT1.",
	"RP2": "does the second check, blind",
	"RP1": "releases the dose, and closes the record",
	"NU1": "takes the dose over in the suite, holds the time-out, records the infusion",
	"PH1": "signs orders, takes part in the time-out",
	"MP1": "sets meters and settings, may check too",
	"AD1": "keeps the accounts",
	"OB1": "looks on",
	"RP3": "worked in the invented quarter",
	"NT2": "worked in the invented quarter",
}

// practiceFacts are the facts of a practice day that began shortly before now.
func practiceFacts(now time.Time) ([]fact.Fact, error) {
	zone, err := loadZone(practiceZone)
	if err != nil {
		return nil, err
	}
	now = now.In(zone).Truncate(time.Minute)
	stamp := func(t time.Time) string { return t.Format(time.RFC3339) }
	reference := now.Add(6 * time.Hour).Truncate(time.Hour)
	text := strings.NewReplacer(
		"%RECEIVED%", stamp(now.Add(-20*time.Minute)), "%REFERENCE%", stamp(reference), "%EXPIRY%", stamp(reference.Add(24*time.Hour)),
		"%INFUSE1%", stamp(now.Add(150*time.Minute)), "%INFUSE2%", stamp(now.Add(240*time.Minute)),
	).Replace(drill.Laboratory() + practiceCase)
	f, err := casefile.Decode([]byte(text), loadZone)
	if err != nil {
		return nil, err
	}
	if _, err := fold.File(f); err != nil {
		return nil, err
	}
	return f.Facts, nil
}

// openPractice fills an empty journal with the practice laboratory.
func openPractice(ctx context.Context, log store.Log, e *edge, past int) error {
	head, err := log.Head(ctx)
	if err != nil || head.Seq > 0 {
		return err
	}
	facts, err := practiceFacts(e.now())
	if err != nil {
		return err
	}
	if facts, err = practicePast(ctx, log, past, facts, e.now()); err != nil {
		return err
	}
	if head, _, err = appendCase(ctx, log, "practice", facts, e); err != nil {
		return err
	}
	return signPractice(ctx, log, head, facts, e)
}

// practicePhysician signs the orders of the practice laboratory.
const practicePhysician = "PH1"

// signPractice signs the practice orders behind the head of the journal as their invented
// physician, so that the day can begin.
func signPractice(ctx context.Context, log store.Log, head store.Head, facts []fact.Fact, e *edge) error {
	zone, err := loadZone(practiceZone)
	if err != nil {
		return err
	}
	now := e.now().In(zone)
	var records []journal.Record
	for _, f := range facts {
		if o, ok := f.(*fact.Order); ok {
			sign := &fact.SignOrder{For: o.ID, Version: o.Version, At: now.Truncate(time.Second)}
			records = append(records, journal.Record{By: practicePhysician, Recorded: now, Fact: sign})
		}
	}
	_, err = sealBehind(ctx, log, journal.Head{Seq: head.Seq, Hash: head.Hash}, records)
	return err
}

// staff are the people of the practice laboratory, with those of its past where it has one.
func (c *serveCmd) staff() []people.Person {
	if c.Past == 0 {
		return practicePeople
	}
	return slices.Concat(practicePeople, pastPeople)
}

// practiceWelcome says who can sign in, and what there is to find.
func (c *serveCmd) practiceWelcome() string {
	var b strings.Builder
	b.WriteString("PRACTICE laboratory, invented; nothing in it is for patient use. Sign in as\n")
	for _, p := range c.staff() {
		fmt.Fprintf(&b, "  %s  %s, %s\n", p.ID, p.Name, p.Roles[0].Title())
	}
	fmt.Fprintf(&b, "each with the password %q and the PIN %s\n", practicePassword, practicePIN)
	if c.Past > 0 {
		fmt.Fprintf(&b, "An invented quarter of the hot lab is in it, with %d faults to find as MP1 on the pages Parcels, Surveys, Waste bins, Persons and Inventory, by the rules %s\n", len(quarter.Faults), c.Rules)
	}
	return b.String()
}

// mostPast is the most cases that are invented: what a busy site does in a
// decade or two.
const mostPast = 20_000

// practiceSeed makes the past of the practice laboratory the same every time.
const practiceSeed = 1

// practicePast puts n invented finished cases into an empty journal, an invented quarter
// of the hot lab behind them and a year of an invented meter, both with faults to find, and gives
// the facts of the practice day with what they have taught. With a past the
// site follows its own cases (learn: yes).
func practicePast(ctx context.Context, log store.Log, n int, day []fact.Fact, now time.Time) ([]fact.Fact, error) {
	if n == 0 {
		return day, nil
	}
	months, err := inventedQuarter(now)
	if err != nil {
		return nil, err
	}
	all, err := invented.Site(n, practiceSeed, months[0].Recorded, loadZone)
	if err != nil {
		return nil, err
	}
	if site, ok := all[0].Fact.(*fact.Site); ok {
		site.Use = fact.ForPractice
	}
	meters, _, err := invented.Meters(now, loadZone)
	if err != nil {
		return nil, err
	}
	for i := range meters {
		meters[i].Recorded = now.Add(-time.Hour)
	}
	all = slices.Concat(all, months, meters)
	if err := appendAll(ctx, log, all); err != nil {
		return nil, err
	}
	t, _, _, err := tallyOf(ctx, log)
	if err != nil {
		return nil, err
	}
	return withExperience(day, t, now, len(all)), nil
}

// pastRules is the rule profile of a practice laboratory with a past: the one that the faults
// of its quarter were made for.
const pastRules = "us-nc"

// pastPeople worked in the invented quarter. What is wrong with their dosemeters and
// training is theirs alone, so that it stops nobody who practises.
var pastPeople = []people.Person{
	{ID: "RP3", Name: "Rita Invented", Roles: []people.Role{people.Radiopharmacist}, Active: true},
	{ID: "NT2", Name: "Nelo Invented", Roles: []people.Role{people.Technologist}, Active: true},
}

// inventedQuarter is the quarter with all its faults, that ended within the last week,
// without the settings that the site has already.
func inventedQuarter(now time.Time) ([]journal.Record, error) {
	all, err := quarter.Before(now, practiceZone).Records(loadZone, quarter.Codes()...)
	return slices.DeleteFunc(all, func(r journal.Record) bool {
		switch r.Fact.(type) {
		case *fact.Site, *fact.Policy:
			return true
		}
		return false
	}), err
}

// appendAll seals records into an empty journal, so many at a time.
func appendAll(ctx context.Context, log store.Log, records []journal.Record) error {
	var prev journal.Head
	for len(records) > 0 {
		n := min(batch, len(records))
		head, err := sealBehind(ctx, log, prev, records[:n])
		if err != nil {
			return err
		}
		prev, records = journal.Head{Seq: head.Seq, Hash: head.Hash}, records[n:]
	}
	return nil
}

// withExperience puts the site experience behind the head of a day, and has its
// policy follow it.
func withExperience(day []fact.Fact, t *experience.Tally, now time.Time, head int) []fact.Fact {
	var out, entries []fact.Fact
	for _, f := range day {
		switch x := f.(type) {
		case *fact.Site, *fact.Meter:
			out = append(out, f)
		case *fact.Policy:
			p := *x
			p.Learn = fact.Learn
			out = append(out, &p)
		default:
			entries = append(entries, f)
		}
	}
	at := now.Truncate(time.Minute).Add(-30 * time.Minute)
	if zone, err := loadZone(practiceZone); err == nil {
		at = at.In(zone)
	}
	if x := t.Fact(at, head); x != nil {
		out = append(out, x)
	}
	return append(out, entries...)
}
