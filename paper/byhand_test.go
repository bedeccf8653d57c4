package paper_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"vialwright/casefile"
	"vialwright/dispensing"
	"vialwright/fold"
	"vialwright/paper"
)

// site begins the invented books of these tests: no real patient, site or meter.
const site = `case: 1
zone: Atlantic/Azores
policy: {limit: 20 %, draw-yield: {q: 96 %, u: 4 %}}
meters:
  - id: M1
    calibration-u: 2 %
    repeatability: 0.8 %
    geometry:
      shipping-vial: {factor: 1.02, u: 0.5 %, basis: label}
      syringe: {factor: 0.95, u: 1 %, basis: label}
      administration-vial: {factor: 0.98, u: 1 %, basis: label}
entries:
  - order: {id: P1, patient: DEMO-0042, territory: right lobe, version: 1, prescribed: 1.30 GBq, at: 2027-03-04T13:30, residual: 2 %}
  - receive: {vial: S1, lot: L-0311, labelled: 3.0 GBq, reference: 2027-03-04T18:00, volume: 5 mL, at: 2027-03-04T08:00}
`

// books are the ends of the books, by name.
var books = map[string]string{
	"received": "",
	"assayed":  assayed,
	"drawn, not assayed": assayed + `
  - draw: {from: S1, into: Y1, for: P1, at: 2027-03-04T11:10, volume: 2.2 mL}
`,
	"normal": drawn + given + after,
	"replicates, in two units": strings.Replace(drawn, "  - draw", `
  - read: {of: S1, meter: M1, at: 2027-03-04T11:04, gross: 88.9 mCi, background: 5.4 uCi}
  - draw`, 1) + `
  - read: {of: S1, meter: M1, at: 2027-03-04T11:16, gross: 1.90 GBq, background: 0.2 MBq}
  - read: {of: Y1, meter: M1, at: 2027-03-04T11:17, gross: 1.27 GBq, background: 0.2 MBq}
`,
	"stopped":             drawn + strings.Replace(given, "complete", "stasis", 1) + strings.NewReplacer("6.4", "64", "6.2", "62").Replace(after),
	"before the residual": drawn + given,
	"what is left was read": drawn + given + `
  - read: {of: A1, meter: M1, at: 2027-03-04T15:12, gross: 47.3 MBq, background: 0.2 MBq}
`,
	"cancelled": assayed + `
  - cancel: {for: P1, reason: the patient was unwell, at: 2027-03-04T11:30}
`,
	"checked": drawn + `
  - second-check: {for: P1, of: S1, meter: M1, at: 2027-03-04T11:30, gross: 1.91 GBq, background: 0.2 MBq, activity: 1.32 GBq, shared: 3}
`,
	"slipped":    strings.Replace(drawn, "gross: 1.92", "gross: 19.2", 1) + given + after,
	"two orders": drawn + second + given + after,
	// The order keeps the tolerance of before.
	"a setting changed": drawn + `
  - policy: {tolerance: 2 %, limit: 20 %, draw-yield: {q: 96 %, u: 4 %}, from: 2027-03-04T12:00, reason: decided in spring}
`,
}

const (
	assayed = `
  - read: {of: S1, meter: M1, at: 2027-03-04T11:00:30, gross: 3.30 GBq, background: 0.2 MBq}
`
	drawn = assayed + `
  - draw: {from: S1, into: Y1, for: P1, at: 2027-03-04T11:10, volume: 2.2 mL}
  - read: {of: S1, meter: M1, at: 2027-03-04T11:14, gross: 1.92 GBq, background: 0.2 MBq}
`
	given = `
  - make-up: {of: Y1, at: 2027-03-04T11:18, volume: 1.3 mL, diluent: water for injection, lot: W-77}
  - transfer: {from: Y1, into: A1, at: 2027-03-04T11:20}
  - residual: {for: P1, before: {at: 2027-03-04T11:30, rate: [182 uSv/h, 180 uSv/h], background: 0.2 uSv/h}}
  - infuse: {for: P1, start: 2027-03-04T13:31, stop: 2027-03-04T14:05, reason: complete}
`
	after = `
  - residual: {for: P1, after: {at: 2027-03-04T15:12, rate: [6.4 uSv/h, 6.2 uSv/h], background: 0.2 uSv/h}}
`
	second = `
  - order: {id: P2, patient: DEMO-0043, territory: left lobe, version: 1, prescribed: 0.77 GBq, at: 2027-03-04T14:30, residual: 2 %}
  - draw: {from: S1, into: Y2, for: P2, at: 2027-03-04T11:40, volume: 1.3 mL}
  - read: {of: S1, meter: M1, at: 2027-03-04T11:44, gross: 1.11 GBq, background: 0.2 MBq}
`
)

// book folds and reckons one of the books.
func book(t *testing.T, name string) (dispensing.Case, dispensing.Result) {
	t.Helper()
	return folded(t, strings.Replace(site, "case: 1", "case: 2", 1)+books[name])
}

func folded(t *testing.T, text string) (dispensing.Case, dispensing.Result) {
	t.Helper()
	f, err := casefile.Decode([]byte(text), time.LoadLocation)
	if err != nil {
		t.Fatalf("%v in\n%s", err, text)
	}
	c, err := fold.File(f)
	if err != nil {
		t.Fatalf("%v in\n%s", err, text)
	}
	c = c.AsOf(time.Date(2027, 3, 4, 17, 0, 0, 0, time.UTC))
	return c, dispensing.Reckon(c, time.Time{})
}

func sheet(t *testing.T, name, order string) paper.Sheet {
	t.Helper()
	c, r := book(t, name)
	return sheetOf(c, r, order)
}

func sheetOf(c dispensing.Case, r dispensing.Result, order string) paper.Sheet {
	s := paper.FromResult(c, r, order, paper.Record{
		Software: "vialwright test", Made: time.Date(2027, 3, 4, 17, 0, 0, 0, time.UTC), Head: "9f2c",
	})
	s.Use = paper.ForPractice
	return s
}

// text is what a person reads of a sheet, by poppler.
func text(t *testing.T, s paper.Sheet) string {
	t.Helper()
	pdf, err := s.PDF()
	if err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(t.TempDir(), "sheet.pdf")
	if err := os.WriteFile(name, pdf, 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("pdftotext", "-raw", name, "-").Output()
	if err != nil {
		t.Skip("peer missing: pdftotext, Debian poppler-utils")
	}
	return string(out)
}

var (
	edges    = regexp.MustCompile(`(?s)Not a medical device[^\f]*?page \d+ of \d+\n\f([^\n]*\n){2}`)
	bracket  = regexp.MustCompile(`\[([^\[\]]* = [^\[\]]*)\]`)
	anyWhite = regexp.MustCompile(`\s+`)
)

// Anyone who recomputes a sheet by hand with the numbers printed on it finds its
// results: every working of every sheet is read from the PDF and worked out
// again, to one unit of the last of seven digits.
func TestSheetWorkedByHand(t *testing.T) {
	for name := range books {
		orders := []string{"P1"}
		if strings.HasPrefix(name, "two") {
			orders = append(orders, "P2")
		}
		for _, order := range orders {
			t.Run(name+" "+order, func(t *testing.T) {
				printed, found := workAgain(t, sheet(t, name, order))
				least := map[string]int{"received": 2, "assayed": 8, "normal": 20, "checked": 17, "two orders": 15}[name]
				if strings.Contains(printed, ", cancelled") != (name == "cancelled") {
					t.Errorf("that the order was cancelled is not told from the others: %s", printed)
				}
				if found < max(least, 1) {
					t.Errorf("%d workings on the sheet:\n%s", found, printed)
				}
			})
		}
	}
}

// workAgain works out every bracket on a sheet, and gives its text and their
// number.
func workAgain(t *testing.T, s paper.Sheet) (string, int) {
	t.Helper()
	printed := anyWhite.ReplaceAllString(edges.ReplaceAllString(text(t, s), ""), " ")
	found := bracket.FindAllStringSubmatch(printed, -1)
	for _, m := range found {
		parts := strings.Split(m[1], " = ")
		want, got := parts[len(parts)-1], parts[len(parts)-2]
		w, g := evaluate(t, want), evaluate(t, got)
		if math.Abs(w-g) > 1e-6*math.Abs(w)+4e-9*largest(got) {
			t.Errorf("printed %s, and its numbers give %.9g:\n%s", want, g, m[1])
		}
	}
	if strings.Count(printed, "[") != len(found) {
		t.Errorf("%d workings of %d brackets on the sheet:\n%s", len(found), strings.Count(printed, "["), printed)
	}
	return printed, len(found)
}

// The same of twelve books drawn at random: activities, volumes, moments to the
// second, scatter, replicates, and readings of the syringe.
func TestRandomSheetsWorkedByHand(t *testing.T) {
	for seed := range uint64(12) {
		rng := rand.New(rand.NewPCG(seed, 1))
		at := func(minute int) time.Time {
			return time.Date(2027, 3, 4, 11, minute, rng.IntN(60), 0, time.FixedZone("", -3600))
		}
		truth, volume := (2.4+0.6*rng.Float64())*1e9, 4+2*rng.Float64()
		var lines string
		read := func(of string, minute int, factor, held float64) {
			when := at(minute)
			carried := held * math.Exp2(when.Sub(time.Date(2027, 3, 4, 19, 0, 0, 0, time.UTC)).Seconds()/-230550)
			lines += fmt.Sprintf("\n  - read: {of: %s, meter: M1, at: \"%s\", gross: %.4g GBq, background: 0.2 MBq}", of, when.Format(time.RFC3339), factor*carried*(1+0.006*rng.NormFloat64())/1e9)
		}
		for i := range 1 + rng.IntN(2) {
			read("S1", 2*i, 1.02, truth)
		}
		share := 0.3 + 0.2*rng.Float64()
		lines += fmt.Sprintf("\n  - draw: {from: S1, into: Y1, for: P1, at: \"%s\", volume: %.2f mL}", at(10).Format(time.RFC3339), share*volume)
		for i := range 1 + rng.IntN(2) {
			read("S1", 12+2*i, 1.02, truth*(1-share))
		}
		if rng.IntN(2) == 0 {
			read("Y1", 17, 0.95, truth*share)
		}
		head := strings.Replace(strings.Replace(site, "volume: 5 mL", fmt.Sprintf("volume: %.2f mL", volume), 1), "labelled: 3.0 GBq", fmt.Sprintf("labelled: %.2f GBq", truth/1e9), 1)
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			c, r := folded(t, head+lines+given+after)
			if _, n := workAgain(t, sheetOf(c, r, "P1")); n < 18 {
				t.Errorf("%d workings of the book\n%s\n%v", n, lines, r.Findings)
			}
		})
	}
}

// What stands beside a working is its result.
func TestFiguresAreTheirWorkings(t *testing.T) {
	n := 0
	for name := range books {
		for _, s := range sheet(t, name, "P1").Sections {
			for _, r := range s.Rows {
				m := bracket.FindAllStringSubmatch(r.How, -1)
				for i, value := range []string{r.Value, r.U} {
					if i >= len(m) || value == "" || r.Unit == "" {
						continue
					}
					n++
					parts := strings.Split(m[i][1], " = ")
					want := evaluate(t, parts[len(parts)-1])
					got := evaluate(t, value+" "+r.Unit)
					_, decimals, _ := strings.Cut(value, ".")
					ulp := math.Pow10(-len(decimals)) * evaluate(t, "1 "+r.Unit)
					if r.U == "" {
						ulp = math.Max(ulp, math.Abs(got)*1e-3)
					}
					if math.Abs(want-got) > 0.501*ulp {
						t.Errorf("%s, %s: %s %s beside %s", name, r.Label, value, r.Unit, m[i][1])
					}
				}
			}
		}
	}
	if n < 60 {
		t.Errorf("only %d figures stand beside a working", n)
	}
}

// What rests on a slip that nobody has resolved is withheld, with its reason, and
// stands as no figure.
func TestWithheldOnTheSheet(t *testing.T) {
	printed := strings.Join(strings.Fields(text(t, sheet(t, "slipped", "P1"))), " ")
	for _, want := range []string{"Vial S1 withheld, see", "Dispensed withheld, see", "Delivered withheld, see", "Volume withheld, see", "Entry 5: ", "A1 administration vial withheld, see"} {
		if !strings.Contains(printed, want) {
			t.Errorf("the sheet does not say %q: %s", want, printed)
		}
	}
	if figure := regexp.MustCompile(`(Dispensed|Delivered|received|then held|S1 shipping vial|95 % interval) \d`).FindString(printed); figure != "" {
		t.Errorf("the sheet says %q: %s", figure, printed)
	}
}

var literal = regexp.MustCompile(`\d+(\.\d+)?`)

// largest is the largest number in an expression: the nine digits of the others
// are lost beside it.
func largest(expression string) (most float64) {
	for _, l := range literal.FindAllString(expression, -1) {
		v, _ := strconv.ParseFloat(l, 64)
		most = math.Max(most, v)
	}
	return most
}

// scale are the units of a working in MBq, mL, h and µSv/h.
var scale = map[string]float64{"%": 0.01, "MBq": 1, "GBq": 1000, "kBq": 1e-3, "Bq": 1e-6, "mL": 1, "h": 1, "min": 1 / 60., "µSv/h": 1}

// calculator works an expression out as a person would with a pocket
// calculator: + - · / ^, brackets, exp, sqrt, log2, Φ, ln2, and units after
// numbers.
type calculator struct {
	t    *testing.T
	rest string
}

func evaluate(t *testing.T, expression string) float64 {
	t.Helper()
	c := &calculator{t, expression}
	v := c.sum()
	if strings.TrimSpace(c.rest) != "" {
		t.Fatalf("%q is left of %q", c.rest, expression)
	}
	return v
}

// take takes one of the words off the front.
func (c *calculator) take(words ...string) string {
	c.rest = strings.TrimLeft(c.rest, " ")
	for _, w := range words {
		if strings.HasPrefix(c.rest, w) {
			c.rest = c.rest[len(w):]
			return w
		}
	}
	return ""
}

func (c *calculator) sum() float64 {
	v := c.product()
	for {
		switch c.take("+", "-") {
		case "+":
			v += c.product()
		case "-":
			v -= c.product()
		default:
			return v
		}
	}
}

func (c *calculator) product() float64 {
	v := c.power()
	for {
		switch c.take("·", "/") {
		case "·":
			v *= c.power()
		case "/":
			v /= c.power()
		default:
			return v
		}
	}
}

func (c *calculator) power() float64 {
	if c.take("-") != "" {
		return -c.power()
	}
	v := c.one()
	if c.take("^") != "" {
		v = math.Pow(v, c.one())
	}
	return v
}

func (c *calculator) one() float64 {
	functions := map[string]func(float64) float64{
		"exp": math.Exp, "sqrt": math.Sqrt, "log2": math.Log2, "": func(x float64) float64 { return x },
		"Φ": func(x float64) float64 { return math.Erfc(-x/math.Sqrt2) / 2 },
	}
	f := functions[c.take("exp", "sqrt", "log2", "Φ")]
	switch {
	case c.take("(") != "":
		v := c.sum()
		if c.take(")") == "" {
			c.t.Fatalf("no bracket before %q", c.rest)
		}
		return f(v)
	case c.take("ln2") != "":
		return math.Ln2
	}
	number := regexp.MustCompile(`^\d+(\.\d+)?(e-?\d+)?`).FindString(strings.TrimLeft(c.rest, " "))
	v, err := strconv.ParseFloat(number, 64)
	if err != nil {
		c.t.Fatalf("no number at %q", c.rest)
	}
	c.take(number)
	if u := c.take("%", "MBq", "GBq", "kBq", "Bq", "mL", "µSv/h", "min", "h"); u != "" {
		v *= scale[u]
	}
	return v
}

func TestCalculator(t *testing.T) {
	for expression, want := range map[string]float64{
		"1300 MBq/(1 - 2 %)": 1300 / 0.98, "5 mL·2/(50 %·4)": 5, "exp(-ln2·2 h/1 h)": 0.25, "-2·-3 + 4^2/2": 14, "Φ(0) - Φ(-1.96)": 0.475002,
		"((6.4 µSv/h + 6.2 µSv/h)/2 - 0.2 µSv/h)": 6.1, "sqrt((3 MBq)^2 + (4 MBq)^2)": 5, "2 h·log2(1/2)": -2,
	} {
		if got := evaluate(t, expression); math.Abs(got-want) > 1e-6 {
			t.Error(fmt.Sprint(expression, ": ", got, ", want ", want))
		}
	}
}
