package settling

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"vialwright/quantity"
)

const theory = "../docs/theory/settling.md"

// The worked example of the package comment.
func TestPackageExample(t *testing.T) {
	c := Default()
	c.Sizes.SD = 0
	m, err := c.prepare()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "rho_f", float64(m.fluid.Density), 0.99821, 5e-6)
	near(t, "mu", float64(m.fluid.Viscosity), 1.0016, 5e-5)
	near(t, "v0", m.v[0], 0.3434, 2e-4)
	f, err := Terminal(c.Sizes.Mean, c.Density, m.fluid)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "Re", f.Reynolds, 0.0111, 5e-3)
	near(t, "n", m.n, 4.65, 0)
	near(t, "phi_0", m.solids, 0.2157, 3e-4)
	v := slip(m.v, m.phi, m.n)[0]
	near(t, "clear line", v, 0.1110, 5e-4)
	near(t, "bed", m.solids*v/(0.60-m.solids), 0.0623, 1e-3)
}

// The tables of docs/theory/settling.md between the marks are what this
// program gives now. UPDATE=1 writes them again.
func TestTheoryTablesAreCurrent(t *testing.T) {
	raw, err := os.ReadFile(theory)
	if err != nil {
		t.Fatal(err)
	}
	text := string(raw)
	for name, want := range map[string]string{"single": singleTable(t), "window": windowTable(t), "tips": tipTable(t)} {
		open, shut := "<!-- "+name+" -->\n", "<!-- /"+name+" -->"
		a, b := strings.Index(text, open), strings.Index(text, shut)
		if a < 0 || b < a {
			t.Fatalf("%s: no marks for %s", theory, name)
		}
		a += len(open)
		if text[a:b] == want {
			continue
		}
		if os.Getenv("UPDATE") != "1" {
			t.Errorf("%s: table %s is out of date; run the test with UPDATE=1. Now:\n%s", theory, name, want)
		}
		text = text[:a] + want + text[b:]
	}
	if os.Getenv("UPDATE") == "1" {
		if err := os.WriteFile(theory, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

func singleTable(t *testing.T) string {
	var b strings.Builder
	b.WriteString("| d, um | v0 at 15 C | 20 C | 25 C | 37 C | Re at 20 C |\n|---|---|---|---|---|---|\n")
	for _, um := range []quantity.Length{20, 25, 32, 32.5, 40, 60} {
		fmt.Fprintf(&b, "| %g |", float64(um))
		re := 0.0
		for _, c := range []quantity.Temperature{15, 20, 25, 37} {
			w, err := Water(c)
			if err != nil {
				t.Fatal(err)
			}
			f, err := Terminal(um*quantity.Micrometre, 1.6, w)
			if err != nil {
				t.Fatal(err)
			}
			if c == 20 {
				re = f.Reynolds
			}
			fmt.Fprintf(&b, " %.3f |", float64(f.Velocity))
		}
		fmt.Fprintf(&b, " %.4f |\n", re)
	}
	return b.String()
}

func windowTable(t *testing.T) string {
	c := Default()
	budget, err := Budgeted(c)
	if err != nil {
		t.Fatal(err)
	}
	windows, err := c.windows(200, 1)
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	b.WriteString("| input | value | u | window at -u, s | at +u, s | part, s |\n|---|---|---|---|---|---|\n")
	for _, r := range budget.Rows {
		fmt.Fprintf(&b, "| %s | %.4g %s | %.2g | %.0f | %.0f | %.1f |\n", r.Input, r.Value, r.Unit, r.U,
			float64(r.Low), float64(r.High), float64(r.U1))
	}
	fmt.Fprintf(&b, "| **together** | | | **%.0f** as given | | **%.1f** |\n\n", float64(budget.Window), float64(budget.U))
	mean, sd := moments(windows)
	fmt.Fprintf(&b, "Monte Carlo, %d trials: mean %.0f s, standard deviation %.0f s, 95 %% between %.0f s and %.0f s; at least %.0f s with 95 %% probability.\n\n",
		len(windows), mean, sd, float64(atLeast(windows, 0.025)), float64(atLeast(windows, 0.975)), float64(atLeast(windows, 0.05)))
	b.WriteString("| choice of model | window, s |\n|---|---|\n")
	for _, a := range budget.Alternatives {
		fmt.Fprintf(&b, "| %s | %.0f |\n", a.Name, float64(a.Window))
	}
	return b.String()
}

func tipTable(t *testing.T) string {
	var b strings.Builder
	b.WriteString("| tip, mm | full vial, 5 %: window, s | ended by | 10 %: window, s | ended by | a tenth of the spheres, 5 %: window, s | ended by |\n|---|---|---|---|---|---|---|\n")
	for _, tip := range []quantity.Length{1, 2, 3, 5, 8, 10} {
		fmt.Fprintf(&b, "| %g |", float64(tip))
		for _, change := range []func(*Case){
			func(*Case) {}, func(c *Case) { c.Tolerance = 0.10 }, func(c *Case) { c.Count /= 10 },
		} {
			c := Default()
			c.Tip = tip
			change(&c)
			m, err := c.prepare()
			if err != nil {
				t.Fatal(err)
			}
			w := m.window(c.Cells)
			fmt.Fprintf(&b, " %.0f | %s |", math.Floor(float64(w.Until)), w.Exit)
		}
		b.WriteString("\n")
	}
	return b.String()
}
