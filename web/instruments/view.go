package instruments

import (
	"html/template"

	"vialwright/web/view"
)

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
