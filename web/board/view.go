package board

import (
	"html/template"
	"time"

	"vialwright/web/view"
)

// Board is the day: its orders, vials and what is due.
type Board struct {
	view.Page
	// Start leads a new site to its first order; nil where it has had one.
	Start *view.Link
	Scan  *view.Form
	// Day is the day in words, Fault why nothing can be shown; nil for nothing.
	Day   string
	Fault *view.Notice
	// Orders are those of the day and those overdue, Coming those of later days,
	// Done those that need nothing more.
	Orders, Coming, Done []OrderRow
	Vials                []VialCard
	// Due is what is due first, MoreDue the rest.
	Due, MoreDue []Due
	OnSite       string
	// Forms lead to what is entered from here, More to other pages.
	Forms, More []view.Link
	// Strip is the day over the hours.
	Strip template.HTML
}

// OrderRow is an order on the board. Says is its dose as it is known, Need what
// it needs next, From by whom, Go where it is done, Mine whether by this person
// and Next that it is the first such; Wait says what has to be put right first.
type OrderRow struct {
	ID, Href, Territory, Prescribed string
	Badge                           view.Badge
	Clock, When                     string
	Late                            bool
	Says, Need, From, Go, Wait      string
	Mine, Next                      bool
	// Done is how many of the Steps are done.
	Done, Steps int
	Notices     []view.Notice
}

// Due is something that is due, with the page where it is done, and since or until when;
// At is zero where nobody said.
type Due struct {
	Kind, Text, Do, Href string
	At                   time.Time
}

// Day are the details that the board leaves out.
type Day struct {
	view.Page
	Vials []VialCard
	// Splits are the doses by vial, where there are several.
	Splits   []Split
	Findings []view.Notice
	Settings []view.Pair
}

// Split are the doses that come out of one vial, and their total against it.
type Split struct {
	Vial  string
	Rows  []SplitRow
	Total []view.Pair
}

// SplitRow is one of them.
type SplitRow struct {
	Number, ID, Href, Name, Prescribed, At, Volume, State, Now, Label string
}

// VialCard is a shipping vial. Left is what is in it now, Until until when it may
// be used.
type VialCard struct {
	ID, Left, Until string

	Says    []view.Pair
	Notices []view.Notice
}
