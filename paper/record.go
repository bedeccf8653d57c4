package paper

import (
	"fmt"
	"slices"
	"strings"
	"time"
)

// Record is what the journal knows about a case, as finished facts.
type Record struct {
	// Head is the hash of the last entry of the record.
	Head string
	// Software is the program and its version, Made the instant of printing.
	Software string
	Made     time.Time
	// Patient is the identifier on the wristband, Second a second one; empty where
	// there is none.
	Patient, Second string
	// Entries are those of the case; a sheet has those that concern its order,
	// and others counts the rest.
	Entries    []Entry
	others     int
	Signatures []Signature
	// Hides are the entries of second checks whose figures are not printed: who prepared
	// the dose is not shown them while they do not confirm it.
	Hides []int
}

// Entry is one entry of the record, in the words a person reads.
type Entry struct {
	// Number is that of the entry in its case, from 1.
	Number int
	// At is when it happened, Recorded when it was written down; both are
	// shown where they differ.
	At, Recorded time.Time
	Who          string
	// Text is what was entered, with its units.
	Text string
	// Step is the step it belongs to; empty for one of none.
	Step Step
	// Names are the ids of the orders and containers that it names; none for
	// what is of the whole case. Order says that it is the order of that name.
	Names []string
	Order bool
	// Corrects is the number of the entry that this one corrects, 0 for none;
	// Reason says why.
	Corrects int
	Reason   string
}

// Signature is one signature with its meaning (21 CFR 11.50: the printed
// name, date and time, and meaning).
type Signature struct {
	Who     string
	At      time.Time
	Meaning string
	// Hash is that of the record as it was signed.
	Hash string
	// Entry is the number of the entry that was signed, 0 for the whole record.
	Entry int
}

// correction is what stands beside a value in force that was corrected: each
// thing it was, and who changed it, when and why. It is empty for every other.
// A correction always comes after what it corrects, so one pass finds those of
// corrections too.
func (r Record) correction(number int, zone *time.Location) string {
	chain := map[int]bool{r.original(number): true}
	var lines []string
	for _, e := range r.Entries {
		if e.Corrects != 0 && chain[e.Corrects] {
			chain[e.Number] = true
			lines = append(lines, "was: "+r.text(e.Corrects)+"; "+e.by(zone))
		}
	}
	return strings.Join(lines, "\n")
}

// original is the entry that a correction, or a correction of one, goes back
// to.
func (r Record) original(number int) int {
	for i := len(r.Entries) - 1; i >= 0; i-- {
		if e := r.Entries[i]; e.Number == number && e.Corrects != 0 {
			number = e.Corrects
		}
	}
	return number
}

func (e Entry) by(zone *time.Location) string {
	return fmt.Sprintf("entry %d, %s, %s; reason: %s", e.Number, e.Who, show(e.Recorded, zone), e.Reason)
}

// names are what an entry and everything that corrects or was corrected by it
// names.
func (r Record) names(e Entry) []string {
	first := r.original(e.Number)
	var out []string
	for _, x := range r.Entries {
		if r.original(x.Number) == first {
			out = append(out, x.Names...)
		}
	}
	return out
}

func (r Record) text(number int) string {
	if i := slices.IndexFunc(r.Entries, func(e Entry) bool { return e.Number == number }); i >= 0 {
		return r.Entries[i].Text
	}
	return "not in this record"
}

// entryTable shows entries with what corrects them beside them.
func (r Record) entryTable(entries []Entry, zone *time.Location) Table {
	t := Table{Heads: []string{"Entry", "When", "Who", "What", "Corrections"}, Widths: []float64{1, 4.7, 2.2, 6.4, 4.2}}
	corrected := false
	for _, e := range entries {
		when := show(e.At, zone)
		if !e.Recorded.Equal(e.At) {
			when += "\nrecorded " + show(e.Recorded, zone)
		}
		beside := r.beside(e, zone)
		corrected = corrected || beside != ""
		t.Cells = append(t.Cells, []string{fmt.Sprint(e.Number), when, e.Who, e.Text, beside})
	}
	if !corrected { // then the words have the room
		t.Heads, t.Widths = t.Heads[:4], []float64{1, 4.7, 2.2, 10.6}
		for i := range t.Cells {
			t.Cells[i] = t.Cells[i][:4]
		}
	}
	return t
}

// beside is what stands beside an entry in the list of all: what it was
// corrected to, or what it corrects.
func (r Record) beside(e Entry, zone *time.Location) string {
	var lines []string
	if e.Corrects != 0 {
		lines = append(lines, fmt.Sprintf("corrects entry %d; reason: %s", e.Corrects, e.Reason))
	}
	for _, c := range r.Entries {
		if c.Corrects == e.Number {
			lines = append(lines, "corrected to: "+c.Text+"; "+c.by(zone))
		}
	}
	return strings.Join(lines, "\n")
}

func (r Record) section(zone *time.Location) []Section {
	entries := Section{Heading: "Record: every entry in its order"}
	if len(r.Entries) > 0 {
		entries.Tables = []Table{r.entryTable(r.Entries, zone)}
	}
	if r.others > 0 {
		entries.Notes = []string{fmt.Sprintf("Entries that concern only other orders, and are not on this sheet: %d.", r.others)}
	}
	signed := Section{Heading: "Signatures"}
	if len(r.Signatures) > 0 {
		t := Table{Heads: []string{"Who", "When", "Meaning", "Record as signed"}, Widths: []float64{3, 4, 4, 7}}
		for _, s := range r.Signatures {
			t.Cells = append(t.Cells, []string{s.Who, show(s.At, zone), s.Meaning, s.Hash})
		}
		signed.Tables = []Table{t}
	} else {
		signed.Notes = []string{"No signature in the record."}
	}
	head := Section{Heading: "Source of this sheet", Rows: []Row{
		Words("Head of the record", r.Head), Words("Software", r.Software), Instant("Printed", r.Made, zone),
	}, Notes: []string{
		"The record can be verified without this program from its exported entries and the head above. " + caution,
	}}
	return []Section{entries, signed, head}
}
