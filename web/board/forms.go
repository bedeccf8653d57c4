package board

import (
	"maps"
	"net/http"
	"strings"
	"sync"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/people"
	"vialwright/quantity"
	"vialwright/web/books"
	"vialwright/web/kit"
	"vialwright/web/view"
	"vialwright/web/words"
)

// entering is where the forms of the day are, each on a page of its own.
const entering = "/day/enter/"

// dayForms are what is entered from the board, by the word in the address: the
// forms of this room, and those that other rooms bring.
func (q *request) dayForms(st *kit.State) map[string]*kit.Form {
	forms := map[string]*kit.Form{
		"order": {
			Title: "Enter an order", Button: "Enter the order", Act: people.EnterOrder, Said: "The order is entered.",
			Parts: []kit.Part{{Kind: "order", Inputs: append([]kit.Input{
				{Name: "id", Hint: "Such as " + q.Lab.Free("P") + ". It is printed on the label."},
				{Name: "patient", Must: true, Hint: "The site's pseudonym, never a name."},
				{Name: "second-identifier", Hint: "Such as the number of the stay. The time-out asks for both. Where there is none, say why below."},
				{Name: "territory", Hint: "Such as right lobe."},
				{Name: "version", Value: "1", Must: true},
				{Name: "prescribed", Hint: "Leave empty where the order names an absorbed dose, below: the activity follows, and is signed."},
				{Name: "at", Kind: "text", Hint: "Such as " + q.Now.In(st.Zone.Loc()).Format("2006-01-02") + "T13:30, in the zone of the site."},
				{Name: "residual", Kind: "amount", Units: append([]string{"%"}, kit.ActivityUnits...), Unit: "%", Hint: "The draw aims this much higher: a residual activity such as 40 MBq, or a percentage such as 2 %. Leave empty for none."},
				{Name: "by", Must: true, Hint: "The authorised physician who signed it."},
			}, restsOn()...)}},
			Amend: identified,
		},
		"receive": {
			Title: "Receive a vial", Button: "Receive it", Act: people.ReceiveVial, Said: "The vial is received.", Also: q.lessons.WithExperience(q.Request),
			Parts: []kit.Part{books.ReceivePart(q.Lab.Free("S"))},
			Ask: func(st *kit.State, facts []fact.Fact) (*kit.Doubt, error) {
				return books.AskParcel(q.Request, st, facts)
			},
		},
		"note": {
			Title: "Write a note", Button: "Record the note", Act: people.Note, Said: "The note is recorded.",
			Parts: []kit.Part{{Kind: "note", Inputs: []kit.Input{{Name: "text", Hint: "Never a patient's name."}, {Name: "at", Must: true}}}},
		},
		"deviation": {
			Title: "Report a deviation", Button: "Report it", Act: people.Deviate, Said: "The deviation is recorded.",
			Parts: []kit.Part{{Kind: "deviation", Inputs: []kit.Input{
				{Name: "text"},
				{Name: "for", Hint: "Leave empty if it concerns no single order."},
				{Name: "at"},
			}}},
		},
		"survey": {
			Title: "Enter a survey", Button: "Record the survey", Act: people.Survey, Said: "The survey is recorded.",
			Parts: []kit.Part{books.SurveyPart("", false)},
		},
	}
	for _, more := range q.more {
		maps.Copy(forms, more(q.Request, st))
	}
	for word, e := range forms {
		e.ID, e.Action, e.To = word, entering+word, "/"
	}
	return forms
}

// identified refuses an order with one identifier of the patient and no word why.
func identified(_ *kit.State, facts []fact.Fact) error {
	for _, o := range fact.Of[*fact.Order](facts) {
		if o.SecondID == "" && o.OneIdentifier == "" {
			return kit.Faults{kit.Control(0, "second-identifier"): {Text: "the order has one identifier of the patient", Way: "write the second one, or below it why there is one only"}}
		}
	}
	return nil
}

// restsOn are what an order may say beside its activity, folded away: its clauses,
// and the figures that the prescription rests on.
var restsOn = sync.OnceValue(func() []kit.Input {
	out := []kit.Input{
		{Name: "one-identifier", Hint: "Only where the order has no second one."},
		{Name: "site", Hint: "Such as liver."},
		{Name: "or-at-stasis"},
		{Name: "intent", Hint: "In the physician's words."},
		{Name: "not-before", Kind: "text", Hint: "As the planned infusion."},
		{Name: "not-after", Kind: "text"},
		{Name: "spheres-least", Hint: "Such as 15 million."},
		{Name: "spheres-most"},
	}
	for _, f := range fact.AllFields("order") {
		if strings.HasPrefix(f.Path, "dosimetry.") {
			out = append(out, kit.Input{Name: f.Path, Label: words.Sentence(strings.TrimPrefix(f.Label, "Dosimetry: "))})
		}
	}
	for i := range out {
		out[i].Collapsible, out[i].Small = true, true
	}
	return out
})

// dayOrder is the order in which the board leads to them.
var dayOrder = []string{"order", "receive", "survey", "discard", "exposure", "note", "deviation", "experience"}

func (q *request) dayForm() (*kit.Form, *kit.State, error) {
	st, err := q.OpenStanding() // no form of the day shows a figure of now
	if err != nil {
		return nil, nil, err
	}
	e := q.dayForms(st)[q.R.PathValue("form")]
	if e == nil {
		return nil, nil, &kit.Refusal{Status: http.StatusNotFound, Heading: "There is no such form", Text: "this address takes nothing", Hint: "go to the board", Back: "/"}
	}
	if place := q.R.URL.Query().Get("place"); place != "" && (e.ID == "survey" || e.ID == "discard") {
		e.Parts[0].Inputs[0].Value = place
	}
	return e, st, nil
}

func dayFormPage(q *request) error {
	e, st, err := q.dayForm()
	if err != nil {
		return err
	}
	return q.Alone(e, st)
}

// dayPage are the details that the board leaves out: the label of each vial and
// what was measured of it, the doses by vial, the findings, the settings.
func dayPage(q *request) error {
	st, err := q.CaseState()
	if err != nil {
		return err
	}
	p := Day{Page: q.Page("Details of the day"), Settings: books.SettingsPairs(st), Splits: q.splits(st)}
	p.Live = "/events"
	blind := q.BlindAnywhere(st)
	for _, v := range st.Result.Vials {
		p.Vials = append(p.Vials, vialDetails(st, v, blind))
	}
	if !blind {
		for _, f := range st.Result.Findings {
			p.Findings = append(p.Findings, books.FindingNotice(f))
		}
	}
	return q.Show(http.StatusOK, pages, p)
}

func vialDetails(st *kit.State, v dispensing.VialResult, blind bool) VialCard {
	z := st.Zone
	says := []view.Pair{
		{Name: "Lot", Value: v.Vial.Lot},
		{Name: "Labelled", Value: quantity.Both(v.Vial.Labelled, 0) + " at " + z.Clock(v.Vial.Reference)},
	}
	if !v.Vial.Expiry.IsZero() {
		says = append(says, view.Pair{Name: "Expiry", Value: z.Clock(v.Vial.Expiry)})
	}
	if blind {
		return VialCard{ID: v.Vial.ID, Says: says}
	}
	if v.Withheld != "" {
		return VialCard{ID: v.Vial.ID, Says: append(says, view.Pair{Name: "Contents", Value: books.Withheld})}
	}
	if v.Assayed {
		says = append(says, view.Pair{Name: "Received, at the reference time", Value: quantity.Both(v.Measured, v.U) + ", 95 % interval " + quantity.Interval(v.Measured, v.U)},
			view.Pair{Name: "Left, at the reference time", Value: quantity.Both(v.Remaining, v.RemainingU) + " in " + quantity.Show(v.RemainingVolume, 0).String()})
	} else {
		says = append(says, view.Pair{Name: "Volume left", Value: quantity.Show(v.RemainingVolume, 0).String()})
	}
	return VialCard{ID: v.Vial.ID, Says: says}
}
