package web

import (
	"net/http"

	"vialwright/dispensing"
	"vialwright/ledger"
	"vialwright/people"
	"vialwright/quantity"
	"vialwright/web/view"
)

// stockForms are what this room brings to the board.
func (q *request) stockForms(st *state) map[string]*entryForm {
	return map[string]*entryForm{"discard": q.discardForm(st), "exposure": q.exposureForm(st)}
}

// discardForm puts what a container holds into a waste item.
func (q *request) discardForm(st *state) *entryForm {
	var from, into []view.Choice
	for _, k := range st.Result.Containers {
		c := view.Choice{Value: k.Container.ID, Text: k.Container.ID + ", " + string(k.Container.Kind)}
		switch k.Container.Kind {
		case ledger.WasteItem:
			into = append(into, view.Choice{Value: k.Container.ID, Text: k.Container.ID})
		case ledger.ShippingVial, ledger.Syringe, ledger.AdministrationVial, ledger.ResidualParts:
			from = append(from, c)
		}
	}
	hint := "Write it on the item. A new id opens a new item."
	for i, c := range into {
		if i == 0 {
			hint += " Here already: "
		} else {
			hint += ", "
		}
		hint += c.Text
	}
	if len(into) > 0 {
		hint += "."
	}
	next := q.lab.Free("W")
	if len(into) > 0 {
		next = into[len(into)-1].Value
	}
	return &entryForm{
		title: "Add to waste", button: "Record it", act: people.Discard, said: "It is in the waste.",
		parts: []part{{kind: "discard", inputs: []input{
			chosen("from", "What is added to waste", from),
			{name: "into", value: next, hint: hint},
			{name: "volume", label: "Volume; empty for all of it"},
			now,
		}}},
	}
}

// wastePage lists the waste items of all cases, with what they hold now.
func wastePage(q *request) error {
	p := view.FormPage{
		Page: q.page("Waste"), Heading: "Waste items held", Back: view.Link{Text: "Board", Href: "/"},
		Intro: "What each item holds now, reckoned from what was put into it. A measurement of the item itself decides before it leaves.",
	}
	for _, id := range q.lab.Bins() {
		st, err := q.reckon(q.lab.File(id), q.now)
		if err != nil {
			p.Cautions = append(p.Cautions, view.Notice{Kind: "warn", Word: "Not reckoned", Text: "What is in " + id + " cannot be reckoned: " + err.Error() + "."})
			continue
		}
		for _, k := range st.Result.Containers {
			if k.Container.ID == id && k.Here {
				p.Facts = append(p.Facts, view.Pair{Name: id, Value: q.wasteSays(st, k)})
			}
		}
	}
	if len(p.Facts) == 0 {
		p.Cautions = append(p.Cautions, view.Notice{Kind: "note", Word: "Nothing", Text: "Nothing is in the waste yet.", Hint: "It is entered from the board."})
	}
	return q.show(http.StatusOK, p)
}

// wasteSays is what a waste item holds; to who may still check a dose of the
// case it says no figure.
func (q *request) wasteSays(st *state, k dispensing.ContainerResult) string {
	if q.blindAnywhere(st) {
		return "not shown before your second check"
	}
	if k.Withheld != "" {
		return withheld
	}
	text := quantity.Both(k.Activity, k.U) + " by " + ledger.KnownBy(k.Known) + ", " + quantity.Show(k.Volume, 0).String()
	if !k.At.IsZero() {
		text += ", at " + st.zone.clock(k.At)
	}
	return text
}
