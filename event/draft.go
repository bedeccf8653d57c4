package event

import (
	"cmp"
	"regexp"
	"strings"
	"unicode"

	"vialwright/quantity"
)

// Draft is the beginning of a report of an event. It holds no identifier of the
// patient: none is written, and each is taken out of what people wrote, whole,
// and each of its words and numbers, down to a word of its own of two letters.
func (d Decision) Draft(c Case) string {
	var b strings.Builder
	s := scrub(c.Identifiers)
	line := func(s string) { b.WriteString(s + "\n") }
	said := func(text string) string { return cmp.Or(text, "not stated") }
	version := "order version " + said(c.Version)
	line("DRAFT OF A REPORT. No name and no number of the patient: those go into the annotated copy that is not sent.")
	line("")
	line("Decision by profile " + c.Rules.Profile.ID + ", edition " + c.Rules.Profile.Edition + ": " + d.Headline(c.Zone))
	if !c.Prescribed.IsZero() {
		line("Prescribed: " + c.Prescribed.Text + ", " + version)
	} else if !c.Least.IsZero() || !c.Most.IsZero() {
		line("Prescribed: a range, " + c.rangeText() + ", " + version)
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
	line(s.written("Ordered site: " + said(c.Territory) + ". Treated: " + said(c.Treated)))
	if c.Reason != nil {
		line("Reason for the end: " + string(c.Reason.Reason) + ". " + strings.TrimSpace(s.written(c.Reason.Evidence+" "+c.Reason.Text)))
	}
	if c.Later != nil {
		line("Reason given later: " + string(c.Later.Reason) + ". " + strings.TrimSpace(s.written(c.Later.Evidence+" "+c.Later.Text)))
	}
	if c.Contamination != "" {
		line("Contamination: " + s.written(c.Contamination))
	}
	if !c.Start.IsZero() {
		line("Infusion began: " + quantity.ShowTime(c.Start.In(c.Zone)))
	}
	if !c.Discovered.IsZero() {
		line("Discovered: " + quantity.ShowTime(c.Discovered.In(c.Zone)))
	}
	for _, because := range d.Because {
		line("- " + strings.ReplaceAll(because, c.sites(), s.written(c.sites())))
	}
	line("")
	for _, open := range []string{"Licensee", "Prescribing physician", "Why it happened", "Effect on the patient", "What is done so that it does not happen again", "Whether the patient was told, and if not, why"} {
		line(open + ": (to be written)")
	}
	return s.all(b.String())
}

// removed stands for an identifier that was taken out. It has no letter and no
// digit, so that nothing in it can be one.
const removed = "[###]"

// telling is from how many letters or digits a word is one of the patient wherever it
// stands. A shorter one is taken out of what people wrote, where it stands alone: "20"
// or "AB" is in many a figure and a word that tells of nobody.
const telling = 3

// scrubber takes identifiers out of a text, in any case.
type scrubber struct{ long, short []*regexp.Regexp }

// scrub makes one for identifiers: each as a whole with any spacing, and each of its words
// of two letters or digits and more.
func scrub(identifiers []string) (s scrubber) {
	var parts []*regexp.Regexp
	for _, id := range identifiers {
		words := strings.FieldsFunc(id, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsNumber(r) })
		// Between any two letters of the whole there may be spacing, so that a
		// number in groups is found too.
		var letters []string
		for _, r := range strings.Join(words, "") {
			letters = append(letters, regexp.QuoteMeta(string(r)))
		}
		find := func(n int, pattern string, long *[]*regexp.Regexp) {
			if n >= telling {
				*long = append(*long, regexp.MustCompile(`(?i)`+pattern))
			} else if n > 0 {
				s.short = append(s.short, regexp.MustCompile(`(?i)(^|[^\pL\pN])(?:`+pattern+`)($|[^\pL\pN])`))
			}
		}
		find(len(letters), strings.Join(letters, `[^\pL\pN\n]{0,2}`), &s.long)
		for _, w := range words {
			if n := len([]rune(w)); n > 1 {
				find(n, regexp.QuoteMeta(w), &parts)
			}
		}
	}
	s.long = append(s.long, parts...) // the whole first
	return s
}

// all takes the long ones out of a whole draft.
func (s scrubber) all(text string) string {
	for _, p := range s.long {
		text = p.ReplaceAllString(text, removed)
	}
	return text
}

// written takes all of them out of what a person wrote.
func (s scrubber) written(text string) string {
	text = s.all(text)
	for _, p := range s.short {
		for was := ""; was != text; { // two in a row share what is between them
			was, text = text, p.ReplaceAllString(text, "${1}"+removed+"${2}")
		}
	}
	return text
}
