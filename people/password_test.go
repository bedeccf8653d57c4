package people

import (
	"slices"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"pgregory.net/rapid"
)

var ann = []string{"Ann Teapot", "AT-17", "Lampfield Example Hospital"}

func TestCheckPassword(t *testing.T) {
	for _, c := range []struct{ password, code string }{
		// Each list goes down the checks; a line may break later ones too.
		{"\xff", CodeNotText},
		{"a\n", CodeNotText},
		{"nine green lamps sing\r\n", CodeNotText},
		{"nine green\x00lamps sing", CodeNotText},
		{"", CodeShort},
		{"aaa", CodeShort},
		{"jump over walls", ""}, // 15
		{"jump over wall", CodeShort},
		{strings.Repeat("e\u0301", 14), CodeShort},                // 28 code points, 14 letters
		{"vqk" + strings.Repeat("\u200b", 20) + "wzj", CodeShort}, // spaces of no width
		{strings.Repeat("a", 129), CodeLong},                      // repeats too
		{"x" + strings.Repeat("quite other words ", 8)[:128], CodeLong},
		{"nine green lamps sing " + strings.Repeat("éü", 53), ""}, // 128
		{strings.Repeat("a", 128), CodeRepeats},                   // guessable too
		{"passwordpassword", CodeRepeats},                         // 8, twice
		{"nine lamps nine lamps ", CodeRepeats},                   // 11, twice
		{"nine lamps nine lamps nine", CodeRepeats},               // cut short
		{"nine lamps Nine Lamps ", CodeRepeats},                   // capitals do not help
		{"jump over walls jump over walls ", ""},                  // 16, twice
		{"correct horse battery staple", CodeGuessable},           // listed words
		{"password12345678", CodeGuessable},                       // and a run
		{"P@ssw0rd-12345678", CodeGuessable},                      // signs for letters
		{"qwertyuiopasdfghjkl", CodeGuessable},                    // rows
		{"lkjhgfdsapoiuytrewq", CodeGuessable},                    // backwards
		{"123456789012345", CodeGuessable},                        // a run of figures
		{"zyxwvutsrqponmlk", CodeGuessable},                       // a run of letters
		{"aaaaaaabbbbbbbbccc", CodeGuessable},                     // runs of one letter
		{"...............!", CodeGuessable},                       // nothing but signs
		{"Radiopharmacy-Hospital-2027", CodeGuessable},            // the place, and a year
		{"ann.teapot.lampfield", CodeGuessable},                   // the person and the site
		{"Teapot lampfield ANN hospital!", CodeGuessable},         // in another order
		{"password ab12", CodeShort},                              // 13
		{"password ab1x zz", ""},                                  // 6 left over
		{"password abxq !!", CodeGuessable},                       // 4 left over
		{"password abxq 9", ""},                                   // 5
		{"my password is nine green lamps", ""},                   // words inside do no harm
		{"849302758194736", ""},                                   // figures alone may be
		{"ΚΑΛΗΜΕΡΑ σας κύριε", ""},                                // any script
		{"四つの言葉は覚えやすいもの", CodeShort},                              // 13
		{"四つの言葉は覚えやすいものです", ""},                                   // 15
		{"nine\u00a0green\u00a0lamps", ""},                        // a space that does not break
		{"teapots fly northward", ""},                             // not the names themselves
		{"ABCABCABCABCABCABC", CodeRepeats},
		{"1qaz2wsx3edc4rfv", CodeGuessable},                 // columns of keys
		{"the hot lab dose for the patient", CodeGuessable}, // the place
		{strings.Repeat("x", 14) + "y", CodeGuessable},      // a run and 1
		{"vqkzwxjvbqzkxwj", ""},                             // no words at all
		{"0123456789abcdef", CodeGuessable},                 // two runs
		{"summer summer summer", CodeRepeats},               // 7, nearly thrice
		{"October November 2027", CodeGuessable},            // months and a year
		{"!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!", CodeRepeats},
	} {
		want(t, c.password, CheckPassword(c.password, ann...), c.code)
	}
}

// What is expected of one person is not expected of another.
func TestCheckPasswordAbout(t *testing.T) {
	const p = "teapot lampfield"
	want(t, "hers", CheckPassword(p, ann...), CodeGuessable)
	want(t, "another's", CheckPassword(p, "Ben Kettle"), "")
	want(t, "nobody's", CheckPassword(p), "")
	want(t, "two letters are no word", CheckPassword("qx vbw jkzq wvxh", "Qx Vb", "a.b"), "")
}

// The refusals do not repeat the secret.
func TestRefusalsHoldNoSecret(t *testing.T) {
	for _, p := range []string{"zebra", "zebrazebrazebra", "zebra12345678901", strings.Repeat("zebra!", 30)} {
		err := CheckPassword(p, "zebra")
		if err == nil || strings.Contains(err.Error(), "zebra") {
			t.Errorf("%q: %v", p, err)
		}
	}
	for _, p := range []string{"7x77", "777", "7777", "7890", "7747", "1977", "7391"} {
		err := CheckPIN(p, "AB-7391")
		if err == nil || strings.Contains(err.Error(), p) {
			t.Errorf("%q: %v", p, err)
		}
	}
}

// piece tells whether s is one thing that is expected: the definition, said
// apart from the reckoning.
func piece(s string, list []string) bool {
	r := []rune(s)
	if len(r) == 1 && !unicode.IsLetter(r[0]) && !unicode.IsDigit(r[0]) {
		return true
	}
	for _, w := range list {
		if len(w) == len(s) {
			same := true
			for i := range w {
				same = same && (w[i] == s[i] || strings.Contains("0o 1l 1i 3e 4a 5s 7t @a $s !i ", s[i:i+1]+w[i:i+1]+" "))
			}
			if same {
				return true
			}
		}
	}
	if len(s) < 3 {
		return false
	}
	for _, row := range rows {
		back := []byte(row)
		slices.Reverse(back)
		if strings.Contains(row, s) || strings.Contains(string(back), s) {
			return true
		}
	}
	for i := 2; i < len(s); i++ {
		if int(s[i])-int(s[i-1]) != int(s[1])-int(s[0]) {
			return false
		}
	}
	step := int(s[1]) - int(s[0])
	return -1 <= step && step <= 1
}

// cheapest tries every way to cut s.
func cheapest(s string, list []string) int {
	if s == "" {
		return 0
	}
	best := 1 + cheapest(s[1:], list)
	for n := 1; n <= len(s); n++ {
		if piece(s[:n], list) {
			best = min(best, cheapest(s[n:], list))
		}
	}
	return best
}

func TestLeftOverIsTheCheapestCut(t *testing.T) {
	list := []string{"ab", "bca", "sea", "ili", "o5o", "abcab"}
	var runes [][]rune
	for _, w := range list {
		runes = append(runes, []rune(w))
	}
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.StringOfN(rapid.SampledFrom([]rune("abcdeilost0135@$! qwer")), 0, 10, -1).Draw(t, "s")
		if got, want := leftOver([]rune(s), runes), cheapest(s, list); got != want {
			t.Fatalf("%q: %d left over, want %d", s, got, want)
		}
	})
}

// period against its definition for every length.
func TestPeriod(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.StringOfN(rapid.SampledFrom([]rune("abc")), 0, 12, -1).Draw(t, "s")
		want := len(s)
		for q := 1; 2*q <= len(s); q++ {
			if strings.Repeat(s[:q], len(s))[:len(s)] == s {
				want = q
				break
			}
		}
		if got := period([]rune(s)); got != want {
			t.Fatalf("%q: %d, want %d", s, got, want)
		}
	})
}

// Words put together in any way, with capitals, signs and up to four letters
// more, are on the list; with fifteen letters that say nothing they are not.
func TestStretchedWordsAreListed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var b strings.Builder
		odd := 0
		for i := 0; b.Len() < leastPassword || i < 3; i++ {
			w := string(rapid.SampledFrom(words).Draw(t, "word"))
			if rapid.Bool().Draw(t, "capital") {
				w = strings.ToUpper(w[:1]) + w[1:]
			}
			joint := rapid.SampledFrom([]string{"", " ", "-", "!", "x"}).Draw(t, "joint")
			if joint == "x" {
				if odd++; odd > mostOver {
					joint = "."
				}
			}
			b.WriteString(w + joint)
		}
		p := b.String()
		if code := codeOf(t, CheckPassword(p)); code != CodeGuessable && code != CodeRepeats {
			t.Fatalf("%q: %q", p, code)
		}
		p += " vqkzwxjvbqzkxwj"
		if err := CheckPassword(p); err != nil {
			t.Fatalf("%q: %v", p, err)
		}
	})
}

// The words are usable: small letters and figures, none twice, two characters
// at least.
func TestWords(t *testing.T) {
	seen := map[string]bool{}
	for _, w := range words {
		s := string(w)
		if seen[s] || len(w) < leastWord || strings.Trim(s, "abcdefghijklmnopqrstuvwxyz0123456789") != "" {
			t.Errorf("%q", s)
		}
		seen[s] = true
	}
	if len(seen) < 100 || !seen["password"] || !seen["vialwright"] || !seen["letmein"] {
		t.Errorf("%d words", len(seen))
	}
}

func FuzzCheckPassword(f *testing.F) {
	for _, s := range []string{"", "passwordpassword", "nine green lamps sing", "\xff\xfe", strings.Repeat("é", 200), "四つの言葉は覚えやすいものです", "P@ssw0rd!1234567"} {
		f.Add(s, "Ann Teapot")
	}
	f.Fuzz(func(t *testing.T, password, about string) {
		err := CheckPassword(password, about)
		if again := CheckPassword(password, about); codeOf(t, err) != codeOf(t, again) {
			t.Fatalf("%v, then %v", err, again)
		}
		n := utf8.RuneCountInString(password)
		if err == nil && (n < 15 || n > 128 || !utf8.ValidString(password) || strings.ContainsFunc(password, unicode.IsControl)) {
			t.Fatalf("%q is accepted", password)
		}
		// Anyone who adds to what is expected makes no password acceptable.
		if err == nil {
			return
		}
		if CheckPassword(password, about, "further words") == nil {
			t.Fatalf("%q is accepted with more words", password)
		}
	})
}
