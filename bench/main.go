// Command bench measures what the project promises to be quick at, and
// prints each beside a named reference measured in the same run. It runs the
// benchmarks of the packages, the peer programs in Python where they are
// installed, and the built program itself. Absolute numbers belong to the
// machine; the ratios are what to compare. With the argument load it measures
// fifty benches at once, with years journals of ten years, and nothing else.
package main

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"vialwright/settling"
)

// measured gives the time of one operation.
type measured func(r *runner) (time.Duration, error)

// comparison is one row: what is measured and what it is set beside.
type comparison struct {
	what, reference string
	ours, theirs    measured
}

// runner keeps the benchmark results of each package, so that a package is
// run once, and the built program.
type runner struct {
	dir     string
	program string
	results map[string]map[string]time.Duration
}

var comparisons = []comparison{
	{"a case file to its page, the whole process", "a process that does nothing", (*runner).page, (*runner).nothing},
	{"a case file to its page, in process", "one dense least-squares solve in numpy of the same size", benchmark("./cmd/vialwright", "BenchmarkReckonExample"), python("bench/testdata/small_lstsq.py")},
	{"10^6 trials of the delivered activity", "numpy, vectorised, same model", benchmark("./uncertainty", "BenchmarkDeliveredChainMillionTrials"), python("uncertainty/testdata/mc_peer.py")},
	{"reconcile 1,000 containers, 5,000 readings", "one dense round of the same in gonum", benchmark("./ledger", "BenchmarkReconcileYear"), benchmark("./ledger", "BenchmarkDenseRound")},
	{"durable append of one entry", "the raw database, same statement", benchmark("./store/sqlite", "BenchmarkAppend"), benchmark("./store/sqlite", "BenchmarkBareInsert")},
	{"replay of 1,000,000 entries: decode, chain, fold", "encoding/json decoding the same bodies", benchmark("./fold", "BenchmarkReplayMillion"), benchmark("./fold", "BenchmarkReplayMillionJSON")},
	{"20,000 finished preparations: what they teach", "only folding the same cases", benchmark("./experience", "BenchmarkTake20000"), benchmark("./experience", "BenchmarkFold20000")},
	{"one more finished case on those 20,000", "going through all of them", benchmark("./experience", "BenchmarkOneMore"), benchmark("./experience", "BenchmarkTake20000")},
	{"ten minutes of settling, 7 classes, 400 cells", "explicit solver in numpy, same grid", benchmark("./settling", "BenchmarkColumn"), (*runner).settling},
	{"a day planned again after one order moved", "checking the plan in force against the same day", benchmark("./dayplan", "BenchmarkAfterKey"), benchmark("./dayplan", "BenchmarkPlanInForce")},
	{"a day of 8 orders and 4 vials, to proven optimum", "glpsol on the same day, each objective in turn", benchmark("./dayplan", "BenchmarkPlan8"), benchmark("./dayplan", "BenchmarkPlan8Glpsol")},
	{"the same day", "cbc, at most 60 s an objective", benchmark("./dayplan", "BenchmarkPlan8"), benchmark("./dayplan", "BenchmarkPlan8Cbc")},
	{"a day of 12 orders and 6 vials, to proven optimum", "glpsol, at most 60 s an objective", benchmark("./dayplan", "BenchmarkPlan12"), benchmark("./dayplan", "BenchmarkPlan12Glpsol")},
	{"the same day", "cbc, at most 60 s an objective", benchmark("./dayplan", "BenchmarkPlan12"), benchmark("./dayplan", "BenchmarkPlan12Cbc")},
	{"four days of 40 orders and 20 vials, fewest vials proven", "glpsol, at most 60 s an objective", benchmark("./dayplan", "BenchmarkPlan40"), benchmark("./dayplan", "BenchmarkPlan40Glpsol")},
	{"the same days", "cbc, at most 60 s an objective", benchmark("./dayplan", "BenchmarkPlan40"), benchmark("./dayplan", "BenchmarkPlan40Cbc")},
}

func main() {
	if err := run(); err != nil {
		fmt.Fprintln(os.Stderr, "bench:", err)
		os.Exit(1)
	}
}

func run() error {
	if len(os.Args) > 1 {
		part := map[string]func() error{"load": load, "years": ages}[os.Args[1]]
		if part == nil {
			return fmt.Errorf("there is no part %q; the parts are load and years", os.Args[1])
		}
		return part()
	}
	dir, err := os.MkdirTemp("", "vialwright-bench-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	r := &runner{dir: dir, program: filepath.Join(dir, "vialwright"), results: map[string]map[string]time.Duration{}}
	if out, err := exec.Command("go", "build", "-o", r.program, "./cmd/vialwright").CombinedOutput(); err != nil {
		return fmt.Errorf("go build: %w\n%s", err, out)
	}
	failed := false
	for _, c := range comparisons {
		ours, err := c.ours(r)
		if err != nil {
			fmt.Printf("%-48s  not measured: %v\n", c.what, err)
			failed = true
			continue
		}
		theirs, err := c.theirs(r)
		if err != nil {
			fmt.Printf("%-48s  %10s   reference not measured: %v\n", c.what, short(ours), err)
			continue
		}
		row(c.what, c.reference, ours, theirs)
	}
	if err := errors.Join(load(), ages()); err != nil || failed {
		return fmt.Errorf("something of ours could not be measured")
	}
	return nil
}

func short(d time.Duration) string {
	return strconv.FormatFloat(float64(d)/1e6, 'g', 4, 64) + " ms"
}

// line reads a line of `go test -bench`: name, iterations, ns per operation.
var line = regexp.MustCompile(`(?m)^(Benchmark\w+?)(?:-\d+)?\s+\d+\s+([0-9.e+]+) ns/op`)

// benchmark is the time per operation of a benchmark of a package.
func benchmark(pkg, name string) measured {
	return func(r *runner) (time.Duration, error) {
		key := pkg + " " + name
		if r.results[key] == nil {
			out, err := exec.Command("go", "test", "-run", "^$", "-bench", "^"+name+"$", pkg).CombinedOutput()
			if err != nil {
				return 0, fmt.Errorf("go test %s: %w\n%s", pkg, err, out)
			}
			r.results[key] = map[string]time.Duration{}
			for _, m := range line.FindAllStringSubmatch(string(out), -1) {
				ns, err := strconv.ParseFloat(m[2], 64)
				if err != nil {
					return 0, err
				}
				r.results[key][m[1]] = time.Duration(ns)
			}
		}
		d, ok := r.results[key][name]
		if !ok {
			return 0, fmt.Errorf("%s has no %s", pkg, name)
		}
		return d, nil
	}
}

// python is the time a peer script reports: the first number it prints, in
// seconds.
func python(script string, args ...string) measured {
	return func(*runner) (time.Duration, error) {
		out, err := exec.Command("/usr/bin/python3", append([]string{script}, args...)...).Output()
		if err != nil {
			return 0, fmt.Errorf("%s: %w", script, err)
		}
		f := strings.Fields(string(out))
		if len(f) == 0 {
			return 0, fmt.Errorf("%s printed nothing", script)
		}
		s, err := strconv.ParseFloat(f[0], 64)
		return time.Duration(s * 1e9), err
	}
}

// settling runs the peer on the column of BenchmarkColumn: the default vial in
// seven classes, 400 cells, 600 s.
func (r *runner) settling() (time.Duration, error) {
	c := settling.Default()
	c.Classes = 7
	res, err := settling.Run(c)
	if err != nil {
		return 0, err
	}
	text := func(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }
	args := []string{"400", "600", text(float64(res.Level)), text(res.Exponent), text(float64(c.Packing))}
	water, err := settling.Water(c.Temperature)
	if err != nil {
		return 0, err
	}
	classes, _, err := c.Sizes.Split(c.Classes)
	if err != nil {
		return 0, err
	}
	for _, k := range slices.Backward(classes) {
		f, err := settling.Terminal(k.Diameter, c.Density, water)
		if err != nil {
			return 0, err
		}
		args = append(args, text(float64(f.Velocity)), text(float64(res.Solids)*float64(k.Volume)))
	}
	return python("settling/testdata/settle.py", args...)(r)
}

func (r *runner) page() (time.Duration, error) {
	return median(r.program, "reckon", "examples/one-patient.yaml")
}

func (r *runner) nothing() (time.Duration, error) { return median("/bin/true") }

// median is the middle of 51 runs of a process, from start to end.
func median(name string, args ...string) (time.Duration, error) {
	took := make([]time.Duration, 51)
	for i := range took {
		start := time.Now()
		if out, err := exec.Command(name, args...).CombinedOutput(); err != nil {
			return 0, fmt.Errorf("%s: %w\n%s", name, err, out)
		}
		took[i] = time.Since(start)
	}
	slices.Sort(took)
	return took[len(took)/2], nil
}
