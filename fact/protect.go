package fact

import (
	"time"

	"vialwright/quantity"
)

// Contaminated is a reading of the skin of a person; several of one Event follow
// one another, each after a wash.
type Contaminated struct {
	// Event is one contamination of one part of a person.
	Event, Who, Part string
	At               time.Time
	// Since is when it came about, as far as is known; zero for the first reading.
	Since time.Time
	Level quantity.Stated[quantity.Contamination]
	// Area is what it covers.
	Area quantity.Stated[quantity.Area]
	// Ended tells that it was the last reading.
	Ended Clause
	Text  string
}

// Kind is "contaminated".
func (*Contaminated) Kind() string        { return "contaminated" }
func (c *Contaminated) moment() time.Time { return c.At }

func (c *Contaminated) fields(f []Slot) []Slot {
	return append(f,
		Slot{"event", must, id{&c.Event, aboutNothing}, "Id of the contamination"},
		Slot{"who", must, id{&c.Who, AboutPerson}, "Person"},
		Slot{"part", must, text{&c.Part}, "Part of the body"},
		Slot{"at", must, instant{&c.At}, "Read at"},
		Slot{"since", may, instant{&c.Since}, "Contaminated at, as far as is known"},
		Slot{"level", must, amount(&c.Level), "Activity on the skin"},
		Slot{"area", must, amount(&c.Area), "Area"},
		Slot{"ended", may, oneWord[Clause]{&c.Ended, clauses}, "Last reading"},
		Slot{"text", may, text{&c.Text}, "What was done before it, such as washed"},
	)
}

// Worn is where a dosemeter is worn.
type Worn string

// Where it is worn.
const (
	WornBody  Worn = "body"
	WornRing  Worn = "ring"
	WornTip   Worn = "fingertip"
	WornLens  Worn = "lens"
	WornFetus Worn = "fetus"
)

var wornAt = []Worn{WornBody, WornRing, WornTip, WornLens, WornFetus}

// DoseReport is a line of the report of a dosimetry service.
type DoseReport struct {
	Who, Dosemeter string
	Worn           Worn
	From, To       time.Time
	Dose           quantity.Stated[quantity.DoseEquivalent]
	// Report names where it stands.
	Report string
}

// Kind is "dose-report".
func (*DoseReport) Kind() string        { return "dose-report" }
func (d *DoseReport) moment() time.Time { return d.To }

func (d *DoseReport) fields(f []Slot) []Slot {
	return append(f,
		Slot{"who", must, id{&d.Who, AboutPerson}, "Person"},
		Slot{"dosemeter", must, id{&d.Dosemeter, aboutNothing}, "Dosemeter"},
		Slot{"worn", must, oneWord[Worn]{&d.Worn, wornAt}, "Worn"},
		Slot{"from", must, instant{&d.From}, "Worn from"},
		Slot{"to", must, instant{&d.To}, "Worn until"},
		Slot{"measured", must, amount(&d.Dose), "Dose"},
		Slot{"report", may, text{&d.Report}, "Report"},
	)
}

// Wears says which dosemeters a person wears from a time on.
type Wears struct {
	Who  string
	Worn Worn
	From time.Time
	// Until is when no more; zero for still.
	Until time.Time
}

// Kind is "wears".
func (*Wears) Kind() string        { return "wears" }
func (w *Wears) moment() time.Time { return w.From }

func (w *Wears) fields(f []Slot) []Slot {
	return append(f,
		Slot{"who", must, id{&w.Who, AboutPerson}, "Person"},
		Slot{"worn", must, oneWord[Worn]{&w.Worn, wornAt}, "Dosemeter worn"},
		Slot{"from", must, instant{&w.From}, "From"},
		Slot{"until", may, instant{&w.Until}, "Until"},
	)
}

// FingerRatio is how much more the fingertip of a person gets than the ring shows.
type FingerRatio struct {
	Who   string
	Ratio Number
	From  time.Time
	Text  string
}

// Kind is "finger-ratio".
func (*FingerRatio) Kind() string        { return "finger-ratio" }
func (r *FingerRatio) moment() time.Time { return r.From }

func (r *FingerRatio) fields(f []Slot) []Slot {
	return append(f,
		Slot{"who", must, id{&r.Who, AboutPerson}, "Person"},
		Slot{"ratio", must, number{&r.Ratio}, "Fingertip over ring"},
		Slot{"from", must, instant{&r.From}, "Holds from"},
		Slot{"text", must, text{&r.Text}, "How it is known"},
	)
}

// Pregnancy is one that a person declared.
type Pregnancy struct {
	Who       string
	At, Ended time.Time
}

// Kind is "pregnancy".
func (*Pregnancy) Kind() string        { return "pregnancy" }
func (p *Pregnancy) moment() time.Time { return p.At }

func (p *Pregnancy) fields(f []Slot) []Slot {
	return append(f,
		Slot{"who", must, id{&p.Who, AboutPerson}, "Person"},
		Slot{"at", must, instant{&p.At}, "Declared at"},
		Slot{"ended", may, instant{&p.Ended}, "Ended, or withdrawn"},
	)
}

// InvestigationLevel is a dose above which the site looks into it.
type InvestigationLevel struct {
	Worn Worn
	// Month and Year are for the doses of a calendar month and of a calendar year.
	Month, Year quantity.Stated[quantity.DoseEquivalent]
	From        time.Time
}

// Kind is "investigation-level".
func (*InvestigationLevel) Kind() string        { return "investigation-level" }
func (l *InvestigationLevel) moment() time.Time { return l.From }

func (l *InvestigationLevel) fields(f []Slot) []Slot {
	return append(f,
		Slot{"worn", must, oneWord[Worn]{&l.Worn, wornAt}, "Of which dosemeter"},
		Slot{"month", may, amount(&l.Month), "Dose of a month"},
		Slot{"year", may, amount(&l.Year), "Dose of a year"},
		Slot{"from", must, instant{&l.From}, "Holds from"},
	)
}

// Training is what a person was trained in, and until when that holds.
type Training struct {
	Who, In   string
	At, Until time.Time
	By        string
}

// Kind is "training".
func (*Training) Kind() string        { return "training" }
func (t *Training) moment() time.Time { return t.At }

func (t *Training) fields(f []Slot) []Slot {
	return append(f,
		Slot{"who", must, id{&t.Who, AboutPerson}, "Person"},
		Slot{"in", must, text{&t.In}, "Trained in"},
		Slot{"at", must, instant{&t.At}, "When"},
		Slot{"until", may, instant{&t.Until}, "Holds until"},
		Slot{"by", may, text{&t.By}, "Trained by"},
	)
}
