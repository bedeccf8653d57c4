package people

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	_ "embed"
)

const (
	leastPassword = 15  // characters; SP 800-63B-4, 3.1.1.2, as the only factor
	mostPassword  = 128 // code points; 64 must be possible
	mostOver      = 4   // characters left over in a password that is on the list
	leastWord     = 3   // characters of a listed word or of a run
)

// CheckPassword refuses a password that must not be chosen. The texts of about
// are what others expect of this person: the name, the id, the site. It
// refuses, in this order:
//
//	[CodeNotText]    it is not UTF-8, or holds a control character
//	[CodeShort]      it has fewer than 15 characters, not counting combining
//	                 marks and what takes no room
//	[CodeLong]       it has more than 128 code points
//	[CodeRepeats]    it is a text of fewer than 15 characters, twice or more,
//	                 perhaps cut short at the end
//	[CodeGuessable]  no more than 4 characters are left over when it is read
//	                 as words of the list and of about, runs such as 1234, ccc
//	                 or fedc, pieces of keyboard rows, and what is neither
//	                 letter nor digit
//
// Capital letters count as small ones. The whole password is compared: listed
// words inside a longer text do no harm. What is accepted may still be known to
// an attacker; a list of leaked passwords is not consulted.
func CheckPassword(password string, about ...string) error {
	if !utf8.ValidString(password) || strings.ContainsFunc(password, unicode.IsControl) {
		return refuse(CodeNotText, "the password has a character that cannot be typed", "if it was pasted, paste it without the line end")
	}
	p := []rune(strings.ToLower(password))
	switch {
	case visible(p) < leastPassword:
		return refuse(CodeShort, "the password is too short: 15 characters at least", "use four or five unrelated words: they are easy to remember")
	case len(p) > mostPassword:
		return refuse(CodeLong, "the password is too long: 128 characters at most", "")
	case period(p) < leastPassword:
		return refuse(CodeRepeats, "the password repeats itself, and repeats do not count", "add something different")
	case leftOver(p, append(ownWords(about), words...)) <= mostOver:
		return refuse(CodeGuessable, "the password is easy to guess: it is made of common words, names, runs or rows of keys", "add a word or two that have nothing to do with you or this place")
	}
	return nil
}

// visible counts the characters that take room.
func visible(p []rune) int {
	n := 0
	for _, r := range p {
		if !unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf) {
			n++
		}
	}
	return n
}

// period is the length of the text that p repeats twice at least, and that of
// p where it repeats none:
//
//	min { q : 2q ≤ n and p_i = p_(i+q) for all i < n-q },  else n
func period(p []rune) int {
	for q := 1; 2*q <= len(p); q++ {
		if slices.Equal(p[q:], p[:len(p)-q]) {
			return q
		}
	}
	return len(p)
}

// leftOver is the least number of letters and digits that belong to nothing
// expected, over all ways to cut p into pieces: o(0) = 0 and
//
//	o(j) = min over the pieces p_i ... p_(j-1) of o(i) + cost
//
// where a listed word, a run, a piece of a row and what is neither letter nor
// digit cost nothing, and any other character 1.
func leftOver(p []rune, list [][]rune) int {
	o := make([]int, len(p)+1)
	for i := range p {
		o[i+1] = len(p) // more than any way costs
	}
	reach := func(i, length int) { o[i+length] = min(o[i+length], o[i]) }
	for i := range p {
		if unicode.IsLetter(p[i]) || unicode.IsDigit(p[i]) {
			o[i+1] = min(o[i+1], o[i]+1)
		} else {
			reach(i, 1)
		}
		for _, w := range list {
			if begins(p[i:], w) {
				reach(i, len(w))
			}
		}
		for n := leastWord; n <= expected(p[i:]); n++ {
			reach(i, n)
		}
	}
	return o[len(p)]
}

// alike gives the letters that a figure or sign is written for.
var alike = map[rune]string{'0': "o", '1': "li", '3': "e", '4': "a", '5': "s", '7': "t", '@': "a", '$': "s", '!': "i"}

// begins tells whether p begins with the word, letter for letter or alike.
func begins(p, word []rune) bool {
	if len(p) < len(word) {
		return false
	}
	for i, w := range word {
		if p[i] != w && !strings.ContainsRune(alike[p[i]], w) {
			return false
		}
	}
	return true
}

// rows are rows of keys; they are found in either direction.
var rows = []string{"1234567890", "qwertyuiop", "asdfghjkl", "zxcvbnm", "qwertzuiop", "yxcvbnm", "azertyuiop", "qsdfghjklm", "wxcvbn"}

// expected is the length of the longest run or piece of a row at the start of
// p. A run goes on by the same step, which is -1, 0 or 1.
func expected(p []rune) int {
	longest := 1
	for step := rune(-1); step <= 1; step++ {
		n := 1
		for n < len(p) && p[n]-p[n-1] == step {
			n++
		}
		longest = max(longest, n)
	}
	for _, row := range rows {
		keys := []rune(row)
		for range 2 {
			if at := slices.Index(keys, p[0]); at >= 0 {
				n := 1
				for n < len(p) && at+n < len(keys) && p[n] == keys[at+n] {
					n++
				}
				longest = max(longest, n)
			}
			slices.Reverse(keys)
		}
	}
	return longest
}

//go:embed words.txt
var wordsText string

// words are the listed words.
var words = func() [][]rune {
	var out [][]rune
	for line := range strings.Lines(wordsText) {
		word := strings.TrimSpace(line)
		if word != "" && word[0] != '#' {
			out = append(out, []rune(word))
		}
	}
	return out
}()

// ownWords are the pieces of letters and digits in the texts, of 3 characters
// and more, in small letters.
func ownWords(texts []string) [][]rune {
	var out [][]rune
	for _, t := range texts {
		for _, w := range strings.FieldsFunc(strings.ToLower(t), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) }) {
			if word := []rune(w); len(word) >= leastWord {
				out = append(out, word)
			}
		}
	}
	return out
}
