package identity

import "strings"

// values are the characters of ISO/IEC 7064 MOD 37-2 in the order of their
// values, 0 to 36.
const values = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ*"

// checksum is Σ 2^(n-i)·value(s_i) mod 37 over the n characters of s, which is
// 1 for a text with its right check character (ISO/IEC 7064:2003, MOD 37-2).
// Horner's rule: S ← 2·S + value. s holds only characters of values.
func checksum(s string) int {
	sum := 0
	for i := range len(s) {
		sum = (2*sum + strings.IndexByte(values, s[i])) % 37
	}
	return sum
}

// checkCharacter is the character that makes the checksum of s and it 1:
//
//	c ≡ 1 - 2·S  (mod 37)
func checkCharacter(s string) byte {
	return values[(38-2*checksum(s)%37)%37]
}

// mod10 tells whether the last of the digits is the check digit of a GTIN or
// SSCC: Σ w_i·d_i ≡ 0 (mod 10), w = 1, 3, 1, ... from the right (GS1 General
// Specifications, check digit calculations).
func mod10(digits string) bool {
	sum := 0
	for i := range len(digits) {
		weight := 1 + 2*((len(digits)-1-i)%2)
		sum += weight * int(digits[i]-'0')
	}
	return len(digits) > 0 && sum%10 == 0
}
