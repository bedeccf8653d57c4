package hotlab

import (
	"time"

	"vialwright/fact"
	"vialwright/hotlab"
	"vialwright/inventory"
	"vialwright/journal"
	"vialwright/people"
	"vialwright/replica"
	"vialwright/rules"
)

// World is what a book is read from, of all groups that a record touched at a time or
// later. It fails where a group cannot be reckoned.
func World(lab *replica.Replica, since, at time.Time, zone *time.Location, zones fact.Zones, profile *rules.Profile) (hotlab.World, error) {
	w := hotlab.World{Rules: profile, Zone: zone, Zones: zones, At: at, Since: since, Bins: lab.Bins()}
	own, _ := lab.Kept(hotlab.Kept)
	for _, f := range lab.GroupsSince(since) {
		w.Groups = append(w.Groups, f.Records)
	}
	lab.People(func(d *people.Directory) {
		for _, p := range d.All() {
			w.People = append(w.People, p.ID)
		}
	})
	w.Deeds = hotlab.DeedsOf(append([][]journal.Record{own}, w.Groups...)...)
	var err error
	w.Books, err = inventory.Read(lab.File().Records, own, w.Groups, zones)
	return w, err
}
