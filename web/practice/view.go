package practice

import "vialwright/web/view"

// Practice is the page of a practice laboratory: its clock, the drills, and who
// caught what.
type Practice struct {
	view.Page
	Clock   []view.Pair
	Forward view.Form
	Drills  []DrillCard
	People  []CompetenceOf
}

// DrillCard is a drill that may be started.
type DrillCard struct {
	Title, Told string
	Form        view.Form
}

// CompetenceOf is what one person did in drills.
type CompetenceOf struct {
	ID, Name string
	Rows     []CompetenceRow
}

// CompetenceRow is one thing that was done, how long after the start, and
// whether the fault was caught with it.
type CompetenceRow struct{ Drill, Href, Did, At, After, Result string }
