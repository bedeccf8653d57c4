package board

import (
	"html/template"
	"strings"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/picture"
	"vialwright/procedure"
	"vialwright/quantity"
	"vialwright/web/books"
	"vialwright/web/kit"
	"vialwright/web/view"
	"vialwright/web/words"
)

func (q *request) strip(st *kit.State) template.HTML {
	s := picture.Strip{ID: "day", Zone: st.Zone.Loc(), Now: q.Now, HalfLife: st.Result.HalfLife, Mark: q.Mark()}
	for _, o := range st.Case.Orders {
		b, ok := books.BenchOf(q.Request, st, o.ID)
		if !ok || b.Prep.Over() {
			continue
		}
		t := b.Track()
		t.Name = strings.TrimSuffix(o.ID+", "+o.Territory, ", ")
		s.Tracks = append(s.Tracks, t)
	}
	if len(s.Tracks) == 0 {
		return ""
	}
	wide := picture.TimeStrip(s)
	s.Form = picture.Narrow
	return wide + picture.TimeStrip(s)
}

func (q *request) usedUp(st *kit.State, v dispensing.VialResult) bool {
	return v.RemainingVolume <= nothingLeft && st.Emptied(v.Vial.ID)
}

// nothingLeft is a volume, in mL, below which a container is empty.
const nothingLeft = quantity.Volume(1e-6)

// leaving is by its id how a container left the site other than in a bin.
func leaving(st *kit.State) map[string]fact.Leaving {
	how := map[string]fact.Leaving{}
	for _, e := range st.File.Entries() {
		if x, ok := e.Fact.(*fact.LeftSite); ok {
			how[x.Of] = x.How
		}
	}
	return how
}

// vialOnBoard is a vial with what is left in it now, until when it may be used,
// and what is still planned from it.
func (q *request) vialOnBoard(st *kit.State, v dispensing.VialResult, lost bool) VialCard {
	card := VialCard{ID: v.Vial.ID, Left: "Figures after your second check."}
	if !q.BlindAnywhere(st) {
		card.Left, card.Says = q.leftNow(st, v)
	}
	switch {
	case lost:
		card.Notices = append(card.Notices, view.Notice{Kind: "stop", Word: "Lost", Text: "Search for it. The inventory says what to do."})
	case v.Vial.Expiry.IsZero():
	case q.Now.After(v.Vial.Expiry):
		card.Notices = append(card.Notices, view.Notice{Kind: "stop", Word: "Expired", Text: "Draw nothing more from it for a patient."})
	default:
		card.Until = "Usable until " + st.Zone.Wall(v.Vial.Expiry, q.Now) + "."
	}
	return card
}

// leftNow is what is in a vial now, by what that is known, and what is still to
// be drawn from it.
func (q *request) leftNow(st *kit.State, v dispensing.VialResult) (left string, says []view.Pair) {
	if v.Withheld != "" {
		return words.Sentence(books.Withheld) + ".", nil
	}
	for _, k := range st.Result.Containers {
		if k.Container.ID != v.Vial.ID {
			continue
		}
		g := st.Case.Policy.Graduation
		if !k.Here {
			return "Not received yet.", nil
		}
		volume := quantity.ShowGraduated(k.Volume, g)
		if k.VolumeHeld != "" {
			volume = "volume in doubt"
		}
		left = volume + ", " + quantity.Both(k.Activity, k.U) + " now"
		by := "by label, not measured"
		if v.Assayed {
			by = "by reading"
		}
		says = append(says, view.Pair{Name: "Known", Value: by})
		if planned := q.planned(st, v.Vial.ID); planned > 0 && k.VolumeHeld == "" {
			free := "only " + quantity.ShowGraduated(k.Volume, g) + " left: not enough"
			if planned <= k.Volume {
				free = quantity.ShowGraduated(k.Volume-planned, g) + " free"
			}
			says = append(says, view.Pair{Name: "Still to draw", Value: quantity.ShowGraduated(planned, g) + ", " + free})
		}
	}
	return left, says
}

// planned is the volume that is still to be drawn from a vial for open orders.
func (q *request) planned(st *kit.State, vial string) (v quantity.Volume) {
	for i, o := range st.Case.Orders {
		p, plan := st.Preparation(o.ID), st.Result.Orders[i].Plan
		if plan != nil && plan.From == vial && p.Container == "" && !p.Over() {
			v += plan.Draw
		}
	}
	return v
}

func (q *request) standing(p procedure.Preparation) (state, now string) {
	switch {
	case p.Cancelled != "":
		return "Cancelled", p.Cancelled
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
