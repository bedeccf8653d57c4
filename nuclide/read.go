package nuclide

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
)

// readTable reads a text table of evaluated data; an error names the line it is about.
func readTable(text string) (rows []Datum, err error) {
	sources := map[string]Source{}
	n := 0
	for line := range strings.Lines(text) {
		n++
		line = strings.TrimSpace(line)
		if line == "" || line[0] == '#' {
			continue
		}
		kind, rest, _ := strings.Cut(line, " ")
		f := strings.Split(rest, "|")
		for i := range f {
			if f[i] = strings.TrimSpace(f[i]); f[i] == "" {
				return nil, fmt.Errorf("line %d: field %d is empty", n, i+1)
			}
		}
		switch {
		case kind == "source" && len(f) == 5:
			sources[f[0]] = Source{f[1], f[2], f[3], f[4]}
		case kind == "datum" && len(f) == 8:
			d, err := readDatum(sources, f)
			if err != nil {
				return nil, fmt.Errorf("line %d: %w", n, err)
			}
			rows = append(rows, d)
		default:
			return nil, fmt.Errorf("line %d: neither a source of 5 fields nor a datum of 8", n)
		}
	}
	return rows, oneDefaultEach(rows)
}

// number is a decimal figure as evaluations print it: no sign, no spaces, and
// nothing that a reader of numbers would take as octal, hexadecimal or infinite.
var number = regexp.MustCompile(`^(0|[1-9][0-9]{0,14})(\.[0-9]{1,15})?(E-?[0-9]{1,2})?$`)

func readDatum(sources map[string]Source, f []string) (d Datum, err error) {
	source, declared := sources[f[6]]
	line, err := strconv.ParseUint(f[2], 10, 8)
	switch {
	case err != nil || len(f[2]) > 1 && f[2][0] == '0':
		return d, fmt.Errorf("line number %q is no small whole number", f[2])
	case !number.MatchString(f[3]):
		return d, fmt.Errorf("value %q is no plain decimal number", f[3])
	case !declared:
		return d, fmt.Errorf("source %q is not declared above", f[6])
	case f[7] != "default" && f[7] != "alternative":
		return d, fmt.Errorf("role %q is neither default nor alternative", f[7])
	}
	d = Datum{Nuclide: f[0], Quantity: f[1], Line: int(line), Unit: f[5], Source: source, Default: f[7] == "default"}
	u, published, err := uncertaintyOf(f[3], f[4])
	if err != nil {
		return d, err
	}
	d.Published = published + " " + d.Unit
	if d.Value, err = strconv.ParseFloat(f[3], 64); err == nil {
		d.U, err = strconv.ParseFloat(u, 64)
	}
	return d, err
}

// uncertaintyOf gives u as a number in the unit of value, and both as they are
// printed. 2.6684 with (13) is 13E-4: the digits in parentheses count in the last
// place of the mantissa.
func uncertaintyOf(value, u string) (figure, published string, err error) {
	switch {
	case u == "-":
		return "0", value, nil
	case number.MatchString(u):
		return u, value + " +- " + u, nil
	}
	digits := strings.TrimSuffix(strings.TrimPrefix(u, "("), ")")
	if u != "("+digits+")" || !number.MatchString(digits) || strings.ContainsAny(digits, ".E") {
		return "", "", fmt.Errorf("uncertainty %q is neither -, a number nor digits in parentheses", u)
	}
	mantissa, power, _ := strings.Cut(value, "E")
	exponent, _ := strconv.Atoi(power) // of a number, or empty
	if _, decimals, ok := strings.Cut(mantissa, "."); ok {
		exponent -= len(decimals)
	}
	return fmt.Sprintf("%sE%d", digits, exponent), mantissa + u + strings.TrimPrefix(value, mantissa), nil
}

// oneDefaultEach refuses a table in which a value has no default, or two.
func oneDefaultEach(rows []Datum) error {
	type key struct {
		nuclide, quantity string
		line              int
	}
	count := map[key]int{}
	for _, d := range rows {
		k := key{d.Nuclide, d.Quantity, d.Line}
		n := count[k]
		if d.Default {
			n++
		}
		count[k] = n // also 0, which is refused below
	}
	for k, c := range count {
		if c != 1 {
			return fmt.Errorf("%s %s line %d has %d defaults, want 1", k.nuclide, k.quantity, k.line, c)
		}
	}
	return nil
}
