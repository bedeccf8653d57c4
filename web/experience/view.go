package experience

import (
	"html/template"

	"vialwright/web/view"
)

// Experience is the page of what the finished cases have taught.
type Experience struct {
	view.Page
	// Intro says what it rests on, Plan what a plan takes of it.
	Intro, Plan string
	Tables      []ExperienceTable
	// Unusual are cases that do not fit the others, Left what could not be
	// taken.
	Unusual, Left []CaseLine
	Links         []view.Link
}

// ExperienceTable is one quantity.
type ExperienceTable struct {
	ID, Title, Intro string
	Rows             []ExperienceRow
}

// ExperienceRow is one kind of vial and person: before any case and now, each with
// the range that holds the next case with 95 %. Head marks the row of a kind.
type ExperienceRow struct {
	Vial, Who, Cases, Found            string
	Before, BeforeRange, Now, NowRange string
	Head                               bool
}

// CaseLine is a sentence about a case.
type CaseLine struct{ Number, Case, Href, Text string }

// Charts is the page of control charts.
type Charts struct {
	view.Page
	// Of and By choose the measure and what the cases have in common.
	Of, By []view.Link
	// Why says why there is no chart, More how many are not shown.
	Why, More string
	Charts    []ChartCard
	Links     []view.Link
}

// ChartCard is one chart with what it says.
type ChartCard struct {
	ID, Title    string
	Picture      template.HTML
	Limits       string
	Broken       []CaseLine
	Sound, Looks string
}
