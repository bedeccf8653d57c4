package view

// Practice is the page of a practice laboratory: its clock, the drills, and who
// caught what.
type Practice struct {
	Page
	Clock   []Pair
	Forward Form
	Drills  []DrillCard
	People  []CompetenceOf
}

// DrillCard is a drill that may be started.
type DrillCard struct {
	Title, Told string
	Form        Form
}

// CompetenceOf is what one person did in drills.
type CompetenceOf struct {
	ID, Name string
	Rows     []CompetenceRow
}

// CompetenceRow is one thing that was done, how long after the start, and
// whether the fault was caught with it.
type CompetenceRow struct{ Drill, Href, Did, At, After, Result string }
