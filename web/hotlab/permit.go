package hotlab

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"vialwright/fact"
	"vialwright/hotlab"
	"vialwright/quantity"
	"vialwright/web/kit"
)

// fault is a refusal beside the control of a field.
func fault(field, text, way string) error {
	return kit.Faults{kit.Control(0, field): {Text: text, Way: way}}
}

// permit refuses what cannot be right before it is recorded: what is private to another
// person or was reported before, what was read with an instrument that the site does not have, what is of a parcel, a bin, a point or a line of the licence that is not there, a
// parcel opened before its survey, and a bin released before it is ready.
func (q *request) permit(facts []fact.Fact) error {
	b, books, err := q.kept()
	if err != nil {
		return err
	}
	for _, f := range facts {
		if q.Withholds(f) {
			return fault("who", "this is private to "+fact.PersonOf(f), "let the person enter it, or the medical physicist")
		}
		for _, permits := range []func(fact.Fact, hotlab.Book) error{q.permitMeter, q.permitParcel, q.permitBin, q.permitSurvey} {
			if err := permits(f, b); err != nil {
				return err
			}
		}
		if n, again := hotlab.Again(books.Entries, f); again {
			return fault("dosemeter", "the dose of "+fact.PersonOf(f)+" by this dosemeter and for this time is there already, as entry "+strconv.Itoa(n), "correct that entry where it is wrong")
		}
		if field, text, way := hotlab.Wrong(f); text != "" {
			return fault(field, text, way)
		}
	}
	return nil
}

// doubted is an instrument of a reading, with what speaks against it and the field that names it.
type doubted struct {
	field, id string
	code      hotlab.Code
	x         *fact.Instrument
}

func metersOf(f fact.Fact, b hotlab.Book) (all []doubted) {
	for _, s := range fact.Subjects(f) {
		if s.Kind != fact.AboutMeter {
			continue
		}
		d := doubted{field: "meter", id: s.ID}
		if x, ok := f.(*fact.ParcelSurvey); ok && x.Meter != s.ID {
			d.field = "counter"
		}
		d.code, d.x = b.Against(s.ID, fact.At(f))
		all = append(all, d)
	}
	return all
}

// permitMeter refuses a reading by an instrument that the site did not have then, or had
// withdrawn.
func (q *request) permitMeter(f fact.Fact, b hotlab.Book) error {
	for _, m := range metersOf(f, b) {
		switch m.code {
		case hotlab.MeterUnknown:
			return fault(m.field, m.id+" is no instrument that the site had on "+q.clock(fact.At(f)), wayTo(m.id, b.Instruments(), "enter it among the instruments first"))
		case hotlab.MeterWithdrawn:
			return fault(m.field, m.id+" was withdrawn on "+q.clock(m.x.At), "read it with an instrument in use")
		}
	}
	return nil
}

// permitSurvey refuses a reading of a point that is not there, and the release of
// a room that is not there or was not surveyed.
func (q *request) permitSurvey(f fact.Fact, b hotlab.Book) error {
	var known []string
	for _, room := range b.Rooms {
		for _, p := range room.Points {
			known = append(known, p.Point)
		}
	}
	switch x := f.(type) {
	case *fact.PointReading:
		if !slices.Contains(known, x.Point) {
			return fault("point", x.Point+" is no point of a room", wayTo(x.Point, known, "set the point first"))
		}
	case *fact.ReleaseRoom:
		var rooms []string
		for _, room := range b.Rooms {
			if rooms = append(rooms, room.Room.Room); room.Room.Room != x.Room {
				continue
			}
			open := room.Open(x.At.In(q.Location()))
			switch {
			case len(open) > 0 && len(room.Open(q.Now.In(q.Location()))) == 0:
				return fault("at", "by then it was not surveyed and found below the action level: "+strings.Join(open, ", "), "enter when it was released, after its last reading")
			case len(open) > 0:
				return fault("room", "not surveyed today and found below the action level: "+strings.Join(open, ", "), "survey it first, with an instrument in calibration")
			}
			return nil
		}
		return fault("room", x.Room+" is no room of the site", wayTo(x.Room, rooms, "set the room and its points first"))
	}
	return nil
}

// wayTo says what to do about an id that is not known.
func wayTo(id string, known []string, first string) string {
	if len(known) == 0 {
		return first
	}
	return first + "; " + fact.Nearest(id, known[max(0, len(known)-5):])
}

// permitParcel refuses a line that the licence does not have, what is of a parcel that did
// not arrive by then, and an opening before the survey.
func (q *request) permitParcel(f fact.Fact, b hotlab.Book) error {
	id, line := fact.First(f, fact.AboutParcel), ""
	switch x := f.(type) {
	case *fact.Offer:
		line = x.Line
		if err := q.permitOffer(x); err != nil {
			return err
		}
	case *fact.ExpectParcel:
		line = x.Line
	case *fact.Parcel:
		line = x.Line
	}
	if id == "" {
		return nil
	}
	var lines []string
	for _, l := range b.Inventory.Lines {
		if l.ID != "" {
			lines = append(lines, l.ID)
		}
	}
	if line != "" && !slices.Contains(lines, line) {
		return fault("line", "the licence has no line "+line, wayTo(line, lines, "leave it empty, or enter the line first"))
	}
	var p hotlab.Parcel
	var came []string
	for _, x := range b.Parcels {
		if x.Arrived != nil {
			came = append(came, x.ID)
		}
		if x.ID == id {
			p = x
		}
	}
	switch f.(type) {
	case *fact.Offer, *fact.ExpectParcel, *fact.Parcel:
		if p.Arrived != nil {
			return fault("parcel", id+" arrived "+q.on(p.Arrived.At), "give this one another id, or correct that entry")
		}
		return nil
	}
	switch at := fact.At(f); {
	case p.Arrived == nil:
		return fault("parcel", "no parcel "+id+" has arrived", wayTo(id, came, "enter its arrival first"))
	case at.Before(p.Arrived.At.Truncate(time.Minute)):
		return fault("at", id+" arrived "+q.on(p.Arrived.At), "check both times")
	}
	if x, ok := f.(*fact.OpenParcel); ok {
		switch {
		case p.Surveyed == nil:
			return fault("parcel", id+" was not surveyed", "survey it first: dose rates and a wipe")
		case p.Opened != nil:
			return fault("parcel", id+" was opened on "+q.clock(p.Opened.At), "correct that entry where its time is wrong")
		case x.At.Before(p.Surveyed.At.Truncate(time.Minute)):
			return fault("at", id+" was surveyed on "+q.clock(p.Surveyed.At), "check both times")
		}
	}
	return nil
}

// permitOffer refuses an offer with a time that is not of the supplier's zone, or that arrives
// before it is ordered: an hour more or less decides whether it can be had.
func (q *request) permitOffer(x *fact.Offer) error {
	zone, err := q.Zones(x.Zone)
	if err != nil {
		return fault("zone", err.Error(), "write it like Atlantic/Azores")
	}
	for _, t := range []struct {
		field string
		time.Time
	}{{"order-by", x.OrderBy}, {"cancel-until", x.CancelUntil}, {"sent", x.Sent}} {
		if !t.IsZero() && !quantity.OffsetMatchesZone(t.Time, zone) {
			return fault(t.field, t.Format("15:04Z07:00")+" is no offset of "+x.Zone+" on that day", "write it with "+t.In(zone).Format("Z07:00"))
		}
	}
	if x.Due.Before(x.OrderBy) {
		return fault("due", "it arrives before it can be ordered until "+q.clock(x.OrderBy), "check both times")
	}
	return nil
}

// permitBin refuses what is of a bin that nothing was put into, or that has left, and a
// release before the bin is ready.
func (q *request) permitBin(f fact.Fact, b hotlab.Book) error {
	id := fact.First(f, fact.AboutBin)
	if id == "" {
		return nil
	}
	if known := q.Lab.Bins(); !slices.Contains(known, id) {
		return fault("bin", "nothing was ever put into a bin "+id, wayTo(id, known, "add something to it first, on the board"))
	}
	bin := hotlab.Bin{ID: id} // as one is that nothing is known of but what went in long ago
	if i := slices.IndexFunc(b.Bins, func(x hotlab.Bin) bool { return x.ID == id }); i >= 0 {
		bin = b.Bins[i]
	}
	if bin.Released != nil && !fact.At(f).Before(bin.Released.At) {
		return fault("bin", id+" left on "+q.clock(bin.Released.At), "check the id, or correct that entry")
	}
	x, ok := f.(*fact.ReleaseBin)
	if !ok {
		return nil
	}
	why := notReady(bin, x, q)
	switch {
	case why == "":
		return nil
	case q.blind(): // when it is ready may follow from what is in it
		why = "it is not ready; why is " + notYet
	}
	return fault("bin", why, "leave it in the store")
}

// notReady says why a bin may not leave for the trash; empty where it may.
func notReady(bin hotlab.Bin, x *fact.ReleaseBin, q *request) string {
	switch {
	case !hotlab.ByDecay(x.Route):
		return ""
	case bin.Closed == nil:
		return "it was never closed, so that its decay is not counted"
	case bin.Slow != nil:
		return "its readings decay more slowly than Y-90"
	}
	for _, p := range bin.Parts {
		if how, since := bin.Shut(p.At); how != "" {
			return p.From + " was put into it " + q.on(p.At) + ", and it " + how + " " + q.on(since)
		}
	}
	for _, r := range bin.Ready {
		switch {
		case !r.Keeps(x.At):
		case r.Hold:
			return "it is held: " + r.Why
		default:
			return "it is ready " + q.on(r.At) + ": " + r.Why
		}
	}
	return ""
}
