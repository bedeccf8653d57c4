package record

import "vialwright/web/view"

// History lists the entries of a case.
type History struct {
	view.Page
	Case, CaseHref string
	Entries        []Entry
	Verified       string
}

// Entry is a record in words.
type Entry struct {
	Number, Kind, By, Recorded string
	Late                       string
	Fields                     []view.Pair
	Struck                     bool
	By2, Corrects              string
	CorrectHref, Hash          string
}
