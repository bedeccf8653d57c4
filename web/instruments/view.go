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
	From         string
	Says         []view.Pair
	Effect       view.Notice
	Wide, Narrow template.HTML
}
