package quantity

import (
	"strings"
	"time"
	"unicode"
	"unicode/utf8"
)

// Lines breaks a text into lines that fit, between words where it can; fits
// tells whether a text is narrow enough for a line. A number stays with the ±
// before it and the unit after it as long as the two fit one line, so that none
// is read without its unit. A word that is wider than a line is broken inside, of
// which at least one character stands on each line. An empty text has no lines.
func Lines(text string, fits func(line string) bool) []string {
	var lines []string
	line := ""
	put := func(word string) {
		switch {
		case line == "":
			line = word
		case fits(line + " " + word):
			line += " " + word
		default:
			lines, line = append(lines, line), word
		}
	}
	var add func(words []string, apart int)
	add = func(words []string, apart int) {
		for _, group := range together(words, apart) {
			part := strings.Join(group, " ")
			switch {
			case fits(part):
				put(part)
			case apart < allApart:
				add(group, apart+1)
			default:
				for _, word := range strings.Fields(part) {
					for put(word); !fits(line) && utf8.RuneCountInString(line) > 1; {
						end := head(line, fits)
						lines, line = append(lines, line[:end]), line[end:]
					}
				}
			}
		}
	}
	add(strings.FieldsFunc(text, func(r rune) bool { return unicode.IsSpace(r) && r != noBreak }), 0)
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// head is how many bytes of a word fit a line, one character at least.
func head(word string, fits func(string) bool) int {
	end := 0
	for i, r := range word {
		next := i + utf8.RuneLen(r)
		if end > 0 && !fits(word[:next]) {
			break
		}
		end = next
	}
	return end
}

// noBreak is a space that no line is broken at where the words beside it fit one.
const noBreak = '\u00a0'

// What is torn apart where a line is too narrow, one after the other: a value
// from its ±, then a unit from its number, then all.
const (
	valueApart = 1 + iota
	unitApart
	allApart
)

// together are the words in groups that stay on one line: a unit, of at most
// eight letters, with the number before it, and an uncertainty with its value.
func together(words []string, apart int) (groups [][]string) {
	for i, w := range words {
		if i > 0 && (apart < allApart && words[i-1] == "±" || apart < valueApart && w == "±" ||
			apart < unitApart && w != "±" && digits(words[i-1]) && !digits(w) && utf8.RuneCountInString(w) <= 8) {
			groups[len(groups)-1] = append(groups[len(groups)-1], w)
			continue
		}
		groups = append(groups, []string{w})
	}
	return groups
}

// digits tells a word that is a number, with nothing behind it.
func digits(w string) bool {
	return strings.Trim(w, "(+-−.,0123456789") == "" && w != "" && '0' <= w[len(w)-1] && w[len(w)-1] <= '9'
}

// WholeMinutes is the part of a span of time that lies between whole minutes, so
// that a clock or a label never promises more than was reckoned. The last minute
// lies before the first where the span holds none.
func WholeMinutes(from, until time.Time) (first, last time.Time) {
	first = from.Truncate(time.Minute)
	if first.Before(from) {
		first = first.Add(time.Minute)
	}
	return first, until.Truncate(time.Minute)
}

// FullSecond is the full second at or after t, and so what is printed of an instant before
// which something must not be done.
func FullSecond(t time.Time) time.Time { return t.Add(time.Second - 1).Truncate(time.Second) }

// Later is the later of two instants.
func Later(a, b time.Time) time.Time {
	if b.After(a) {
		return b
	}
	return a
}
