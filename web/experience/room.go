// Package experience shows the experience of the
// site with what the plan takes of it, and the control charts.
package experience

import (
	"embed"
	"html/template"

	"vialwright/people"
	"vialwright/web/kit"
	"vialwright/web/lessons"
	"vialwright/web/view"
)

// Room is the room with what it keeps.
type Room struct {
	lessons *lessons.Lessons
}

// New makes the room.
func New(past *lessons.Lessons) *Room { return &Room{past} }

// Forms are what this room brings to the board.
func (m *Room) Forms(q *kit.Request, st *kit.State) map[string]*kit.Form {
	return (&request{q, m}).takeOverForms(st)
}

// Routes are the addresses of the room.
func (m *Room) Routes() []kit.Route {
	in := kit.In(func(q *kit.Request) *request { return &request{q, m} })
	return []kit.Route{
		{Method: "GET", Path: "/experience", Act: people.SeeBoard, Fresh: true, Do: in(experiencePage)},
		{Method: "GET", Path: "/charts", Act: people.SeeBoard, Fresh: true, Do: in(chartsPage)},
	}
}

// request is a request in this room.
type request struct {
	*kit.Request
	*Room
}

//go:embed *.html
var files embed.FS

var pages = view.Parse(files, Experience{}, Charts{})

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
