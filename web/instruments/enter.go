package instruments

import (
	"net/http"
	"slices"
	"strconv"
	"strings"

	"vialwright/fact"
	"vialwright/meterbook"
	"vialwright/people"
	"vialwright/quantity"
	"vialwright/web/kit"
	"vialwright/web/view"
	"vialwright/web/words"
)

// entered are the kinds that have a form of every field, with what each form enters.
var entered = []enteredKind{{kit.Part{Kind: "instrument"}, "an instrument"}, {kit.Part{Kind: "check-source"}, "a check source"}, {kit.Part{Kind: "calibration"}, "a calibration"}}

type enteredKind struct {
	kit.Part
	what string
}

// enterForm asks for every field of a kind, as it is declared. Where the address names
// what it is of, it begins with what is in force.
func (q *request) enterForm(kind string) (*kit.Form, error) {
	at := slices.IndexFunc(entered, func(e enteredKind) bool { return e.Kind == kind })
	if at < 0 {
		return nil, &kit.Refusal{Status: http.StatusNotFound, Heading: "There is no such form", Text: "nothing of this kind is entered here", Hint: "go to the list", Back: bookHref("")}
	}
	p := entered[at].Part
	old := q.inForce(kind)
	for n, f := range fact.AllFields(kind) {
		in := kit.Input{Name: f.Path, Focus: n == 0, Small: n > 0}
		if f.Path == "fill" {
			in.Kind, in.Units, in.Unit, in.Hint = "amounts", kit.VolumeUnits, "mL", "From and to, such as 1 5; empty for all."
		}
		if f.Shape == fact.TimeShape && f.Path != "at" && f.Path != "from" { // only what begins does so now
			in.Kind, in.Hint = "text", "Such as 2027-03-04T18:00."
		}
		p.Inputs = append(p.Inputs, in)
	}
	e := &kit.Form{
		ID: "enter", Title: "Enter " + entered[at].what, Action: "/instruments/enter/" + kind, Button: "Record it", Act: people.SetMeter, To: bookHref(""), Back: back,
		Said: words.Sentence(entered[at].what) + " is recorded.", Parts: []kit.Part{p}, Expanded: true,
	}
	if old != nil {
		q.carry(p.Inputs, old)
		e.Action += "?" + q.R.URL.RawQuery
	}
	return e, nil
}

// back leads from a form to the list.
var back = view.Link{Text: "Instruments", Href: bookHref("")}

// inForce is what the address names, as it is in force: an instrument or a source by its
// id, a calibration by its instrument, container and basis; nil for none.
func (q *request) inForce(kind string) fact.Fact {
	b, of := q.book(), q.R.URL.Query().Get
	i := b.Find(of("of"))
	switch {
	case kind == "check-source":
		if s := b.Source(of("of"), q.Now); s != nil {
			return s
		}
	case i == nil:
	case kind == "calibration":
		if c := i.Calibration(of("container"), 0, quantity.Basis(of("basis")), q.Now); c != nil {
			return c
		}
	case i.Now != nil:
		return i.Now
	}
	return nil
}

// news are the fields that no new entry takes over from the one before: when it holds from
// and why, who did it, and when a calibration has to be made again.
var news = []string{"at", "from", "reason", "by"}

// carry proposes in each field what an entry in force has, and says that it was carried
// over, and from when.
func (q *request) carry(inputs []kit.Input, old fact.Fact) {
	held := map[string]string{}
	for _, f := range fact.Fields(old) {
		held[f.Path] = f.Text
	}
	for n := range inputs {
		in := &inputs[n]
		if text := held[in.Name]; text != "" && !slices.Contains(news, in.Name) && !(in.Name == "due" && fact.Word(old) == "calibration") {
			in.Carry(fact.Word(old), text, "Carried over from "+fact.At(old).In(q.Location()).Format("2 Jan 2006")+".")
		}
	}
}

// rows are how many readings a test asks for, and how many of them at least.
var rows = map[fact.TestOf]struct{ most, least int }{
	fact.BackgroundTest: {1, 1}, fact.ZeroTest: {1, 1}, fact.ConstancyTest: {3, 1}, fact.AccuracyTest: {3, 1},
	fact.LinearityTest: {14, 5}, fact.SleevesTest: {8, 3}, fact.PrecisionTest: {10, 3}, fact.GeometryTest: {3, 2},
}

func (q *request) testForm(id string, test fact.TestOf) (*kit.Form, error) {
	r, known := rows[test]
	b := q.book()
	i := b.Find(id)
	if !known || i == nil {
		return nil, &kit.Refusal{Status: http.StatusNotFound, Heading: "There is no such test", Text: "the book has no instrument of this id, or no test of this name", Hint: "go to the list", Back: bookHref("")}
	}
	p := kit.Part{Kind: "meter-test", Fixed: map[string]any{"of": id, "test": string(test)}, Inputs: []kit.Input{{Name: "setting", Small: true}, {Name: "insert", Small: true}}}
	if test == fact.GeometryTest {
		p.Inputs = append(p.Inputs, kit.Input{Name: "container", Must: true})
	}
	if test != fact.BackgroundTest && test != fact.ZeroTest {
		with := kit.Chosen("with", "", kit.IDs(b.Usable(q.Now)...))
		with.Must = test == fact.ConstancyTest || test == fact.AccuracyTest
		if !with.Must {
			with.Value = ""
			p.Inputs = append(p.Inputs, kit.Input{Name: "nuclide", Small: true, Hint: "Without a check source, such as Y-90."})
		}
		p.Inputs = append(p.Inputs, with, kit.Input{Name: "basis", Small: true}, kit.Input{Name: "repeatability", Small: true})
	}
	if last := i.Last(func(t *meterbook.Test) bool { return t.Test == test }); last != nil {
		q.carry(p.Inputs, last.MeterTest)
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
		To: bookHref(id), Back: view.Link{Text: id, Href: bookHref(id)}, Said: "The test is recorded.", Parts: []kit.Part{p}, Expanded: true,
	}, nil
}

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

func enterPage(q *request) error { return q.AloneHere(q.enterForm(q.R.PathValue("kind"))) }

func testPage(q *request) error {
	return q.AloneHere(q.testForm(q.R.PathValue("id"), fact.TestOf(q.R.PathValue("test"))))
}
