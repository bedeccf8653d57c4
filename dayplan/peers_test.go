package dayplan_test

import (
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"
)

// peerSolver is a general-purpose solver of integer programs: how it is called, and
// how its answer is read.
type peerSolver struct {
	name string
	args func(problem, answer string) []string
	read func(text string) (values map[string]float64, ok bool)
}

// GLPK 5.0 (package glpk-utils) and CBC 2.10 (package coinor-cbc).
var peerSolvers = []peerSolver{
	{"glpsol", func(problem, answer string) []string {
		return []string{"--lp", problem, "--tmlim", "60", "-o", answer}
	}, readGlpk},
	{"cbc", func(problem, answer string) []string {
		return []string{problem, "sec", "60", "ratio", "0", "allow", "0", "solve", "solution", answer}
	}, readCbc},
}

// readGlpk reads the columns of a printed answer; the value follows the mark of an
// integer column.
func readGlpk(text string) (map[string]float64, bool) {
	_, columns, ok := strings.Cut(text, "Column name")
	if !ok || !strings.Contains(text, "INTEGER OPTIMAL") {
		return nil, false
	}
	out := map[string]float64{}
	for _, line := range strings.Split(columns, "\n") {
		if f := strings.Fields(line); len(f) >= 4 && f[2] == "*" {
			out[f[1]], _ = strconv.ParseFloat(f[3], 64)
		}
	}
	return out, true
}

// readCbc reads a solution file: number, name, value; what is 0 is not there.
func readCbc(text string) (map[string]float64, bool) {
	head, rest, _ := strings.Cut(text, "\n")
	if !strings.HasPrefix(head, "Optimal") {
		return nil, false
	}
	out := map[string]float64{}
	for _, line := range strings.Split(rest, "\n") {
		if f := strings.Fields(line); len(f) >= 3 {
			out[f[1]], _ = strconv.ParseFloat(f[2], 64)
		}
	}
	return out, true
}

// need gives the solver, or skips where it is absent; with CI=true an absent one is a
// failure.
func (p peerSolver) need(t testing.TB) {
	t.Helper()
	if testing.Short() {
		t.Skip("-short: the solvers that it is compared with are not asked")
	}
	if _, err := exec.LookPath(p.name); err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("%s is required in CI and absent: %v", p.name, err)
		}
		t.Skipf("%s is absent, and the plans are not compared with its optima: %v", p.name, err)
	}
}

// run asks the solver, and gives what it says and the processor time that it took.
func (p peerSolver) run(problem, answer string) ([]byte, time.Duration, error) {
	c := exec.Command(p.name, p.args(problem, answer)...)
	out, err := c.CombinedOutput()
	return out, c.ProcessState.UserTime() + c.ProcessState.SystemTime(), err
}

// program is a linear program over columns of 0 and 1.
type program struct {
	costs [6]map[string]float64
	base  [6]int64
	rows  []string
	names []string
}

// sum is a linear form.
type sum struct {
	names   []string
	factors map[string]float64
}

func (s *sum) add(factor float64, name string) {
	if factor == 0 {
		return
	}
	if s.factors == nil {
		s.factors = map[string]float64{}
	}
	if _, there := s.factors[name]; !there {
		s.names = append(s.names, name)
	}
	s.factors[name] += factor
}

func (s *sum) String() string {
	var b strings.Builder
	for _, name := range s.names {
		fmt.Fprintf(&b, " %+.17g %s\n", s.factors[name], name)
	}
	return b.String()
}

func (p *program) row(s *sum, relation string, right float64) {
	if len(s.names) > 0 {
		p.rows = append(p.rows, fmt.Sprintf(" r%d: %s %s %.17g\n", len(p.rows), s, relation, right))
	}
}

func (p *program) column(name string, costs [6]int64) {
	p.names = append(p.names, name)
	for k, c := range costs {
		if c != 0 {
			p.costs[k][name] = float64(c)
		}
	}
}

// pack is a column: a set of choices from one source.
type pack struct {
	name    string
	source  int
	choices []choice
	weight  float64 // −ln of its odds
}

// packs are all sets of choices that one vial holds with the odds wanted, and every
// choice from a drawn dose.
func (r *reference) packs() (out []pack) {
	name := func() string { return fmt.Sprintf("x%d", len(out)) }
	for v := range r.d.Vials {
		var grow func(o int, taken []choice)
		grow = func(o int, taken []choice) {
			if o == len(r.d.Orders) {
				return
			}
			grow(o+1, taken)
			for _, c := range r.choices[o] {
				if c.source != v {
					continue
				}
				next := append(append([]choice{}, taken...), c)
				demands := make([]float64, len(next))
				for i := range next {
					demands[i] = next[i].demand
				}
				odds := r.odds(v, demands, 0, 0)
				if odds < float64(r.d.Odds) || (r.d.Vials[v].Punctures > 0 && len(next) > r.d.Vials[v].Punctures) {
					continue
				}
				out = append(out, pack{name(), v, next, -math.Log(odds)})
				grow(o+1, next)
			}
		}
		grow(0, nil)
	}
	for o := range r.d.Orders {
		for _, c := range r.choices[o] {
			if c.source >= len(r.d.Vials) {
				out = append(out, pack{name(), c.source, []choice{c}, 0})
			}
		}
	}
	return out
}

// program writes a day as a linear program. The odds are one row, since with a yield
// whose mean is known the vials are independent.
func (r *reference) program() *program {
	p := &program{}
	for k := range p.costs {
		p.costs[k] = map[string]float64{}
	}
	for i, v := range r.d.Vials {
		if v.Opened {
			p.base[4] += thousand(r.usable(i))
		}
	}
	for k := range r.d.Doses {
		p.base[4] += thousand(r.doseAtEnd(k))
	}
	packs := r.packs()
	sources := make([]sum, len(r.d.Vials)+len(r.d.Doses))
	orders := make([]sum, len(r.d.Orders))
	var odds sum
	for _, x := range packs {
		var cost [6]int64
		if x.source < len(r.d.Vials) && !r.d.Vials[x.source].Opened {
			cost[2], cost[4] = 1, thousand(r.usable(x.source))
		}
		for _, c := range x.choices {
			cost[1] += c.broken
			cost[3] += c.changes
			cost[4] -= c.kilo
			cost[5] += c.hand
			orders[c.order].add(1, x.name)
		}
		p.column(x.name, cost)
		sources[x.source].add(1, x.name)
		odds.add(x.weight, x.name)
	}
	for o := range orders {
		name := fmt.Sprintf("u%d", o)
		p.column(name, [6]int64{1})
		orders[o].add(1, name)
		p.row(&orders[o], "=", 1)
	}
	for i := range sources {
		p.row(&sources[i], "<=", 1)
	}
	p.row(&odds, "<=", -math.Log(float64(r.d.Odds)))
	r.suiteRows(p, packs)
	r.licenceRows(p, packs)
	r.benchRows(p, packs)
	return p
}

// having adds the packs with a choice for which ok holds.
func having(s *sum, packs []pack, ok func(choice) bool) {
	for _, x := range packs {
		for _, c := range x.choices {
			if ok(c) {
				s.add(1, x.name)
			}
		}
	}
}

func (r *reference) suiteRows(p *program, packs []pack) {
	starts := func(o int) map[time.Time]bool {
		out := map[time.Time]bool{}
		for _, c := range r.choices[o] {
			out[c.infuse] = true
		}
		return out
	}
	for a, x := range r.d.Orders {
		for b := range a {
			if x.Suite == "" || x.Suite != r.d.Orders[b].Suite {
				continue
			}
			for s := range starts(a) {
				for t := range starts(b) {
					if math.Abs(s.Sub(t).Seconds()) < float64(r.d.Infusion) {
						var row sum
						having(&row, packs, func(c choice) bool {
							return (c.order == a && c.infuse.Equal(s)) || (c.order == b && c.infuse.Equal(t))
						})
						p.row(&row, "<=", 1)
					}
				}
			}
		}
	}
}

func (r *reference) licenceRows(p *program, packs []pack) {
	for _, at := range r.arrivals() {
		room, adds := r.room(at)
		var row sum
		for _, x := range packs {
			if x.source < len(adds) && adds[x.source] > 0 {
				if room < 0 {
					adds[x.source], room = 1, 0
				}
				row.add(adds[x.source]/1e9, x.name)
			}
		}
		p.row(&row, "<=", max(0, room)/1e9)
	}
}

// benchRows give each draw one start, within what its infusion allows, and bound
// benches, people and vials slot by slot.
func (r *reference) benchRows(p *program, packs []pack) {
	type draw struct{ order, vial, slot int }
	names := map[draw]string{}
	var list []draw
	for o := range r.d.Orders {
		for v := range r.d.Vials {
			var link sum
			some := false
			for slot := range r.slots {
				open := false
				for _, c := range r.choices[o] {
					open = open || (c.source == v && c.first >= 0 && c.first <= slot && slot <= c.last)
				}
				if open {
					x := draw{o, v, slot}
					names[x] = fmt.Sprintf("z%d", len(list))
					list = append(list, x)
					p.column(names[x], [6]int64{})
					link.add(1, names[x])
					some = true
				}
			}
			if !some {
				continue
			}
			for _, x := range packs {
				if x.source == v {
					for _, c := range x.choices {
						if c.order == o {
							link.add(-1, x.name)
						}
					}
				}
			}
			p.row(&link, "=", 0)
		}
	}
	for o := range r.d.Orders {
		for _, c := range r.choices[o] {
			if c.source >= len(r.d.Vials) {
				continue
			}
			var row sum
			some := false
			for _, x := range list {
				if x.order == o && x.vial == c.source && (x.slot < c.first || x.slot > c.last) {
					row.add(1, names[x])
					some = true
				}
			}
			if some {
				having(&row, packs, func(y choice) bool { return y.order == o && y.source == c.source && y.infuse.Equal(c.infuse) })
				p.row(&row, "<=", 1)
			}
		}
	}
	for slot := range r.slots {
		var places, draws, checks, either sum
		vials := make([]sum, len(r.d.Vials))
		for _, x := range list {
			if x.slot <= slot && slot < x.slot+r.takes {
				last := float64(one(slot >= x.slot+r.takes-r.check))
				places.add(1, names[x])
				draws.add(1, names[x])
				checks.add(last, names[x])
				either.add(1+last, names[x])
				vials[x.vial].add(1, names[x])
			}
		}
		a, b, c := r.present(slot)
		p.row(&places, "<=", float64(r.d.Bench.Count))
		p.row(&draws, "<=", float64(a))
		p.row(&checks, "<=", float64(b))
		p.row(&either, "<=", float64(c))
		for v := range vials {
			p.row(&vials[v], "<=", 1)
		}
	}
}

// lp writes the program in the LP format, for one objective.
func (p *program) lp(objective int, fixed []string) string {
	var b strings.Builder
	var s sum
	for _, name := range p.names {
		s.add(p.costs[objective][name], name)
	}
	fmt.Fprintf(&b, "Minimize\n obj: %sSubject To\n%s%sBinary\n", &s, strings.Join(p.rows, ""), strings.Join(fixed, ""))
	for _, name := range p.names {
		b.WriteString(" " + name + "\n")
	}
	b.WriteString("End\n")
	return b.String()
}

// solve has a solver minimise each objective in turn, with the former fixed. The value
// of each is reckoned from the columns, so that it is whole. took is processor time.
func (p *program) solve(t testing.TB, by peerSolver) (v [6]int64, took time.Duration, ok bool) {
	t.Helper()
	dir := t.TempDir()
	var fixed []string
	for k := range v {
		v[k] = p.base[k]
		if len(p.costs[k]) == 0 {
			continue
		}
		problem, answer := filepath.Join(dir, "day.lp"), filepath.Join(dir, "answer.txt")
		if err := os.WriteFile(problem, []byte(p.lp(k, fixed)), 0o600); err != nil {
			t.Fatal(err)
		}
		out, cpu, err := by.run(problem, answer)
		took += cpu
		if err != nil {
			t.Fatalf("%s: %v\n%s", by.name, err, out)
		}
		text, err := os.ReadFile(answer)
		if err != nil {
			t.Fatalf("%s gave no answer: %v\n%s", by.name, err, out)
		}
		values, proven := by.read(string(text))
		if !proven {
			return v, took, false
		}
		var row sum
		for _, name := range p.names {
			c := p.costs[k][name]
			v[k] += int64(c) * int64(math.Round(values[name]))
			row.add(c, name)
		}
		fixed = append(fixed, fmt.Sprintf(" f%d: %s <= %.17g\n", k, &row, float64(v[k]-p.base[k])+0.4))
	}
	return v, took, true
}

// TestPeers holds the optima of invented days against those of two general-purpose
// solvers, each objective in turn with the former fixed.
func TestPeers(t *testing.T) {
	for _, by := range peerSolvers {
		t.Run(by.name, func(t *testing.T) {
			by.need(t)
			t.Parallel()
			days := uint64(200)
			if by.name == "cbc" && os.Getenv("VIALWRIGHT_LONG") == "" {
				days = 50 // it takes eight times as long to start
			}
			for seed := range days {
				d := random(1000+seed, 6, 4, false)
				want, _, ok := refer(d).program().solve(t, by)
				if !ok {
					t.Fatalf("seed %d: no optimum", seed)
				}
				if got := scoreOf(solve(t, d).Score); got != want {
					t.Errorf("seed %d: %v, by %s %v", seed, got, by.name, want)
				}
			}
		})
	}
}
