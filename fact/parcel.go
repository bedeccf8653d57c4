package fact

import (
	"time"

	"vialwright/quantity"
)

// LicenceLine is one line of what the site may hold: a nuclide in a form, under
// the name that the licence gives it.
type LicenceLine struct {
	ID            string
	Nuclide, Form string
	// Most is what may be held at any one time; absent where the licence has no limit.
	Most quantity.Stated[quantity.Activity]
	// From is when it begins to hold.
	From time.Time
}

// Kind is "licence-line".
func (*LicenceLine) Kind() string        { return "licence-line" }
func (l *LicenceLine) moment() time.Time { return l.From }

func (l *LicenceLine) fields(f []Slot) []Slot {
	return append(f,
		Slot{"id", must, id{&l.ID, aboutNothing}, "Line of the licence"},
		Slot{"nuclide", must, id{&l.Nuclide, aboutNothing}, "Nuclide"},
		Slot{"form", must, text{&l.Form}, "Form"},
		Slot{"most", may, amount(&l.Most), "Most that may be held"},
		Slot{"from", must, instant{&l.From}, "Holds from"},
	)
}

// WorkingTime is when somebody is there to receive parcels. A public holiday is
// an entry of its own.
type WorkingTime struct {
	// Days are those of the week, such as "Mon Tue Wed Thu Fri".
	Days string
	// Opens and Closes are clock times of the site, such as "08:00".
	Opens, Closes string
	From          time.Time
}

// Kind is "working-time".
func (*WorkingTime) Kind() string        { return "working-time" }
func (w *WorkingTime) moment() time.Time { return w.From }

func (w *WorkingTime) fields(f []Slot) []Slot {
	return append(f,
		Slot{"days", must, patterned{&w.Days, weekDays}, "Working days"},
		Slot{"opens", must, patterned{&w.Opens, wallClock}, "Opens"},
		Slot{"closes", must, patterned{&w.Closes, wallClock}, "Closes"},
		Slot{"from", must, instant{&w.From}, "Holds from"},
	)
}

// Holiday is a day on which nobody works.
type Holiday struct {
	// Day is the date, such as "2027-04-25".
	Day, Name string
	At        time.Time
}

// Kind is "holiday".
func (*Holiday) Kind() string        { return "holiday" }
func (h *Holiday) moment() time.Time { return h.At }

func (h *Holiday) fields(f []Slot) []Slot {
	return append(f,
		Slot{"day", must, patterned{&h.Day, calendarDay}, "Day"},
		Slot{"name", must, text{&h.Name}, "Holiday"},
		Slot{"at", may, instant{&h.At}, "Entered at"},
	)
}

// ExpectParcel is a delivery that was ordered.
type ExpectParcel struct {
	Parcel, Line, Supplier string
	// Vials is how many come, each Labelled at Reference.
	Vials     int
	Labelled  quantity.Stated[quantity.Activity]
	Reference time.Time
	Due       time.Time
	Text      string
	At        time.Time
}

// Kind is "expect-parcel".
func (*ExpectParcel) Kind() string        { return "expect-parcel" }
func (e *ExpectParcel) moment() time.Time { return e.At }

func (e *ExpectParcel) fields(f []Slot) []Slot {
	return append(f,
		Slot{"parcel", must, id{&e.Parcel, AboutParcel}, "Id of the parcel"},
		Slot{"line", may, id{&e.Line, aboutNothing}, "Line of the licence"},
		Slot{"supplier", may, text{&e.Supplier}, "Supplier"},
		Slot{"vials", must, counted{whole{&e.Vials}}, "Number of vials"},
		Slot{"labelled", must, amount(&e.Labelled), "Activity ordered, each vial"},
		Slot{"reference", must, printed{instant{&e.Reference}}, "Reference time, with its offset"},
		Slot{"due", must, instant{&e.Due}, "Due"},
		Slot{"text", may, text{&e.Text}, "Remark"},
		Slot{"at", must, instant{&e.At}, "Ordered at"},
	)
}

// Category is that of the transport label.
type Category string

// The categories. Excepted packages have a mark instead of a label.
const (
	WhiteI    Category = "white-i"
	YellowII  Category = "yellow-ii"
	YellowIII Category = "yellow-iii"
	Excepted  Category = "excepted"
)

// Condition is how a parcel came.
type Condition string

// The conditions. In any but the first everything is measured.
const (
	Intact  Condition = "intact"
	Damaged Condition = "damaged"
	Wet     Condition = "wet"
	Opened  Condition = "opened"
)

// Papers tells whether what came with a parcel says what is on it.
type Papers string

// The papers.
const (
	PapersAgree   Papers = "agree"
	PapersDiffer  Papers = "differ"
	PapersMissing Papers = "missing"
)

var (
	categories = []Category{WhiteI, YellowII, YellowIII, Excepted}
	conditions = []Condition{Intact, Damaged, Wet, Opened}
	papersWord = []Papers{PapersAgree, PapersDiffer, PapersMissing}
)

// Parcel is a delivery that arrived, as it is printed on it.
type Parcel struct {
	Parcel, Line string
	At           time.Time
	UN           string
	Category     Category
	// Index is the transport index as printed.
	Index     Number
	Condition Condition
	Papers    Papers
	// Vials is how many are in it, Labelled the activity of each as printed, at Reference.
	Vials     int
	Labelled  quantity.Stated[quantity.Activity]
	Reference time.Time
	// Zone is the supplier's, by its name.
	Zone       string
	Text, From string
}

// Kind is "parcel".
func (*Parcel) Kind() string        { return "parcel" }
func (p *Parcel) moment() time.Time { return p.At }

func (p *Parcel) fields(f []Slot) []Slot {
	return append(f,
		Slot{"parcel", must, id{&p.Parcel, AboutParcel}, "Id of the parcel"},
		Slot{"line", may, id{&p.Line, aboutNothing}, "Line of the licence"},
		Slot{"from", may, text{&p.From}, "Sender"},
		Slot{"at", must, instant{&p.At}, "Arrived at"},
		Slot{"un", may, id{&p.UN, aboutNothing}, "UN number"},
		Slot{"category", must, oneWord[Category]{&p.Category, categories}, "Category, as printed"},
		Slot{"index", may, number{&p.Index}, "Transport index, as printed"},
		Slot{"condition", must, oneWord[Condition]{&p.Condition, conditions}, "Condition"},
		Slot{"papers", must, oneWord[Papers]{&p.Papers, papersWord}, "Papers and labels"},
		Slot{"vials", must, counted{whole{&p.Vials}}, "Number of vials"},
		Slot{"labelled", must, amount(&p.Labelled), "Activity as printed, each vial"},
		Slot{"reference", must, printed{instant{&p.Reference}}, "Reference time as printed, with its offset"},
		Slot{"zone", may, zoneName{&p.Zone}, "Zone of the supplier"},
		Slot{"text", may, text{&p.Text}, "Remark"},
	)
}

// ParcelSurvey is what was measured of a parcel before it was opened.
type ParcelSurvey struct {
	Parcel string
	At     time.Time
	// Meter is the survey meter, Counter what counted the wipe.
	Meter, Counter string
	// Surface and Metre are the highest dose rates at the surface and at 1 m from
	// it, with the Background in them.
	Surface, Metre, Background quantity.Stated[quantity.DoseRate]
	Swab                       *Counted
	Text                       string
}

// Kind is "parcel-survey".
func (*ParcelSurvey) Kind() string        { return "parcel-survey" }
func (p *ParcelSurvey) moment() time.Time { return p.At }

func (p *ParcelSurvey) fields(f []Slot) []Slot {
	return append(f,
		Slot{"parcel", must, id{&p.Parcel, AboutParcel}, "Id of the parcel"},
		Slot{"at", must, instant{&p.At}, "When"},
		Slot{"meter", must, id{&p.Meter, AboutMeter}, "Survey meter"},
		Slot{"surface", must, amount(&p.Surface), "Dose rate at the surface, with background"},
		Slot{"metre", must, amount(&p.Metre), "Dose rate at 1 m, with background"},
		Slot{"background", must, amount(&p.Background), "Background"},
		Slot{"counter", may, id{&p.Counter, AboutMeter}, "Wipe counter"},
		Slot{"swab", may, GroupAt(&p.Swab), "Wipe"},
		Slot{"text", may, text{&p.Text}, "Remark"},
	)
}

// Counted is a wipe, or a reading of a surface by counts, as it was counted.
type Counted struct {
	// Gross are the counts of the sample in Time, Blank those of a blank in BlankTime.
	Gross, Blank    Number
	Time, BlankTime quantity.Stated[quantity.Span]
	// Efficiency is counts for each decay, Removed the part that a wipe takes up.
	Efficiency, Removed quantity.Stated[quantity.Fraction]
	// Area is what was wiped.
	Area quantity.Stated[quantity.Area]
}

func (c *Counted) fields(f []Slot) []Slot {
	return append(f,
		Slot{"gross", must, tally{ratio{&c.Gross, " counts"}}, "Counts"},
		Slot{"time", must, amount(&c.Time), "Counting time"},
		Slot{"blank", must, tally{ratio{&c.Blank, " counts"}}, "Counts of the blank"},
		Slot{"blank-time", must, amount(&c.BlankTime), "Counting time of the blank"},
		Slot{"efficiency", must, amount(&c.Efficiency), "Counts for each decay"},
		Slot{"removed", must, amount(&c.Removed), "Part that the wipe takes up"},
		Slot{"area", must, amount(&c.Area), "Area"},
	)
}

// OpenParcel is the opening of a parcel.
type OpenParcel struct {
	Parcel string
	At     time.Time
	Text   string
}

// Kind is "open-parcel".
func (*OpenParcel) Kind() string        { return "open-parcel" }
func (o *OpenParcel) moment() time.Time { return o.At }

func (o *OpenParcel) fields(f []Slot) []Slot {
	return append(f,
		Slot{"parcel", must, id{&o.Parcel, AboutParcel}, "Id of the parcel"},
		Slot{"at", must, instant{&o.At}, "When"},
		Slot{"text", may, text{&o.Text}, "Remark"},
	)
}
