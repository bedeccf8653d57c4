package witness

import (
	"fmt"
	"strings"

	"vialwright/journal"
)

// Digits gives the first n hexadecimal digits of a hash, 4 or more, in groups of
// four, and a check character behind them (as ISO/IEC 7064 has
// them: every single wrong digit is found, and nearly every exchange of two neighbours).
func Digits(h journal.Hash, n int) string {
	s := h.String()[:min(max(n, 4), 64)]
	var b strings.Builder
	for i := range s {
		if i > 0 && i%4 == 0 {
			b.WriteByte(' ')
		}
		b.WriteByte(s[i])
	}
	return b.String() + "-" + string(check(s, hexDigits))
}

const hexDigits = "0123456789abcdef"

// check is the check character of a text in an alphabet of M characters: the
// hybrid system MOD M+1,M of ISO/IEC 7064:2003, which names it for M = 10, 26 and
// 36. P starts at M; for each character P = P + a mod M, 0 becoming M, then P = 2P
// mod M+1; the check character c makes P + c = 1 mod M.
func check(s, alphabet string) byte {
	m := len(alphabet)
	p := m
	for i := range len(s) {
		p = (p + strings.IndexByte(alphabet, s[i])) % m
		if p == 0 {
			p = m
		}
		p = p * 2 % (m + 1)
	}
	return alphabet[(m+1-p)%m]
}

// leastDigits are as many as nobody meets by chance in the journal of a site.
const leastDigits = 8

// ReadDigits reads the beginning of a hash as it is printed or typed: 8 to 64
// hexadecimal digits, capital or small, with any spaces and dots between, and a
// check character behind a hyphen if it was printed with one. It gives the digits
// alone.
func ReadDigits(text string) (string, error) {
	digits, given, checked := strings.Cut(strings.ToLower(strings.Join(strings.Fields(text), "")), "-")
	digits = strings.Trim(strings.TrimSuffix(digits, "..."), "…")
	for _, c := range digits {
		if !strings.ContainsRune(hexDigits, c) {
			return "", fmt.Errorf("the head %q has %q in it: it consists of 0 to 9 and a to f", text, string(c))
		}
	}
	switch {
	case len(digits) < leastDigits || len(digits) > 64:
		return "", fmt.Errorf("the head %q has %d digits; give 8 to 64 of them, from the first on", text, len(digits))
	case checked && (len(given) != 1 || given[0] != check(digits, hexDigits)):
		return "", fmt.Errorf("the head %q is mistyped: its check character, behind the hyphen, does not belong to its digits", text)
	}
	return digits, nil
}
