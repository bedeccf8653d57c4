package paper

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"vialwright/identity"
	"vialwright/quantity"
)

// Container is what a label goes on.
type Container string

// The containers that we print labels for, and the size of each label.
const (
	Syringe            Container = "syringe"             // 80 mm by 38 mm, a flag
	AdministrationVial Container = "administration vial" // 76 mm by 38 mm
	Shield             Container = "shield"              // 110 mm by 62 mm
	Box                Container = "box"                 // 120 mm by 80 mm
)

// Facts are the finished values of one label: the caller has computed and
// decided everything. All are needed but Reprint, Clock and Digits, three at the least.
type Facts struct {
	Container Container
	// Serial names this label; a reprint keeps it.
	Serial identity.Serial
	// Reprint is 0 for the first print, then 1, 2 ...; the label says COPY 2,
	// COPY 3 ...
	Reprint int
	// Material is nuclide and form, such as "Y-90 resin microspheres".
	Material string
	// Activity is what the container holds at the instant At, printed to Digits.
	Activity quantity.Activity
	Digits   int
	At       time.Time
	Volume   quantity.Volume
	// ValidFrom and ValidUntil bound the infusion.
	ValidFrom, ValidUntil time.Time
	// Zone is the site's zone; every time is printed in it with its offset.
	Zone           *time.Location
	Order, Version string
	Territory      string
	// SubDose is this dose's number out of SubDoses for the patient, from 1.
	SubDose, SubDoses int
	// Patient holds one or two identifiers, printed as given.
	Patient []string
	// Way is the container of the dose and, on the label of the administration vial
	// that is printed before the transfer, the syringe and the vial it goes into.
	Way string
	// Clock says how far the clock of a practice laboratory is ahead; else empty.
	Clock string
	// Lot is the maker's lot of the shipping vial.
	Lot string
	// HalfLife is the value used to reckon Activity.
	HalfLife quantity.Span
}

// Label is a label ready to print. It comes from [PatientLabel] or
// [PracticeLabel] only, and what it is made for cannot be changed.
type Label struct {
	facts    Facts
	practice bool
}

// PatientLabel makes a label for a patient's dose. It refuses a practice
// serial (CodeSort), and facts that are missing or impossible.
func PatientLabel(f Facts) (Label, error) {
	if f.Serial.Practice() {
		return Label{}, &Error{
			Code: CodeSort, Field: "serial", Msg: f.Serial.String() + " is a practice serial",
			Hint: "nothing made in practice may be labelled for a patient",
		}
	}
	return check(f, false)
}

// PracticeLabel makes a label of practice, which says so whatever else it
// says. It refuses a serial that is not one of practice (CodeSort).
func PracticeLabel(f Facts) (Label, error) {
	if !f.Serial.IsZero() && !f.Serial.Practice() {
		return Label{}, &Error{
			Code: CodeSort, Field: "serial", Msg: f.Serial.String() + " is not a practice serial",
			Hint: "draw one for practice",
		}
	}
	return check(f, true)
}

// check goes down the facts in this order, and keeps a copy of its own.
func check(f Facts, practice bool) (Label, error) {
	f.Patient = slices.Clone(f.Patient)
	from, until := quantity.WholeMinutes(f.ValidFrom, f.ValidUntil)
	checks := []struct {
		field string
		ok    bool
		msg   string
	}{
		{"container", designs[f.Container].width > 0, fmt.Sprintf("there is no label for a %q", f.Container)},
		{"serial", !f.Serial.IsZero(), "there is none"},
		{"reprint", f.Reprint >= 0, "it is negative"},
		{"material", !blank(f.Material), "there is none"},
		{"activity", f.Activity > 0 && f.Activity < 1e15, "it is not above 0, or beyond any vial"},
		{"activity time", !f.At.IsZero(), "there is none"},
		{"volume", f.Volume > 0 && f.Volume < 1e4, "it is not above 0, or beyond any vial"},
		{"half-life", f.HalfLife > 0 && f.HalfLife < 1e12, "it is not above 0, or beyond any in use"},
		{"valid from", !f.ValidFrom.IsZero(), "there is none"},
		{"valid until", until.After(from), "it does not lie a whole minute after the start"},
		{"zone", f.Zone != nil, "there is none"},
		{"patient", len(f.Patient) == 1 || len(f.Patient) == 2, "a label has one or two identifiers"},
		{"patient", !blank(f.Patient...), "an identifier is empty"},
		{"order", !blank(f.Order), "there is none"},
		{"order version", !blank(f.Version), "there is none"},
		{"territory", !blank(f.Territory), "there is none"},
		{"sub-dose", 1 <= f.SubDose && f.SubDose <= f.SubDoses, "it is not one of 1 to the number of sub-doses"},
		{"lot", !blank(f.Lot), "there is none"},
		{"way", !blank(f.Way), "there is none"},
	}
	for _, c := range checks {
		if c.ok {
			continue
		}
		code := CodeInvalid
		if c.msg == "there is none" {
			code = CodeMissing
		}
		return Label{}, &Error{Code: code, Field: c.field, Msg: c.msg, Hint: "a label without it is not printed"}
	}
	return Label{facts: f, practice: practice}, nil
}

// blank tells whether any of the texts is empty or white.
func blank(texts ...string) bool {
	for _, t := range texts {
		if strings.TrimSpace(t) == "" {
			return true
		}
	}
	return false
}

// Labels prints labels, one a page of exactly the label's size, to be printed at
// full size (100 %) on yellow stock: the symbol is black on yellow in 10 CFR
// 20.1901. made is the instant of printing, written into the file; the same
// labels and instant give the same bytes. software names the program and its
// version.
//
// A text that does not fit at a size that can be read is an error that names
// the field (CodeFit), never cut; so is a character that cannot be printed
// (CodeCharacter).
func Labels(software string, made time.Time, labels ...Label) ([]byte, error) {
	switch {
	case len(labels) == 0:
		return nil, &Error{Code: CodeMissing, Field: "labels", Msg: "there is none to print"}
	case made.IsZero():
		return nil, &Error{Code: CodeMissing, Field: "time of printing", Msg: "there is none"}
	case blank(software):
		return nil, &Error{Code: CodeMissing, Field: "software", Msg: "there is none"}
	}
	s := newPDF("Labels", software, made)
	for _, l := range labels {
		if l.facts.Container == "" {
			return nil, &Error{Code: CodeInvalid, Field: "labels", Msg: "a label was not made by PatientLabel or PracticeLabel"}
		}
		s.label(l)
	}
	return s.bytes()
}
