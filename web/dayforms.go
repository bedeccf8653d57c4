package web

import (
	"net/http"
	"strings"

	"vialwright/dispensing"
	"vialwright/journal"
	"vialwright/people"
	"vialwright/procedure"
	"vialwright/quantity"
	"vialwright/web/view"
)

// entering is where the forms of the day are, each on a page of its own.
const entering = "/day/enter/"

// dayForms are what is entered from the board, by the word in the address.
func (q *request) dayForms(st *state) map[string]*entryForm {
	to := "/"
	action := func(word string) string { return entering + word }
	return q.withTakeOver(st, map[string]*entryForm{
		"order": {
			id: "order", title: "Enter an order", action: action("order"), button: "Enter the order", act: people.EnterOrder, to: to, said: "The order is entered.",
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
			id: "receive", title: "Receive a vial", action: action("receive"), button: "Receive it", act: people.ReceiveVial, to: to, said: "The vial is received.",
			parts: []part{receivePart(q.lab.Free("S"))},
		},
		"note": {
			id: "note", title: "Write a note", action: action("note"), button: "Record the note", act: people.Note, to: to, said: "The note is recorded.",
			parts: []part{{kind: "note", inputs: []input{{name: "text", hint: "Never a patient's name."}, {name: "at", must: true}}}},
		},
		"deviation": {
			id: "deviation", title: "Report a deviation", action: action("deviation"), button: "Report it", act: people.Deviate, to: to, said: "The deviation is recorded.",
			parts: []part{{kind: "deviation", inputs: []input{
				{name: "text"},
				{name: "for", hint: "Empty where it is of no one order."},
				{name: "at"},
			}}},
		},
		"survey": {
			id: "survey", title: "Enter a survey", action: action("survey"), button: "Record the survey", act: people.Survey, to: to, said: "The survey is recorded.",
			parts: []part{surveyPart("", false)},
		},
		"discard": q.discardForm(st), "exposure": q.exposureForm(st),
	})
}

// dayOrder is the order in which the board leads to them.
var dayOrder = []string{"order", "receive", "survey", "discard", "exposure", "note", "deviation", "learned"}

// receivePart receives a vial; free is an id that it may get.
func receivePart(free string) part {
	return part{kind: "receive", inputs: []input{
		{name: "vial", focus: true, hint: "Such as " + free + ": write it on the shield."},
		{name: "lot"},
		{name: "labelled"},
		{name: "reference", kind: "text", hint: "Such as 2027-03-04T18:00, with the offset where the label is in another zone: 2027-03-04T18:00+01:00."},
		{name: "volume"},
		{name: "expiry", kind: "text", hint: "Such as 2027-03-05T18:00."},
		{name: "pack", fold: true, aside: true, hint: "Scan it at the top of the page: lot and expiry are then filled in."},
		{name: "at", must: true},
	}}
}

// surveyPart surveys a place, which is asked for where it is empty.
func surveyPart(place string, optional bool) part {
	p := part{kind: "survey", optional: optional}
	before := ""
	if place == "" {
		p.inputs = []input{{name: "place", small: true}}
	} else {
		p.fixed = map[string]any{"place": place}
		before = place + ": "
	}
	p.inputs = append(p.inputs,
		input{name: "rate", label: sentence(before + "dose rate, background in it"), unit: "uSv/h"},
		input{name: "background", label: sentence(before + "background"), unit: "uSv/h"},
		input{name: "wipe", label: sentence(before + "removable contamination"), unit: "Bq/cm2"},
		input{name: "text", small: true, fold: true, aside: true},
		input{name: "at"},
	)
	return p
}

// sentence begins a text with a capital.
func sentence(text string) string { return strings.ToUpper(text[:1]) + text[1:] }

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
	for _, v := range st.r.Vials {
		p.Vials = append(p.Vials, vialDetails(st, v, blind))
	}
	if !blind {
		for _, f := range st.r.Findings {
			p.Findings = append(p.Findings, findingNotice(f))
		}
	}
	return q.show(http.StatusOK, p)
}

// withheld stands for the figures of a set whose entries contradict one another.
const withheld = "withheld, since entries contradict one another: read again"

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

// settingsPairs are the settings in force, those assumed marked as such.
func settingsPairs(st *state) []view.Pair {
	p := st.c.Policy
	out := []view.Pair{
		{Name: "Zone", Value: st.zone.loc().String()},
		{Name: "Half-life", Value: quantity.FormatDigits(st.r.HalfLife, 6, "h") + " (" + st.r.HalfLifeSource + ")"},
		{Name: "Tolerance", Value: quantity.Show(p.Tolerance, 0).String()},
		{Name: "Limit of the site", Value: quantity.Show(p.Limit, 0).String()},
		{Name: "Label tolerance", Value: quantity.Show(p.LabelTolerance, 0).String()},
		{Name: "Confidence wanted", Value: quantity.Show(p.Confidence, 0).String()},
		{Name: "Volume after make-up", Value: quantity.Show(p.MakeupMin, 0).String() + " to " + quantity.Show(p.MakeupMax, 0).String()},
	}
	if p.Limit == 0 {
		out[3].Value = "none set"
	}
	for _, a := range st.r.Assumed {
		out = append(out, assumedPair(a))
	}
	for _, m := range meters(st.file) {
		out = append(out, view.Pair{Name: "Meter", Value: m})
	}
	return out
}

// meters are the ids of the meters of the site.
func meters(f *file) []string {
	_, _, all := journal.Settings(f.Facts())
	out := make([]string, len(all))
	for i, m := range all {
		out[i] = m.ID
	}
	return out
}

// blind tells that the person may still do the second check of an order, so
// that no page shows its figures: from the draw on, until the check is made,
// to whoever had no hand in the work. Who would rather see them than check says
// so, and that is recorded.
func (q *request) blind(st *state, order string) bool {
	p := st.prep(order)
	step, ok := p.Current()
	due := ok && step.Key == procedure.SecondCheck
	early := p.Container != "" && p.Step(procedure.SecondCheck).State == procedure.Later
	return (due || early) && people.MayCheck(q.who.Person, p.Deeds) == nil
}

func (q *request) blindAnywhere(st *state) bool {
	for _, o := range st.c.Orders {
		if q.blind(st, o.ID) {
			return true
		}
	}
	return false
}
