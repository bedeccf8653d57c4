package view

import (
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
	// Now is the time of the page, RFC 3339: the browser's clock may be wrong.
	Now string
	// Foot says what the page rests on: the head of the journal, the version.
	Foot string
	// Theme is light, dark, or empty for that of the system.
	Theme string
	Aids  Aids
}

// Aids are how a screen helps who looks elsewhere: what is heard, and which keys, as
// browsers name them, are a touch of a button: the clock of the vial, the reading of
// a meter, the button of the form. Empty is none.
type Aids struct {
	Tones, Speech             bool
	Resuspended, Take, Record string
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

// Weights are the words of the kinds of notice that a finding becomes.
var Weights = map[string]string{"stop": "Stop", "warn": "Warning", "note": "Note"}

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
	// Was is what the entry says that is corrected, and Open that the control stands beside
	// it; empty where nothing is corrected.
	Was  string
	Open bool
	// Answers are those of the question that Error asks; none where it is none.
	Answers         []Choice
	Required, Focus bool
	// Small puts it beside others where there is room.
	Small bool
	// Signs puts it beside the button: it is the signature of who presses that.
	Signs bool
	// Auto is the value of autocomplete.
	Auto string
	// Now is the button that fills in the time of now; nil for none.
	Now *Now
	// Live are the meters that show what may be taken into the field; nil for
	// none.
	Live *Live
}

// Now is a button that fills in the time of now: what is on it, and the zone of the site.
type Now struct{ Text, Zone string }

// Choice is one of several.
type Choice struct {
	Value, Text string
	Picked      bool
	// Key is the key that picks it while the question is asked; empty for none.
	Key string
}

// FormPage is a page with one form.
type FormPage struct {
	Page
	Heading, Intro string
	Back           Link
	Facts          []Pair
	Cautions       []Notice
	// Links are further pages of its kind.
	Links []Link
	Form  *Form
	Forms []Form
}

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
