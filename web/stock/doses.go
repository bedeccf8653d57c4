package stock

import (
	"maps"
	"net/http"
	"slices"
	"strconv"

	"vialwright/fact"
	"vialwright/people"
	"vialwright/quantity"
	"vialwright/web/books"
	"vialwright/web/kit"
	"vialwright/web/view"
	"vialwright/web/words"
)

// exposureForm enters what the dosimeters of a person showed.
func (q *request) exposureForm(st *kit.State) *kit.Form {
	orders := []view.Choice{}
	for _, o := range st.Case.Orders {
		orders = append(orders, view.Choice{Value: o.ID, Text: o.ID})
	}
	in := kit.Input{Name: "for", Label: "Of which order", Kind: "choice", Choices: orders, Small: true}
	if len(orders) == 0 {
		in.Kind = "id"
	}
	return &kit.Form{
		Title: "Enter a staff dose", Button: "Record the dose", Act: people.StaffDose, Said: "The staff dose is recorded.",
		Parts: []kit.Part{{Kind: "exposure", Inputs: []kit.Input{
			{Name: "who", Label: "Whose: id", Kind: "id", Value: q.Who.ID},
			in,
			{Name: "finger", Label: "Finger, of the hand with the higher dose", Unit: "mSv"},
			{Name: "body", Unit: "mSv"},
			{Name: "text", Label: "Remark, such as which dosimeters"},
			kit.At,
		}}},
	}
}

// dose is the sum of what was entered for a person.
type dose struct {
	finger, body quantity.DoseEquivalent
	readings     int
}

func (d *dose) add(x *fact.Exposure) {
	d.finger += x.Finger.Value
	d.body += x.Body.Value
	d.readings++
}

func (d dose) String() string {
	return "finger " + quantity.Both(d.finger, 0) + ", body " + quantity.Both(d.body, 0) + ", " + words.Plural(d.readings, "reading")
}

// dosesPage lists the staff doses: for each person the calendar years, in the
// zone of the site, and all of them.
func dosesPage(q *request) error {
	years, all := map[string]map[int]*dose{}, map[string]*dose{}
	for _, x := range books.Kept[*fact.Exposure](q.Request) {
		if all[x.Who] == nil {
			all[x.Who], years[x.Who] = &dose{}, map[int]*dose{}
		}
		year := x.At.In(q.Location()).Year()
		if years[x.Who][year] == nil {
			years[x.Who][year] = &dose{}
		}
		all[x.Who].add(x)
		years[x.Who][year].add(x)
	}
	p := view.FormPage{
		Page: q.Page("Staff doses"), Heading: "Staff doses", Back: view.Link{Text: "Board", Href: "/"},
		Intro: "Sums of the doses entered here, from dosimeters that are read directly. Reports of the dosimetry service are entered under Persons. This is not the official dosimetry record.",
	}
	for _, who := range slices.Sorted(maps.Keys(all)) {
		name := q.NameOf(who)
		for _, year := range slices.Backward(slices.Sorted(maps.Keys(years[who]))) {
			p.Facts = append(p.Facts, view.Pair{Name: name + ", " + strconv.Itoa(year), Value: years[who][year].String()})
		}
		if len(years[who]) > 1 {
			p.Facts = append(p.Facts, view.Pair{Name: name + ", in all", Value: all[who].String()})
		}
	}
	if len(all) == 0 {
		p.Cautions = append(p.Cautions, view.Notice{Kind: "note", Word: "Nothing", Text: "No staff dose was entered yet.", Hint: "It is entered from the board."})
	}
	return q.Show(http.StatusOK, view.Common, p)
}
