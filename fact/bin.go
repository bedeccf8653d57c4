package fact

import (
	"time"

	"vialwright/quantity"
)

// CloseBin says that nothing more goes into a bin: its time of decay begins.
type CloseBin struct {
	Bin string
	At  time.Time
	// Mass is that of what is in it, for a concentration; absent where not weighed.
	Mass  quantity.Stated[quantity.Mass]
	Store string
}

// Kind is "close-bin".
func (*CloseBin) Kind() string        { return "close-bin" }
func (c *CloseBin) moment() time.Time { return c.At }

func (c *CloseBin) fields(f []Slot) []Slot {
	return append(f,
		Slot{"bin", must, id{&c.Bin, AboutBin}, "Waste bin"},
		Slot{"at", must, instant{&c.At}, "Closed at"},
		Slot{"mass", may, amount(&c.Mass), "Mass of what is in it"},
		Slot{"store", may, text{&c.Store}, "Where it is kept"},
	)
}

// BinReading is a dose rate at the surface of a bin while it decays.
type BinReading struct {
	Bin, Meter       string
	At               time.Time
	Rate, Background quantity.Stated[quantity.DoseRate]
}

// Kind is "bin-reading".
func (*BinReading) Kind() string        { return "bin-reading" }
func (b *BinReading) moment() time.Time { return b.At }

func (b *BinReading) fields(f []Slot) []Slot {
	return append(f,
		Slot{"bin", must, id{&b.Bin, AboutBin}, "Waste bin"},
		Slot{"meter", must, id{&b.Meter, AboutMeter}, "Survey meter"},
		Slot{"at", must, instant{&b.At}, "When"},
		Slot{"rate", must, amount(&b.Rate), "Dose rate at the surface, with background"},
		Slot{"background", must, amount(&b.Background), "Background"},
	)
}

// Impurity is what is known of a long-lived nuclide in a bin, for a sum of fractions.
type Impurity struct {
	Bin, Nuclide string
	At           time.Time
	Content      quantity.Stated[quantity.Activity]
	Text         string
}

// Kind is "impurity".
func (*Impurity) Kind() string        { return "impurity" }
func (i *Impurity) moment() time.Time { return i.At }

func (i *Impurity) fields(f []Slot) []Slot {
	return append(f,
		Slot{"bin", must, id{&i.Bin, AboutBin}, "Waste bin"},
		Slot{"nuclide", must, id{&i.Nuclide, aboutNothing}, "Nuclide"},
		Slot{"at", must, instant{&i.At}, "When"},
		Slot{"content", must, amount(&i.Content), "Activity in the bin"},
		Slot{"text", may, text{&i.Text}, "How it is known"},
	)
}

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

var (
	routes  = []Route{Trash, Clinical, Sewer, SentBack, Handed}
	defaced = []Defaced{LabelsDefaced, LabelsInside, LabelsLeft}
)

// ReleaseBin is the survey of a bin at the end of its decay, and its leaving.
type ReleaseBin struct {
	Bin, Meter string
	At         time.Time
	// Gross and Blank are the counts at the surface, and of the background away from
	// the bin.
	Gross, Blank    Number
	Time, BlankTime quantity.Stated[quantity.Span]
	// Sensitive tells whether the meter was on its most sensitive range, Bare that no
	// shield was between.
	Sensitive, Bare Clause
	Labels          Defaced
	Route           Route
	To              string
}

// Kind is "release-bin".
func (*ReleaseBin) Kind() string        { return "release-bin" }
func (r *ReleaseBin) moment() time.Time { return r.At }

func (r *ReleaseBin) fields(f []Slot) []Slot {
	return append(f,
		Slot{"bin", must, id{&r.Bin, AboutBin}, "Waste bin"},
		Slot{"meter", must, id{&r.Meter, AboutMeter}, "Survey meter"},
		Slot{"at", must, instant{&r.At}, "When"},
		Slot{"gross", must, tally{ratio{&r.Gross, " counts"}}, "Counts at the surface"},
		Slot{"time", must, amount(&r.Time), "Counting time"},
		Slot{"blank", must, tally{ratio{&r.Blank, " counts"}}, "Counts of the background"},
		Slot{"blank-time", must, amount(&r.BlankTime), "Counting time of the background"},
		Slot{"sensitive", must, oneWord[Clause]{&r.Sensitive, clauses}, "On the most sensitive range"},
		Slot{"bare", must, oneWord[Clause]{&r.Bare, clauses}, "Without a shield between"},
		Slot{"labels", must, oneWord[Defaced]{&r.Labels, defaced}, "Radiation labels"},
		Slot{"route", must, oneWord[Route]{&r.Route, routes}, "Route"},
		Slot{"to", may, text{&r.To}, "Taken by"},
	)
}

// Leaving is how a container left the site other than in a bin.
type Leaving string

// How it left. The keep is that of the inventory: what was lost is counted as lost.
const (
	LeftReturned Leaving = "returned"
	LeftHanded   Leaving = "transferred"
	LeftLost     Leaving = "lost"
)

var leavings = []Leaving{LeftReturned, LeftHanded, LeftLost}

// LeftSite is a container that left the site: back to the supplier as an empty
// package, to another licence, or lost.
type LeftSite struct {
	Of  string
	How Leaving
	At  time.Time
	To  string
	// Surface is the highest dose rate at the surface of the package, with the
	// background in it; Inside the wipe of its inside.
	Surface quantity.Stated[quantity.DoseRate]
	Inside  *Counted
	// OldLabels tells that no old label can be read, EmptyLabel that it says it is empty.
	OldLabels, EmptyLabel Clause
	Reason                string
}

// Kind is "left-site".
func (*LeftSite) Kind() string        { return "left-site" }
func (l *LeftSite) moment() time.Time { return l.At }

func (l *LeftSite) fields(f []Slot) []Slot {
	return append(f,
		Slot{"of", must, id{&l.Of, AboutContainer}, "Container"},
		Slot{"how", must, oneWord[Leaving]{&l.How, leavings}, "How it left"},
		Slot{"at", must, instant{&l.At}, "When"},
		Slot{"to", may, text{&l.To}, "Taken by"},
		Slot{"surface", may, amount(&l.Surface), "Dose rate at the surface of the package"},
		Slot{"inside", may, GroupAt(&l.Inside), "Wipe of the inside"},
		Slot{"old-labels", may, oneWord[Clause]{&l.OldLabels, clauses}, "Old labels removed or covered"},
		Slot{"empty-label", may, oneWord[Clause]{&l.EmptyLabel, clauses}, "Marked as empty"},
		Slot{"reason", must, text{&l.Reason}, "Why"},
	)
}

// KeepStock says that a container with something in it stays, though the records of
// its orders are closed: where it is, and until when.
type KeepStock struct {
	Of, Store, Reason string
	At, Until         time.Time
}

// Kind is "keep-stock".
func (*KeepStock) Kind() string        { return "keep-stock" }
func (k *KeepStock) moment() time.Time { return k.At }

func (k *KeepStock) fields(f []Slot) []Slot {
	return append(f,
		Slot{"of", must, id{&k.Of, AboutContainer}, "Container"},
		Slot{"store", must, text{&k.Store}, "Where it is kept"},
		Slot{"at", must, instant{&k.At}, "When"},
		Slot{"until", must, instant{&k.Until}, "Kept until"},
		Slot{"reason", may, text{&k.Reason}, "What for"},
	)
}
