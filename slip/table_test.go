package slip_test

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"vialwright/slip"
)

var update = flag.Bool("update", false, "write the tables of docs/theory/slips.md again")

const theory = "../docs/theory/slips.md"

// count is a line of the table.
type count struct {
	put, refused, can, first, right, withheld, rest, restWithheld, restWrong int
}

func (c *count) add(o count) {
	c.put, c.refused, c.can, c.first, c.right = c.put+o.put, c.refused+o.refused, c.can+o.can, c.first+o.first, c.right+o.right
	c.withheld, c.rest, c.restWithheld, c.restWrong = c.withheld+o.withheld, c.rest+o.rest, c.restWithheld+o.restWithheld, c.restWrong+o.restWrong
}

func (c count) line(name string) string {
	share := "-"
	if c.can > 0 {
		share = fmt.Sprintf("%.1f %%", 100*float64(c.right)/float64(c.can))
	}
	return fmt.Sprintf("| %s | %d | %d | %d | %d | %d | %s | %d | %d | %d | %d |", name, c.put, c.refused, c.can, c.first, c.right, share, c.withheld, c.rest, c.restWithheld, c.restWrong)
}

// sweep puts a slip into so many honest books.
func (r row) sweep(t *testing.T, books int) (out count) {
	for seed := uint64(0); out.put < books; seed++ {
		w := honest(seed)
		was, err := w.books()
		if err != nil {
			t.Fatal(err)
		}
		p, ok := r.put(w, rand.New(rand.NewPCG(seed, 77)))
		if !ok {
			continue
		}
		out.put++
		is, err := w.books()
		if err != nil {
			out.refused++
			continue
		}
		s := found(is, p)
		first, meant := right(s, p, owns[p.datum])
		held := s.Outcome == slip.Named || s.Outcome == slip.Undecided || s.Outcome == slip.Several
		if !identifiable(w, was, is, p) {
			out.rest++
			out.restWithheld += one(held)
			out.restWrong += one(held && !first)
			continue
		}
		out.can++
		out.first += one(first)
		out.right += one(first && meant)
		out.withheld += one(held)
	}
	return out
}

func one(yes bool) int {
	if yes {
		return 1
	}
	return 0
}

// found is what was found of the set with the slip; where a movement was out of
// another set, of the one that is likeliest to have slipped.
func found(b slip.Books, p put) (out slip.Set) {
	out.Honest = 2
	for _, s := range slip.Find(b) {
		if e, _ := datum(b, p); e != nil && e.Containers[0] == s.Containers[0] || p.kind == slip.OtherSource && s.Honest < out.Honest {
			out = s
		}
	}
	return out
}

// TestSweep: of the slips that the books can tell, the culprit is named first
// and rightly in 95 %; of honest books fewer than 1 in 500 are accused, with
// 95 % confidence (Clopper and Pearson, Biometrika 26 (1934) 404, one-sided).
// The whole sweep is the table of docs/theory/slips.md; the short one is held to
// the aims alone.
func TestSweep(t *testing.T) {
	each, honestBooks := 1000, 10000
	if testing.Short() {
		each, honestBooks = 40, 300
	}
	lines := []string{
		"| slip | put in | refused at once | identifiable | culprit first | first and right | share | withheld | others | withheld | of these wrong |",
		"|---|---|---|---|---|---|---|---|---|---|---|",
	}
	var all count
	for _, r := range rows {
		c := r.sweep(t, each)
		all.add(c)
		lines = append(lines, c.line(r.name))
	}
	lines = append(lines, all.line("all"))
	if 100*all.right < 95*all.can {
		t.Errorf("first and right in %d of %d", all.right, all.can)
	}
	lines = append(lines, "", accusations(t, honestBooks))
	if testing.Short() {
		return
	}
	hold(t, strings.Join(lines, "\n"))
}

// accusations counts honest books in which anything is withheld or doubted.
func accusations(t *testing.T, books int) string {
	accused, doubted := 0, 0
	for seed := range uint64(books) {
		b, err := honest(1e6 + seed).books()
		if err != nil {
			t.Fatal(err)
		}
		worst := slip.Agree
		for _, s := range slip.Find(b) {
			if s.Outcome != slip.Agree && (worst == slip.Agree || worst == slip.Doubt) {
				worst = s.Outcome
			}
		}
		accused += one(worst != slip.Agree && worst != slip.Doubt)
		doubted += one(worst == slip.Doubt)
	}
	upper := distuv.Beta{Alpha: float64(accused + 1), Beta: float64(books - accused)}.Quantile(0.95)
	if aim := 1.0 / 500; !testing.Short() && upper >= aim || testing.Short() && accused > 3 {
		t.Errorf("%d of %d honest books are accused: at most %.5f with 95 %%, want below %.5f", accused, books, upper, aim)
	}
	return fmt.Sprintf("Of %d honest books %d are accused, at most 1 in %.0f with 95 %% confidence; in %d a slip is doubted and nothing is withheld.", books, accused, 1/upper, doubted)
}

var numbers, bound = regexp.MustCompile(`[0-9.]+`), regexp.MustCompile(`at most 1 in [0-9]+`)

// alike says whether two tables differ by no more than a processor that rounds
// otherwise makes of a few books at the edge: two, or one in a hundred.
func alike(a, b string) bool {
	a, b = bound.ReplaceAllString(a, ""), bound.ReplaceAllString(b, "") // follows from the count
	x, y := numbers.FindAllString(a, -1), numbers.FindAllString(b, -1)
	if numbers.ReplaceAllString(a, "") != numbers.ReplaceAllString(b, "") || len(x) != len(y) {
		return false
	}
	for i := range x {
		p, _ := strconv.ParseFloat(strings.TrimSuffix(x[i], "."), 64)
		q, _ := strconv.ParseFloat(strings.TrimSuffix(y[i], "."), 64)
		if math.Abs(p-q) > 2+0.01*max(p, q) {
			return false
		}
	}
	return true
}

const begin, end = "<!-- measured by TestSweep: begin -->\n", "\n<!-- end -->"

// hold compares the measured tables with those of the theory page.
func hold(t *testing.T, measured string) {
	t.Helper()
	text, err := os.ReadFile(theory)
	if err != nil {
		t.Fatal(err)
	}
	before, rest, ok := strings.Cut(string(text), begin)
	was, after, closed := strings.Cut(rest, end)
	switch {
	case !ok || !closed:
		t.Fatalf("%s has no place for the tables", theory)
	case *update:
		if err := os.WriteFile(theory, []byte(before+begin+measured+end+after), 0o644); err != nil {
			t.Fatal(err)
		}
	case !alike(was, measured):
		t.Errorf("the tables of %s are not those measured (write them again with -update):\n%s", theory, measured)
	}
}
