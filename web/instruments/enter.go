package instruments

import (
	"net/http"
	"slices"
	"strconv"
	"strings"

	"vialwright/fact"
	"vialwright/meterbook"
	"vialwright/people"
	"vialwright/web/kit"
	"vialwright/web/view"
	"vialwright/web/words"
)

// entered are the kinds that have a form of every field, with what each form enters.
var entered = []enteredKind{{kit.Part{Kind: "instrument"}, "an instrument"}, {kit.Part{Kind: "check-source"}, "a check source"}, {kit.Part{Kind: "calibration"}, "a calibration"}}

// enterForm asks for every field of a kind, as it is declared.
func (q *request) enterForm(kind string) (*kit.Form, error) {
	at := slices.IndexFunc(entered, func(e enteredKind) bool { return e.Kind == kind })
	if at < 0 {
		return nil, &kit.Refusal{Status: http.StatusNotFound, Heading: "There is no such form", Text: "nothing of this kind is entered here", Hint: "go to the list", Back: bookHref("")}
	}
	p := entered[at].Part
	for n, f := range fact.AllFields(kind) {
		in := kit.Input{Name: f.Path, Focus: n == 0, Small: n > 0}
		if f.Path == "fill" {
			in.Kind, in.Units, in.Unit, in.Hint = "amounts", kit.VolumeUnits, "mL", "From and to, such as 1 5; empty for all."
		}
		p.Inputs = append(p.Inputs, in)
	}
	return &kit.Form{
		ID: "enter", Title: "Enter " + entered[at].what, Action: "/instruments/enter/" + kind, Button: "Record it", Act: people.SetMeter, To: bookHref(""),
		Said: words.Sentence(entered[at].what) + " is recorded.", Parts: []kit.Part{p}, Expanded: true,
	}, nil
}

// enteredKind is a kind, and what a form of it enters.
type enteredKind struct {
	kit.Part
	what string
}

// rows are how many readings a test asks for, and how many of them at least.
var rows = map[fact.TestOf]struct{ most, least int }{
	fact.BackgroundTest: {1, 1}, fact.ZeroTest: {1, 1}, fact.ConstancyTest: {1, 1}, fact.AccuracyTest: {1, 1},
	fact.LinearityTest: {14, 5}, fact.SleevesTest: {8, 3}, fact.PrecisionTest: {10, 3}, fact.GeometryTest: {3, 2},
}

// testForm asks for the readings of a test of an instrument, in the unit of its kind.
func (q *request) testForm(id string, test fact.TestOf) (*kit.Form, error) {
	r, known := rows[test]
	b := q.book()
	i := b.Find(id)
	if !known || i == nil {
		return nil, &kit.Refusal{Status: http.StatusNotFound, Heading: "There is no such test", Text: "the book has no instrument of this id, or no test of this name", Hint: "go to the list", Back: bookHref("")}
	}
	p := kit.Part{Kind: "meter-test", Fixed: map[string]any{"of": id, "test": string(test)}, Inputs: []kit.Input{
		{Name: "setting", Small: true, Value: lastOf(i.Tests, test, func(t *fact.MeterTest) string { return t.Setting })},
		{Name: "insert", Small: true, Value: lastOf(i.Tests, test, func(t *fact.MeterTest) string { return t.Insert })},
	}}
	if test == fact.GeometryTest {
		p.Inputs = append(p.Inputs, kit.Input{Name: "container", Must: true})
	}
	if test != fact.BackgroundTest && test != fact.ZeroTest {
		with := kit.Chosen("with", "", kit.Choices(b.Usable(q.Now)...))
		with.Must = test == fact.ConstancyTest || test == fact.AccuracyTest
		if !with.Must {
			with.Value = ""
			p.Inputs = append(p.Inputs, kit.Input{Name: "nuclide", Small: true, Hint: "Without a check source, such as Y-90."})
		}
		p.Inputs = append(p.Inputs, with, kit.Input{Name: "repeatability", Small: true})
	}
	shown, back := "gross", "background"
	if i.Now != nil && i.Now.What != fact.ActivityMeter {
		shown, back = "rate", "rate-background"
		if i.Now.What == fact.WipeCounter || i.Now.What == fact.ContaminationMonitor {
			shown, back = "counts", "counts-background"
		}
	}
	for n := range r.most {
		p.Inputs = append(p.Inputs, rowInputs(test, n, r.least, shown, back)...)
	}
	p.Inputs = append(p.Inputs, kit.Input{Name: "text", Small: true, Incidental: true}, kit.At)
	name := strings.ReplaceAll(string(test), "-", " ")
	return &kit.Form{
		ID: "test", Title: "Enter a test of " + name + " of " + id, Action: bookHref(id) + "/test/" + string(test), Button: "Record the readings", Act: people.CheckReadiness,
		To: bookHref(id), Said: "The test is recorded.", Parts: []kit.Part{p}, Expanded: true,
	}, nil
}

// rowInputs ask for reading n of a test.
func rowInputs(test fact.TestOf, n, least int, shown, back string) (out []kit.Input) {
	at := func(field string) string { return "readings." + strconv.Itoa(n+1) + "." + field }
	name := ""
	if rows[test].most > 1 {
		name = "Reading " + strconv.Itoa(n+1) + ": "
	}
	label := func(s string) string {
		if name == "" {
			return s
		}
		return name + words.Inside(s)
	}
	if test == fact.GeometryTest {
		part := []fact.Part{fact.PartBefore, fact.PartIn, fact.PartAfter}[n]
		name = map[fact.Part]string{fact.PartBefore: "Source container before: ", fact.PartIn: "Container tested: ", fact.PartAfter: "Source container after: "}[part]
		out = append(out, kit.Input{Name: at("part"), Label: label("Part of the run"), Kind: "choice", Choices: kit.Choices(string(part)), Value: string(part), Small: true})
	}
	if test == fact.LinearityTest || test == fact.GeometryTest {
		out = append(out, kit.Input{Name: at("at"), Label: label("Read at"), Kind: "text", Small: true, Must: test == fact.LinearityTest && n < least, Hint: "Such as 2027-03-04 07:10."})
	}
	units := map[string][]string{"gross": {"MBq", "GBq", "mCi"}, "rate": kit.RateUnits, "counts": {"cps", "cpm"}}[shown]
	out = append(out,
		kit.Input{Name: at(shown), Label: label("As displayed"), Kind: "amount", Units: units, Unit: units[0], Must: n < least, Focus: n == 0},
		kit.Input{Name: at(back), Label: label("Background"), Kind: "amount", Units: units, Unit: units[0], Small: true})
	if test == fact.SleevesTest {
		out = append(out, kit.Input{Name: at("sleeve"), Label: label("Sleeve factor"), Kind: "text", Must: n < least, Small: true, Hint: "1 times without one, such as 3.2 times."})
	}
	if test == fact.GeometryTest && n == 1 {
		out = append(out, kit.Input{Name: at("volume"), Label: label("Fill volume"), Kind: "amount", Units: kit.VolumeUnits, Unit: "mL", Small: true})
	}
	return out
}

// lastOf is what the newest test of a kind says, empty for none.
func lastOf(all []meterbook.Test, test fact.TestOf, of func(*fact.MeterTest) string) string {
	for _, t := range slices.Backward(all) {
		if t.Test == test {
			return of(t.MeterTest)
		}
	}
	return ""
}

// formPage shows one form with the way back.
func (q *request) formPage(f *kit.Form, err error, status int, sent *view.Form) error {
	if err != nil {
		return err
	}
	st, err := q.CaseState()
	if err != nil {
		return err
	}
	p := view.FormPage{Page: q.Page(f.Title), Heading: f.Title, Back: view.Link{Text: "Instruments", Href: bookHref("")}, Form: sent}
	if sent == nil {
		shown := q.FormOf(f, st.File.Taken, nil, nil)
		p.Form = &shown
	}
	return q.show(status, p)
}

func (q *request) enter(f *kit.Form, err error) error {
	if err != nil {
		return err
	}
	st, err := q.CaseState()
	if err != nil {
		return err
	}
	return q.Enter(f, st, func(status int, sent view.Form) error { return q.formPage(f, nil, status, &sent) })
}

func enterPage(q *request) error {
	f, err := q.enterForm(q.R.PathValue("kind"))
	return q.formPage(f, err, http.StatusOK, nil)
}

func enterDo(q *request) error { return q.enter(q.enterForm(q.R.PathValue("kind"))) }

func testPage(q *request) error {
	f, err := q.testForm(q.R.PathValue("id"), fact.TestOf(q.R.PathValue("test")))
	return q.formPage(f, err, http.StatusOK, nil)
}

func testDo(q *request) error {
	return q.enter(q.testForm(q.R.PathValue("id"), fact.TestOf(q.R.PathValue("test"))))
}
