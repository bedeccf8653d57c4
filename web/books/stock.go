package books

import (
	"slices"
	"time"

	"vialwright/fact"
	"vialwright/fold"
	"vialwright/hotlab"
	"vialwright/inventory"
	"vialwright/journal"
	"vialwright/replica"
	"vialwright/web/kit"
	"vialwright/web/words"
)

// parcelsBack is how long ago a parcel may have come for its vials still to be asked for.
const parcelsBack = 3 * 24 * time.Hour

// AskParcel refuses a vial out of a parcel that did not arrive, and asks about one of no
// parcel while there are parcels with vials that nobody received: the inventory would
// count parcel and vial.
func AskParcel(q *kit.Request, _ *kit.State, facts []fact.Fact) (*kit.Doubt, error) {
	for part, x := range fact.Of[*fact.Receive](facts) {
		control := kit.Control(part, "parcel")
		came, waiting := parcels(q)
		switch {
		case x.Parcel != "" && !slices.Contains(came, x.Parcel):
			return nil, kit.Faults{control: {Text: "no parcel " + x.Parcel + " has arrived", Way: "enter its arrival first under Parcels, or leave this empty"}}
		case x.Parcel == "" && len(waiting) > 0:
			p := waiting[len(waiting)-1]
			return &kit.Doubt{
				Control: control, Text: "parcel " + p.Parcel + " arrived " + words.Zoned{Location: q.Location()}.On(p.At, q.Now) + " with a vial that was not received yet: is it this one?",
				Way: "Write " + p.Parcel + " if it is, or parcel and vial are both counted.", Yes: "It came in no parcel",
			}, nil
		}
	}
	return nil, nil
}

// parcels are the ids of those that arrived, and those that came lately with more vials than
// were received.
func parcels(q *kit.Request) (came []string, waiting []*fact.Parcel) {
	since := q.Now.Add(-parcelsBack)
	received := map[string]int{}
	for _, g := range q.Lab.GroupsSince(since) {
		for _, e := range entriesOf[*fact.Receive](g.Records) {
			received[e.Parcel]++
		}
	}
	for _, p := range Kept[*fact.Parcel](q) {
		came = append(came, p.Parcel)
		if !p.At.Before(since) && !p.At.After(q.Now) && received[p.Parcel] < p.Vials {
			waiting = append(waiting, p)
		}
	}
	return came, waiting
}

// Kept are the entries of a kind that is never put away, of all years, as they are in force.
func Kept[F fact.Fact](q *kit.Request) []F {
	records, _ := q.Lab.Kept(func(f fact.Fact) bool { _, ok := f.(F); return ok })
	return entriesOf[F](records)
}

// Beginning are the newest checks of those that are made once, before the first
// preparation of a site.
func Beginning(q *kit.Request) map[fact.CheckOf]*fact.Check {
	out := map[fact.CheckOf]*fact.Check{}
	for _, x := range Kept[*fact.Check](q) {
		if x.What.Beginning() {
			out[x.What] = x
		}
	}
	return out
}

func entriesOf[F fact.Fact](records []journal.Record) (out []F) {
	for _, e := range fold.Entries(records) {
		if x, ok := e.Fact.(F); ok {
			out = append(out, x)
		}
	}
	return out
}

// BinsLeft are the waste items that left, each with its first release.
func BinsLeft(q *kit.Request) map[string]*fact.ReleaseBin {
	out := map[string]*fact.ReleaseBin{}
	for _, b := range Kept[*fact.ReleaseBin](q) {
		if was := out[b.Bin]; was == nil || b.At.Before(was.At) {
			out[b.Bin] = b
		}
	}
	return out
}

// BinsTake refuses what goes into a waste item that was closed or that left by then; first is
// the place of the facts among the parts of their form.
func BinsTake(q *kit.Request, first int, facts ...fact.Fact) error {
	clock := func(t time.Time) string { return words.Zoned{Location: q.Location()}.Wall(t, q.Now) }
	left := BinsLeft(q)
	for i, x := range fact.Of[*fact.Discard](facts) {
		bin := hotlab.Bin{Released: left[x.Into]}
		for _, b := range Kept[*fact.CloseBin](q) { // the last closing counts
			if b.Bin == x.Into && (bin.Closed == nil || !b.At.Before(bin.Closed.At)) {
				bin.Closed = b
			}
		}
		if how, since := bin.Shut(x.At); how != "" {
			return kit.Faults{kit.Control(first+i, "into"): {Text: x.Into + " " + how + " on " + clock(since) + ", and takes nothing more", Way: "write the id of another item, or check the time"}}
		}
	}
	return nil
}

// Inventory is what the inventory of the site is made from, of all groups that a record
// touched at a time or later.
func Inventory(lab *replica.Replica, since time.Time, zones fact.Zones) (inventory.Books, error) {
	own, _ := lab.Kept(inventory.Kept)
	var groups [][]journal.Record
	for _, f := range lab.GroupsSince(since) {
		groups = append(groups, f.Records)
	}
	return inventory.Read(lab.File().Records, own, groups, zones)
}
