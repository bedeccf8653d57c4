package nuclide

import (
	_ "embed"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"vialwright/quantity"
)

//go:embed table.txt
var tableText string

// table is what stands in table.txt.
var table = func() []Datum {
	rows, err := readTable(tableText)
	if err != nil {
		panic("nuclide: table.txt, " + err.Error())
	}
	return rows
}()

// Nuclide names one nuclide of the table, as in "Y-90".
type Nuclide string

// The nuclides of the table: the treatment nuclide, its long-lived parent and
// the sealed sources with which an activity meter is checked.
const (
	Y90    Nuclide = "Y-90"
	Sr90   Nuclide = "Sr-90"
	Cs137  Nuclide = "Cs-137"
	Ba137m Nuclide = "Ba-137m"
	Ba133  Nuclide = "Ba-133"
	Co57   Nuclide = "Co-57"
)

// Source says where a figure comes from.
type Source struct {
	// Evaluation is the work that recommends the figure.
	Evaluation string
	// Edition is the form in which it was read.
	Edition string
	// Date is the evaluation's own date.
	Date string
	// Known begins with "seen" or "memory".
	Known string
}

// String gives the evaluation and its date.
func (s Source) String() string { return s.Evaluation + ", " + s.Date }

// Datum is one row of the table: a figure as published and its provenance.
type Datum struct {
	// Nuclide and Quantity say what the figure is.
	Nuclide, Quantity string
	// Line says which branch or photon, from 1; 0 where there is one only.
	Line int
	// Value and U are in Unit; U is the standard uncertainty, 0 where the
	// source states none.
	Value, U float64
	Unit     string
	// Published is the figure in the notation of its source.
	Published string
	Source    Source
	// Default marks the one figure used unless a site sets another.
	Default bool
}

// The quantities of the table that the program asks for.
const (
	QuantityHalfLife       = "half-life"
	QuantityElectronEnergy = "electron-energy-per-decay"
)

// Parse gives the nuclide of that name; an *Error with code UnknownNuclide if
// the table has none.
func Parse(name string) (Nuclide, error) {
	for i := range table {
		if table[i].Nuclide == name {
			return Nuclide(name), nil
		}
	}
	return "", refuse(UnknownNuclide, "No nuclide of that name is in the table.", "Write it like Y-90 or Cs-137.")
}

// Find gives the rows of one quantity and line, the default first, none if
// the table has none.
func (n Nuclide) Find(what string, line int) []Datum {
	var first, others []Datum
	for _, d := range table {
		switch {
		case d.Nuclide != string(n) || d.Quantity != what || d.Line != line:
		case d.Default:
			first = append(first, d)
		default:
			others = append(others, d)
		}
	}
	return slices.Concat(first, others)
}

// HalfLife gives the half-life used by default. It panics if n is not in the
// table; a name from outside goes through Parse first.
func (n Nuclide) HalfLife() HalfLife { return n.must(QuantityHalfLife).halfLife() }

func (d Datum) halfLife() HalfLife {
	unit := span(d.Unit)
	return HalfLife{quantity.Span(d.Value) * unit, quantity.Span(d.U) * unit, d.cite()}
}

// MeanEnergy is the mean energy a nuclide gives to electrons per beta decay.
// U is the standard uncertainty, 0 where the source states none.
type MeanEnergy struct {
	Value, U Energy
	Source   string
}

// ElectronEnergies gives the energy of all electrons per decay in print, the
// default first; none where the table has none.
func (n Nuclide) ElectronEnergies() []MeanEnergy {
	return n.meanEnergies(QuantityElectronEnergy, 0)
}

func (n Nuclide) meanEnergies(what string, line int) []MeanEnergy {
	var all []MeanEnergy
	for _, d := range n.Find(what, line) {
		unit := KiloElectronVolt
		if d.Unit == "MeV" {
			unit = MegaElectronVolt
		}
		all = append(all, MeanEnergy{Energy(d.Value) * unit, Energy(d.U) * unit, d.cite()})
	}
	return all
}

// must gives the default of a quantity that every nuclide of the table has.
func (n Nuclide) must(what string) *Datum {
	for i := range table {
		if d := &table[i]; d.Nuclide == string(n) && d.Quantity == what && d.Default {
			return d
		}
	}
	panic("nuclide: no " + what + " of " + string(n) + " in the table")
}

// cite prints the published figure, with its source.
func (d Datum) cite() string {
	text := plain(d.Published) + ", " + d.Source.String()
	if d.U == 0 {
		text += ", no uncertainty stated"
	}
	return text
}

// span gives the length of a unit of the table.
func span(unit string) quantity.Span {
	switch unit {
	case "s":
		return quantity.Second
	case "min":
		return quantity.Minute
	case "h":
		return quantity.Hour
	case "d":
		return quantity.Day
	case "a", "y":
		return quantity.Year
	}
	panic("nuclide: the table has a half-life in " + unit)
}

var powers = regexp.MustCompile(`[\d.]+E\d+`)

// plain is a published figure as a person writes it: without an exponent, and with
// the sign for plus or minus.
func plain(published string) string {
	text := powers.ReplaceAllStringFunc(published, func(number string) string {
		x, err := strconv.ParseFloat(number, 64)
		if err != nil {
			return number
		}
		return strconv.FormatFloat(x, 'f', -1, 64)
	})
	return strings.Replace(text, " +- ", " ± ", 1)
}
