package web

import (
	"strings"

	"vialwright/dispensing"
	"vialwright/picture"
	"vialwright/procedure"
	"vialwright/web/view"
)

// day puts the vials of a case and its hours on a card.
func (q *request) day(card *view.Card, st *state) {
	for _, v := range st.r.Vials {
		card.Vials = append(card.Vials, q.vialOnBoard(st, v))
	}
	s := picture.Strip{ID: "day", Zone: st.zone.loc(), Now: q.now, HalfLife: st.r.HalfLife, Mark: q.mark()}
	for _, o := range st.c.Orders {
		b, ok := q.bench(st, o.ID)
		if !ok || b.prep.Abandoned != "" || b.prep.Closed {
			continue
		}
		t := b.track()
		t.Name = strings.TrimSuffix(o.ID+", "+o.Territory, ", ")
		s.Tracks = append(s.Tracks, t)
	}
	if len(s.Tracks) == 0 {
		return
	}
	card.Strip = picture.TimeStrip(s)
	s.Form = picture.Narrow
	card.StripNarrow = picture.TimeStrip(s)
}

// vialOnBoard is a vial in a line or two, with what has to be known of it
// before anything is drawn.
func (q *request) vialOnBoard(st *state, v dispensing.VialResult) view.VialCard {
	card := vialCard(st, v, q.blindAnywhere(st))
	if !v.Assayed && v.Withheld == "" {
		card.Notices = append(card.Notices, view.Notice{Kind: "note", Word: "Not measured", Text: "What it holds is known from its label only."})
	}
	if q.now.After(v.Vial.Expiry) && !v.Vial.Expiry.IsZero() {
		card.Notices = append(card.Notices, view.Notice{Kind: "stop", Word: "Expired", Text: "Nothing more is drawn from it for a patient."})
	}
	return card
}

// prescribed is the activity of an order as the physician wrote it, with its
// digits and its unit, and in the other unit of the trade.
func (q *request) prescribed(st *state, o dispensing.Order) string {
	if q.blind(st, o.ID) {
		return "Not shown before your second check"
	}
	return o.PrescribedText()
}

// standing says where a preparation stands.
func (q *request) standing(p procedure.Preparation) (state, now string) {
	switch {
	case p.Abandoned != "":
		return "Given up", p.Abandoned
	case p.Closed:
		return "Closed", ""
	}
	step, ok := p.Current()
	if !ok {
		return "Done", ""
	}
	if step.State == procedure.Blocked {
		return "Held", step.Title
	}
	return "Now", step.Title
}
