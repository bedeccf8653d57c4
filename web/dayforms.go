package web

import (
	"maps"
	"net/http"

	"vialwright/dispensing"
	"vialwright/people"
	"vialwright/quantity"
	"vialwright/web/view"
)

// entering is where the forms of the day are, each on a page of its own.
const entering = "/day/enter/"

// dayForms are what is entered from the board, by the word in the address: the
// forms of this room, and those that other rooms bring.
func (q *request) dayForms(st *state) map[string]*entryForm {
	forms := map[string]*entryForm{
		"order": {
			title: "Enter an order", button: "Enter the order", act: people.EnterOrder, said: "The order is entered.",
			parts: []part{{kind: "order", inputs: []input{
				{name: "id", hint: "Such as " + q.lab.Free("P") + ". It is printed on the label."},
				{name: "patient", must: true, hint: "The site's pseudonym, never a name."},
				{name: "territory", hint: "Such as right lobe."},
				{name: "version", value: "1", must: true},
				{name: "prescribed"},
				{name: "at", kind: "text", hint: "Such as " + q.now.In(st.zone.loc()).Format("2006-01-02") + "T13:30, in the zone of the site."},
				{name: "residual", kind: "amount", units: append([]string{"%"}, activityUnits...), unit: "%", hint: "What the draw aims higher by: a residual activity such as 40 MBq, or a percentage such as 2 %. Empty for nothing."},
				{name: "by", must: true, hint: "The authorised physician who signed it."},
			}}},
		},
		"receive": {
			title: "Receive a vial", button: "Receive it", act: people.ReceiveVial, said: "The vial is received.", also: q.past.withExperience(q),
			parts: []part{receivePart(q.lab.Free("S"))},
		},
		"note": {
			title: "Write a note", button: "Record the note", act: people.Note, said: "The note is recorded.",
			parts: []part{{kind: "note", inputs: []input{{name: "text", hint: "Never a patient's name."}, {name: "at", must: true}}}},
		},
		"deviation": {
			title: "Report a deviation", button: "Report it", act: people.Deviate, said: "The deviation is recorded.",
			parts: []part{{kind: "deviation", inputs: []input{
				{name: "text"},
				{name: "for", hint: "Empty where it is of no one order."},
				{name: "at"},
			}}},
		},
		"survey": {
			title: "Enter a survey", button: "Record the survey", act: people.Survey, said: "The survey is recorded.",
			parts: []part{surveyPart("", false)},
		},
	}
	for _, more := range q.hooks.dayForms {
		maps.Copy(forms, more(q, st))
	}
	for word, e := range forms {
		e.id, e.action, e.to = word, entering+word, "/"
	}
	return forms
}

// dayOrder is the order in which the board leads to them.
var dayOrder = []string{"order", "receive", "survey", "discard", "exposure", "note", "deviation", "experience"}

// dayForm finds the form that the address names.
func (q *request) dayForm() (*entryForm, *state, error) {
	st, err := q.caseState()
	if err != nil {
		return nil, nil, err
	}
	e := q.dayForms(st)[q.r.PathValue("form")]
	if e == nil {
		return nil, nil, &refusal{http.StatusNotFound, "There is no such form", "this address takes nothing", "go to the board", "/"}
	}
	if place := q.r.URL.Query().Get("place"); place != "" && e.id == "survey" {
		e.parts[0].inputs[0].value = place
	}
	return e, st, nil
}

// dayFormPage is one form of the board on a page of its own.
func dayFormPage(q *request) error {
	e, st, err := q.dayForm()
	if err != nil {
		return err
	}
	if err := people.May(q.who.Person, e.act); err != nil {
		return err
	}
	return q.formAlone(http.StatusOK, q.form(e, st.file.Taken, nil, nil))
}

// dayEnter records one.
func dayEnter(q *request) error {
	e, st, err := q.dayForm()
	if err != nil {
		return err
	}
	return q.enter(e, st, q.formAlone)
}

func (q *request) formAlone(status int, f view.Form) error {
	p := view.FormPage{Page: q.page(f.Title), Heading: f.Title, Back: view.Link{Text: "Board", Href: "/"}}
	f.Quiet = true
	p.Form = &f
	return q.show(status, p)
}

// dayPage are the details that the board leaves out: the label of each vial and
// what was measured of it, the doses by vial, the findings, the settings.
func dayPage(q *request) error {
	st, err := q.caseState()
	if err != nil {
		return err
	}
	p := view.Day{Page: q.page("Details of the day"), Settings: settingsPairs(st), Splits: q.splits(st)}
	p.Live = "/events"
	blind := q.blindAnywhere(st)
	for _, v := range st.Result.Vials {
		p.Vials = append(p.Vials, vialDetails(st, v, blind))
	}
	if !blind {
		for _, f := range st.Result.Findings {
			p.Findings = append(p.Findings, findingNotice(f))
		}
	}
	return q.show(http.StatusOK, p)
}

// vialDetails is a shipping vial; blind leaves out what was measured.
func vialDetails(st *state, v dispensing.VialResult, blind bool) view.VialCard {
	z := st.zone
	says := []view.Pair{
		{Name: "Lot", Value: v.Vial.Lot},
		{Name: "Labelled", Value: quantity.Both(v.Vial.Labelled, 0) + " at " + z.clock(v.Vial.Reference)},
	}
	if !v.Vial.Expiry.IsZero() {
		says = append(says, view.Pair{Name: "Expiry", Value: z.clock(v.Vial.Expiry)})
	}
	if blind {
		return view.VialCard{ID: v.Vial.ID, Says: says}
	}
	if v.Withheld != "" {
		return view.VialCard{ID: v.Vial.ID, Says: append(says, view.Pair{Name: "Contents", Value: withheld})}
	}
	if v.Assayed {
		says = append(says, view.Pair{Name: "Received, at the reference time", Value: quantity.Both(v.Measured, v.U) + ", 95 % interval " + quantity.Interval(v.Measured, v.U)},
			view.Pair{Name: "Left, at the reference time", Value: quantity.Both(v.Remaining, v.RemainingU) + " in " + quantity.Show(v.RemainingVolume, 0).String()})
	} else {
		says = append(says, view.Pair{Name: "Volume left", Value: quantity.Show(v.RemainingVolume, 0).String()})
	}
	return view.VialCard{ID: v.Vial.ID, Says: says}
}
