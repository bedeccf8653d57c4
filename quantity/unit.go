package quantity

import (
	"math"
	"slices"
	"strings"
)

// Kind is any quantity type of this package.
type Kind interface {
	Activity | Volume | Mass | Span | DoseRate | MeterRate | AbsorbedDose | DoseEquivalent |
		Contamination | Area | CountRate | Fraction | Temperature | Length
	kind() kind
}

func (Activity) kind() kind       { return activity }
func (Volume) kind() kind         { return volume }
func (Mass) kind() kind           { return mass }
func (Span) kind() kind           { return span }
func (DoseRate) kind() kind       { return doseRate }
func (MeterRate) kind() kind      { return meterRate }
func (AbsorbedDose) kind() kind   { return absorbedDose }
func (DoseEquivalent) kind() kind { return doseEquivalent }
func (Contamination) kind() kind  { return contamination }
func (Area) kind() kind           { return area }
func (CountRate) kind() kind      { return countsRate }
func (Fraction) kind() kind       { return fraction }
func (Temperature) kind() kind    { return temperature }
func (Length) kind() kind         { return length }

// kind indexes the table of kinds.
type kind int

const (
	activity kind = iota
	volume
	mass
	span
	doseRate
	absorbedDose
	doseEquivalent
	contamination
	area
	countsRate
	fraction
	temperature
	length
	meterRate
	kinds
)

// unit is one canonical unit. One of it is num/den · 10^exp base units of its
// kind, exactly, so that a decimal is scaled with one rounding only.
type unit struct {
	symbol   string // canonical, ASCII
	num, den uint64
	exp      int
	shown    string // as printed for people; empty where it is the symbol
}

// print is the symbol for people.
func (u *unit) print() string {
	if u.shown != "" {
		return u.shown
	}
	return u.symbol
}

// size is one of it in base units of its kind, rounded.
func (u *unit) size() float64 { return float64(u.num) / float64(u.den) * math.Pow10(u.exp) }

// class describes one kind.
type class struct {
	name  string   // with its article, for messages
	units []unit   // smallest first, older units last
	usual []string // the units to offer in a hint
	scale []string // units Show may choose, smallest first
	old   []string // units Both adds, smallest first
}

// The units of a dose rate and of a count rate, which a survey meter may show.
var (
	sievertRates = []unit{
		{"nSv/h", 1, 1, -3, ""},
		{"uSv/h", 1, 1, 0, "µSv/h"},
		{"mSv/h", 1, 1, 3, ""},
		{"Sv/h", 1, 1, 6, ""},
		{"mrem/h", 1, 1, 1, ""},
	}
	countRates = []unit{
		{"cps", 1, 1, 0, ""},
		{"cpm", 1, 6, -1, ""},
	}
)

// classes is the table of units. Curie, rem, rad: 3.7e10 Bq, 0.01 Sv and
// 0.01 Gy exactly (NIST SP 811, 2008, appendix B.8; value from memory, not
// seen). Year is the tropical one of 365.2422 d.
var classes = [kinds]class{
	activity: {
		name: "an activity",
		units: []unit{
			{"Bq", 1, 1, 0, ""},
			{"kBq", 1, 1, 3, ""},
			{"MBq", 1, 1, 6, ""},
			{"GBq", 1, 1, 9, ""},
			{"TBq", 1, 1, 12, ""},
			{"uCi", 37, 1, 3, "microcurie"},
			{"mCi", 37, 1, 6, ""},
			{"Ci", 37, 1, 9, ""},
		},
		usual: []string{"GBq", "MBq", "mCi"},
		scale: []string{"Bq", "kBq", "MBq", "GBq", "TBq"},
		old:   []string{"uCi", "mCi", "Ci"},
	},
	volume: {
		name: "a volume",
		units: []unit{
			{"uL", 1, 1, -3, "µL"},
			{"mL", 1, 1, 0, ""},
			{"L", 1, 1, 3, ""},
			{"cm3", 1, 1, 0, "cm³"},
		},
		usual: []string{"mL", "uL", "L"},
		scale: []string{"mL"},
	},
	mass: {
		name: "a mass",
		units: []unit{
			{"mg", 1, 1, -3, ""},
			{"g", 1, 1, 0, ""},
			{"kg", 1, 1, 3, ""},
		},
		usual: []string{"g", "mg", "kg"},
		scale: []string{"mg", "g", "kg"},
	},
	span: {
		name: "a length of time",
		units: []unit{
			{"s", 1, 1, 0, ""},
			{"min", 6, 1, 1, ""},
			{"h", 36, 1, 2, ""},
			{"d", 864, 1, 2, ""},
			{"a", 3_155_692_608, 1, -2, ""},
		},
		usual: []string{"s", "min", "h", "d"},
		scale: []string{"s", "min", "h", "d"},
	},
	doseRate: {
		name:  "a dose rate",
		units: sievertRates,
		usual: []string{"uSv/h", "mSv/h", "mrem/h"},
		scale: []string{"uSv/h", "mSv/h", "Sv/h"},
		old:   []string{"mrem/h"},
	},
	absorbedDose: {
		name: "an absorbed dose",
		units: []unit{
			{"mGy", 1, 1, -3, ""},
			{"Gy", 1, 1, 0, ""},
			{"rad", 1, 1, -2, ""},
		},
		usual: []string{"Gy", "mGy"},
		scale: []string{"Gy"},
		old:   []string{"rad"},
	},
	doseEquivalent: {
		name: "a dose equivalent",
		units: []unit{
			{"uSv", 1, 1, 0, "µSv"},
			{"mSv", 1, 1, 3, ""},
			{"Sv", 1, 1, 6, ""},
			{"mrem", 1, 1, 1, ""},
			{"rem", 1, 1, 4, ""},
		},
		usual: []string{"uSv", "mSv", "mrem"},
		scale: []string{"uSv", "mSv", "Sv"},
		old:   []string{"mrem", "rem"},
	},
	contamination: {
		name: "a surface contamination",
		units: []unit{
			{"Bq/cm2", 1, 1, 0, "Bq/cm²"},
			{"kBq/cm2", 1, 1, 3, "kBq/cm²"},
			{"dpm/100cm2", 1, 6, -3, "dpm/100 cm²"},
		},
		usual: []string{"Bq/cm2", "kBq/cm2", "dpm/100cm2"},
		scale: []string{"Bq/cm2", "kBq/cm2"},
		old:   []string{"dpm/100cm2"},
	},
	area: {
		name: "an area",
		units: []unit{
			{"cm2", 1, 1, 0, "cm²"},
			{"m2", 1, 1, 4, "m²"},
		},
		usual: []string{"cm2", "m2"},
		scale: []string{"cm2", "m2"},
	},
	countsRate: {
		name:  "a count rate",
		units: countRates,
		usual: []string{"cps", "cpm"},
		scale: []string{"cps"},
	},
	fraction: {
		name:  "a fraction",
		units: []unit{{"%", 1, 1, -2, ""}},
		usual: []string{"%"},
		scale: []string{"%"},
	},
	temperature: {
		name:  "a temperature",
		units: []unit{{"C", 1, 1, 0, "°C"}},
		usual: []string{"C"},
		scale: []string{"C"},
	},
	length: {
		name: "a length",
		units: []unit{
			{"um", 1, 1, -3, "µm"},
			{"mm", 1, 1, 0, ""},
			{"cm", 1, 1, 1, ""},
			{"m", 1, 1, 3, ""},
		},
		usual: []string{"mm", "um", "cm"},
		scale: []string{"um", "mm", "m"},
	},
	meterRate: { // no unit suits all families, so Show has none
		name: "a rate that a survey meter shows",
		units: slices.Concat(sievertRates, []unit{
			{"uGy/h", 1, 1, 0, "µGy/h"},
			{"mGy/h", 1, 1, 3, ""},
			{"uR/h", 1, 1, -3, "µR/h"},
			{"mR/h", 1, 1, 0, ""},
			{"R/h", 1, 1, 3, ""},
		}, countRates),
		usual: []string{"uSv/h", "mR/h", "uGy/h", "cps"},
	},
}

// kindOf gives the table index of Q.
func kindOf[Q Kind]() kind {
	var q Q
	return q.kind()
}

// find gives the unit of k with that canonical symbol, or nil.
func find(k kind, symbol string) *unit {
	units := classes[k].units
	for i := range units {
		if units[i].symbol == symbol {
			return &units[i]
		}
	}
	return nil
}

// Shown is a stated quantity as people read it, or some with commas between, or a unit
// alone: "182 µSv/h" of "182 uSv/h". Any other text stays as it is.
func Shown(text string) string {
	items := strings.Split(text, ", ")
	for i, item := range items {
		at := strings.Index(item, " ") + 1
		for k := range kinds {
			if u := find(k, item[at:]); u != nil {
				items[i] = item[:at] + u.print()
				break
			}
		}
	}
	return strings.Join(items, ", ")
}

// Family is the unit that what a survey meter shows is held in: "uSv/h", "uGy/h", "mR/h"
// or "cps".
func Family(shown Stated[MeterRate]) string {
	_, symbol := shown.Split()
	switch {
	case strings.HasSuffix(symbol, "Gy/h"):
		return "uGy/h"
	case strings.HasSuffix(symbol, "R/h"):
		return "mR/h"
	case strings.HasPrefix(symbol, "cp"):
		return "cps"
	}
	return "uSv/h"
}

// Units lists the canonical units of Q, smallest first and older units last.
func Units[Q Kind]() []string {
	units := classes[kindOf[Q]()].units
	out := make([]string, len(units))
	for i := range units {
		out[i] = units[i].symbol
	}
	return out
}
