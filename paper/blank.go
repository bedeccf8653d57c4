package paper

import (
	"cmp"
	"fmt"
	"strconv"
	"time"

	"vialwright/nuclide"
	"vialwright/quantity"
)

// Day is what a blank sheet is made for.
type Day struct {
	// Zone is the site's; its name is printed, and the offset of the day is
	// written by hand.
	Zone *time.Location
	// HalfLife is the value in use, Source where it comes from.
	HalfLife quantity.Span
	Source   string
}

// BlankSheet is the sheet for a day without power: the same steps in the same
// order, boxes with their units printed so that no bare number can be
// written, the formulas, and a table of decay factors
//
//	f = exp(-ln2·t/T½)
//
// to four decimals: rounding changes a factor by 3.1e-4 of itself at most over
// the seven days.
// What is written on it is typed in later as late entries, with both times. Use, Made and
// Software of the sheet are the caller's.
func BlankSheet(d Day) (Sheet, error) {
	if !(d.HalfLife > 0) {
		return Sheet{}, &Error{Code: CodeInvalid, Field: "half-life", Msg: "it is not above 0"}
	}
	if d.Zone == nil {
		return Sheet{}, &Error{Code: CodeMissing, Field: "zone", Msg: "there is none"}
	}
	s := Sheet{Title: "Preparation by hand: Y-90 resin microspheres", Zone: d.Zone, Sections: []Section{blankHead(d)}}
	for i, step := range work {
		s.Sections = append(s.Sections, Section{Heading: strconv.Itoa(i+1) + "  " + string(step.Step), Rows: boxes[step.Step]})
	}
	s.Sections = append(s.Sections, blankSignatures(), decayTable(d))
	return s, nil
}

func blankHead(d Day) Section {
	return Section{
		Heading: "How to fill this in",
		Rows: []Row{
			write("Day of this sheet", date()),
			write("Offset of "+cmp.Or(d.Zone.String(), "the clock")+" from UTC today", Blank{Before: "UTC + or -", Cells: 2, After: ":"}, Blank{Cells: 2}),
		},
		Notes: []string{
			"Write only in boxes. Where two boxes stand with two units, write in the one whose unit the meter or the order shows, and strike out the other.",
			"A time without a date is on the day above. Use another sheet for work on another day.",
			"A mistake is struck out with one line, with initials and time beside it. An empty box means that nothing was measured; it does not mean 0.",
		},
	}
}

// write is a row of boxes: each a Blank; a []Blank, which stays on one line; or
// an []any of those.
func write(label string, blanks ...any) Row {
	r := Row{Label: label}
	for _, b := range blanks {
		switch b := b.(type) {
		case Blank:
			r.Blanks = append(r.Blanks, b)
		case []any:
			r.Blanks = append(r.Blanks, write("", b...).Blanks...)
		case []Blank:
			for i, one := range b {
				one.With = i > 0
				r.Blanks = append(r.Blanks, one)
			}
		}
	}
	return r
}

func text(before string, cells int) Blank { return Blank{Before: before, Cells: cells} }

func either(unit, older string) []Blank {
	return []Blank{{Cells: 5, After: unit}, {Before: "or", Cells: 5, After: older}}
}

func number(before, unit string) Blank { return Blank{Before: before, Cells: 5, After: unit} }

// date is a date, year first.
func date() []Blank { return []Blank{{Cells: 4, After: "-"}, {Cells: 2, After: "-"}, {Cells: 2}} }

func moment() []Blank { return append(date(), hour("at")...) }

func hour(before string) []Blank { return []Blank{{Before: before, Cells: 2, After: ":"}, {Cells: 2}} }

func choice(words ...string) []any {
	var out []any
	for _, w := range words {
		out = append(out, Blank{Cells: 1, After: w})
	}
	return out
}

// boxes are what is written by hand without power, by step.
var boxes = map[Step][]Row{
	OrderStep: {
		write("Order, version", text("order", 10), text("version", 3)),
		write("Patient, two identifiers", text("", 11), text("", 11)),
		write("Site; territory; dose of this patient", text("", 6), text("", 8), Blank{Before: "dose", Cells: 1, After: "of"}, Blank{Cells: 1}),
		write("Prescribed A_p", either("GBq", "mCi")),
		write("Or absorbed dose; to; method", number("", "Gy"), text("to", 7), text("by", 7)).how("A_p follows by the method, is written above, and is what is signed"),
		write("Lung shunt; lung dose before", number("", "%"), text("by", 6), number("before", "Gy")),
		write("Dose limit: lungs; normal liver", number("", "Gy"), number("", "Gy")),
		write("Spheres, least to most; or at stasis", number("least", "million"), number("most", "million"), choice("yes", "no")),
		write("Planned infusion t_a", moment()),
		write("Not before; not after", hour(""), hour("")),
		write("Expected residual r", number("", "%")),
		write("Target at t_a", either("GBq", "mCi")).how("A_p / (1 - r)"),
		write("Directive signed by", text("", 16)),
	},
	ReadinessStep: {
		write("Activity meter, checked today", text("meter", 8), choice("passed", "failed")),
		write("Survey meter, calibration due", text("meter", 8), date()),
		write("Area clear, trained staff present", choice("yes", "no")),
	},
	ReceiptStep: {
		write("Vial, lot", text("vial", 7), text("lot", 11)),
		write("Received", moment()),
		write("Labelled activity", either("GBq", "mCi")),
		write("Reference time as printed", moment(), text("zone as printed", 8)),
		write("Volume; expiry as printed", number("", "mL"), text("expiry", 12)),
		write("Package: dose rate at the surface", either("µSv/h", "mrem/h")),
		write("Package: wipe", either("Bq/cm²", "dpm/100 cm²")),
	},
	AssayStep: {
		write("Resuspended", hour("")),
		write("Meter, setting, insert", text("meter", 6), text("setting", 5), text("insert", 5)),
		write("Calibration matched to", choice("the label", "a national standard")),
		write("Background", either("MBq", "microcurie"), hour("at")),
		write("Reading 1", either("GBq", "mCi"), hour("at")),
		write("Reading 2", either("GBq", "mCi"), hour("at")),
		write("Reading 3", either("GBq", "mCi"), hour("at")),
		write("Net, at the reference time", either("GBq", "mCi")).how("reference time still to come: (reading - background) · f(time to go); already past: (reading - background) / f(time since)"),
		write("Measured, % of labelled", number("", "%")),
	},
	PlanStep: {
		write("Draw planned at t_d", hour(""), Blank{Before: "until t_a", Cells: 3, After: "h"}, Blank{Cells: 2, After: "min"}),
		write("To draw A_d at t_d", either("GBq", "mCi")).how("target / f(t_a - t_d)"),
		write("Vial at t_d: activity", either("GBq", "mCi")),
		write("Vial at t_d: volume", number("", "mL"), number("draw yield q", "%")),
		write("Volume to draw", number("", "mL")).how("V_vial · A_d / (q · A_vial), rounded to the syringe's graduation"),
	},
	DrawStep: {
		write("Resuspended; drawn", hour("resuspended"), hour("drawn")),
		write("Syringe, volume drawn", text("syringe", 7), number("", "mL")),
		write("Drawn by", text("", 16)),
	},
	DecisionStep: {
		write("Remainder, reading 1", either("GBq", "mCi"), hour("at")),
		write("Remainder, reading 2", either("GBq", "mCi"), hour("at")),
		write("Background", either("MBq", "microcurie"), hour("at")),
		write("Dispensed, at t_a", either("GBq", "mCi")).how("(net before)·f(t_a - t_before) - (net after)·f(t_a - t_after), same container, same insert"),
		write("Dispensed, % of prescribed", number("", "%"), number("of target", "%")),
		write("Decision", choice("within tolerance", "outside: stop")),
		write("Valid from", moment()),
		write("Valid until", moment()),
	},
	MakeUpStep: {
		write("Diluent (never saline)", choice("water for injection"), text("other", 8)),
		write("Lot; added; volume after", text("lot", 7), number("", "mL"), number("after", "mL"), hour("at")),
	},
	TransferStep: {
		write("Administration vial", text("", 8), hour("at")),
		write("Dose rates before, four sides", either("µSv/h", "mrem/h"), either("µSv/h", "mrem/h"), either("µSv/h", "mrem/h"), either("µSv/h", "mrem/h")),
		write("Background; distance; time", either("µSv/h", "mrem/h"), number("", "cm"), hour("at")),
	},
	ReleaseStep: {
		write("Second person, blind: reading of", text("", 8), either("GBq", "mCi"), hour("at")),
		write("Second person, dispensed at t_a", either("GBq", "mCi")),
		write("Labels: serial", Blank{Cells: 4, After: "-"}, Blank{Cells: 4, After: "-"}, Blank{Cells: 4}),
		write("Patient, order, version, territory, vial and label agree", choice("yes", "no: stop")),
		write("Released by, to", text("by", 9), text("to", 9), hour("at")),
	},
	InfusionStep: {
		write("Time-out, read aloud", choice("both identifiers", "order and version", "territory", "activity in both units")),
		write("Start; stop", hour("start"), hour("stop")),
		write("Reason for stopping", choice("complete", "stasis", "emergent condition", "patient intervention", "blockage", "leak", "equipment", "operator"), text("other", 10)),
		write("Who saw what; path seen free", text("", 14), choice("yes", "no")),
		write("Territory treated; procedure ended", text("", 9), hour("")),
	},
	ResidualStep: {
		write("Dose rates after, four sides", either("µSv/h", "mrem/h"), either("µSv/h", "mrem/h"), either("µSv/h", "mrem/h"), either("µSv/h", "mrem/h")),
		write("Background; time", either("µSv/h", "mrem/h"), hour("at")),
		write("Residual f_res", number("", "%")).how("(after - background) / (before - background) / f(time between), means of four sides, same distance"),
		write("Delivered, at t_a", either("GBq", "mCi")).how("dispensed · (1 - f_res)"),
		write("Delivered, % of prescribed", number("", "%")),
		write("Order completed; left recovery", text("by", 7), hour("at"), hour("left")).how("delivered, reason and any revision with its reason; before the patient leaves recovery"),
	},
	SurveyStep: {swabbed("Hands"), swabbed("Work surface"), swabbed("Floor"), swabbed("Suite"), swabbed("Patient and couch")},
	WasteStep: {
		write("Item, bin", text("item", 8), text("bin", 8)),
		write("Stored", moment()),
		write("Dose rate at the surface", either("µSv/h", "mrem/h")),
	},
}

func swabbed(place string) Row { return write(place, either("Bq/cm²", "dpm/100 cm²"), hour("at")) }

func blankSignatures() Section {
	s := Section{Heading: "Signatures, each with its meaning"}
	for _, meaning := range []string{"Prepared", "Checked independently", "Authorised"} {
		s.Rows = append(s.Rows, write(meaning, text("name", 9), text("signature", 9), moment()))
	}
	return s
}

// decayTable has the factor for every ten minutes of a day, and for days.
func decayTable(d Day) Section {
	t := Table{Heads: []string{"t", "0 min", "10 min", "20 min", "30 min", "40 min", "50 min"}}
	factor := func(t quantity.Span) string { return fmt.Sprintf("%.4f", nuclide.Factor(d.HalfLife, t)) }
	for h := range 48 {
		row := []string{strconv.Itoa(h) + " h"}
		for m := 0; m < 60; m += 10 {
			row = append(row, factor(quantity.Span(h)*quantity.Hour+quantity.Span(m)*quantity.Minute))
		}
		t.Cells = append(t.Cells, row)
	}
	days := Table{Heads: []string{"t", "2 d", "3 d", "4 d", "5 d", "6 d", "7 d"}}
	row := []string{"f"}
	for n := 2; n <= 7; n++ {
		row = append(row, factor(quantity.Span(n)*quantity.Day))
	}
	days.Cells = [][]string{row}
	return Section{
		NewPage: true,
		Heading: "Decay factor f = exp(-ln2·t/T½)",
		Rows: []Row{{
			Label: "Half-life used", Value: quantity.FormatDigits(d.HalfLife, 6, "h"),
			How: "source: " + d.Source,
		}},
		Tables: []Table{t, days},
		Notes:  []string{"Later: multiply by f. Earlier: divide by f. For a time between, multiply the factors: f(50 h 20 min) = f(2 d)·f(2 h 20 min). 1 mCi = 37 MBq."},
	}
}
