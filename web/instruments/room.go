// Package instruments is the meters of the site: the book of all instruments and check
// sources with what is due and their charts, what each meter is calibrated with, and the
// test of what its reading does while a vial settles.
package instruments

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
	curves      *lessons.Curves
	instruments *lessons.Instruments
	past        *lessons.Lessons
}

// New makes the room.
func New(curves *lessons.Curves, instruments *lessons.Instruments, past *lessons.Lessons) *Room {
	return &Room{curves, instruments, past}
}

// Routes are the addresses of the room.
func (m *Room) Routes() []kit.Route {
	in := kit.In(func(q *kit.Request) *request { return &request{q, m} })
	return []kit.Route{
		{Method: "GET", Path: "/curve", Act: people.ReadMeter, Do: in(curvePage)},
		{Method: "POST", Path: "/curve", Act: people.ReadMeter, Do: in(curveDo)},
		{Method: "GET", Path: "/instruments", Settings: true, Act: people.SeeBoard, Fresh: true, Do: in(listPage)},
		{Method: "GET", Path: "/instruments/of/{id}", Settings: true, Act: people.SeeBoard, Fresh: true, Do: in(onePage)},
		{Method: "GET", Path: "/instruments/of/{id}/test/{test}", Settings: true, Act: people.CheckReadiness, Do: in(testPage)},
		{Method: "POST", Path: "/instruments/of/{id}/test/{test}", Settings: true, Act: people.CheckReadiness, Do: in(testPage)},
		{Method: "GET", Path: "/instruments/of/{id}/certificate.pdf", Settings: true, Act: people.SeeBoard, Fresh: true, Do: in(certificatePDF)},
		{Method: "GET", Path: "/instruments/enter/{kind}", Settings: true, Act: people.SetMeter, Do: in(enterPage)},
		{Method: "POST", Path: "/instruments/enter/{kind}", Settings: true, Act: people.SetMeter, Do: in(enterPage)},
		{Method: "GET", Path: "/meters", Settings: true, Act: people.SetMeter, Do: in(metersPage)},
		{Method: "POST", Path: "/meters", Settings: true, Act: people.SetMeter, Do: in(metersPage)},
	}
}

// request is a request in this room.
type request struct {
	*kit.Request
	*Room
}

//go:embed *.html
var files embed.FS

var pages = view.Parse(files, Curves{}, Instruments{}, One{})

// Curves is the page of what meters read of vials while they settle.
type Curves struct {
	view.Page
	Back  view.Link
	Intro string
	Cards []CurveCard
	// Units choose the unit of the readings in the form.
	Units []view.Link
	// Form asks for readings; Why says why there is none.
	Form *view.Form
	Why  string
}

// CurveCard is the newest curve of one meter and kind of vial. None says why
// there is nothing to see; then all else is empty.
type CurveCard struct {
	Title, None string
	// From is what it rests on, Says the figures of the fit, Effect what they
	// come to.
	From    string
	Says    []view.Pair
	Effect  view.Notice
	Picture template.HTML
}

// Instruments is the list of the book.
type Instruments struct {
	view.Page
	Back              view.Link
	Rows              []InstrumentRow
	Sources, Findings []view.Notice
	Links             []view.Link
}

// InstrumentRow is one instrument with what is due.
type InstrumentRow struct {
	Link        view.Link
	What, State string
	Due         []view.Notice
}

// One is the page of an instrument.
type One struct {
	view.Page
	Heading       string
	Back, Sheet   view.Link
	Facts, Scales []view.Pair
	// Held says what the tests are held to, and where each limit is from.
	Held []view.Pair
	// Changes are what a planned change of scale does to the orders whose dose was not
	// given.
	Changes []OrderChange
	// Hidden is how many of those are not shown.
	Hidden int
	// Calibrations are the newest first, Witness sentences.
	Calibrations []CalibrationCard
	Witness      []string
	Due          []view.Notice
	// Spans choose how much of the years the charts show, and which.
	Spans  []view.Link
	Charts []SeriesCard
	Tests  []TestRow
	// Links are the tests that can be entered, Renew the forms that begin with what is in
	// force.
	Links, Renew []view.Link
}

// CalibrationCard is one calibration.
type CalibrationCard struct {
	Title string
	Facts []view.Pair
}

// OrderChange is what a change of scale does to an order, and what it does to the patient
// if the figure is kept.
type OrderChange struct {
	Order   view.Link
	Figures []view.Pair
	Kept    string
}

// SeriesCard is the chart of a series of tests. None says why there is no chart.
type SeriesCard struct {
	ID, Title, Says, None string
	Picture               template.HTML
}

// TestRow is one test with what it came to.
type TestRow struct{ Day, Test, Verdict, Says, Href string }
