package view

import (
	"html/template"
	"slices"
)

// Page is what every page has around its content.
type Page struct {
	Title string
	// Practice is the mark of practice; empty for patients' work.
	Practice string
	// Who is the person signed in; zero for nobody.
	Who Who
	// Nav are the places the person may go to.
	Nav []Link
	// Notices stand above everything else: what was done, what has changed.
	Notices []Notice
	// Live is the address of the event stream of the page; empty for none. Here
	// is the address of this very page, for a page whose own address shows
	// something else as the work goes on; empty for any other.
	Live, Here string
	// Foot says what the page rests on: the head of the journal, the version.
	Foot string
	// Theme is light, dark, or empty for that of the system.
	Theme string
}

// Who is a person in words.
type Who struct{ ID, Name, Roles string }

// Link is a place to go to.
type Link struct {
	Text, Href string
	// Current is where one is, Main what is to be done next.
	Current, Main bool
}

// Notice is one sentence with its weight: stop, warn, note or done. Word is
// what is written before it, Hint the way out.
type Notice struct {
	Kind, Word, Text, Hint string
	// Mend leads to where it is put right; empty where the page itself does.
	Mend Link
}

// Pair is a name with its value.
type Pair struct{ Name, Value string }

// Form is one form: what is asked, and what it rests on.
type Form struct {
	ID, Title, Action, Button string
	// Nonce makes the form good for one entry; Head is the number of the last
	// record that the page showed, Seen that of the last one that was shown as
	// recorded since; empty for none.
	Nonce, Head, Seen string
	Fields            []Field
	// Rest are the fields that are filled in already and seldom changed. They
	// are folded away behind what they say, RestSays; RestOpen unfolds them.
	Rest     []Field
	RestSays []Pair
	RestOpen bool
	Notices  []Notice
	// Meaning is what the signature says; empty where none is asked.
	Meaning string
	// Lines are read out above the fields: what is about to be recorded.
	Lines []Pair
	// Draft says since when what is in the fields has been kept.
	Draft string
	// Intro is said below the form.
	Intro string
	// Danger marks what cannot be taken back at the bench.
	Danger bool
	// Quiet hides the title where the page says it already.
	Quiet bool
	// Keep is the address that keeps drafts; empty for none.
	Keep string
}

// Open tells that the form says something that may not be folded away: a fault,
// a notice, or what was typed and is not recorded.
func (f Form) Open() bool {
	wrong := func(f Field) bool { return f.Error != "" }
	return len(f.Notices) > 0 || f.Draft != "" || slices.ContainsFunc(f.Fields, wrong) || slices.ContainsFunc(f.Rest, wrong)
}

// Asks tells that the form asks a question that has to be answered first.
func (f Form) Asks() bool {
	return slices.ContainsFunc(f.Fields, func(f Field) bool { return len(f.Answers) > 0 })
}

// Field is one control.
type Field struct {
	// Kind is text, amount, time, id, choice, check, password, pin, code or
	// hidden.
	Kind             string
	ID, Name, Label  string
	Value            string
	Unit, UnitName   string
	Units            []string
	Choices          []Choice
	Hint, Error, Way string
	// Answers are those of the question that Error asks; none where it is none.
	Answers         []Choice
	Required, Focus bool
	// Small puts it beside others where there is room.
	Small bool
	// Auto is the value of autocomplete.
	Auto string
	// Live are the meters that show what may be taken into the field; nil for
	// none.
	Live *Live
}

// Choice is one of several.
type Choice struct {
	Value, Text string
	Picked      bool
	// Key is the key that picks it while the question is asked; empty for none.
	Key string
}

// SignIn is the page that asks who is there.
type SignIn struct {
	Page
	Form Form
	// Kept says that an entry waits for the person.
	Kept string
	// Locked says that a page is locked and whose it is; Other leads to where
	// somebody else gets in. Both are empty on any other page.
	Locked string
	Other  Link
	// Invented are the people of an invented laboratory, Secrets what opens
	// their accounts.
	Invented, Secrets []Pair
}

// Board is the day: its orders, vials and what is due.
type Board struct {
	Page
	// Start leads a new site to its first order; nil where it has had one.
	Start *Link
	Scan  *Form
	// Day is the day in words, Fault why nothing can be shown; nil for nothing.
	Day   string
	Fault *Notice
	// Orders are those of the day and those overdue, Coming those of later days,
	// Done those that need nothing more.
	Orders, Coming, Done []OrderRow
	Vials                []VialCard
	Due                  []Due
	OnSite               string
	// Forms lead to what is entered from here, More to other pages.
	Forms, More []Link
	// Strip is the day over the hours.
	Strip, StripNarrow template.HTML
}

// OrderRow is an order on the board. Says is its dose as it is known, Need what
// it needs next, From by whom, Go where it is done, Mine whether by this person
// and Next that it is the first such; Wait says what has to be put right first.
type OrderRow struct {
	ID, Href, Territory, Prescribed string
	Badge                           Badge
	Clock, When                     string
	Late                            bool
	Says, Need, From, Go, Wait      string
	Mine, Next                      bool
	// Done is how many of the Steps are done.
	Done, Steps int
	Notices     []Notice
}

// Due is something that is due, with the page where it is done.
type Due struct{ Kind, Text, Do, Href string }

// Day are the details that the board leaves out.
type Day struct {
	Page
	Vials []VialCard
	// Splits are the doses by vial, where there are several.
	Splits   []Split
	Findings []Notice
	Settings []Pair
}

// Split are the doses that come out of one vial, and their total against it.
type Split struct {
	Vial  string
	Rows  []SplitRow
	Total []Pair
}

// SplitRow is one of them.
type SplitRow struct {
	Number, ID, Href, Name, Prescribed, At, Volume, State, Now, Label string
}

// VialCard is a shipping vial. Left is what is in it now, Until until when it may
// be used.
type VialCard struct {
	ID, Left, Until string

	Says    []Pair
	Notices []Notice
}

// Bench is the page a dose is prepared on.
type Bench struct {
	Page
	Band Band
	// Stands is the title of the step that is shown, Do the sentence that says
	// what to do now.
	Stands, Do string
	// Number is the one number that the step needs, Unit its unit and Also what
	// is said beside it; empty where the step needs none or must not show it.
	Number, Unit, Also string
	// Verdict is how the step stands: the worst first.
	Verdict Verdict
	// Done is what a step that is done recorded; Again is the form with which
	// it is done once more.
	Done []Recorded
	// Facts are those of the order in full, Given is what a checker works with,
	// Outcome what was found of the dose.
	Facts, Given, Outcome []Pair
	// Folds are tables at hand, folded away.
	Folds          []Fold
	Vessels, Strip template.HTML
	Steps          []Step
	Form, Scan     *Form
	// Others are forms that may be used at any time.
	Others []Form
	Links  []Link
	// Main is what is done next where the step has no form here.
	Main  []Link
	Clock *Settling
}

// Band tells at a glance whose dose it is: the badge of the order, the patient,
// what was prescribed and when it is infused.
type Band struct {
	Badge       Badge
	Order, Href string
	// Patient is the identifier, Says the territory, the version and who signed.
	Patient, Says string
	// Dose is what was prescribed, in the unit of the page; DoseSays the other
	// unit. At is the time of the infusion.
	Dose, DoseSays, At string
}

// Verdict is one sentence, and what else is to be said behind it.
type Verdict struct {
	Worst Notice
	More  []Notice
}

// Recorded is an entry that made a step done.
type Recorded struct {
	Title string
	Pairs []Pair
	// Correct leads to its correction; empty for who may not.
	Correct string
}

// Step is one of the row of steps. Short is its title in a word or two.
type Step struct {
	Title, Short, Href, State, Word, By, At, Why string
	// Now is the step that is due, Shown the one on the page.
	Now, Shown bool
}

// History lists the entries of a case.
type History struct {
	Page
	Case, CaseHref string
	Entries        []Entry
	Verified       string
}

// Entry is a record in words.
type Entry struct {
	Number, Kind, By, At, Recorded string
	Late                           string
	Fields                         []Pair
	Struck                         bool
	By2, Reason, Corrects          string
	CorrectHref, Hash              string
}

// FormPage is a page with one form.
type FormPage struct {
	Page
	Heading, Intro string
	// Wide sets fields side by side where there is room.
	Wide     bool
	Back     Link
	Facts    []Pair
	Cautions []Notice
	// Folds are tables at hand, folded away.
	Folds []Fold
	// Links are further pages of its kind.
	Links []Link
	Form  *Form
	Forms []Form
	// Clock is that of the vial at hand; nil for none.
	Clock *Settling
}

// Fold is a table under its title, folded away.
type Fold struct {
	Title string
	Pairs []Pair
}

// Start leads a new site to its first order.
type Start struct {
	Page
	Steps []StartStep
}

// StartStep is one step of it. Kind and Word say whether it is done.
type StartStep struct {
	Title, Kind, Word, Text string
	// Now is the first that is not done.
	Now   bool
	Pairs []Pair
	Links []Link
	Form  *Form
}

// People lists the accounts.
type People struct {
	Page
	Rows  []PersonRow
	Forms []Form
	// Given is a first password, shown once.
	Given []Pair
}

// PersonRow is one account.
type PersonRow struct {
	ID, Name, Roles, State, Href string
}

// Health is how the program and its machine are.
type Health struct {
	Page
	Checks []Check
}

// Check is one line of the health page.
type Check struct{ Name, Kind, Word, Text string }

// Refused is a page that says why something was not done.
type Refused struct {
	Page
	Heading, Text, Hint string
	Back                Link
}

// Live are meters beside a field.
type Live struct {
	// ID begins the ids of what stands here. Field is the name of the control,
	// Of that of the control with what stands in the well, Token what stands in
	// the hidden control beside it.
	ID, Field, Of, Token string
	// Taken says that what is in the field came from a meter.
	Taken string
	// Action is where a reading is taken without a script.
	Action string
	Meters []Meter
}

// Meter is what one meter says now. The names are those of the event stream.
type Meter struct {
	ID string `json:"id"`
	// Of is the container it was asked about; of a real meter it is empty.
	Of string `json:"of"`
	// Invented is true for one that does not exist.
	Invented bool `json:"-"`
	// Name and Says are its words, Why says why it cannot be taken.
	Name string `json:"name"`
	Says string `json:"says"`
	Why  string `json:"why,omitempty"`
	// Value and Unit are the reading, At its time as a field holds it, Token
	// what names the line; empty where there is nothing to take.
	Value string `json:"value,omitempty"`
	Unit  string `json:"unit,omitempty"`
	At    string `json:"at,omitempty"`
	Token string `json:"token,omitempty"`
}
