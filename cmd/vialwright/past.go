package main

import (
	"context"
	"slices"
	"time"

	"vialwright/experience"
	"vialwright/experience/invented"
	"vialwright/fact"
	"vialwright/hotlab/quarter"
	"vialwright/journal"
	"vialwright/people"
	"vialwright/store"
)

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
