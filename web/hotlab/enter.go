package hotlab

import (
	"net/http"
	"slices"
	"strings"

	"vialwright/fact"
	"vialwright/hotlab"
	"vialwright/inventory"
	"vialwright/web/kit"
	"vialwright/web/view"
)

// entering is where the forms of the room are, each on a page of its own.
const entering = "/hot-lab/enter/"

// entered are the kinds that are entered here: what the form is called, and where it
// leads.
var entered = map[string]struct{ title, to string }{
	"licence-line": {"Enter a line of the licence", "/inventory"}, "working-time": {"Enter working time", "/parcels"}, "holiday": {"Enter a holiday", "/parcels"},
	"offer": {"Enter an offer", "/parcels"}, "expect-parcel": {"Enter an order of vials", "/parcels"}, "parcel": {"Enter an arrival", "/parcels"}, "parcel-survey": {"Enter a survey of a parcel", "/parcels"}, "open-parcel": {"Open a parcel", "/parcels"},
	"close-bin": {"Close a bin", "/bins"}, "bin-reading": {"Enter a reading of a bin", "/bins"}, "impurity": {"Enter a long-lived nuclide in a bin", "/bins"}, "release-bin": {"Release a bin", "/bins"},
	"left-site": {"Send an empty package back", "/bins"}, handedOn: {"Hand a container on", "/bins"}, lost: {"Enter a container that is lost", "/bins"}, "keep-stock": {"Keep a container in stock", "/bins"},
	"room": {"Set a room", "/surveys"}, "survey-point": {"Set a survey point", "/surveys"}, "point-reading": {"Enter a reading of a point", "/surveys"}, "release-room": {"Release a room", "/surveys"},
	"contact": {"Enter whom to call", "/parcels"}, "spill": {"Enter a spill", "/surveys"}, "spill-plan": {"Set what to do at a spill", "/surveys"},
	"contaminated": {"Enter a skin contamination", "/persons"}, "dose-report": {"Enter a reported dose", "/persons"}, "wears": {"Give a dosemeter out", "/persons"},
	"finger-ratio": {"Enter a fingertip ratio", "/persons"}, "pregnancy": {"Enter a declared pregnancy", "/persons"}, "investigation-level": {"Set an investigation level", "/persons"}, "training": {"Enter a training", "/persons"},
}

// handedOn and lost are the two forms of the kind left-site beside that of an empty package: no
// package is measured that was handed on with something in it, and none that is lost.
const handedOn, lost = "handed-on", "lost"

var left = map[string]fact.Leaving{"left-site": fact.LeftReturned, handedOn: fact.LeftHanded, lost: fact.LeftLost}

// measured are the fields of an empty package.
var measured = []string{"surface", "inside", "old-labels", "empty-label"}

func kindOf(form string) string {
	if left[form] != "" {
		return "left-site"
	}
	return form
}

func asks(form string, f fact.Field) bool {
	group, _, _ := strings.Cut(f.Path, ".")
	switch {
	case f.List || f.Shape == "" || left[form] != "" && group == "how":
		return false
	case form == lost && group == "to":
		return false
	}
	return form != lost && form != handedOn || !slices.Contains(measured, group)
}

func (q *request) form() (*kit.Form, error) {
	name := q.R.PathValue("form")
	if name == doseFile {
		return q.doseFileForm(), nil
	}
	e, known := entered[name]
	if !known {
		return nil, &kit.Refusal{Status: http.StatusNotFound, Heading: "There is no such form", Text: "this address takes nothing", Hint: "go to the board", Back: "/"}
	}
	b, err := q.read()
	if err != nil {
		return nil, err
	}
	part := kit.Part{Kind: kindOf(name)}
	if how, leaves := left[name]; leaves {
		part.Fixed = map[string]any{"how": string(how)}
	}
	for _, f := range fact.Entered(part.Kind) {
		if asks(name, f) {
			part.Inputs = append(part.Inputs, q.input(f, b))
		}
	}
	return &kit.Form{
		ID: name, Title: e.title, Button: "Record it", Act: fact.KindNamed(part.Kind).Act, Said: "It is recorded.", Action: entering + name, To: e.to,
		Done: name == "release-room", Parts: []kit.Part{part}, Permit: func(_ *kit.State, facts []fact.Fact) error { return q.permit(facts) },
		Ask: func(_ *kit.State, facts []fact.Fact) (*kit.Doubt, error) { return q.doubt(facts) },
	}, nil
}

func (q *request) input(f fact.Field, b hotlab.Book) kit.Input {
	in := kit.Input{Name: f.Path, Small: f.Shape != fact.TextShape, Must: f.Must && !strings.Contains(f.Path, ".")}
	kind := kindOf(q.R.PathValue("form"))
	choices, hint := q.offered(kind, f.Path, b)
	if len(choices) > 0 {
		return kit.Chosen(f.Path, "", choices)
	}
	in.Hint = hint
	// What happens or begins does so now where nothing else is said; an end never does.
	begins := f.Path == "at" || f.Path == "from" && kind != "dose-report"
	if f.Shape == fact.TimeShape && (!begins || !in.Must) {
		in.Kind, in.Hint = "text", "Such as "+q.Now.In(q.Location()).Format("2006-01-02T15:04")+"."
		if slices.Contains([]string{"reference", "order-by", "cancel-until", "sent"}, f.Path) {
			in.Hint = "As printed, with the offset of the supplier's zone, such as 2027-03-05T09:00+11:00."
		}
	}
	return in
}

// offered are what a field of a form is chosen from; where it is typed, a hint may list what
// there is.
func (q *request) offered(kind, field string, b hotlab.Book) (choices []view.Choice, hint string) {
	var ids []string
	switch {
	case field == "bin":
		for _, x := range b.Bins {
			if x.Released == nil {
				ids = append(ids, x.ID)
			}
		}
	case field == "point" && kind == "point-reading":
		for _, room := range b.Rooms {
			for _, p := range room.Points {
				ids = append(ids, p.Point)
			}
		}
	case field == "who":
		for _, p := range q.Roster() {
			ids = append(ids, p.ID)
		}
	case field == "of" && (kind == "left-site" || kind == "keep-stock"):
		for _, i := range b.Inventory.Whole() {
			if slices.Contains([]inventory.Where{inventory.InVial, inventory.InSyringe, inventory.InDose, inventory.InParts}, i.Where) {
				choices = append(choices, view.Choice{Value: i.ID, Text: i.ID + ", " + string(i.Where)})
			}
		}
		return choices, ""
	case field == "parcel":
		for _, p := range b.Parcels {
			switch {
			case kind == "parcel-survey" && p.Arrived != nil && p.Surveyed == nil, kind == "open-parcel" && p.Arrived != nil && p.Opened == nil:
				ids = append(ids, p.ID)
			case kind == "parcel" && p.Ordered != nil && p.Arrived == nil:
				hint += ", " + p.ID
			}
		}
		if hint != "" {
			hint = "Ordered and not here yet: " + hint[2:] + "."
		}
	case field == "line":
		for _, l := range b.Inventory.Lines {
			if l.ID != "" {
				hint += ", " + l.ID
			}
		}
		if hint != "" {
			hint = "Lines of the licence: " + hint[2:] + ". Leave it empty for the first."
		}
	}
	return kit.IDs(ids...), hint
}

func enterPage(q *request) error { return q.AloneHere(q.form()) }
