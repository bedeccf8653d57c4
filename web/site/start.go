package site

import (
	"fmt"
	"net/http"
	"slices"
	"strings"
	"time"

	"vialwright/fact"
	"vialwright/identity"
	"vialwright/nuclide"
	"vialwright/paper"
	"vialwright/people"
	"vialwright/quantity"
	"vialwright/web/books"
	"vialwright/web/kit"
	"vialwright/web/view"
	"vialwright/web/words"
)

// A new site is led to its first order by a list of steps. Whether a step is done
// is read from the journal and the accounts each time, so that nothing is stored
// twice and the list goes on after a restart where it stood.

// startNeeds are the acts that a first preparation needs somebody for.
var startNeeds = []people.Act{
	people.EnterOrder, people.SignOrder, people.SetPolicy, people.SetMeter, people.Draw, people.SecondCheck, people.Release, people.Infuse,
}

func startPage(q *request) error { return q.start(http.StatusOK, nil) }

func (q *request) start(status int, sent *view.Form) error {
	p := Start{Page: q.Page("First start")}
	p.Steps = []StartStep{q.startPeople(), q.startClock(sent), q.startSettings(), q.startMeters(), q.startPrint(sent), q.startOrder()}
	if i := slices.IndexFunc(p.Steps, func(s StartStep) bool { return s.Kind != "done" }); i >= 0 {
		p.Steps[i].Now = true
	}
	return q.Show(status, pages, p)
}

func startStep(title string, done bool, text string) StartStep {
	if done {
		return StartStep{Title: title, Kind: "done", Word: "Done", Text: text}
	}
	return StartStep{Title: title, Kind: "note", Word: "To do", Text: text}
}

// linked adds links for who may follow them, and says who may otherwise.
func (q *request) linked(s StartStep, act people.Act, links ...view.Link) StartStep {
	if people.May(q.Who.Person, act) == nil {
		s.Links = append(s.Links, links...)
		return s
	}
	if s.Kind == "done" {
		return s
	}
	s.Text += " Who may do this: " + words.Titles(act.Roles()) + "."
	return s
}

func (q *request) startPeople() StartStep {
	may := func(act people.Act) (ids []string) {
		for _, a := range q.Roster() {
			if people.May(a, act) == nil {
				ids = append(ids, a.ID)
			}
		}
		return ids
	}
	var pairs []view.Pair
	missing := false
	for _, act := range startNeeds {
		ids := may(act)
		value := strings.Join(ids, ", ")
		if len(ids) == 0 {
			value, missing = "nobody yet", true
		}
		pairs = append(pairs, view.Pair{Name: words.Sentence(act.Text()), Value: value})
	}
	text := "There is a person for each of these."
	lab := may(people.SecondCheck)
	switch {
	case missing:
		text = "A preparation needs a person for each of these. One person may have several roles."
	case len(lab) < 2:
		text, missing = "Only "+lab[0]+" may check a dose, and nobody checks their own work: one more person is needed.", true
	}
	s := startStep("People", !missing, text)
	s.Pairs = pairs
	return q.linked(s, people.AddPerson, view.Link{Text: "People", Href: "/people", Main: missing})
}

// startCheck is a step that somebody looks at and confirms.
func (q *request) startCheck(title string, what fact.CheckOf, ask string, sent *view.Form) StartStep {
	x := books.Beginning(q.Request)[what]
	done := x != nil && x.Result == fact.Pass
	text := ask
	if x != nil {
		text = map[bool]string{true: "Found right on ", false: ask + " Found wrong on "}[done] + words.Zoned{Location: q.Location()}.Clock(x.At) + "."
	}
	s := startStep(title, done, text)
	e := q.beginningForms()[string(what)]
	f := q.FormOf(e, uint64(q.Lab.Report().Head.Seq), nil, nil)
	if sent != nil && sent.ID == e.ID {
		f = *sent
	}
	if people.May(q.Who.Person, e.Act) == nil {
		s.Form = &f
	}
	return q.linked(s, e.Act)
}

// beginningForms are the forms of the checks that are made once, by their words.
func (q *request) beginningForms() map[string]*kit.Form {
	out := map[string]*kit.Form{}
	for what, title := range map[fact.CheckOf]string{fact.SiteClock: "Confirm clock and zone", fact.TestPrint: "Confirm the test print"} {
		word := string(what)
		out[word] = &kit.Form{
			ID: word, Title: title, Action: "/start/enter/" + word, Button: "Record it", Act: people.CheckReadiness, To: "/start", Said: "It is recorded.",
			Parts: []kit.Part{{Kind: "check", Fixed: map[string]any{"what": word}, Inputs: []kit.Input{
				{Name: "result", Label: "Result", Kind: "choice", Choices: kit.Choices("pass", "fail"), Must: true},
				{Name: "text", Label: "Remark", Kind: "text", Collapsible: true, Incidental: true},
				kit.At,
			}}},
		}
	}
	return out
}

func startEnter(q *request) error {
	st, err := q.CaseState()
	if err != nil {
		return err
	}
	e := q.beginningForms()[q.R.PathValue("form")]
	if e == nil {
		return &kit.Refusal{Status: http.StatusNotFound, Heading: "There is no such form", Text: "this address takes nothing", Hint: "go to the first start", Back: "/start"}
	}
	return q.Enter(e, st, func(status int, f view.Form) error { return q.start(status, &f) })
}

func (q *request) startClock(sent *view.Form) StartStep {
	ask := fmt.Sprintf("The site is in the zone %s, and it is %s there. Compare that with a clock that you trust. The zone cannot be changed later: where it is wrong, stop the program and begin a new journal with another --zone.",
		q.Zone, words.Zoned{Location: q.Location()}.Clock(q.Now))
	return q.startCheck("Clock and zone", fact.SiteClock, ask, sent)
}

func (q *request) startSettings() StartStep {
	_, policy, _ := q.SettingsInForce(q.Now)
	set := map[string]bool{}
	if policy != nil {
		for _, f := range words.Held(policy) {
			set[f.Path] = true
		}
	}
	var pairs []view.Pair
	var links []view.Link
	open := ""
	for i, g := range settingGroups {
		n, all := 0, settingsOf(g)
		for _, s := range all {
			if set[s.Path] {
				n++
			}
		}
		needed := i < 2 // without the dose and the draw the program assumes what only the site can know
		if n == 0 && needed && open == "" {
			open = g.title
		}
		pairs = append(pairs, view.Pair{Name: g.title, Value: fmt.Sprintf("%d of %d set. %s", n, len(all), g.means)})
		links = append(links, view.Link{Text: g.title, Href: "/settings?group=" + g.word, Main: n == 0 && needed})
	}
	text := "The dose and the draw are set. What is empty is assumed, and a decision says what was assumed."
	if open != "" {
		text = "Set the dose and the draw first; the other groups can wait. What is empty is assumed, and a decision says what was assumed."
	}
	_, rules := q.rulesSay()
	s := startStep("Settings", open == "", text+" "+rules)
	s.Pairs = pairs
	return q.linked(s, people.SetPolicy, links...)
}

func (q *request) startMeters() StartStep {
	_, _, all := q.SettingsInForce(q.Now)
	var ids []string
	for _, m := range all {
		ids = append(ids, m.ID)
	}
	text := "Enter at least one activity meter, with the factors of its calibration."
	if len(ids) > 0 {
		text = "Entered: " + strings.Join(ids, ", ") + "."
	}
	return q.linked(startStep("Activity meters", len(ids) > 0, text), people.SetMeter, view.Link{Text: "Meters", Href: "/meters", Main: len(ids) == 0})
}

func (q *request) startPrint(sent *view.Form) StartStep {
	s := q.startCheck("Test print", fact.TestPrint, "Print the test label at its full size. Read every line of it, and scan its code on the board: the scanner must read what is printed below it.", sent)
	if s.Form != nil {
		s.Links = append(s.Links, view.Link{Text: "Test label", Href: "/start/label.pdf"})
	}
	return s
}

func (q *request) startOrder() StartStep {
	if q.Lab.Orders() > 0 {
		return startStep("First order", true, "The first order is entered. The board shows what comes next.")
	}
	return q.linked(startStep("First order", false, "Enter the first order as the physician has written it."), people.EnterOrder, view.Link{Text: "Enter an order", Href: "/day/enter/order", Main: true})
}

// testLabelPDF prints a label of nothing, which says that it is not for a patient.
func testLabelPDF(q *request) error {
	var bits [16]byte
	q.FillRandom(bits[:])
	hour := q.Now.Truncate(time.Hour)
	label, err := paper.PracticeLabel(paper.Facts{
		Container: paper.AdministrationVial, Serial: identity.NewPractice(bits), Material: "TEST PRINT", Activity: quantity.GigaBecquerel, At: hour, Volume: 5 * quantity.Millilitre,
		ValidFrom: hour, ValidUntil: hour.Add(time.Hour), Zone: q.Location(), Order: "TEST", Version: "1", Territory: "TEST", Lot: "TEST", HalfLife: nuclide.Y90.HalfLife().Value,
		SubDose: 1, SubDoses: 1, Patient: []string{"TEST"}, Way: "TEST",
	})
	if err != nil {
		return books.SendPDF(q.Request, "", nil, err)
	}
	data, err := paper.Labels(q.Version, q.Now, label)
	return books.SendPDF(q.Request, "test-label.pdf", data, err)
}
