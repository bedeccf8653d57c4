package fact

import (
	"time"

	"vialwright/quantity"
)

// CloseBin says that nothing more goes into a bin: its time of decay begins.
type CloseBin struct {
	Bin string    `must:"bin" id:"bin" label:"Waste bin"`
	At  time.Time `must:"at" label:"Closed at"`
	// Mass is that of what is in it, for a concentration; absent where not weighed.
	Mass  quantity.Stated[quantity.Mass] `may:"mass" label:"Mass of what is in it"`
	Store string                         `may:"store" label:"Where it is kept"`
}

func (c *CloseBin) is() (string, time.Time) { return "close-bin", c.At }

// BinReading is a dose rate at the surface of a bin while it decays, in the unit of the
// meter: only its decay is looked at, in which the unit cancels.
type BinReading struct {
	Bin        string                              `must:"bin" id:"bin" label:"Waste bin"`
	Meter      string                              `must:"meter" id:"meter" label:"Survey meter"`
	At         time.Time                           `must:"at" label:"When"`
	Rate       quantity.Stated[quantity.MeterRate] `must:"rate" label:"Dose rate at the surface, with background"`
	Background quantity.Stated[quantity.MeterRate] `must:"background" label:"Background"`
}

func (b *BinReading) is() (string, time.Time) { return "bin-reading", b.At }

// Impurity is what is known of a long-lived nuclide in a bin, for a sum of fractions.
type Impurity struct {
	Bin     string                             `must:"bin" id:"bin" label:"Waste bin"`
	Nuclide string                             `must:"nuclide" id:"" label:"Nuclide"`
	At      time.Time                          `must:"at" label:"When"`
	Content quantity.Stated[quantity.Activity] `must:"content" label:"Activity in the bin"`
	Text    string                             `may:"text" label:"How it is known"`
}

func (i *Impurity) is() (string, time.Time) { return "impurity", i.At }

// Route is the way by which a bin leaves the site.
type Route string

// The routes.
const (
	Trash    Route = "trash"
	Clinical Route = "clinical"
	Sewer    Route = "sewer"
	SentBack Route = "return"
	Handed   Route = "transfer"
)

// Defaced tells what became of the labels of a bin.
type Defaced string

// What became of them. Labels inside a container that goes out as clinical waste may
// stay.
const (
	LabelsDefaced Defaced = "defaced"
	LabelsInside  Defaced = "inside-clinical"
	LabelsLeft    Defaced = "left"
)

// ReleaseBin is the survey of a bin at the end of its decay, and its leaving.
type ReleaseBin struct {
	Bin   string    `must:"bin" id:"bin" label:"Waste bin"`
	Meter string    `must:"meter" id:"meter" label:"Survey meter"`
	At    time.Time `must:"at" label:"When"`
	// Gross and Blank are the counts at the surface, and of the background away from
	// the bin.
	Gross     Number                         `must:"gross" as:"tally" label:"Counts at the surface"`
	Time      quantity.Stated[quantity.Span] `must:"time" label:"Counting time"`
	Blank     Number                         `must:"blank" as:"tally" label:"Counts of the background"`
	BlankTime quantity.Stated[quantity.Span] `must:"blank-time" label:"Counting time of the background"`
	// Sensitive tells whether the meter was on its most sensitive range, Bare that no
	// shield was between.
	Sensitive Clause  `must:"sensitive" label:"On the most sensitive range"`
	Bare      Clause  `must:"bare" label:"Without a shield between"`
	Labels    Defaced `must:"labels" label:"Radiation labels"`
	Route     Route   `must:"route" label:"Route"`
	To        string  `may:"to" label:"Taken by"`
}

func (r *ReleaseBin) is() (string, time.Time) { return "release-bin", r.At }

// Leaving is how a container left the site other than in a bin.
type Leaving string

// How it left. The keep is that of the inventory: what was lost is counted as lost.
const (
	LeftReturned Leaving = "returned"
	LeftHanded   Leaving = "transferred"
	LeftLost     Leaving = "lost"
)

// LeftSite is a container that left the site: back to the supplier as an empty
// package, to another licence, or lost.
type LeftSite struct {
	Of  string    `must:"of" id:"container" label:"Container"`
	How Leaving   `must:"how" label:"How it left"`
	At  time.Time `must:"at" label:"When"`
	To  string    `may:"to" label:"Taken by"`
	// Surface is the highest dose rate at the surface of the package, with the
	// background in it; Inside the wipe of its inside.
	Surface quantity.Stated[quantity.DoseRate] `may:"surface" label:"Dose rate at the surface of the package"`
	Inside  *Counted                           `may:"inside" label:"Wipe of the inside"`
	// OldLabels tells that no old label can be read, EmptyLabel that it says it is empty.
	OldLabels  Clause `may:"old-labels" label:"Old labels removed or covered"`
	EmptyLabel Clause `may:"empty-label" label:"Marked as empty"`
	Reason     string `must:"reason" label:"Why"`
}

func (l *LeftSite) is() (string, time.Time) { return "left-site", l.At }

// KeepStock says that a container with something in it stays, though the records of
// its orders are closed: where it is, and until when.
type KeepStock struct {
	Of     string    `must:"of" id:"container" label:"Container"`
	Store  string    `must:"store" label:"Where it is kept"`
	At     time.Time `must:"at" label:"When"`
	Until  time.Time `must:"until" label:"Kept until"`
	Reason string    `may:"reason" label:"What for"`
}

func (k *KeepStock) is() (string, time.Time) { return "keep-stock", k.At }
