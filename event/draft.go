package event

import (
	"regexp"
	"strings"
	"unicode"

	"vialwright/quantity"
)

// Draft is the beginning of a report of an event. It holds no identifier of the
// patient: none is written, and each is taken out of what people wrote, whole,
// and each of its words and numbers.
func (d Decision) Draft(c Case) string {
	var b strings.Builder
	line := func(s string) { b.WriteString(s + "\n") }
	line("DRAFT OF A REPORT. No name and no number of the patient: those go into the annotated copy that is not sent.")
	line("")
	line("Decision by profile " + c.Rules.Profile.ID + ", edition " + c.Rules.Profile.Edition + ": " + d.Headline(c.Zone))
	if !c.Prescribed.IsZero() {
		line("Prescribed: " + c.Prescribed.Text + ", order version " + c.Version)
	} else if !c.Least.IsZero() || !c.Most.IsZero() {
		line("Prescribed: a range, " + c.rangeText() + ", order version " + c.Version)
	}
	if c.Dispensed != nil {
		line("Dispensed: " + quantity.Both(c.Dispensed.Activity, c.Dispensed.U))
	}
	if d.Delivered == nil {
		line("Delivered: not known")
	} else {
		line("Delivered: " + quantity.Both(d.Delivered.Activity, d.Delivered.U) + ", by " + d.By)
	}
	for _, x := range d.Deviations {
		line("Deviation: " + x.String())
	}
	line("Ordered site: " + c.Territory + ". Treated: " + c.Treated)
	if c.Reason != nil {
		line("Reason for the end: " + string(c.Reason.Reason) + ". " + strings.TrimSpace(c.Reason.Evidence+" "+c.Reason.Text))
	}
	if c.Later != nil {
		line("Reason given later: " + string(c.Later.Reason) + ". " + strings.TrimSpace(c.Later.Evidence+" "+c.Later.Text))
	}
	if c.Contamination != "" {
		line("Contamination: " + c.Contamination)
	}
	if !c.Start.IsZero() {
		line("Infusion began: " + quantity.ShowTime(c.Start.In(c.Zone)))
	}
	if !c.Discovered.IsZero() {
		line("Discovered: " + quantity.ShowTime(c.Discovered.In(c.Zone)))
	}
	for _, s := range d.Because {
		line("- " + s)
	}
	line("")
	for _, s := range []string{"Licensee", "Prescribing physician", "Why it happened", "Effect on the patient", "What is done so that it does not happen again", "Whether the patient was told, and if not, why"} {
		line(s + ": (to be written)")
	}
	return Scrub(b.String(), c.Identifiers)
}

// removed stands for an identifier that was taken out. It has no letter and no
// digit, so that nothing in it can be one.
const removed = "[###]"

// Shortest is the least number of letters and digits of an identifier: a shorter
// one could not be told from other text.
const Shortest = 3

// Scrub takes identifiers out of a text: each as a whole with any spacing, and
// each of its words of three letters or digits and more, in any case.
func Scrub(text string, identifiers []string) string {
	for _, p := range patterns(identifiers) {
		text = p.ReplaceAllString(text, removed)
	}
	return text
}

// patterns are those of the whole identifiers first, then of their words.
func patterns(identifiers []string) (out []*regexp.Regexp) {
	var parts []*regexp.Regexp
	for _, id := range identifiers {
		words := strings.FieldsFunc(id, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsNumber(r) })
		// Between any two letters of the whole there may be spacing, so that a
		// number in groups is found too.
		var letters []string
		for _, r := range strings.Join(words, "") {
			letters = append(letters, regexp.QuoteMeta(string(r)))
		}
		if len(letters) < Shortest {
			continue
		}
		out = append(out, regexp.MustCompile(`(?i)`+strings.Join(letters, `[^\pL\pN\n]{0,2}`)))
		for _, w := range words {
			if len([]rune(w)) >= Shortest {
				parts = append(parts, regexp.MustCompile(`(?i)`+regexp.QuoteMeta(w)))
			}
		}
	}
	return append(out, parts...)
}
