package paper

import (
	"cmp"
	"strconv"
	"time"

	"vialwright/nuclide"
	"vialwright/quantity"
)

// GoingHome is what the sheet for a patient who goes home is made from. Texts are
// printed as given.
type GoingHome struct {
	Zone            *time.Location
	Made            time.Time
	Head            string
	Order           string
	Patient, Second string
	Site, Territory string
	// Delivered is the activity given, U its standard uncertainty, At the start of
	// the infusion.
	Delivered, U quantity.Activity
	At           time.Time
	HalfLife     quantity.Span
	// Released is when the patient was released, Basis on what; zero for not yet.
	Released time.Time
	Basis    string
	// Rate is the dose rate at 1 m as it was read; empty where it was not.
	Rate string
	// Near are estimates of what somebody near the patient gets, and Limits what the
	// rule profile of the site says of it, each with its source.
	Near   []Row
	Limits []string
	// Urine says what is expected in a litre of urine, UrineFrom by what source.
	Urine, UrineFrom string
	// Nursing, Pregnant and Given are the answers; empty for not asked.
	Nursing, Pregnant, Given string
}

// daysLeft are the days after the infusion for which the sheet says what is left: the
// last is ten half-lives of Y-90.
var daysLeft = []int{1, 2, 3, 7, 14, 27}

// Sheet is the sheet that a patient takes home: what was given, on what basis they
// go, how to behave, and what was asked.
//
//	left(t) = A · 2^(−t/T½)
//
// The instructions are common practice, no source, but for the figures that name
// theirs; the site's own come first. Use and Software of the sheet are the caller's.
func (g GoingHome) Sheet() Sheet {
	s := Sheet{
		Title: "Going home after Y-90 resin microspheres", Subject: "Order " + g.Order, Zone: g.Zone, Made: g.Made, Head: g.Head,
		Foot: "The instructions are common practice, no source, but where one is named. Those of the site come first.",
	}
	given := Section{Heading: "What was given", Rows: []Row{
		Words("Patient", stated(g.Patient, g.Second)),
		Words("Treated", stated(g.Site, g.Territory)),
		Figure("Yttrium-90 given", g.Delivered, g.U).at(g.At, g.Zone),
	}}
	left := Table{Heads: []string{"After"}, Cells: [][]string{{"Left"}}}
	for _, d := range daysLeft {
		a, unit := g.Delivered*quantity.Activity(nuclide.Factor(g.HalfLife, quantity.Span(d)*quantity.Day)), "MBq"
		if a < quantity.MegaBecquerel {
			unit = "kBq"
		}
		left.Heads = append(left.Heads, strconv.Itoa(d)+" d")
		left.Cells[0] = append(left.Cells[0], quantity.FormatDigits(a, 2, unit))
	}
	given.Tables = []Table{left}
	basis := Section{Heading: "Basis of the release", Rows: []Row{
		Words("Released", orNotStated(g.Basis)), Instant("At", g.Released, g.Zone), Words("Dose rate at 1 m", orNotStated(g.Rate)),
	}, Notes: g.Limits}
	basis.Rows = append(basis.Rows, g.Near...)
	s.Sections = []Section{
		given, basis,
		{
			Heading: "For 48 hours: urine and hygiene", Rows: []Row{Words("In a litre of urine", orNotStated(g.Urine)).how(g.UrineFrom)},
			Notes: []string{
				"A little of the yttrium leaves with the urine, most of it on the first day.",
				"Sit down on the toilet, flush twice, and wash your hands well.",
				"Anyone who helps with a urine bag, a catheter or wet clothes wears gloves, and washes their hands afterwards.",
				"Nothing has to be kept or collected.",
			},
		},
		{
			Heading: "For a week: others", Notes: []string{
				"Sleep in a bed of your own, and keep about 1 m from others where you stay long.",
				"Do not hold small children for long, and keep away from anyone who is pregnant.",
			},
		},
		{
			Heading: "Nursing and pregnancy", Rows: []Row{Words("Nursing a child", cmp.Or(g.Nursing, "not asked yet")), Words("Pregnant", cmp.Or(g.Pregnant, "not asked yet")), Words("Instructions given on paper", cmp.Or(g.Given, "not asked yet"))},
			Notes: []string{"If one of these answers is wrong, tell the department before you go. If one changes within a month, call the department."},
		},
		{
			Heading: "If you are treated elsewhere", Rows: []Row{write("Telephone of the department", Blank{Cells: 24})}, Notes: []string{
				"Show this sheet to any hospital or physician for a month, and to the emergency service.",
				"Before an operation on the liver, or after a death, the department must be called first: the spheres stay in the liver.",
			},
		},
	}
	return s
}
