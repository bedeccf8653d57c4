package dayplan_test

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"vialwright/dayplan"
)

// compact writes a day with one column for each choice, for days too large for
// columns of sets. Draws do not scatter in it, so that the odds of a vial depend on the
// sum of its demands alone: −ln Φ is convex, and is bounded from below by tangents. The
// odds are thereby a little too good, to the favour of the solvers.
func (r *reference) compact() *program {
	p := &program{}
	for k := range p.costs {
		p.costs[k] = map[string]float64{}
	}
	var packs []pack
	loads := make([]sum, len(r.d.Vials))
	orders := make([]sum, len(r.d.Orders))
	counts := make([]sum, len(r.d.Vials))
	for o := range r.choices {
		for _, c := range r.choices[o] {
			x := pack{name: fmt.Sprintf("x%d", len(packs)), source: c.source, choices: []choice{c}}
			packs = append(packs, x)
			p.column(x.name, [6]int64{0, c.broken, 0, c.changes, -c.kilo, c.hand})
			loads[c.source].add(c.demand/r.usable(c.source), x.name)
			counts[c.source].add(1, x.name)
			orders[o].add(1, x.name)
		}
	}
	for o := range orders {
		name := fmt.Sprintf("u%d", o)
		p.column(name, [6]int64{1})
		orders[o].add(1, name)
		p.row(&orders[o], "=", 1)
	}
	var odds sum
	z := math.Sqrt2 * math.Erfinv(2*float64(r.d.Odds)-1)
	for v := range loads {
		opened, u := fmt.Sprintf("y%d", v), float64(r.d.Vials[v].U)
		p.column(opened, [6]int64{0, 0, 1, 0, thousand(r.usable(v))})
		held := loads[v].clone()
		held.add(-(1 - z*u), opened)
		p.row(held, "<=", 0)
		counts[v].add(-float64(r.d.Vials[v].Punctures), opened)
		p.row(&counts[v], "<=", 0)
		for k := range 40 { // −ln Φ(r) at r = (1 − load)/u
			at := z + float64(k)*0.1
			value, slope := -math.Log(normal(at)), math.Exp(-at*at/2)/math.Sqrt(2*math.Pi)/normal(at)
			tangent := loads[v].clone()
			tangent.scale(slope / u)
			tangent.add(-1, fmt.Sprintf("t%d", v))
			p.row(tangent, "<=", -value-slope*at+slope/u)
		}
		odds.add(1, fmt.Sprintf("t%d", v))
	}
	p.row(&odds, "<=", -math.Log(float64(r.d.Odds)))
	r.suiteRows(p, packs)
	r.benchRows(p, packs)
	return p
}

func (s *sum) clone() *sum {
	out := &sum{}
	for _, name := range s.names {
		out.add(s.factors[name], name)
	}
	return out
}

func (s *sum) scale(by float64) {
	for name := range s.factors {
		s.factors[name] *= by
	}
}

// certain is a day of realDay whose draws do not scatter.
func certain(seed uint64, orders, vials int) dayplan.Day {
	d := realDay(seed, orders, vials)
	d.Scatter = 0
	return d
}

// TestPeersOnRealDays holds days of 12 orders and 6 vials against the solvers, which
// take a minute or two for each.
func TestPeersOnRealDays(t *testing.T) {
	if os.Getenv("VIALWRIGHT_LONG") == "" {
		t.Skip("minutes for each day: set VIALWRIGHT_LONG=1")
	}
	for _, by := range peerSolvers {
		t.Run(by.name, func(t *testing.T) {
			by.need(t)
			for seed := range uint64(4) {
				d := certain(seed, 12, 6)
				want, took, ok := refer(d).compact().solve(t, by)
				if got := scoreOf(solve(t, d).Score); ok && got != want {
					t.Errorf("seed %d: %v, by %s %v", seed, got, by.name, want)
				}
				t.Logf("seed %d: %s %v, proven %v", seed, by.name, took, ok)
			}
		})
	}
}

// TestPeersOnLargeDay asks the solvers for the fewest vials of a day of 40 orders and 20
// vials, all orders served, and then for the least activity left with so many vials, in 60 s
// each. What they prove lies between the plan and its bound; what is not proven is printed, to
// compare the gaps.
func TestPeersOnLargeDay(t *testing.T) {
	if os.Getenv("VIALWRIGHT_LONG") == "" {
		t.Skip("four minutes: set VIALWRIGHT_LONG=1")
	}
	d := certain(1, 40, 20)
	before := processor()
	mine, err := dayplan.Solve(d, 10000)
	if err != nil || mine.Score.Unserved > 0 || mine.Bound.Vials != mine.Score.Vials {
		t.Fatalf("%v, %+v, bound %+v", err, mine.Score, mine.Bound)
	}
	t.Logf("here: %v, bound %v, in %v", scoreOf(mine.Score), scoreOf(mine.Bound), processor()-before)
	p := refer(d).compact()
	most := func(k int, limit float64) string {
		var row sum
		for name, c := range p.costs[k] {
			row.add(c, name)
		}
		return fmt.Sprintf(" most%d: %s <= %.17g\n", k, &row, limit)
	}
	for _, k := range []int{2, 4} {
		fixed := []string{most(0, 0)}
		if k == 4 {
			fixed = append(fixed, most(2, float64(mine.Score.Vials)+0.4))
		}
		problem := filepath.Join(t.TempDir(), "day.lp")
		if err := os.WriteFile(problem, []byte(p.lp(k, fixed)), 0o600); err != nil {
			t.Fatal(err)
		}
		for _, by := range peerSolvers {
			by.need(t)
			answer := filepath.Join(t.TempDir(), "answer.txt")
			out, took, err := by.run(problem, answer)
			text, _ := os.ReadFile(answer)
			values, proven := by.read(string(text))
			value := p.base[k]
			for name, c := range p.costs[k] {
				value += int64(c) * int64(math.Round(values[name]))
			}
			t.Logf("%s, objective %d: %v, proven %v with %d, %v\n%s", by.name, k, err, proven, value, took, tail(string(out), 12))
			if proven && (value > scoreOf(mine.Score)[k] || value < scoreOf(mine.Bound)[k]) {
				t.Errorf("%s has %d of objective %d, and here are %v, bound %v", by.name, value, k, scoreOf(mine.Score), scoreOf(mine.Bound))
			}
		}
	}
}

// tail are the last lines of a text.
func tail(text string, n int) string {
	lines := strings.Split(strings.TrimSpace(text), "\n")
	return strings.Join(lines[max(0, len(lines)-n):], "\n")
}

// The benchmarks solve one and the same day: 8 orders and 4 vials, 12 and 6; of 40 and 20
// the first four objectives are proven, and the solvers have 60 s for the first alone.
func benchmarkPlan(b *testing.B, orders, vials int) {
	d := certain(1, orders, vials)
	before := processor()
	for b.Loop() {
		steps := enough
		if orders > 12 {
			steps = 10000
		}
		p, err := dayplan.Solve(d, steps)
		if err != nil || p.Score.Unserved > 0 || p.Bound.Vials < p.Score.Vials || (orders <= 12 && !p.Proven) {
			b.Fatal(err, p.Score, p.Bound)
		}
		b.ReportMetric(float64(p.Score.Left-p.Bound.Left)/1e9, "GBq-gap")
	}
	b.ReportMetric((processor()-before).Seconds()/float64(b.N), "cpu-s/op")
}

func benchmarkPeer(b *testing.B, by peerSolver, orders, vials int) {
	by.need(b)
	p := refer(certain(1, orders, vials)).compact()
	var took time.Duration
	for range b.N {
		_, t, _ := p.solve(b, by)
		took += t
	}
	b.ReportMetric(took.Seconds()/float64(b.N), "cpu-s/op")
}

func BenchmarkPlan8(b *testing.B)        { benchmarkPlan(b, 8, 4) }
func BenchmarkPlan8Glpsol(b *testing.B)  { benchmarkPeer(b, peerSolvers[0], 8, 4) }
func BenchmarkPlan8Cbc(b *testing.B)     { benchmarkPeer(b, peerSolvers[1], 8, 4) }
func BenchmarkPlan12(b *testing.B)       { benchmarkPlan(b, 12, 6) }
func BenchmarkPlan12Glpsol(b *testing.B) { benchmarkPeer(b, peerSolvers[0], 12, 6) }
func BenchmarkPlan12Cbc(b *testing.B)    { benchmarkPeer(b, peerSolvers[1], 12, 6) }
func BenchmarkPlan40(b *testing.B)       { benchmarkPlan(b, 40, 20) }
func BenchmarkPlan40Glpsol(b *testing.B) { benchmarkPeer(b, peerSolvers[0], 40, 20) }
func BenchmarkPlan40Cbc(b *testing.B)    { benchmarkPeer(b, peerSolvers[1], 40, 20) }
