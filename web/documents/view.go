package documents

import "vialwright/web/view"

// Working is the page that says how each figure of an order was worked out.
type Working struct {
	view.Page
	Back     view.Link
	Sections []WorkingSection
}

// WorkingSection is one section of the sheet.
type WorkingSection struct {
	ID, Heading string
	Rows        []WorkingRow
	Notes       []string
	Budgets     []Budget
}

// WorkingRow is one figure. How are the lines of its working, each in pieces: those
// with an address lead to an entry.
type WorkingRow struct {
	Name, Value, Also, Corrected string
	How                          [][]view.Link
}

// Budget is what an uncertainty is made up of.
type Budget struct {
	Title string
	Bars  []Bar
}

// Bar is one part of an uncertainty: its standard uncertainty, and its share of the
// variance as a number from 0 to 1 and in words.
type Bar struct{ Name, U, Share, Says string }
