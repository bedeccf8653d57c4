package preparation

import (
	"html/template"

	"vialwright/web/clock"
	"vialwright/web/view"
)

// Bench is the page a dose is prepared on.
type Bench struct {
	view.Page
	Band Band
	// Stands is the title of the step that is shown, Do the sentence that says
	// what to do now.
	Stands, Do string
	// Number is the one number that the step needs, Unit its unit and Also what
	// is said beside it; empty where the step needs none or must not show it.
	Number, Unit, Also string
	// Working leads to how the number was worked out; empty where it is none.
	Working string
	// Verdict is how the step stands: the worst first.
	Verdict Verdict
	// Done is what a step that is done recorded; Again is the form with which
	// it is done once more.
	Done []Recorded
	// Facts are those of the order in full, Given is what a checker works with,
	// Outcome what was found of the dose.
	Facts, Given, Outcome []view.Pair
	// Folds are tables at hand, folded away.
	Folds          []Fold
	Vessels, Strip template.HTML
	Steps          []Step
	Form, Scan     *view.Form
	// Others are forms that may be used at any time.
	Others []view.Form
	Links  []view.Link
	// Main is what is done next where the step has no form here.
	Main  []view.Link
	Clock *clock.Shown
}

// Band tells at a glance whose dose it is: the badge of the order, the patient,
// what was prescribed and when it is infused.
type Band struct {
	Badge       view.Badge
	Order, Href string
	// Patient is the identifier, Says the territory, the version and who signed.
	Patient, Says string
	// Dose is what was prescribed, in the unit of the page; DoseSays the other
	// unit. At is the time of the infusion.
	Dose, DoseSays, At string
}

// Verdict is one sentence, and what else is to be said behind it.
type Verdict struct {
	Worst view.Notice
	More  []view.Notice
}

// Recorded is an entry that made a step done.
type Recorded struct {
	Title string
	Pairs []view.Pair
	// Correct leads to its correction; empty for who may not.
	Correct string
}

// Step is one of the row of steps. Short is its title in a word or two.
type Step struct {
	Title, Short, Href, State, Word, By, At, Why string
	// Now is the step that is due, Shown the one on the page.
	Now, Shown bool
}

// Fold is a table under its title, folded away.
type Fold struct {
	Title string
	Pairs []view.Pair
}
