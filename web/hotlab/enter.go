package hotlab

import (
	"net/http"
	"strings"

	"vialwright/fact"
	"vialwright/hotlab"
	"vialwright/web/kit"
)

// entering is where the forms of the room are, each on a page of its own.
const entering = "/hot-lab/enter/"

// entered are the kinds that are entered here: what the form is called, and where it
// leads.
var entered = map[string]struct{ title, to string }{
	"licence-line": {"Enter a line of the licence", "/inventory"}, "working-time": {"Enter working time", "/parcels"}, "holiday": {"Enter a holiday", "/parcels"},
	"expect-parcel": {"Enter an order of vials", "/parcels"}, "parcel": {"Enter an arrival", "/parcels"}, "parcel-survey": {"Enter a survey of a parcel", "/parcels"}, "open-parcel": {"Open a parcel", "/parcels"},
	"close-bin": {"Close a bin", "/bins"}, "bin-reading": {"Enter a reading of a bin", "/bins"}, "impurity": {"Enter a long-lived nuclide in a bin", "/bins"}, "release-bin": {"Release a bin", "/bins"},
	"left-site": {"A container leaves the site", "/bins"}, "keep-stock": {"Keep a container in stock", "/bins"},
	"room": {"Set a room", "/surveys"}, "survey-point": {"Set a survey point", "/surveys"}, "point-reading": {"Enter a reading of a point", "/surveys"}, "release-room": {"Release a room", "/surveys"},
	"contact": {"Enter whom to call", "/parcels"}, "spill": {"Enter a spill", "/surveys"}, "spill-plan": {"Set what to do at a spill", "/surveys"},
	"contaminated": {"Enter a skin contamination", "/persons"}, "dose-report": {"Enter a reported dose", "/persons"}, "wears": {"Give a dosemeter out", "/persons"},
	"finger-ratio": {"Enter a fingertip ratio", "/persons"}, "pregnancy": {"Enter a declared pregnancy", "/persons"}, "investigation-level": {"Set an investigation level", "/persons"}, "training": {"Enter a training", "/persons"},
}

// form is the form that the address names, made from the declaration of its kind.
func (q *request) form() (*kit.Form, error) {
	kind := q.R.PathValue("form")
	e, known := entered[kind]
	if !known {
		return nil, &kit.Refusal{Status: http.StatusNotFound, Heading: "There is no such form", Text: "this address takes nothing", Hint: "go to the board", Back: "/"}
	}
	b, err := q.read()
	if err != nil {
		return nil, err
	}
	part := kit.Part{Kind: kind}
	for _, f := range fact.AllFields(kind) {
		if f.List || f.Shape == "" {
			continue
		}
		part.Inputs = append(part.Inputs, q.input(f, b))
	}
	return &kit.Form{
		ID: kind, Title: e.title, Button: "Record it", Act: fact.KindNamed(kind).Act, Said: "It is recorded.", Action: entering + kind, To: e.to,
		Parts: []kit.Part{part}, Permit: func(_ *kit.State, facts []fact.Fact) error { return q.permit(facts) },
	}, nil
}

// input asks for one field; what there is to choose from is offered.
func (q *request) input(f fact.Field, b hotlab.Book) kit.Input {
	in := kit.Input{Name: f.Path, Small: f.Shape != fact.TextShape, Must: f.Must && !strings.Contains(f.Path, ".")}
	var ids []string
	switch f.Path {
	case "bin":
		for _, x := range b.Bins {
			if x.Released == nil {
				ids = append(ids, x.ID)
			}
		}
	case "point":
		for _, room := range b.Rooms {
			for _, p := range room.Points {
				ids = append(ids, p.Point)
			}
		}
	case "who":
		for _, p := range q.Roster() {
			ids = append(ids, p.ID)
		}
	}
	if kind := q.R.PathValue("form"); len(ids) > 0 && !(kind == "survey-point" && f.Path == "point") {
		return kit.Chosen(f.Path, "", kit.Choices(ids...))
	}
	if f.Shape == fact.TimeShape && (f.Path == "reference" || !in.Must) {
		in.Kind, in.Hint = "text", "Such as "+q.Now.In(q.Location()).Format("2006-01-02T15:04")+"."
		if f.Path == "reference" {
			in.Hint = "As printed, with the offset of the supplier's zone, such as 2027-03-05T09:00+11:00."
		}
	}
	return in
}

// enterPage is one form on a page of its own.
func enterPage(q *request) error { return q.withForm(q.Alone) }

// enterDo records one.
func enterDo(q *request) error { return q.withForm(q.EnterAlone) }

func (q *request) withForm(do func(*kit.Form, *kit.State) error) error {
	e, err := q.form()
	if err != nil {
		return err
	}
	st, err := q.CaseState()
	if err != nil {
		return err
	}
	return do(e, st)
}

// permit refuses what cannot be right before it is recorded: a parcel opened before its
// survey, a bin released before it is ready, and what is of nothing that is there.
func (q *request) permit(facts []fact.Fact) error {
	b, err := q.read()
	if err != nil {
		return err
	}
	fault := func(field, text, way string) error {
		return kit.Faults{kit.Control(0, field): {Text: text, Way: way}}
	}
	for _, f := range facts {
		if q.Withholds(f) {
			return fault("who", "this is private to "+fact.PersonOf(f), "let the person enter it, or the medical physicist")
		}
		switch x := f.(type) {
		case *fact.OpenParcel:
			for _, p := range b.Parcels {
				if p.ID == x.Parcel && p.Surveyed == nil {
					return fault("parcel", x.Parcel+" was not surveyed", "survey it first: dose rates and a wipe")
				}
			}
		case *fact.ReleaseBin:
			for _, bin := range b.Bins {
				why := notReady(bin, x, q)
				if bin.ID != x.Bin || why == "" {
					continue
				}
				if q.blind() { // when it is ready may follow from what is in it
					why = "it is not ready; why is " + notYet
				}
				return fault("bin", why, "leave it in the store")
			}
		case *fact.PointReading:
			if x.Rate.IsZero() && x.CountRate.IsZero() && x.Swab == nil {
				return fault("rate", "nothing was measured", "enter a dose rate, a count rate, or counts")
			}
		case *fact.ReleaseRoom:
			for _, room := range b.Rooms {
				if open := room.Open(x.At.In(q.Location())); room.Room.Room == x.Room && len(open) > 0 {
					return fault("room", "not surveyed today and found below the action level: "+strings.Join(open, ", "), "survey it first, with an instrument in calibration")
				}
			}
		}
	}
	return nil
}

// notReady says why a bin may not leave for the trash; empty where it may.
func notReady(bin hotlab.Bin, x *fact.ReleaseBin, q *request) string {
	switch {
	case x.Route == fact.SentBack || x.Route == fact.Handed:
		return ""
	case bin.Closed == nil:
		return "it was never closed, so that its decay is not counted"
	case bin.Slow != nil:
		return "its readings decay more slowly than Y-90"
	}
	for _, r := range bin.Ready {
		if r.Hold {
			return "it is never ready by decay alone: " + r.Why
		}
		if x.At.Before(r.At) {
			return "it is ready on " + q.clock(r.At) + ": " + r.Why
		}
	}
	return ""
}
