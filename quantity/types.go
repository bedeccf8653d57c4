package quantity

import "time"

// Activity is a decay rate held in becquerels (Bq); it is never negative in a
// record, though a difference of two activities may be.
type Activity float64

// Multiples of the becquerel, and the millicurie. 1 Ci = 3.7e10 Bq exactly
// (BIPM, The International System of Units, 9th edition, 2019, retains the
// becquerel; the curie is the older unit still on many meters).
const (
	Becquerel     Activity = 1
	KiloBecquerel Activity = 1e3
	MegaBecquerel Activity = 1e6
	GigaBecquerel Activity = 1e9
	TeraBecquerel Activity = 1e12
	MilliCurie    Activity = 3.7e7
)

// MBq gives a in megabecquerels.
func (a Activity) MBq() float64 { return float64(a) / 1e6 }

// Volume is held in millilitres (mL), the graduation of every syringe used.
type Volume float64

// Multiples of the litre.
const (
	Microlitre Volume = 1e-3
	Millilitre Volume = 1
	Litre      Volume = 1e3
)

// Mass is held in grams (g).
type Mass float64

// Kilogram is a thousand grams.
const Kilogram Mass = 1e3

// Span is a length of time held in seconds (s); it may be negative where one
// instant lies before another.
type Span float64

// Multiples of the second. A day is 24 h, a year 365.2422 d (the tropical
// year the decay-data evaluations use for half-lives in years).
const (
	Second Span = 1
	Minute Span = 60
	Hour   Span = 3600
	Day    Span = 86400
	Year   Span = 365.2422 * 86400
)

// Hours gives s in hours.
func (s Span) Hours() float64 { return float64(s) / 3600 }

// Duration is the span as clocks count it.
func (s Span) Duration() time.Duration { return time.Duration(float64(s) * float64(time.Second)) }

// DoseRate is an ambient or personal dose-equivalent rate held in
// microsieverts per hour (uSv/h).
type DoseRate float64

// Multiples of the sievert per hour.
const (
	MicroSievertPerHour DoseRate = 1
	MilliSievertPerHour DoseRate = 1e3
)

// MeterRate is what a survey meter shows, in its own unit. It is held in the first unit
// of its family ([Family]): uSv/h, uGy/h, mR/h or cps. Two of one family can be compared;
// two of different families cannot, since a roentgen, a gray in air and a count become
// sieverts only by a calibration.
type MeterRate float64

// AbsorbedDose is held in grays (Gy).
type AbsorbedDose float64

// Gray is the unit it is held in.
const Gray AbsorbedDose = 1

// DoseEquivalent is held in microsieverts (uSv).
type DoseEquivalent float64

// Multiples of the sievert.
const (
	MicroSievert DoseEquivalent = 1
	MilliSievert DoseEquivalent = 1e3
	Sievert      DoseEquivalent = 1e6
)

// Contamination is a surface activity held in becquerels per square
// centimetre (Bq/cm2).
type Contamination float64

// Multiples of the becquerel per square centimetre. 1 dpm = 1/60 Bq exactly.
const (
	BecquerelPerCm2     Contamination = 1
	KiloBecquerelPerCm2 Contamination = 1e3
	DpmPer100Cm2        Contamination = 1.0 / 6000
)

// Area is held in square centimetres (cm2).
type Area float64

// SquareCentimetre is the unit it is held in.
const SquareCentimetre Area = 1

// CountRate is held in counts per second (cps), as a counter shows them: not
// in decays.
type CountRate float64

// Fraction is a pure ratio; 2 % is 0.02.
type Fraction float64

// Percent is one hundredth.
const Percent Fraction = 0.01

// Temperature is held in degrees Celsius.
type Temperature float64

// Length is held in millimetres (mm).
type Length float64

// Multiples of the metre.
const (
	Micrometre Length = 1e-3
	Millimetre Length = 1
	Centimetre Length = 10
	Metre      Length = 1e3
)

// Basis is the scale a calibration factor is on: matched to the supplier's
// label, or traceable to a national standard. Published assays put the two
// 19 to 26 % apart for resin spheres (Selwyn et al., Med Phys 35 (2008);
// Paxton et al., Med Phys 39 (2012)), so they are never mixed.
type Basis string

// The two bases.
const (
	LabelBasis     Basis = "label"
	TraceableBasis Basis = "traceable"
)
