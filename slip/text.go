package slip

import (
	"slices"
	"strings"

	"vialwright/quantity"
)

// variant is what a person may have meant who wrote something else.
type variant[Q quantity.Kind] struct {
	kind  Kind
	text  string
	value Q
	// scale: the slip multiplies whatever is written; otherwise it adds.
	scale bool
	// ways is among how many of its kind this one is.
	ways int
}

// variants lists what may have been meant by a text, each once: the first kind
// that explains it. units are those one may be taken for another of.
func variants[Q quantity.Kind](text string, units []string) []variant[Q] {
	number, unit, ok := strings.Cut(text, " ")
	if !ok || strings.ContainsAny(number, "eE-") {
		return nil
	}
	seen := map[Q]bool{}
	if s, err := quantity.Parse[Q](text); err == nil {
		seen[s.Value] = true
	}
	var out []variant[Q]
	add := func(kind Kind, scale bool, texts []string) {
		for _, t := range texts {
			s, err := quantity.Parse[Q](t)
			if err == nil && !seen[s.Value] {
				seen[s.Value] = true
				out = append(out, variant[Q]{kind, s.Text, s.Value, scale, len(texts)})
			}
		}
	}
	add(PointMoved, true, with([]string{quantity.MovePoint(number, 1), quantity.MovePoint(number, -1)}, unit))
	if slices.Contains(units, unit) {
		var other []string
		for _, u := range units {
			if u != unit {
				other = append(other, number+" "+u)
			}
		}
		add(OtherUnit, true, other)
	}
	add(Swapped, false, with(swapped(number), unit))
	add(Misread, false, with(misread(number), unit))
	return out
}

func with(numbers []string, unit string) []string {
	for i := range numbers {
		numbers[i] += " " + unit
	}
	return numbers
}

// places are the bytes of a number that are digits.
func places(number string) []int {
	var out []int
	for i := range len(number) {
		if number[i] != '.' {
			out = append(out, i)
		}
	}
	return out
}

// swapped is the number with each two neighbouring digits exchanged.
func swapped(number string) []string {
	var out []string
	at := places(number)
	for k := 1; k < len(at); k++ {
		b := []byte(number)
		i, j := at[k-1], at[k]
		if b[i] == b[j] {
			continue
		}
		b[i], b[j] = b[j], b[i]
		out = append(out, quantity.TidyDigits(string(b)))
	}
	return out
}

// misread is the number with each digit replaced by each other.
func misread(number string) []string {
	var out []string
	for k, i := range places(number) {
		for d := byte('0'); d <= '9'; d++ {
			if d == number[i] || (d == '0' && k == 0 && len(number) > 1 && number[1] != '.') {
				continue
			}
			out = append(out, number[:i]+string(d)+number[i+1:])
		}
	}
	return out
}
