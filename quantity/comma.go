package quantity

import "strings"

// numeral gives s with a decimal comma in its leading number written as a
// point. unsure tells that the comma may as well separate thousands; s then stays
// as it is. With d digits behind the only comma, and a whole number w before it:
//
//	d = 3 and w > 0      1,300    unsure: 1.300 or 1300
//	d = 1, 2, 4, 5 ...   1,3      a decimal comma: nobody parts thousands so
//	w = 0                0,125    a decimal comma: no number of thousands begins with 0
//
// Everything else, such as a number with two commas, or with a comma and a
// point, is left for the reader to refuse.
func numeral(s string) (text string, unsure bool) {
	whole, rest, found := strings.Cut(s, ",")
	bare := strings.TrimPrefix(whole, "-")
	if !found || bare == "" || onlyDigits(bare) != bare {
		return s, false
	}
	digits := 0
	for digits < len(rest) && '0' <= rest[digits] && rest[digits] <= '9' {
		digits++
	}
	if digits == 0 || digits < len(rest) && strings.IndexByte(".,_'", rest[digits]) >= 0 {
		return s, false
	}
	if digits == 3 && strings.Trim(bare, "0") != "" {
		return s, true
	}
	return whole + "." + rest, false
}

// Readings gives the two numbers that a text with a comma may mean, the decimal
// one first, and nil where it can mean one only: "1,300 GBq" is 1.300 GBq or
// 1300 GBq. Whether either is a quantity is not asked.
func Readings(text string) []string {
	s := strings.TrimSpace(text)
	if _, unsure := numeral(s); !unsure {
		return nil
	}
	return []string{strings.Replace(s, ",", ".", 1), strings.Replace(s, ",", "", 1)}
}

// DecimalComma gives a text with the decimal comma of its leading number, if
// there is one, written as a point, as [Parse] reads it: "1,3 GBq" becomes
// "1.3 GBq". Text without a decimal comma, or with one that may separate thousands,
// stays as it is; whether it is a quantity is not asked.
func DecimalComma(text string) string {
	s, _ := numeral(strings.TrimSpace(text))
	if s == strings.TrimSpace(text) {
		return text
	}
	return s
}
