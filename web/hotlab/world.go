package hotlab

import (
	"sync"
	"time"

	"vialwright/fact"
	"vialwright/fold"
	"vialwright/hotlab"
	"vialwright/inventory"
	"vialwright/journal"
	"vialwright/people"
	"vialwright/replica"
	"vialwright/rules"
	"vialwright/web/kit"
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

// Trainings keep who was trained in what, as the journal has it.
type Trainings struct {
	lab  *replica.Replica
	mu   sync.Mutex
	upTo int // the number of the last record that was looked at
	all  hotlab.Trainings
}

// NewTrainings keeps the trainings of a journal.
func NewTrainings(lab *replica.Replica) *Trainings { return &Trainings{lab: lab} }

// Lapsed is a training of a person that had run out at a time; false for none.
func (t *Trainings) Lapsed(who string, at time.Time) (kit.Lapse, bool) {
	t.mu.Lock()
	defer t.mu.Unlock()
	changed := t.upTo == 0
	if !changed {
		for _, e := range t.lab.Since(uint64(t.upTo)) {
			changed, t.upTo = changed || e.Kind == "training" || e.Kind == "correct", int(e.Seq)
		}
	}
	if changed {
		kept, n := t.lab.Kept(func(f fact.Fact) bool { _, training := f.(*fact.Training); return training })
		t.all, t.upTo = hotlab.TrainingsOf(fold.Entries(kept)), n
	}
	x, lapsed := t.all.Lapsed(who, at)
	return kit.Lapse{In: x.In, Until: x.Until}, lapsed
}

// Needs tells of an entry that a person whose training has lapsed makes it beside a
// supervisor only.
func (*Trainings) Needs(by string, f fact.Fact) bool { return hotlab.NeedsTraining(by, f) }
