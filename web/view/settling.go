package view

import "html/template"

// Settling is the clock of the vial at hand: how long since it was shaken, and
// how far a draw from it can be trusted.
type Settling struct {
	// Vial is its id.
	Vial string
	// Kind and Word are those of a notice. Left counts down between Before and
	// After, and is empty where nothing does; then Before is the sentence.
	Kind, Word, Before, Left, After string
	// Since is when it was shaken, RFC 3339; empty where nobody noted it. Ago
	// and At are that in words.
	Since, Ago, At string
	// Reading says, a sentence for each meter, how far a reading of the vial is
	// off while it settles; empty where nobody measured it.
	Reading []string
	// Until is when what is said stops being true, RFC 3339; empty for never.
	// Then is what is said from there on.
	Until string
	Then  Notice
	// Now is the time of the page, RFC 3339: the browser's clock may be wrong.
	Now string
	// Wide and Narrow are the picture for a desk and for a phone; empty
	// without one.
	Wide, Narrow template.HTML
	// Rests are what the model rests on, Caution how far to trust it.
	Rests   []Pair
	Caution string
	// Action takes the one touch that restarts the clock, with its Nonce;
	// empty for who may not.
	Action, Nonce string
}
