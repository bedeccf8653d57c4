package fact

import (
	"time"

	"vialwright/quantity"
)

// InstrumentKind is what an instrument measures.
type InstrumentKind string

// The kinds of instrument.
const (
	ActivityMeter        InstrumentKind = "activity-meter"
	SurveyInstrument     InstrumentKind = "survey-meter"
	ContaminationMonitor InstrumentKind = "contamination-monitor"
	WipeCounter          InstrumentKind = "wipe-counter"
	Dosemeter            InstrumentKind = "dosemeter"
)

// InUse is whether an instrument or a source may be used.
type InUse string

// Without a word it is in use.
const (
	Used      InUse = "in-use"
	Withdrawn InUse = "withdrawn"
)

var (
	instrumentKinds = []InstrumentKind{ActivityMeter, SurveyInstrument, ContaminationMonitor, WipeCounter, Dosemeter}
	inUses          = []InUse{Used, Withdrawn}
	testsOf         = []TestOf{BackgroundTest, ZeroTest, ConstancyTest, AccuracyTest, LinearityTest, SleevesTest, PrecisionTest, GeometryTest}
	containerWords  = Containers()
)

// Instrument is an instrument of the site from a time on; another entry of the
// same id takes the place of it. An activity meter has the id of its factors (the
// fact meter).
type Instrument struct {
	ID     string
	What   InstrumentKind
	Model  string
	Serial string
	// Low and High bound what it measures, as an activity or as a dose rate.
	Low, High         quantity.Stated[quantity.Activity]
	RateLow, RateHigh quantity.Stated[quantity.DoseRate]
	// Efficiency is counts for each decay in Geometry, EfficiencyU its relative standard
	// uncertainty, Area that of the probe.
	Efficiency, EfficiencyU quantity.Stated[quantity.Fraction]
	Geometry                string
	Area                    quantity.Stated[quantity.Area]
	Background              quantity.Stated[quantity.CountRate]
	DeadTime                quantity.Stated[quantity.Span]
	// Calibrated is when it was calibrated last as a whole, Due when it has to be
	// again.
	Calibrated, Due time.Time
	Certificate     string
	State           InUse
	At              time.Time
	Reason          string
}

// Kind is "instrument".
func (*Instrument) Kind() string        { return "instrument" }
func (x *Instrument) moment() time.Time { return x.At }

func (x *Instrument) fields(f []Slot) []Slot {
	return append(f,
		Slot{"id", must, id{&x.ID, AboutMeter}, "Instrument"},
		Slot{"what", must, oneWord[InstrumentKind]{&x.What, instrumentKinds}, "Kind of instrument"},
		Slot{"model", may, text{&x.Model}, "Maker and type"},
		Slot{"serial", may, text{&x.Serial}, "Serial number"},
		Slot{"low", may, amount(&x.Low), "Measures from"},
		Slot{"high", may, amount(&x.High), "Measures up to"},
		Slot{"rate-low", may, amount(&x.RateLow), "Dose rate from"},
		Slot{"rate-high", may, amount(&x.RateHigh), "Dose rate up to"},
		Slot{"efficiency", may, amount(&x.Efficiency), "Efficiency, counts per decay"},
		Slot{"efficiency-u", may, amount(&x.EfficiencyU), "Uncertainty of the efficiency"},
		Slot{"geometry", may, text{&x.Geometry}, "Geometry of the efficiency"},
		Slot{"area", may, amount(&x.Area), "Area of the probe"},
		Slot{"background", may, amount(&x.Background), "Background"},
		Slot{"dead-time", may, amount(&x.DeadTime), "Dead time"},
		Slot{"calibrated", may, instant{&x.Calibrated}, "Calibrated"},
		Slot{"due", may, instant{&x.Due}, "Calibration due"},
		Slot{"certificate", may, text{&x.Certificate}, "Certificate"},
		Slot{"state", may, oneWord[InUse]{&x.State, inUses}, "In use"},
		Slot{"at", must, instant{&x.At}, "Holds from"},
		Slot{"reason", may, text{&x.Reason}, "Reason"},
	)
}

// CheckSource is a source that instruments are tested with.
type CheckSource struct {
	ID string
	// Nuclide is as in "Cs-137". HalfLife is for one without evaluated data here.
	Nuclide             string
	HalfLife, HalfLifeU quantity.Stated[quantity.Span]
	Activity            quantity.Stated[quantity.Activity]
	// U is the relative standard uncertainty of Activity at Reference.
	U           quantity.Stated[quantity.Fraction]
	Reference   time.Time
	Serial      string
	Certificate string
	// LeakTested is when it was tested for leaks last, LeakDue when it has to be again.
	LeakTested, LeakDue time.Time
	State               InUse
	At                  time.Time
	Reason              string
}

// Kind is "check-source".
func (*CheckSource) Kind() string        { return "check-source" }
func (x *CheckSource) moment() time.Time { return x.At }

func (x *CheckSource) fields(f []Slot) []Slot {
	return append(f,
		Slot{"id", must, id{&x.ID, AboutSource}, "Check source"},
		Slot{"nuclide", must, text{&x.Nuclide}, "Nuclide"},
		Slot{"half-life", may, amount(&x.HalfLife), "Half-life"},
		Slot{"half-life-u", may, amount(&x.HalfLifeU), "Uncertainty of the half-life"},
		Slot{"activity", must, amount(&x.Activity), "Activity"},
		Slot{"u", must, amount(&x.U), "Standard uncertainty of the activity"},
		Slot{"reference", must, instant{&x.Reference}, "Reference date and time"},
		Slot{"serial", may, text{&x.Serial}, "Serial number"},
		Slot{"certificate", may, text{&x.Certificate}, "Certificate"},
		Slot{"leak-tested", may, instant{&x.LeakTested}, "Leak test made"},
		Slot{"leak-due", may, instant{&x.LeakDue}, "Leak test due"},
		Slot{"state", may, oneWord[InUse]{&x.State, inUses}, "In use"},
		Slot{"at", must, instant{&x.At}, "Holds from"},
		Slot{"reason", may, text{&x.Reason}, "Reason"},
	)
}

// TestOf is which test of an instrument was made.
type TestOf string

// The tests. A linearity test follows a decaying source, or uses sleeves.
const (
	BackgroundTest TestOf = "background"
	ZeroTest       TestOf = "zero"
	ConstancyTest  TestOf = "constancy"
	AccuracyTest   TestOf = "accuracy"
	LinearityTest  TestOf = "linearity"
	SleevesTest    TestOf = "linearity-by-sleeves"
	PrecisionTest  TestOf = "precision"
	GeometryTest   TestOf = "geometry"
)

// Tests are all of them.
func Tests() []TestOf { return testsOf }

// MeterTest is one test of an instrument: what it showed. What it comes to is
// worked out from the readings.
type MeterTest struct {
	Of   string
	Test TestOf
	// Setting and Insert are how the instrument was set.
	Setting, Insert string
	// Source is the check source; Nuclide what decays in a linearity test without one.
	Source, Nuclide string
	// Container is the kind of container of a geometry test, Basis the scale of the
	// setting.
	Container string
	Basis     quantity.Basis
	// Repeatability is the relative standard uncertainty of one reading.
	Repeatability quantity.Stated[quantity.Fraction]
	Readings      []TestReading
	At            time.Time
	By, Text      string
	// Confirmed is what was asked about, and said to be so; empty for nothing.
	Confirmed string
}

// Kind is "meter-test".
func (*MeterTest) Kind() string        { return "meter-test" }
func (x *MeterTest) moment() time.Time { return x.At }

func (x *MeterTest) fields(f []Slot) []Slot {
	return append(f,
		Slot{"of", must, id{&x.Of, AboutMeter}, "Instrument"},
		Slot{"test", must, oneWord[TestOf]{&x.Test, testsOf}, "Test"},
		Slot{"setting", may, text{&x.Setting}, "Setting"},
		Slot{"insert", may, text{&x.Insert}, "Insert"},
		Slot{"with", may, id{&x.Source, AboutSource}, "Check source"},
		Slot{"nuclide", may, text{&x.Nuclide}, "Nuclide"},
		Slot{"container", may, oneWord[string]{&x.Container, containerWords}, "Container"},
		Slot{"basis", may, oneWord[quantity.Basis]{&x.Basis, bases}, "Calibration basis"},
		Slot{"repeatability", may, amount(&x.Repeatability), "Repeatability"},
		Slot{"readings", must, rowsOf[TestReading, *TestReading]{&x.Readings, "a list of {gross: 5.31 MBq, background: 0.01 MBq}"}, "Readings"},
		Slot{"at", must, instant{&x.At}, "When"},
		Slot{"by", may, text{&x.By}, "Tested by"},
		Slot{"text", may, text{&x.Text}, "Remark"},
		Slot{"confirmed", may, text{&x.Confirmed}, "Asked about, and confirmed"},
	)
}

// TestReading is one reading of a test: an activity, a dose rate or a count rate, with
// its background.
type TestReading struct {
	// At is when it was read; absent, the time of the test.
	At                time.Time
	Gross, Background quantity.Stated[quantity.Activity]
	Rate, RateBack    quantity.Stated[quantity.DoseRate]
	Counts, CountBack quantity.Stated[quantity.CountRate]
	// U is its relative standard uncertainty; absent, the repeatability of the test.
	U quantity.Stated[quantity.Fraction]
	// Sleeve is by how much the sleeve attenuates, 1 for none: reading is source over sleeve.
	Sleeve Number
	// Part is which reading of a geometry test it is.
	Part Part
	// Volume is the fill of a geometry test.
	Volume quantity.Stated[quantity.Volume]
}

// Part is which reading of one run of a geometry test one is: of the source
// container before and after, and of what the activity went into.
type Part string

// The parts.
const (
	PartBefore Part = "before"
	PartAfter  Part = "after"
	PartIn     Part = "in"
)

var parts = []Part{PartBefore, PartAfter, PartIn}

func (r *TestReading) fields(f []Slot) []Slot {
	return append(f,
		Slot{"at", may, instant{&r.At}, "When"},
		Slot{"gross", may, amount(&r.Gross), "Reading, as displayed"},
		Slot{"background", may, amount(&r.Background), "Background"},
		Slot{"rate", may, amount(&r.Rate), "Dose rate, as displayed"},
		Slot{"rate-background", may, amount(&r.RateBack), "Background dose rate"},
		Slot{"counts", may, amount(&r.Counts), "Count rate, as displayed"},
		Slot{"counts-background", may, amount(&r.CountBack), "Background count rate"},
		Slot{"u", may, amount(&r.U), "Uncertainty of the reading"},
		Slot{"sleeve", may, ratio{&r.Sleeve, " times"}, "Sleeve factor"},
		Slot{"part", may, oneWord[Part]{&r.Part, parts}, "Part of the run"},
		Slot{"volume", may, amount(&r.Volume), "Fill volume"},
	)
}

// Calibration is a factor of an instrument for one kind of container, as it was
// determined. The figures of doses rest on the factors of the fact meter; the
// book compares the two.
type Calibration struct {
	Of, Container   string
	Setting, Insert string
	// Factor is reading over activity, U its relative standard uncertainty.
	Factor Number
	U      quantity.Stated[quantity.Fraction]
	Basis  quantity.Basis
	// TraceableTo is what it rests on, such as a certificate of a standards laboratory.
	TraceableTo string
	// Low and High bound the readings it was tested for, Fill the volumes.
	Low, High quantity.Stated[quantity.Activity]
	Fill      *Range
	// From is when it begins to hold, Due when it has to be made again.
	From, Due time.Time
	By        string
	Reason    string
}

// Kind is "calibration".
func (*Calibration) Kind() string        { return "calibration" }
func (x *Calibration) moment() time.Time { return x.From }

func (x *Calibration) fields(f []Slot) []Slot {
	return append(f,
		Slot{"of", must, id{&x.Of, AboutMeter}, "Instrument"},
		Slot{"container", must, oneWord[string]{&x.Container, containerWords}, "Container"},
		Slot{"setting", may, text{&x.Setting}, "Setting"},
		Slot{"insert", may, text{&x.Insert}, "Insert"},
		Slot{"factor", must, number{&x.Factor}, "Factor"},
		Slot{"u", must, amount(&x.U), "Uncertainty of the factor"},
		Slot{"basis", must, oneWord[quantity.Basis]{&x.Basis, bases}, "Calibration basis"},
		Slot{"traceable-to", may, text{&x.TraceableTo}, "Rests on"},
		Slot{"low", may, amount(&x.Low), "Tested from"},
		Slot{"high", may, amount(&x.High), "Tested up to"},
		Slot{"fill", may, between{&x.Fill}, "Fill volume"},
		Slot{"from", must, instant{&x.From}, "Holds from"},
		Slot{"due", may, instant{&x.Due}, "Due again"},
		Slot{"by", may, text{&x.By}, "Determined by"},
		Slot{"reason", may, text{&x.Reason}, "Reason"},
	)
}
