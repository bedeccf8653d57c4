package site

import "vialwright/web/view"

// Start leads a new site to its first order.
type Start struct {
	view.Page
	Steps []StartStep
}

// StartStep is one step of it. Kind and Word say whether it is done.
type StartStep struct {
	Title, Kind, Word, Text string
	// Now is the first that is not done.
	Now   bool
	Pairs []view.Pair
	Links []view.Link
	Form  *view.Form
}

// Health is how the program and its machine are.
type Health struct {
	view.Page
	Checks []Check
}

// Check is one line of the health page.
type Check struct{ Name, Kind, Word, Text string }
