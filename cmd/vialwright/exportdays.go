package main

import (
	"cmp"
	"context"
	"time"

	"vialwright/fact"
	"vialwright/replica"
	"vialwright/store"
	"vialwright/web/kit"
	records "vialwright/web/record"
)

// days writes an archive of what was recorded on some days.
func (c *exportCmd) days(ctx context.Context, log store.Log, e *edge) error {
	lab, err := verifiedJournal(ctx, log)
	if err != nil {
		return journalError(c.Journal, err)
	}
	defer lab.Close()
	a := records.DayArchive{Zones: loadZone, By: "vialwright export", Version: "vialwright " + release, Now: e.now()}
	if err := c.ofSite(lab, &a); err != nil {
		return err
	}
	if err := a.Fill(ctx, lab); err != nil {
		return journalError(c.Journal, err)
	}
	if len(a.Lines) == 0 {
		return usageError("nothing was recorded in %s on these days", shown(c.Journal))
	}
	data, err := a.Pack()
	if err != nil {
		return journalError(c.Journal, err)
	}
	_, err = e.out.Write(data)
	return err
}

// verifiedJournal reads and verifies a journal.
func verifiedJournal(ctx context.Context, log store.Log) (*replica.Replica, error) {
	lab, err := replica.Open(ctx, log, newSalt)
	if err != nil {
		return nil, err
	}
	return lab, lab.Broken()
}

// siteAt reads and verifies the journal of a site, and gives it with the zone of the site
// until end is called.
func siteAt(where string) (lab *replica.Replica, zone *time.Location, end func(), err error) {
	ctx := context.Background()
	log, err := openJournal(ctx, where)
	if err != nil {
		return nil, nil, nil, journalError(where, err)
	}
	if lab, err = verifiedJournal(ctx, log); err == nil {
		zone, err = zoneOf(lab.File().Records)
	}
	if err != nil {
		log.Close()
		return nil, nil, nil, journalError(where, err)
	}
	return lab, zone, func() { lab.Close(); log.Close() }, nil
}

// ofSite reads the days in the zone of the site, which is in the first record.
func (c *exportCmd) ofSite(lab *replica.Replica, a *records.DayArchive) error {
	first, _ := lab.First()
	site, ok := first.Fact.(*fact.Site)
	if !ok {
		return usageError("%s has no site in its first record, so it is not known when its day begins", shown(c.Journal))
	}
	zone, err := loadZone(site.Zone)
	if err != nil {
		return journalError(c.Journal, err)
	}
	if a.Zone = site.Zone; site.Use == fact.ForPractice {
		a.Mark = kit.PracticeMark
	}
	if a.From, err = time.ParseInLocation(time.DateOnly, c.From, zone); err != nil {
		return usageError("--from %q is no day; write it as 2027-03-04", c.From)
	}
	if a.To, err = time.ParseInLocation(time.DateOnly, cmp.Or(c.To, c.From), zone); err != nil || a.To.Before(a.From) {
		return usageError("--to %q is no day, or lies before --from; write it as 2027-03-31", c.To)
	}
	return nil
}
