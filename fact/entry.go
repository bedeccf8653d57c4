package fact

import (
	"time"

	"vialwright/quantity"
)

// Order is a physician's prescription for one territory.
type Order struct {
	ID string
	// Patient is the site's pseudonym, never a name.
	Patient, Territory, Version string
	// SecondID is a second identifier of the patient; OneIdentifier says why
	// there is none.
	SecondID, OneIdentifier string
	// Site is the organ that is treated, Territory the part of it.
	Site string
	// Prescribed may be left out where Dosimetry says which absorbed dose is wanted:
	// the activity then follows from that.
	Prescribed quantity.Stated[quantity.Activity]
	// At is the planned infusion time.
	At time.Time
	// The expected residual is a fraction of what is dispensed, or an
	// activity; at most one of the two is given.
	Residual         quantity.Stated[quantity.Fraction]
	ResidualActivity quantity.Stated[quantity.Activity]
	By               string
	// Intent is what the treatment is for, in the physician's words.
	Intent string
	// OrStasis tells whether the order says "or at stasis". There is no default.
	OrStasis Clause
	// NotBefore and NotAfter bound the infusion; zero for open.
	NotBefore, NotAfter time.Time
	// SpheresLeast and SpheresMost bound the spheres, in millions.
	SpheresLeast, SpheresMost Number
	// Dosimetry is what the prescription rests on; nil where nobody wrote it.
	Dosimetry *Dosimetry
	// Confirmed is what was asked about, and said to be so; empty for nothing.
	Confirmed string
}

// Kind is "order".
func (*Order) Kind() string      { return "order" }
func (*Order) moment() time.Time { return time.Time{} }

func (o *Order) fields(f []Slot) []Slot {
	return append(f,
		Slot{"id", must, id{&o.ID, AboutOrder}, "Id of the order"},
		Slot{"patient", may, text{&o.Patient}, "Identifier on the wristband"},
		Slot{"second-identifier", may, text{&o.SecondID}, "Second identifier"},
		Slot{"one-identifier", may, text{&o.OneIdentifier}, "Why there is one identifier only"},
		Slot{"site", may, text{&o.Site}, "Treatment site"},
		Slot{"territory", may, text{&o.Territory}, "Territory"},
		Slot{"version", may, text{&o.Version}, "Version of the order"},
		Slot{"prescribed", may, amount(&o.Prescribed), "Prescribed activity at infusion"},
		Slot{"at", must, instant{&o.At}, "Planned infusion"},
		Slot{"residual", may, allowance{&o.Residual, &o.ResidualActivity}, "Residual to allow for"},
		Slot{"by", may, text{&o.By}, "Prescribed by"},
		Slot{"intent", may, text{&o.Intent}, "Intent"},
		Slot{"or-at-stasis", may, oneWord[Clause]{&o.OrStasis, clauses}, "The order says \"or at stasis\""},
		Slot{"not-before", may, instant{&o.NotBefore}, "Infusion not before"},
		Slot{"not-after", may, instant{&o.NotAfter}, "Infusion not after"},
		Slot{"spheres-least", may, ratio{&o.SpheresLeast, " million"}, "Spheres, at least"},
		Slot{"spheres-most", may, ratio{&o.SpheresMost, " million"}, "Spheres, at most"},
		Slot{"dosimetry", may, GroupAt(&o.Dosimetry), "Dosimetry"},
		Slot{"confirmed", may, text{&o.Confirmed}, "Asked about, and confirmed"},
	)
}

// Receive takes a shipping vial into the books.
type Receive struct {
	Vial, Lot string
	Labelled  quantity.Stated[quantity.Activity]
	// Reference is the instant Labelled is stated for.
	Reference time.Time
	Volume    quantity.Stated[quantity.Volume]
	// At is when it came in, Expiry when it may no longer be used; either may
	// be zero.
	At, Expiry time.Time
	// Pack is what the code on the pack says, as GS1 element strings with
	// brackets; empty where it was not scanned.
	Pack string
	// Parcel is the delivery that it came in; empty where that was not noted.
	Parcel string
	// Confirmed is what was asked about, and said to be so; empty for nothing.
	Confirmed string
}

// Kind is "receive".
func (*Receive) Kind() string        { return "receive" }
func (x *Receive) moment() time.Time { return x.At }

func (r *Receive) fields(f []Slot) []Slot {
	return append(f,
		Slot{"vial", must, id{&r.Vial, AboutContainer}, "Id of the vial"},
		Slot{"lot", must, text{&r.Lot}, "Lot"},
		Slot{"labelled", must, amount(&r.Labelled), "Labelled activity"},
		Slot{"reference", must, instant{&r.Reference}, "Reference date and time on the label"},
		Slot{"volume", must, amount(&r.Volume), "Volume"},
		Slot{"at", may, instant{&r.At}, "Received at"},
		Slot{"expiry", may, instant{&r.Expiry}, "Expiry"},
		Slot{"pack", may, text{&r.Pack}, "Code on the pack"},
		Slot{"parcel", may, id{&r.Parcel, AboutParcel}, "Parcel that it came in"},
		Slot{"confirmed", may, text{&r.Confirmed}, "Asked about, and confirmed"},
	)
}

// Read is one meter reading of a container.
type Read struct {
	Of, Meter         string
	At                time.Time
	Gross, Background quantity.Stated[quantity.Activity]
	// BackgroundU is the standard uncertainty of Background, as an activity;
	// absent, the meter's repeatability of Background.
	BackgroundU quantity.Stated[quantity.Activity]
	// For and Holds are for the residual of a dose outside its vial: it
	// is in the container Of, for the order For, and Holds says what is in there,
	// such as "line, catheter". Its first reading brings it into the books.
	For, Holds string
	By         string
	// Confirmed is what was asked about, and said to be so; empty for nothing.
	Confirmed string
	// Gross and Background came from here.
	Sources
	// SetUp is how the meter was set.
	SetUp
}

// Kind is "read".
func (*Read) Kind() string        { return "read" }
func (x *Read) moment() time.Time { return x.At }

func (r *Read) fields(f []Slot) []Slot {
	return r.SetUp.to(r.Sources.to(append(f,
		Slot{"of", must, id{&r.Of, AboutContainer}, "Container"},
		Slot{"meter", must, id{&r.Meter, AboutMeter}, "Activity meter"},
		Slot{"at", must, instant{&r.At}, "When"},
		Slot{"gross", must, amount(&r.Gross), "Reading, as displayed"},
		Slot{"background", must, amount(&r.Background), "Background"},
		Slot{"background-u", may, amount(&r.BackgroundU), "Uncertainty of the background"},
		Slot{"for", may, id{&r.For, AboutOrder}, "Residual parts of order"},
		Slot{"holds", may, text{&r.Holds}, "Residual parts in it"},
		Slot{"by", may, text{&r.By}, "Read by"},
		Slot{"confirmed", may, text{&r.Confirmed}, "Asked about, and confirmed"},
	)))
}

// Draw moves suspension into a syringe for an order.
type Draw struct {
	From, Into, For string
	At              time.Time
	Volume          quantity.Stated[quantity.Volume]
	// Agitated is when the source was last resuspended, zero where not noted.
	Agitated time.Time
	// Scanned is what was scanned on the vial at the draw: its id, or the code
	// of its pack; empty where nothing was.
	Scanned string
	// Trusted is how long after the resuspension a draw could be begun by the
	// model of package settling, OfMixed the concentration that it expected in
	// this draw, over that of the mixed suspension, and Model what both rest
	// on. They are what was on the screen; no figure of a dose rests on them.
	Trusted quantity.Stated[quantity.Span]
	OfMixed quantity.Stated[quantity.Fraction]
	Model   string
	By      string
	// Confirmed is what was asked about, and said to be so; empty for nothing.
	Confirmed string
}

// Kind is "draw".
func (*Draw) Kind() string        { return "draw" }
func (x *Draw) moment() time.Time { return x.At }

func (d *Draw) fields(f []Slot) []Slot {
	return append(f,
		Slot{"from", must, id{&d.From, AboutContainer}, "From"},
		Slot{"into", must, id{&d.Into, AboutContainer}, "Syringe"},
		Slot{"for", must, id{&d.For, AboutOrder}, "Order"},
		Slot{"at", must, instant{&d.At}, "When"},
		Slot{"volume", must, amount(&d.Volume), "Volume drawn"},
		Slot{"agitated", may, instant{&d.Agitated}, "Resuspended at"},
		Slot{"scanned", may, text{&d.Scanned}, "Scanned on the vial"},
		Slot{"trusted", may, amount(&d.Trusted), "Settling clock: draw begun within"},
		Slot{"of-mixed", may, amount(&d.OfMixed), "Settling clock: expected, of mixed"},
		Slot{"model", may, text{&d.Model}, "Settling clock: model"},
		Slot{"by", may, text{&d.By}, "Drawn by"},
		Slot{"confirmed", may, text{&d.Confirmed}, "Asked about, and confirmed"},
	)
}

// Return moves suspension back into a container already in the books.
type Return struct {
	From, Into string
	At         time.Time
	// Volume is absent where everything went.
	Volume quantity.Stated[quantity.Volume]
	// Confirmed is what was asked about, and said to be so; empty for nothing.
	Confirmed string
}

// Kind is "return".
func (*Return) Kind() string        { return "return" }
func (x *Return) moment() time.Time { return x.At }

func (r *Return) fields(f []Slot) []Slot {
	return append(f,
		Slot{"from", must, id{&r.From, AboutContainer}, "From"},
		Slot{"into", must, id{&r.Into, AboutContainer}, "Into"},
		Slot{"at", must, instant{&r.At}, "When"},
		Slot{"volume", may, amount(&r.Volume), "Volume returned"},
		Slot{"confirmed", may, text{&r.Confirmed}, "Asked about, and confirmed"},
	)
}

// MakeUp adds diluent to a container.
type MakeUp struct {
	Of           string
	At           time.Time
	Volume       quantity.Stated[quantity.Volume]
	Diluent, Lot string
	// Confirmed is what was asked about, and said to be so; empty for nothing.
	Confirmed string
}

// Kind is "make-up".
func (*MakeUp) Kind() string        { return "make-up" }
func (x *MakeUp) moment() time.Time { return x.At }

func (m *MakeUp) fields(f []Slot) []Slot {
	return append(f,
		Slot{"of", must, id{&m.Of, AboutContainer}, "Container"},
		Slot{"at", must, instant{&m.At}, "When"},
		Slot{"volume", must, amount(&m.Volume), "Volume added"},
		Slot{"diluent", must, text{&m.Diluent}, "Diluent"},
		Slot{"lot", may, text{&m.Lot}, "Lot of the diluent"},
		Slot{"confirmed", may, text{&m.Confirmed}, "Asked about, and confirmed"},
	)
}

// Transfer moves a dose into an administration vial.
type Transfer struct {
	From, Into string
	// For is empty where the source's order is carried along.
	For string
	At  time.Time
	// Volume is absent where everything went.
	Volume quantity.Stated[quantity.Volume]
	// Confirmed is what was asked about, and said to be so; empty for nothing.
	Confirmed string
}

// Kind is "transfer".
func (*Transfer) Kind() string        { return "transfer" }
func (x *Transfer) moment() time.Time { return x.At }

func (t *Transfer) fields(f []Slot) []Slot {
	return append(f,
		Slot{"from", must, id{&t.From, AboutContainer}, "From"},
		Slot{"into", must, id{&t.Into, AboutContainer}, "Administration vial"},
		Slot{"for", may, id{&t.For, AboutOrder}, "Order"},
		Slot{"at", must, instant{&t.At}, "When"},
		Slot{"volume", may, amount(&t.Volume), "Volume transferred"},
		Slot{"confirmed", may, text{&t.Confirmed}, "Asked about, and confirmed"},
	)
}

// Discard moves something into a waste item.
type Discard struct {
	From, Into string
	At         time.Time
	// Volume is absent where everything went.
	Volume quantity.Stated[quantity.Volume]
}

// Kind is "discard".
func (*Discard) Kind() string        { return "discard" }
func (x *Discard) moment() time.Time { return x.At }

func (d *Discard) fields(f []Slot) []Slot {
	return append(f,
		Slot{"from", must, id{&d.From, AboutContainer}, "From"},
		Slot{"into", must, id{&d.Into, AboutContainer}, "Waste item"},
		Slot{"at", must, instant{&d.At}, "When"},
		Slot{"volume", may, amount(&d.Volume), "Volume discarded"},
	)
}

// Reason is why an infusion ended. It is asked, never defaulted.
type Reason string

// The reasons. OtherReason needs a text.
const (
	Complete          Reason = "complete"
	Stasis            Reason = "stasis"
	EmergentCondition Reason = "emergent-condition"
	// PatientIntervention is what the patient did that ended it.
	PatientIntervention Reason = "patient-intervention"
	Blockage            Reason = "blockage"
	Leak                Reason = "leak"
	Equipment           Reason = "equipment"
	Operator            Reason = "operator"
	OtherReason         Reason = "other"
)

// Infuse is the giving of a dose.
type Infuse struct {
	For string
	// From is empty where the order has one administration vial, or one
	// syringe and no administration vial.
	From        string
	Start, Stop time.Time
	Reason      Reason
	// Evidence is who saw what; stasis and an emergent condition rest on it.
	Evidence string
	// PathFree tells whether tap, clamp, needle and line were seen to be free.
	PathFree Clause
	// Treated is the territory that was treated, where it is not the one ordered.
	Treated string
	Text    string
	// Catheter is the kind of catheter it was given through, in the site's
	// words; empty where not noted.
	Catheter string
}

// Kind is "infuse".
func (*Infuse) Kind() string        { return "infuse" }
func (x *Infuse) moment() time.Time { return x.Start }

func (i *Infuse) fields(f []Slot) []Slot {
	return append(f,
		Slot{"for", must, id{&i.For, AboutOrder}, "Order"},
		Slot{"from", may, id{&i.From, AboutContainer}, "From"},
		Slot{"start", must, instant{&i.Start}, "Started"},
		Slot{"stop", may, instant{&i.Stop}, "Stopped"},
		Slot{"reason", must, oneWord[Reason]{&i.Reason, reasons}, "Why it ended"},
		Slot{"evidence", may, text{&i.Evidence}, "Who saw what"},
		Slot{"path-free", may, oneWord[Clause]{&i.PathFree, clauses}, "Tap, clamp, needle and line seen to be free"},
		Slot{"treated", may, text{&i.Treated}, "Territory treated, if another than ordered"},
		Slot{"text", may, text{&i.Text}, "Remark"},
		Slot{"catheter", may, text{&i.Catheter}, "Kind of catheter"},
	)
}

// Residual is the dose rate of a dose before it was given and of what stayed
// behind after, in one geometry. The two may come in two entries.
type Residual struct {
	For           string
	Before, After *DoseReading
	// Confirmed is what was asked about, and said to be so; empty for nothing.
	Confirmed string
}

// Kind is "residual".
func (*Residual) Kind() string { return "residual" }

// moment is that of the last reading.
func (r *Residual) moment() time.Time {
	switch {
	case r.After != nil:
		return r.After.At
	case r.Before != nil:
		return r.Before.At
	}
	return time.Time{}
}

func (r *Residual) fields(f []Slot) []Slot {
	return append(f,
		Slot{"for", must, id{&r.For, AboutOrder}, "Order"},
		Slot{"before", may, GroupAt(&r.Before), "Baseline"},
		Slot{"after", may, GroupAt(&r.After), "Residual"},
		Slot{"confirmed", may, text{&r.Confirmed}, "Asked about, and confirmed"},
	)
}

// DoseReading is a dose rate from one or several directions.
type DoseReading struct {
	At         time.Time
	Rate       []quantity.Stated[quantity.DoseRate]
	Background quantity.Stated[quantity.DoseRate]
}

func (d *DoseReading) fields(f []Slot) []Slot {
	return append(f,
		Slot{"at", must, instant{&d.At}, "Read at"},
		Slot{"rate", must, rates{&d.Rate}, "Dose rate"},
		Slot{"background", must, amount(&d.Background), "Background"},
	)
}

// Note is a remark.
type Note struct {
	Text string
	At   time.Time
}

// Kind is "note".
func (*Note) Kind() string        { return "note" }
func (x *Note) moment() time.Time { return x.At }

func (n *Note) fields(f []Slot) []Slot {
	return append(f,
		Slot{"text", must, text{&n.Text}, "Note"},
		Slot{"at", may, instant{&n.At}, "When"},
	)
}

// Correct replaces an entry, or strikes it out. The last correction of an
// entry holds.
type Correct struct {
	// Entry is the number of the entry among the entries of its case, from 1.
	Entry  int
	Reason string
	// With is the entry as it should have been, of the same kind; nil where
	// the entry is struck out.
	With Fact
	// Countersigned is who signed a correction of a closed record beside who
	// made it; empty where nobody did.
	Countersigned string
}

// Kind is "correct".
func (*Correct) Kind() string      { return "correct" }
func (*Correct) moment() time.Time { return time.Time{} }

func (c *Correct) fields(f []Slot) []Slot {
	return append(f,
		Slot{"entry", must, whole{&c.Entry}, "Entry"},
		Slot{"reason", must, text{&c.Reason}, "What was wrong, and how you know"},
		Slot{"with", may, replacement{entry{&c.With}}, "Corrected entry"},
		Slot{"countersigned", may, text{&c.Countersigned}, "Countersigned by"},
	)
}
