package identity

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// The UK blood services' Guidelines, Annex 2, tables A2.1 and A2.2: every
// weighted value of G123498654321 as printed there, their sum 148354, its
// residue 21, and the check value 38 - 21 = 17, printed as H. The arithmetic is in
// whole numbers, so there is no tolerance.
func TestRedBookAnnex2CheckCharacter(t *testing.T) {
	const number = "G123498654321"
	weighted := []int{131072, 4096, 4096, 3072, 2048, 2304, 1024, 384, 160, 64, 24, 8, 2}
	sum := 0
	for i, want := range weighted {
		got := strings.IndexByte(values, number[i]) << (len(number) - i)
		if got != want {
			t.Errorf("%c at %d: weighted value %d, want %d", number[i], i+1, got, want)
		}
		sum += got
	}
	if sum != 148354 || sum%37 != 21 {
		t.Errorf("sum %d ≡ %d, want 148354 ≡ 21", sum, sum%37)
	}
	if c := checkCharacter(number); c != 'H' || strings.IndexByte(values, c) != 17 {
		t.Errorf("check character %c, want H", c)
	}
	if checksum(number+"H") != 1 {
		t.Error("the number with its check character has no checksum of 1")
	}
}

func anySerial(t *rapid.T) Serial {
	b := [16]byte(rapid.SliceOfN(rapid.Byte(), 16, 16).Draw(t, "random"))
	if rapid.Bool().Draw(t, "practice") {
		return NewPractice(b)
	}
	return New(b)
}

// What the check character has to find does not depend on the other characters,
// so all of it can be tried: every change of one character into another, at
// every place, and every exchange of two unequal characters at any two places.
func TestEverySubstitutionAndExchangeIsFound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anySerial(t).Compact()
		for i := range len(s) {
			for j := range len(alphabet) {
				if alphabet[j] == s[i] {
					continue
				}
				wrong := s[:i] + alphabet[j:j+1] + s[i+1:]
				mustRefuse(t, wrong, CodeCheck)
			}
			for j := i + 1; j < len(s); j++ {
				if s[i] != s[j] {
					wrong := []byte(s)
					wrong[i], wrong[j] = wrong[j], wrong[i]
					mustRefuse(t, string(wrong), CodeCheck)
				}
			}
		}
	})
	// The same by the weights themselves, over all 37 values.
	weight := 1
	var weights []int
	for range length {
		weights = append(weights, weight)
		weight = 2 * weight % 37
	}
	for i, w := range weights {
		for diff := 1; diff < 37; diff++ {
			if w*diff%37 == 0 {
				t.Errorf("a change by %d at weight %d is not found", diff, w)
			}
			for _, v := range weights[:i] {
				if (w+37-v)*diff%37 == 0 {
					t.Errorf("an exchange at weights %d and %d is not found", w, v)
				}
			}
		}
	}
}

// Adjacent twins, such as 33 read as 77, are found too: 3·2^k is no multiple of
// 37.
func TestTwinErrorsAreFound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anySerial(t).Compact()
		for i := range len(s) - 1 {
			for j := range len(alphabet) {
				if s[i] == s[i+1] && s[i] != alphabet[j] {
					twin := strings.Repeat(alphabet[j:j+1], 2)
					mustRefuse(t, s[:i]+twin+s[i+2:], CodeCheck)
				}
			}
		}
	})
}

// fataler is what testing.T and rapid.T share.
type fataler interface {
	Helper()
	Fatalf(format string, args ...any)
}

func mustRefuse(t fataler, text, code string) {
	t.Helper()
	var e *Error
	if s, err := Parse(text); !errors.As(err, &e) || e.Code != code {
		t.Fatalf("Parse(%q) = %v, %v; want the code %s", text, s, err, code)
	}
}

func TestSerialIsReadBackHoweverItIsTyped(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anySerial(t)
		var typed strings.Builder
		for _, r := range s.Compact() {
			typed.WriteString(rapid.SampledFrom([]string{"", "", "-", " ", "\t", "\r\n", " "}).Draw(t, "gap"))
			c := string(r)
			if rapid.Bool().Draw(t, "lower") {
				c = strings.ToLower(c)
			}
			typed.WriteString(c)
		}
		got, err := Parse(typed.String())
		if err != nil || got != s {
			t.Fatalf("Parse(%q) = %v, %v; want %v", typed.String(), got, err, s)
		}
	})
}

func TestNewDrawsValidSerialsOfItsSort(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := [16]byte(rapid.SliceOfN(rapid.Byte(), 16, 16).Draw(t, "random"))
		patient, trial := New(b), NewPractice(b)
		for _, s := range []Serial{patient, trial} {
			if p, err := Parse(s.String()); err != nil || p != s {
				t.Fatalf("%v does not read back: %v", s, err)
			}
		}
		if patient.Practice() || !trial.Practice() || patient == trial || New(b) != patient {
			t.Fatalf("patient %v, practice %v", patient, trial)
		}
	})
}

// The last free character has a choice of at least 9 whatever stands before it,
// and all 37 residues of the ten before are met.
func TestEndingsNeverRunOut(t *testing.T) {
	met := map[int]int{}
	for i := range 40 {
		var random [16]byte
		for j := range random {
			random[j] = byte(37*i + 101*j*j + 11)
		}
		before := New(random).Compact()[:10]
		for j := range len(alphabet) {
			b := before[:9] + alphabet[j:j+1]
			met[checksum(b)] = len(endings([]byte(b)))
		}
	}
	if len(met) != 37 {
		t.Fatalf("%d of the 37 residues were met", len(met))
	}
	for residue, n := range met {
		if n < 9 {
			t.Errorf("residue %d leaves %d endings", residue, n)
		}
	}
}

// Characters are drawn evenly: over the first, of 22, and the second, of 23,
// with 46 000 draws from a fixed sequence. The bound is five standard
// deviations of a count with mean 2000, 5·√2000 = 224.
func TestNewFavoursNoCharacter(t *testing.T) {
	const draws = 46000
	state := uint64(1)
	next := func() uint64 { // splitmix64
		state += 0x9E3779B97F4A7C15
		z := state
		z = (z ^ z>>30) * 0xBF58476D1CE4E5B9
		z = (z ^ z>>27) * 0x94D049BB133111EB
		return z ^ z>>31
	}
	counts := map[byte]int{}
	for range draws {
		var b [16]byte
		for i := range 2 {
			for j, v := 0, next(); j < 8; j++ {
				b[8*i+j] = byte(v >> (8 * j))
			}
		}
		counts[New(b).Compact()[1]]++
	}
	for i := range len(alphabet) {
		if n := counts[alphabet[i]]; n < 2000-224 || n > 2000+224 {
			t.Errorf("%c was drawn %d times, want about 2000", alphabet[i], n)
		}
	}
}

func TestAlphabetHasNoLookAlikes(t *testing.T) {
	for _, group := range []string{"0OQD", "1IL", "2Z", "5S", "6G", "8B", "UV"} {
		n := 0
		for _, r := range group {
			n += strings.Count(alphabet, string(r))
		}
		if n > 1 {
			t.Errorf("%d of %s are in the alphabet", n, group)
		}
	}
	if strings.ContainsAny(alphabet, "AEIOU") || len(alphabet) != 23 {
		t.Errorf("alphabet %s", alphabet)
	}
}

func TestParseNamesWhatIsWrong(t *testing.T) {
	for _, row := range []struct{ text, code, says string }{
		{"", CodeEmpty, "there is no serial"},
		{" - ", CodeEmpty, "there is no serial"},
		{"X7MP-3YWD-9CO4", CodeCharacter, `no serial holds 'O', the character at 13`},
		{"X7MP-3YWD-9Cé4", CodeCharacter, `no serial holds 'é', the character at 13`},
		{"ſ7MP-3YWD-9C24", CodeCharacter, `no serial holds 'ſ', the character at 1`},
		{"X7MP-3YWD-9C", CodeLength, "a serial has 12 characters, and this has 10"},
		{"X7MP-3YWD-9CH42", CodeLength, "a serial has 12 characters, and this has 13"},
		{"X7MP-3YWD-9CH3", CodeCheck, "the check character does not agree"},
		{"\xff", CodeCharacter, "the character at 1"},
	} {
		mustRefuse(t, row.text, row.code)
		_, err := Parse(row.text)
		if !strings.Contains(err.Error(), row.says) {
			t.Errorf("Parse(%q): %v; want %q in it", row.text, err, row.says)
		}
	}
}

// python runs a Debian Python with the modules named, or skips; CI must have
// them.
func python(t *testing.T, script string, input string) string {
	t.Helper()
	if testing.Short() {
		t.Skip("-short: the program that it is compared with is not asked")
	}
	cmd := exec.Command("/usr/bin/python3", "-c", script)
	cmd.Stdin = strings.NewReader(input)
	out, err := cmd.CombinedOutput()
	if err == nil {
		return string(out)
	}
	if strings.Contains(string(out), "ModuleNotFoundError") || errors.Is(err, os.ErrNotExist) {
		if os.Getenv("CI") != "true" {
			t.Skip("peer missing: Debian python3-stdnum")
		}
		t.Fatal("CI=true needs Debian python3-stdnum")
	}
	t.Fatalf("python3: %v\n%s", err, out)
	return ""
}

// An independent program, python3-stdnum, agrees on our serials and on the
// check digits of GTINs, right ones and wrong ones.
func TestStdnumAgrees(t *testing.T) {
	var in strings.Builder
	var want []string
	for i := range 300 {
		s := New([16]byte{byte(i), 7, byte(i >> 8), 3, 14: byte(i * 31), 15: byte(i * 17)}).Compact()
		wrong := s[:5] + s[6:7] + s[5:6] + s[7:]
		fmt.Fprintf(&in, "mod372 %s\nmod372 %s\n", s, wrong)
		want = append(want, "true", fmt.Sprint(s == wrong))
		gtin := fmt.Sprintf("%014d", 9506000134352+int64(i)*7919)
		fmt.Fprintf(&in, "ean %s\n", gtin)
		want = append(want, fmt.Sprint(mod10(gtin)))
	}
	got := python(t, `
import sys
from stdnum import ean
from stdnum.iso7064 import mod_37_2
for line in sys.stdin:
    kind, text = line.split()
    ok = mod_37_2.is_valid(text) if kind == "mod372" else ean.is_valid(text)
    print("true" if ok else "false")
`, in.String())
	lines := strings.Fields(got)
	if len(lines) != len(want) {
		t.Fatalf("%d answers, want %d", len(lines), len(want))
	}
	for i := range want {
		if lines[i] != want[i] {
			t.Errorf("%s: python3-stdnum says %s, we say %s", strings.Split(in.String(), "\n")[i], lines[i], want[i])
		}
	}
}
