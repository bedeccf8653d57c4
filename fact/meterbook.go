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

// Instrument is an instrument of the site from a time on; another entry of the
// same id takes the place of it. An activity meter has the id of its factors (the
// fact meter).
type Instrument struct {
	ID     string         `must:"id" id:"meter" label:"Instrument"`
	What   InstrumentKind `must:"what" label:"Kind of instrument"`
	Model  string         `may:"model" label:"Maker and type"`
	Serial string         `may:"serial" label:"Serial number"`
	// Low and High bound what it measures, as an activity or as a dose rate.
	Low      quantity.Stated[quantity.Activity] `may:"low" label:"Measures from"`
	High     quantity.Stated[quantity.Activity] `may:"high" label:"Measures up to"`
	RateLow  quantity.Stated[quantity.DoseRate] `may:"rate-low" label:"Dose rate from"`
	RateHigh quantity.Stated[quantity.DoseRate] `may:"rate-high" label:"Dose rate up to"`
	// Efficiency is counts for each decay in Geometry, EfficiencyU its relative standard
	// uncertainty, Area that of the probe.
	Efficiency  quantity.Stated[quantity.Fraction]  `may:"efficiency" label:"Efficiency, counts per decay"`
	EfficiencyU quantity.Stated[quantity.Fraction]  `may:"efficiency-u" label:"Uncertainty of the efficiency"`
	Geometry    string                              `may:"geometry" label:"Geometry of the efficiency"`
	Area        quantity.Stated[quantity.Area]      `may:"area" label:"Area of the probe"`
	Background  quantity.Stated[quantity.CountRate] `may:"background" label:"Background"`
	DeadTime    quantity.Stated[quantity.Span]      `may:"dead-time" label:"Dead time"`
	// Calibrated is when it was calibrated last as a whole, Due when it has to be
	// again.
	Calibrated  time.Time `may:"calibrated" label:"Calibrated"`
	Due         time.Time `may:"due" label:"Calibration due"`
	Certificate string    `may:"certificate" label:"Certificate"`
	State       InUse     `may:"state" label:"In use"`
	At          time.Time `must:"at" label:"Holds from"`
	Reason      string    `may:"reason" label:"Reason"`
}

func (x *Instrument) is() (string, time.Time) { return "instrument", x.At }

// CheckSource is a source that instruments are tested with.
type CheckSource struct {
	ID string `must:"id" id:"source" label:"Check source"`
	// Nuclide is as in "Cs-137". HalfLife is for one without evaluated data here.
	Nuclide   string                             `must:"nuclide" label:"Nuclide"`
	HalfLife  quantity.Stated[quantity.Span]     `may:"half-life" label:"Half-life"`
	HalfLifeU quantity.Stated[quantity.Span]     `may:"half-life-u" label:"Uncertainty of the half-life"`
	Activity  quantity.Stated[quantity.Activity] `must:"activity" label:"Activity"`
	// U is the relative standard uncertainty of Activity at Reference.
	U           quantity.Stated[quantity.Fraction] `must:"u" label:"Standard uncertainty of the activity"`
	Reference   time.Time                          `must:"reference" label:"Reference date and time"`
	Serial      string                             `may:"serial" label:"Serial number"`
	Certificate string                             `may:"certificate" label:"Certificate"`
	LeakTested  time.Time                          `may:"leak-tested" label:"Leak test made"`
	LeakDue     time.Time                          `may:"leak-due" label:"Leak test due"`
	State       InUse                              `may:"state" label:"In use"`
	At          time.Time                          `must:"at" label:"Holds from"`
	Reason      string                             `may:"reason" label:"Reason"`
}

func (x *CheckSource) is() (string, time.Time) { return "check-source", x.At }

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
func Tests() []TestOf {
	return []TestOf{BackgroundTest, ZeroTest, ConstancyTest, AccuracyTest, LinearityTest, SleevesTest, PrecisionTest, GeometryTest}
}

// MeterTest is one test of an instrument: what it showed. What it comes to is
// worked out from the readings.
type MeterTest struct {
	Of      string `must:"of" id:"meter" label:"Instrument"`
	Test    TestOf `must:"test" label:"Test"`
	Setting string `may:"setting" label:"Setting"`
	Insert  string `may:"insert" label:"Insert"`
	// Source is the check source; Nuclide what decays in a linearity test without one.
	Source  string `may:"with" id:"source" label:"Check source"`
	Nuclide string `may:"nuclide" label:"Nuclide"`
	// Container is the kind of container of a geometry test, Basis the scale of the
	// setting.
	Container string         `may:"container" as:"container" label:"Container"`
	Basis     quantity.Basis `may:"basis" label:"Calibration basis"`
	// Repeatability is the relative standard uncertainty of one reading.
	Repeatability quantity.Stated[quantity.Fraction] `may:"repeatability" label:"Repeatability"`
	Readings      []TestReading                      `must:"readings" like:"a list of {gross: 5.31 MBq, background: 0.01 MBq}" label:"Readings"`
	At            time.Time                          `must:"at" label:"When"`
	By            string                             `may:"by" label:"Tested by"`
	Text          string                             `may:"text" label:"Remark"`
	Confirmed     string                             `may:"confirmed" label:"Asked about, and confirmed"`
}

func (x *MeterTest) is() (string, time.Time) { return "meter-test", x.At }

// Fill is the volume of a test of geometry: that in the container tested, where it is said.
func (x *MeterTest) Fill() (v quantity.Stated[quantity.Volume]) {
	for _, r := range x.Readings {
		if r.Part == PartIn && !r.Volume.IsZero() {
			return r.Volume
		}
	}
	return v
}

// Mixed finds a reading that is no run of the same test as the first, of another kind of
// unit or of geometry at another fill, by its place; -1 for none. Older versions recorded
// such tests.
func (x *MeterTest) Mixed() (i int, fills bool) {
	for i, r := range x.Readings {
		if r.Gross.IsZero() != x.Readings[0].Gross.IsZero() || r.Rate.IsZero() != x.Readings[0].Rate.IsZero() {
			return i, false
		}
		if x.Test == GeometryTest && r.Part == PartIn && !r.Volume.IsZero() && r.Volume.Value != x.Fill().Value {
			return i, true
		}
	}
	return -1, false
}

// TestReading is one reading of a test: an activity, a dose rate or a count rate, with
// its background.
type TestReading struct {
	// At is when it was read; absent, the time of the test.
	At         time.Time                           `may:"at" label:"When"`
	Gross      quantity.Stated[quantity.Activity]  `may:"gross" label:"Reading, as displayed"`
	Background quantity.Stated[quantity.Activity]  `may:"background" label:"Background"`
	Rate       quantity.Stated[quantity.DoseRate]  `may:"rate" label:"Dose rate, as displayed"`
	RateBack   quantity.Stated[quantity.DoseRate]  `may:"rate-background" label:"Background dose rate"`
	Counts     quantity.Stated[quantity.CountRate] `may:"counts" label:"Count rate, as displayed"`
	CountBack  quantity.Stated[quantity.CountRate] `may:"counts-background" label:"Background count rate"`
	// U is its relative standard uncertainty; absent, the repeatability of the test.
	U quantity.Stated[quantity.Fraction] `may:"u" label:"Uncertainty of the reading"`
	// Sleeve is by how much the sleeve attenuates, 1 for none: reading is source over sleeve.
	Sleeve Number                           `may:"sleeve" per:"times" label:"Sleeve factor"`
	Part   Part                             `may:"part" label:"Part of the run"`
	Volume quantity.Stated[quantity.Volume] `may:"volume" label:"Fill volume"`
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

// Calibration is a factor of an instrument for one kind of container, as it was
// determined. The figures of doses rest on the factors of the fact meter; the
// book compares the two.
type Calibration struct {
	Of        string `must:"of" id:"meter" label:"Instrument"`
	Container string `must:"container" as:"container" label:"Container"`
	Setting   string `may:"setting" label:"Setting"`
	Insert    string `may:"insert" label:"Insert"`
	// Factor is reading over activity, U its relative standard uncertainty.
	Factor Number                             `must:"factor" label:"Factor"`
	U      quantity.Stated[quantity.Fraction] `must:"u" label:"Uncertainty of the factor"`
	Basis  quantity.Basis                     `must:"basis" label:"Calibration basis"`
	// TraceableTo is what it rests on, such as a certificate of a standards laboratory.
	TraceableTo string `may:"traceable-to" label:"Rests on"`
	// Low and High bound the readings it was tested for, Fill the volumes.
	Low    quantity.Stated[quantity.Activity] `may:"low" label:"Tested from"`
	High   quantity.Stated[quantity.Activity] `may:"high" label:"Tested up to"`
	Fill   *Range                             `may:"fill" label:"Fill volume"`
	From   time.Time                          `must:"from" label:"Holds from"`
	Due    time.Time                          `may:"due" label:"Due again"`
	By     string                             `may:"by" label:"Determined by"`
	Reason string                             `may:"reason" label:"Reason"`
}

func (x *Calibration) is() (string, time.Time) { return "calibration", x.From }
