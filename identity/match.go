package identity

import "strings"

// Item is what tells a dose from every other: as the record expects it, or as
// it was scanned and read out at a hand-over. Texts are as given, without
// change.
type Item struct {
	// Patient is the identifier on the order, and on the wristband.
	Patient string
	// Second is a second identifier of the patient, such as a date of birth in the
	// site's own form.
	Second string
	Order  string
	// Version is the version of the order in force.
	Version string
	// Territory is the part of the liver that the dose is for.
	Territory string
	// Vial is the shipping vial the dose was drawn from.
	Vial string
	// Label is the serial of the label in force on the container.
	Label Serial
}

// Reason says why a check refuses. Reasons are stable: a record or a test may
// rely on them.
type Reason string

// The reasons.
const (
	Agrees Reason = "" // expected and found are the same
	// NotExpected: the record names nothing to compare with. Absent never
	// agrees with absent.
	NotExpected Reason = "not-expected"
	NotFound    Reason = "not-found" // nothing was scanned or read out
	ForPractice Reason = "practice"  // one of the two labels is a practice label
	OtherCase   Reason = "spelling"  // the same but for letter case or spaces
	Differs     Reason = "differs"   // another one
)

// Check is one comparison of a hand-over.
type Check struct {
	// What is compared: patient, second identifier, order, version, territory, vial
	// or label.
	What            string
	Expected, Found string
	Reason          Reason
}

// SecondIdentifier is what a check of the second identifier is of.
const SecondIdentifier = "second identifier"

// Refused tells whether the check stops the hand-over.
func (c Check) Refused() bool { return c.Reason != Agrees }

// Text is the sentence that a person reads.
func (c Check) Text() string {
	switch c.Reason {
	case Agrees:
		return c.What + " agrees: " + c.Found
	case NotExpected:
		return "the record names no " + c.What + " to compare with"
	case NotFound:
		return "no " + c.What + " was scanned; expected " + c.Expected
	case ForPractice:
		return "a practice label never meets a patient: expected " + c.Expected + ", found " + c.Found
	case OtherCase:
		return "the " + c.What + " is written in another way: expected " + c.Expected + ", found " + c.Found
	}
	return "another " + c.What + ": expected " + c.Expected + ", found " + c.Found
}

// Match compares what was found with what is expected. The checks are always
// all seven, in this order:
//
//	patient, second identifier, order, version, territory, vial, label
//
// so that every refusal is shown, and not only the first. Texts agree only if
// they are the same to the byte; a territory, which people write and read out
// in their own way, also if it is but for letter case and spaces.
func Match(expected, found Item) []Check {
	checks := []Check{
		{What: "patient", Expected: expected.Patient, Found: found.Patient},
		{What: SecondIdentifier, Expected: expected.Second, Found: found.Second},
		{What: "order", Expected: expected.Order, Found: found.Order},
		{What: "version", Expected: expected.Version, Found: found.Version},
		{What: "territory", Expected: expected.Territory, Found: found.Territory},
		{What: "vial", Expected: expected.Vial, Found: found.Vial},
		{What: "label", Expected: expected.Label.String(), Found: found.Label.String()},
	}
	mixed := expected.Label.Practice() != found.Label.Practice()
	for i := range checks {
		c := &checks[i]
		c.Reason = compare(c.Expected, c.Found)
		if c.What == "territory" && c.Reason == OtherCase {
			c.Reason = Agrees
		}
		if c.What == "label" && c.Reason == Differs && mixed {
			c.Reason = ForPractice
		}
	}
	return checks
}

func compare(expected, found string) Reason {
	switch {
	case strings.TrimSpace(expected) == "":
		return NotExpected
	case strings.TrimSpace(found) == "":
		return NotFound
	case expected == found:
		return Agrees
	case plain(expected) == plain(found):
		return OtherCase
	}
	return Differs
}

// plain is a text without spaces and in lower case.
func plain(s string) string {
	return strings.ToLower(strings.Join(strings.Fields(s), ""))
}
