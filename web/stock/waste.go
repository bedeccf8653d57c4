package stock

import (
	"net/http"
	"slices"
	"strings"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/ledger"
	"vialwright/people"
	"vialwright/quantity"
	"vialwright/web/books"
	"vialwright/web/kit"
	"vialwright/web/view"
)

// discardForm puts what a container holds into a waste item.
func (q *request) discardForm(st *kit.State) *kit.Form {
	var from []view.Choice
	var into []string
	for _, k := range st.Result.Containers {
		switch k.Container.Kind {
		case ledger.WasteItem:
			into = append(into, k.Container.ID)
		case ledger.ShippingVial, ledger.Syringe, ledger.AdministrationVial, ledger.ResidualParts:
			emptied := k.Volume == 0 && !k.Stopped && k.Activity < ledger.Empty && k.Withheld == ""
			if emptied || st.Case.Gone(k.Container.ID, q.Now) && q.Sheet() == nil {
				continue
			}
			from = append(from, view.Choice{Value: k.Container.ID, Text: k.Container.ID + ", " + strings.ReplaceAll(string(k.Container.Kind), "-", " ")})
		}
	}
	hint, next := "Write it on the item. A new id opens a new item.", q.Lab.Free("W")
	if n := len(into); n > 0 {
		hint, next = hint+" Here already: "+strings.Join(into, ", ")+".", into[n-1]
	}
	return &kit.Form{
		Title: "Add to waste", Button: "Record it", Act: people.Discard, Said: "It is in the waste.",
		Parts: []kit.Part{{Kind: "discard", Inputs: []kit.Input{
			kit.Chosen("from", "What is added to waste", from),
			{Name: "into", Value: next, Hint: hint},
			{Name: "volume", Label: "Volume; empty for all of it"},
			kit.At,
		}}},
		Permit: func(_ *kit.State, facts []fact.Fact) error { return books.BinsTake(q.Request, 0, facts...) },
		Ask:    askWanted,
	}
}

// askWanted asks before a vial that orders are still to be drawn from or checked by,
// or a dose that was not given, goes into the waste: it does not come back.
func askWanted(st *kit.State, facts []fact.Fact) (*kit.Doubt, error) {
	for _, x := range fact.Of[*fact.Discard](facts) {
		if says := wanted(st, x.From); len(says) > 0 {
			return &kit.Doubt{
				Control: kit.Control(0, "from"), Text: strings.Join(says, " "),
				Way: "Nothing is recorded before the answer. What is in the waste does not come back.", Yes: "Yes: put it into the waste",
			}, nil
		}
	}
	return nil, nil
}

// wanted says what a container is still wanted for: it is to be drawn from, its
// remainder tells whether a dose is what its first reader says, or it holds a dose
// that was not given.
func wanted(st *kit.State, id string) (says []string) {
	var holds, checks []string
	for _, o := range st.Result.Orders {
		name, prep := "order "+o.Order.ID, st.Preparation(o.Order.ID)
		planned := len(o.Containers) == 0 && o.Plan != nil && o.Plan.From == id
		switch {
		case prep.Given || prep.Cancelled != "":
		case planned || slices.Contains(o.Containers, id):
			holds = append(holds, name)
		case len(o.Containers) > 0 && slices.Contains(o.Sources, id) && !prep.Confirmed():
			checks = append(checks, name)
		}
	}
	if len(holds) > 0 {
		says = append(says, "What is in "+id+" is for "+strings.Join(holds, " and ")+".")
	}
	if len(checks) > 0 {
		says = append(says, "What is left in "+id+" is needed for the second check of "+strings.Join(checks, " and ")+".")
	}
	return says
}

// wastePage lists the waste items that are on site, with what they hold now.
func wastePage(q *request) error {
	p := view.FormPage{
		Page: q.Page("Waste"), Heading: "Waste items held", Back: view.Link{Text: "Board", Href: "/"},
		Intro: "The present content of each item, calculated from what was added to it. Measure the item itself before it leaves. That a bin was closed, read while it decays or released is entered under Waste bins.",
		Links: []view.Link{{Text: "Waste bins", Href: "/bins"}, {Text: "Add to waste", Href: "/day/enter/discard"}},
	}
	left := books.BinsLeft(q.Request)
	for _, id := range q.Lab.Bins() {
		if b := left[id]; b != nil && !b.At.After(q.Now) {
			continue
		}
		st, err := q.Reckon(q.Lab.File(id), q.Now)
		if err != nil {
			p.Cautions = append(p.Cautions, view.Notice{Kind: "warn", Word: "Not calculated", Text: "What is in " + id + " cannot be calculated: " + err.Error() + "."})
			continue
		}
		for _, k := range st.Result.Containers {
			if k.Container.ID == id && k.Here {
				p.Facts = append(p.Facts, view.Pair{Name: id, Value: q.wasteSays(st, k)})
			}
		}
	}
	if len(p.Facts) == 0 {
		p.Cautions = append(p.Cautions, view.Notice{Kind: "note", Word: "Nothing", Text: "Nothing is held in the waste.", Hint: "It is entered from the board."})
	}
	return q.Show(http.StatusOK, view.Common, p)
}

// wasteSays is what a waste item holds; to who may still check a dose of the
// case it says no figure.
func (q *request) wasteSays(st *kit.State, k dispensing.ContainerResult) string {
	if q.BlindAnywhere(st) {
		return "not shown before your second check"
	}
	if k.Withheld != "" {
		return books.Withheld
	}
	text := quantity.Both(k.Activity, k.U) + " by " + ledger.KnownBy(k.Known) + ", " + quantity.Show(k.Volume, 0).String()
	if !k.At.IsZero() {
		text += ", at " + st.Zone.Wall(k.At, q.Now)
	}
	return text
}
