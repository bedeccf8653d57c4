package fact

import (
	"time"

	"vialwright/quantity"
)

// LicenceLine is one line of what the site may hold: a nuclide in a form, under
// the name that the licence gives it.
type LicenceLine struct {
	ID      string `must:"id" id:"" label:"Line of the licence"`
	Nuclide string `must:"nuclide" id:"" label:"Nuclide"`
	Form    string `must:"form" label:"Form"`
	// Most is what may be held at any one time; absent where the licence has no limit.
	Most quantity.Stated[quantity.Activity] `may:"most" label:"Most that may be held"`
	From time.Time                          `must:"from" label:"Holds from"`
}

func (l *LicenceLine) is() (string, time.Time) { return "licence-line", l.From }

// WorkingTime is when somebody is there to receive parcels. A public holiday is
// an entry of its own.
type WorkingTime struct {
	// Days are those of the week, such as "Mon Tue Wed Thu Fri".
	Days string `must:"days" as:"days" label:"Working days"`
	// Opens and Closes are clock times of the site, such as "08:00".
	Opens  string    `must:"opens" as:"clock" label:"Opens"`
	Closes string    `must:"closes" as:"clock" label:"Closes"`
	From   time.Time `must:"from" label:"Holds from"`
}

func (w *WorkingTime) is() (string, time.Time) { return "working-time", w.From }

// Holiday is a day on which nobody works, on the site or at a supplier.
type Holiday struct {
	// Day is the date, such as "2027-04-25".
	Day  string `must:"day" as:"day" label:"Day"`
	Name string `must:"name" label:"Holiday"`
	// Supplier is whose it is; empty for the site.
	Supplier string    `may:"supplier" label:"Supplier, where it is theirs"`
	At       time.Time `may:"at" label:"Entered at"`
}

func (h *Holiday) is() (string, time.Time) { return "holiday", h.At }

// ExpectParcel is a delivery that was ordered.
type ExpectParcel struct {
	Parcel   string `must:"parcel" id:"parcel" label:"Id of the parcel"`
	Line     string `may:"line" id:"" label:"Line of the licence"`
	Supplier string `may:"supplier" label:"Supplier"`
	// Vials is how many come, each Labelled at Reference.
	Vials     int                                `must:"vials" as:"count" label:"Number of vials"`
	Labelled  quantity.Stated[quantity.Activity] `must:"labelled" label:"Activity ordered, each vial"`
	Reference time.Time                          `must:"reference" as:"printed" label:"Reference time, with its offset"`
	Due       time.Time                          `must:"due" label:"Due"`
	// Volume lets a day be planned with a vial that has not come yet.
	Volume    quantity.Stated[quantity.Volume] `may:"volume" label:"Volume of each vial"`
	Text      string                           `may:"text" label:"Remark"`
	At        time.Time                        `must:"at" label:"Ordered at"`
	Confirmed string                           `may:"confirmed" label:"Asked about, and confirmed"`
}

func (e *ExpectParcel) is() (string, time.Time) { return "expect-parcel", e.At }

// Offer is a delivery that can be ordered, by the list of a supplier. It becomes an order by an
// ExpectParcel with its id.
type Offer struct {
	Parcel   string `must:"parcel" id:"parcel" label:"Id that its parcel will have"`
	Line     string `may:"line" id:"" label:"Line of the licence"`
	Supplier string `must:"supplier" label:"Supplier"`
	Zone     string `must:"zone" as:"zone" label:"Zone of the supplier"`
	// Vials is how many come together, each Labelled at Reference.
	Vials     int                                `must:"vials" as:"count" label:"Number of vials"`
	Labelled  quantity.Stated[quantity.Activity] `must:"labelled" label:"Activity, each vial"`
	Reference time.Time                          `must:"reference" as:"printed" label:"Reference time, with its offset"`
	Volume    quantity.Stated[quantity.Volume]   `must:"volume" label:"Volume of each vial"`
	// OrderBy, CancelUntil and Sent are of the supplier.
	OrderBy     time.Time `must:"order-by" as:"printed" label:"Order by, with the offset of the supplier"`
	CancelUntil time.Time `may:"cancel-until" as:"printed" label:"Can be cancelled until, with the offset"`
	Sent        time.Time `may:"sent" as:"printed" label:"Sent, with the offset"`
	Due         time.Time `must:"due" label:"Arrives"`
	Text        string    `may:"text" label:"Remark"`
	At          time.Time `must:"at" label:"Entered at"`
	Confirmed   string    `may:"confirmed" label:"Asked about, and confirmed"`
}

func (o *Offer) is() (string, time.Time) { return "offer", o.At }

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

// Parcel is a delivery that arrived, as it is printed on it.
type Parcel struct {
	Parcel    string    `must:"parcel" id:"parcel" label:"Id of the parcel"`
	Line      string    `may:"line" id:"" label:"Line of the licence"`
	From      string    `may:"from" label:"Sender"`
	At        time.Time `must:"at" label:"Arrived at"`
	UN        string    `may:"un" id:"" label:"UN number"`
	Category  Category  `must:"category" label:"Category, as printed"`
	Index     Number    `may:"index" label:"Transport index, as printed"`
	Condition Condition `must:"condition" label:"Condition"`
	Papers    Papers    `must:"papers" label:"Papers and labels"`
	// Vials is how many are in it, Labelled the activity of each as printed, at Reference.
	Vials     int                                `must:"vials" as:"count" label:"Number of vials"`
	Labelled  quantity.Stated[quantity.Activity] `must:"labelled" label:"Activity as printed, each vial"`
	Reference time.Time                          `must:"reference" as:"printed" label:"Reference time as printed, with its offset"`
	Zone      string                             `may:"zone" as:"zone" label:"Zone of the supplier"`
	Text      string                             `may:"text" label:"Remark"`
	Confirmed string                             `may:"confirmed" label:"Asked about, and confirmed"`
}

func (p *Parcel) is() (string, time.Time) { return "parcel", p.At }

// ParcelSurvey is what was measured of a parcel before it was opened.
type ParcelSurvey struct {
	Parcel string    `must:"parcel" id:"parcel" label:"Id of the parcel"`
	At     time.Time `must:"at" label:"When"`
	// Meter is the survey meter, Counter what counted the wipe.
	Meter string `must:"meter" id:"meter" label:"Survey meter"`
	// Surface and Metre are the highest dose rates at the surface and at 1 m from
	// it, with the Background in them.
	Surface    quantity.Stated[quantity.DoseRate] `must:"surface" label:"Dose rate at the surface, with background"`
	Metre      quantity.Stated[quantity.DoseRate] `must:"metre" label:"Dose rate at 1 m, with background"`
	Background quantity.Stated[quantity.DoseRate] `must:"background" label:"Background"`
	Counter    string                             `may:"counter" id:"meter" label:"Wipe counter"`
	Swab       *Counted                           `may:"swab" label:"Wipe"`
	Text       string                             `may:"text" label:"Remark"`
	Confirmed  string                             `may:"confirmed" label:"Asked about, and confirmed"`
}

func (p *ParcelSurvey) is() (string, time.Time) { return "parcel-survey", p.At }

// Counted is a wipe, or a reading of a surface by counts, as it was counted.
type Counted struct {
	// Gross are the counts of the sample in Time, Blank those of a blank in BlankTime.
	Gross     Number                         `must:"gross" as:"tally" label:"Counts"`
	Time      quantity.Stated[quantity.Span] `must:"time" label:"Counting time"`
	Blank     Number                         `must:"blank" as:"tally" label:"Counts of the blank"`
	BlankTime quantity.Stated[quantity.Span] `must:"blank-time" label:"Counting time of the blank"`
	// Efficiency is counts for each decay, Removed the part that a wipe takes up.
	Efficiency quantity.Stated[quantity.Fraction] `must:"efficiency" label:"Counts for each decay"`
	Removed    quantity.Stated[quantity.Fraction] `must:"removed" label:"Part that the wipe takes up"`
	Area       quantity.Stated[quantity.Area]     `must:"area" label:"Area"`
}

// OpenParcel is the opening of a parcel.
type OpenParcel struct {
	Parcel string    `must:"parcel" id:"parcel" label:"Id of the parcel"`
	At     time.Time `must:"at" label:"When"`
	Text   string    `may:"text" label:"Remark"`
}

func (o *OpenParcel) is() (string, time.Time) { return "open-parcel", o.At }
