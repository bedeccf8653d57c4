package quantity

import (
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// offer lists the usual units of a kind for a hint.
func offer(k kind) string {
	return "usual units: " + strings.Join(classes[k].usual, ", ")
}

// isText tells whether s is UTF-8 without control or invisible characters.
func isText(s string) bool {
	return utf8.ValidString(s) && strings.IndexFunc(s, func(r rune) bool {
		return !unicode.IsPrint(r) && !unicode.IsSpace(r)
	}) < 0
}

// refuseNumber says why s, the trimmed text, does not begin with a number.
func refuseNumber(k kind, text, s string) *Error {
	no := func(code, msg, hint string) *Error { return refuse(code, text, msg, hint) }
	switch {
	case s == "":
		return no(CodeEmpty, "nothing is written", "write a number and a unit; "+offer(k))
	case !isText(s):
		return no(CodeNotText, "it holds bytes that are no readable text", "type it again")
	case s[0] == '+':
		return no(CodeSign, "a plus sign is not part of a quantity", "write "+strings.TrimSpace(s[1:]))
	}
	sign := ""
	if s[0] == '-' {
		sign, s = "-", s[1:]
		if k != temperature {
			return no(CodeNegative, "it is negative, and "+classes[k].name+" is not", "check the number")
		}
	}
	head, tail := s, ""
	if at := strings.IndexFunc(s, func(r rune) bool { return !strings.ContainsRune("0123456789.,_'", r) }); at >= 0 {
		head, tail = s[:at], s[at:]
	}
	if !strings.ContainsAny(head, "0123456789") {
		return no(CodeNotNumber, "it does not begin with a number", "number first, then the unit; "+offer(k))
	}
	code, msg, readings := refuseDigits(head)
	for i := range readings {
		readings[i] = sign + readings[i] + tail
	}
	if readings == nil {
		return no(code, msg, "write the number with one decimal point")
	}
	return no(code, msg, "write "+strings.Join(slices.Compact(readings), " or "))
}

// refuseDigits says what is wrong with head, a run of digits, points, commas
// and separators, and gives every number that it could mean: none where two numbers
// seem to have run into each other.
func refuseDigits(head string) (code, msg string, readings []string) {
	bare := onlyDigits(head)
	switch {
	case strings.Contains(head, ",") && strings.Contains(head, "."):
		return CodeComma, "the comma or the point may separate thousands, and such marks are not read", []string{lastIsDecimal(head)}
	case strings.Count(head, ",") == 1:
		return CodeComma, "the comma may be a decimal point or a thousands mark",
			[]string{TidyDigits(strings.Replace(head, ",", ".", 1)), TidyDigits(bare)}
	case strings.Contains(head, ","):
		return CodeComma, "the commas may separate thousands, and such marks are not read", []string{TidyDigits(bare)}
	case strings.ContainsAny(head, "_'"):
		return CodeGrouping, "digits are written without marks between them", []string{lastIsDecimal(head)}
	case strings.Count(head, ".") > 1 && !strings.Contains(head, "..") && !inThousands(head):
		return CodeGrouping, "there is more than one decimal point", nil
	case strings.Count(head, ".") > 1:
		whole, frac, _ := strings.Cut(head, ".")
		return CodeGrouping, "there is more than one decimal point",
			[]string{TidyDigits(whole + "." + onlyDigits(frac)), TidyDigits(bare)}
	case head[0] == '.':
		return CodeLeadingZero, "a point without a digit before it is easily missed", []string{"0" + head}
	case strings.HasSuffix(head, "."):
		return CodeTrailingPoint, "there is no digit after the point", []string{TidyDigits(head)}
	case head[0] == '0' && len(head) > 1 && head[1] != '.':
		if strings.Contains(head, ".") || strings.Trim(head, "0") == "" {
			return CodeLeadingZero, "there are too many zeros in front", []string{TidyDigits(head)}
		}
		return CodeLeadingZero, "a zero in front may be a lost decimal point", []string{TidyDigits(head), "0." + head[1:]}
	}
	// The digits are a number, so what follows them is an e that is none.
	return CodeExponent, "e must be followed by a whole number", []string{"it like " + head + "e6, not " + head}
}

// inThousands tells whether three digits stand behind each point.
func inThousands(head string) bool {
	return !slices.ContainsFunc(strings.Split(head, ".")[1:], func(group string) bool { return len(group) != 3 })
}

// onlyDigits drops everything but decimal digits.
func onlyDigits(s string) string {
	return strings.Map(func(r rune) rune {
		if r < '0' || r > '9' {
			return -1
		}
		return r
	}, s)
}

// lastIsDecimal reads the last point or comma as the decimal mark and drops
// every other mark: 1,234.5 and 1.234,5 are both 1234.5.
func lastIsDecimal(s string) string {
	at := strings.LastIndexAny(s, ".,")
	if at < 0 {
		return TidyDigits(onlyDigits(s))
	}
	return TidyDigits(onlyDigits(s[:at]) + "." + onlyDigits(s[at:]))
}

// TidyDigits makes digits with at most one point into a number of the grammar: without
// needless zeros in front or a bare point.
func TidyDigits(s string) string {
	whole, frac, _ := strings.Cut(s, ".")
	whole = strings.TrimLeft(whole, "0")
	if whole == "" {
		whole = "0"
	}
	if frac == "" {
		return whole
	}
	return whole + "." + frac
}

// refuseUnit says why rest, the text after the number, is no unit of k.
func refuseUnit(k kind, text string, n *number, rest string) *Error {
	no := func(code, msg, hint string) *Error { return refuse(code, text, msg, hint) }
	raw, sym := strings.TrimSpace(rest), spelling(rest)
	switch {
	case sym == "":
		return no(CodeUnitMissing, "there is a number but no unit", missing(k, n))
	case !isText(sym):
		return no(CodeNotText, "it holds bytes that are no readable text", "type it again")
	case k == fraction && sym == "1":
		return no(CodeUnitUnknown, "a fraction is written in percent", missing(k, n))
	case n.text == "0" && (sym[0] == 'x' || sym[0] == 'X'):
		return no(CodeNotNumber, "numbers are decimal", "write it in decimal digits")
	case '0' <= sym[0] && sym[0] <= '9' || strings.HasPrefix(sym, "’"):
		return no(CodeGrouping, "there is a gap inside the number, or two numbers",
			"write "+n.text+strings.TrimPrefix(raw, "’")+" if it is one number")
	case strings.Contains(sym, "±") || strings.Contains(sym, "+/-"):
		return no(CodeExtra, "a quantity is one number and one unit", "state the uncertainty by itself")
	case strings.Contains(strings.ReplaceAll(sym, " ", ""), "k="):
		return no(CodeExtra, "a quantity is one number and one unit", "write the standard uncertainty, which is k = 1; a value with k = 2 is twice that")
	case sym[0] == '-' || strings.HasPrefix(sym, "–"):
		return no(CodeExtra, "a quantity is one number, not a range", "state both ends by themselves")
	case strings.HasPrefix(sym, "x1") || strings.HasPrefix(sym, "×") || strings.HasPrefix(sym, "*") || strings.HasPrefix(sym, "·"):
		return no(CodeExponent, "a power of ten is written with e", "write it like "+n.text+"e6")
	}
	if code, msg, hint := misread(k, raw, sym); code != "" {
		return no(code, msg, hint)
	}
	if strings.ContainsAny(sym, " (;,") {
		return no(CodeExtra, "a quantity is one number and one unit", offer(k))
	}
	return no(CodeUnitUnknown, raw+" is no unit of "+strings.TrimPrefix(strings.TrimPrefix(classes[k].name, "an "), "a ")+" known here", offer(k))
}

// missing is the hint for a bare number: the number with each usual unit.
func missing(k kind, n *number) string {
	if k == fraction {
		hundredfold := n.in(&unit{num: 1, den: 1, exp: 2})
		percent := decimalText(strconv.FormatFloat(hundredfold, 'e', -1, 64), 0)
		return "write " + n.text + " % or, if " + n.text + " is the ratio, " + percent + " %"
	}
	var with []string
	for _, u := range classes[k].usual {
		with = append(with, n.text+" "+u)
	}
	return "is it " + strings.Join(with, " or ") + "?"
}

// misread recognises a unit that is nearly one of k, or is one of another
// kind. The code is empty when it recognises nothing.
func misread(k kind, raw, sym string) (code, msg, hint string) {
	for _, w := range words {
		if w.kind == k && slices.ContainsFunc(w.words, func(word string) bool { return strings.EqualFold(word, sym) }) {
			return CodeUnitAmbiguous, raw + " is not read: " + w.why, "write " + w.write
		}
	}
	for other := range kinds {
		if other != k && find(other, sym) != nil {
			return CodeUnitKind, raw + " is " + classes[other].name + "; " + classes[k].name + " was expected", offer(k)
		}
	}
	if code, msg, hint = prefixed(k, raw, sym); code != "" {
		return code, msg, hint
	}
	if u := caseless(k, sym); u != nil {
		return CodeUnitCase, "capital and small letters differ in a unit, and " + raw + " is none", "did you mean " + u.symbol + "?"
	}
	if u := caseless(k, strings.TrimRight(sym, "sS.")); u != nil {
		return CodeUnitAmbiguous, raw + " is not read: a unit has no plural and no full stop", "write " + u.symbol
	}
	for other := range kinds {
		if u := caseless(other, sym); other != k && u != nil {
			return CodeUnitKind, raw + " looks like " + u.symbol + ", " + classes[other].name + "; " + classes[k].name + " was expected", offer(k)
		}
	}
	return "", "", ""
}

// caseless finds the unit of k that differs from sym in letter case only.
func caseless(k kind, sym string) *unit {
	for i := range classes[k].units {
		if u := &classes[k].units[i]; strings.EqualFold(u.symbol, sym) {
			return u
		}
	}
	return nil
}

// prefixed recognises an SI prefix on a base symbol of k that is not among the
// units read, and says how far it lies from the one probably meant.
func prefixed(k kind, raw, sym string) (code, msg, hint string) {
	for _, b := range bases {
		before, found := strings.CutSuffix(sym, b.symbol)
		if b.kind != k || !found {
			continue
		}
		for _, p := range prefixes {
			if p.symbol != before {
				continue
			}
			meant, code, ask := caseless(k, sym), CodeUnitCase, "did you mean "
			if meant == nil {
				meant, code, ask = find(k, b.write), CodeUnitPrefix, "write it in "
			}
			step := p.exp + b.exp - meant.exp
			name := p.name + b.name
			msg = raw + " is the " + name + ", 1e" + strconv.Itoa(step) + " of " + meant.symbol
			if code == CodeUnitCase {
				return code, msg, ask + meant.symbol + "?"
			}
			return code, msg, ask + meant.symbol
		}
	}
	return "", "", ""
}

// prefixes are the SI prefixes tried (BIPM, The International System of Units,
// 9th edition, 2019, table 7).
var prefixes = []struct {
	symbol string
	exp    int
	name   string
}{
	{"p", -12, "pico"},
	{"n", -9, "nano"},
	{"u", -6, "micro"},
	{"m", -3, "milli"},
	{"c", -2, "centi"},
	{"d", -1, "deci"},
	{"", 0, ""},
	{"k", 3, "kilo"},
	{"M", 6, "mega"},
	{"G", 9, "giga"},
	{"T", 12, "tera"},
	{"P", 15, "peta"},
}

// bases are the symbols a prefix may stand on: one is 10^exp base units of its
// kind (times the 37 of the curie), write the unit to use instead.
var bases = []struct {
	kind   kind
	symbol string
	exp    int
	name   string
	write  string
}{
	{activity, "Bq", 0, "becquerel", "MBq"},
	{activity, "Ci", 9, "curie", "mCi"},
	{volume, "L", 3, "litre", "mL"},
	{mass, "g", 0, "gram", "g"},
	{span, "s", 0, "second", "s"},
	{doseRate, "Sv/h", 6, "sievert per hour", "uSv/h"},
	{doseRate, "rem/h", 4, "rem per hour", "mrem/h"},
	{absorbedDose, "Gy", 0, "gray", "Gy"},
	{absorbedDose, "rad", -2, "rad", "rad"},
	{doseEquivalent, "Sv", 6, "sievert", "uSv"},
	{doseEquivalent, "rem", 4, "rem", "mrem"},
	{contamination, "Bq/cm2", 0, "becquerel per square centimetre", "Bq/cm2"},
	{length, "m", 3, "metre", "mm"},
}

// words are spelled-out and colloquial units that are refused with the unit to
// write instead: they have more than one spelling, more than one meaning, or
// stand on a list of notations known to be misread (ISMP, List of Error-Prone
// Abbreviations: cc, mcg and its like). Letter case is ignored.
var words = []struct {
	kind  kind
	words []string
	why   string
	write string
}{
	{activity, []string{"becquerel", "becquerels"}, spelledOut, "Bq"},
	{activity, []string{"megabecquerel", "megabecquerels"}, spelledOut, "MBq"},
	{activity, []string{"gigabecquerel", "gigabecquerels"}, spelledOut, "GBq"},
	{activity, []string{"curie", "curies"}, spelledOut, "Ci"},
	{activity, []string{"millicurie", "millicuries"}, spelledOut, "mCi"},
	{activity, []string{"microcuries"}, "a unit has no plural", "uCi or microcurie"},
	{activity, []string{"mcCi"}, "mc may be milli or micro", "mCi or uCi"},
	{activity, []string{"cpm", "cps"}, countRate, "an activity, such as kBq"},
	{activity, []string{"dpm"}, "it is 1/60 Bq, and is read on a surface only", "Bq"},
	{volume, []string{"cc"}, "it has been misread as u and as 00", "mL"},
	{volume, []string{"ccm"}, "it has more than one meaning", "mL"},
	{volume, []string{"mls"}, "a unit has no plural", "mL"},
	{volume, []string{"milliliter", "milliliters", "millilitre", "millilitres"}, spelledOut, "mL"},
	{volume, []string{"liter", "liters", "litre", "litres"}, spelledOut, "L"},
	{mass, []string{"gm"}, "it has more than one meaning", "g"},
	{mass, []string{"gr"}, "it may be a gram or a grain", "g"},
	{mass, []string{"gram", "grams"}, spelledOut, "g"},
	{mass, []string{"mcg"}, "it is the microgram, 1e-3 of mg", "mg"},
	{mass, []string{"kilo", "kilos"}, spelledOut, "kg"},
	{span, []string{"m"}, "it is the metre, and may be a minute or a month", "min"},
	{span, []string{"minute", "minutes", "mins"}, spelledOut, "min"},
	{span, []string{"hr", "hrs", "hour", "hours"}, spelledOut, "h"},
	{span, []string{"sec", "secs", "second", "seconds"}, spelledOut, "s"},
	{span, []string{"day", "days"}, spelledOut, "d"},
	{span, []string{"y", "yr", "yrs", "year", "years"}, spelledOut, "a"},
	{doseRate, []string{"uSv/hr"}, spelledOut, "uSv/h"},
	{doseRate, []string{"mSv/hr"}, spelledOut, "mSv/h"},
	{doseRate, []string{"mrem/hr"}, spelledOut, "mrem/h"},
	{doseRate, []string{"uR/h", "mR/h", "mR/hr", "R/h", "R/hr"}, roentgen, "mrem/h or uSv/h as the meter's certificate says"},
	{doseRate, []string{"uGy/h", "mGy/h"}, "a gray in air is no dose equivalent", "uSv/h as the meter's certificate says"},
	{doseRate, []string{"cpm", "cps"}, countRate, "a dose rate, such as uSv/h"},
	{absorbedDose, []string{"gray", "grays"}, spelledOut, "Gy"},
	{doseEquivalent, []string{"sievert", "sieverts"}, spelledOut, "Sv"},
	{contamination, []string{"cpm", "cps"}, countRate, "a surface activity, such as Bq/cm2"},
	{contamination, []string{"dpm"}, "the area is missing", "dpm/100cm2 or Bq/cm2"},
	{contamination, []string{"Bq"}, "the area is missing", "Bq/cm2"},
	{contamination, []string{"dpm/cm2"}, "the area usual with dpm is 100 cm2", "100 times the number in dpm/100cm2"},
	{contamination, []string{"cpm/100cm2"}, countRate, "dpm/100cm2 or Bq/cm2"},
	{area, []string{"cm"}, "it is a length", "cm2"},
	{area, []string{"sqcm"}, spelledOut, "cm2"},
	{countsRate, []string{"dpm"}, "it is a rate of decays", "cps or cpm"},
	{countsRate, []string{"c/s"}, "it has more than one meaning", "cps"},
	{fraction, []string{"percent", "per cent", "pct"}, spelledOut, "%"},
	{fraction, []string{"‰"}, "it is easily taken for %", "a tenth of the number in %"},
	{fraction, []string{"ppm"}, "a fraction is written in percent", "%"},
	{temperature, []string{"F", "°F"}, "it is not Celsius", "C"},
	{temperature, []string{"K"}, "it is not Celsius", "C, which is K less 273.15"},
	{temperature, []string{"°", "deg"}, "the scale is missing", "C"},
	{temperature, []string{"degC", "deg C", "Celsius"}, spelledOut, "C"},
	{length, []string{"micron", "microns"}, spelledOut, "um"},
	{length, []string{"in", "inch", "\""}, "it is not metric", "mm"},
}

// The reasons that stand beside most words.
const (
	spelledOut = "units are written as symbols"
	countRate  = "it is a count rate, and needs the efficiency of the meter"
	roentgen   = "the roentgen measures exposure, not dose equivalent"
)
