package main

import (
	"errors"
	"fmt"
	"os/exec"
	"regexp"
	"strconv"
	"strings"
	"time"
)

// errAbsent says that something cannot be measured on this machine.
var errAbsent = errors.New("the database server to measure with is not there (make ci-deps)")

// loads are the runs of fifty benches at once (load_test.go), by what the
// journal is kept in.
var loads = []struct{ store, benchmark string }{
	{"SQLite", "BenchmarkBenchesSQLite"},
	{"PostgreSQL", "BenchmarkBenchesPostgres"},
}

// loadRows are what is shown of each: our metric and that of the raw database.
var loadRows = []struct{ what, reference, ours, theirs string }{
	{"one bench writes, middle answer", "raw durable append, one writer", "alone-p50-ms", "raw-alone-p50-ms"},
	{"one bench writes, slowest 1 %", "raw durable append, one writer", "alone-p99-ms", "raw-alone-p50-ms"},
	{"one bench writes, slowest 1 %", "slowest 1 % of the raw appends", "alone-p99-ms", "raw-alone-p99-ms"},
	{"50 write at once, middle answer", "raw durable append, 50 writers", "own-p50-ms", "raw-50-p50-ms"},
	{"50 write at once, slowest 1 %", "raw durable append, 50 writers", "own-p99-ms", "raw-50-p50-ms"},
}

// writers are the runs of appends without a web page (writers_test.go).
var writers = []struct{ what, benchmark string }{
	{"PostgreSQL: one writer, an append", "BenchmarkWritersPostgres/1"},
	{"PostgreSQL: 50 writers, a batch of appends", "BenchmarkWritersPostgres/50"},
	{"PostgreSQL: 50 writers who go on, a batch", "BenchmarkWritersPostgres/50-on"},
}

// load measures the benches on each store and prints the rows.
func load() error {
	var failed error
	for _, w := range writers {
		m, err := metrics("./bench", w.benchmark)
		switch {
		case err == nil:
			// The ratio is the middle one of the rounds; the middle times are of different rounds.
			row(w.what, "the same batches in a bare loop of pgx", millis(m["ms/batch"]), millis(m["ms/batch"]/m["x-bare"]))
		default:
			fmt.Printf("%-48s  not measured: %v\n", w.what, err)
			if !errors.Is(err, errAbsent) {
				failed = err
			}
		}
	}
	for _, l := range loads {
		m, err := metrics("./bench", l.benchmark)
		if err != nil {
			fmt.Printf("%-48s  not measured: %v\n", "50 benches with open streams, "+l.store, err)
			if !errors.Is(err, errAbsent) {
				failed = err
			}
			continue
		}
		for _, r := range loadRows {
			row(l.store+": "+r.what, r.reference, millis(m[r.ours]), millis(m[r.theirs]))
		}
		for _, part := range []struct{ what, metric string }{{"middle answer", "p50-ms"}, {"slowest 1 %", "p99-ms"}} {
			row(l.store+": 50 on 50 orders, an entry each 2 s, "+part.what, "one bench at that rate", millis(m["paced-fifty-"+part.metric]), millis(m["paced-one-"+part.metric]))
		}
		fmt.Printf("%-48s  %g entries at that rate were refused, %g without pauses\n", l.store+": refused since others were first", m["paced-refused"], m["own-refused"])
		fmt.Printf("%-48s  %g records, %g events delivered to 50 streams, %g missed, %g streams opened again\n",
			l.store+": events", m["records"], m["events-delivered"], m["events-missed"], m["streams-opened-again"])
	}
	return failed
}

// sizes are the runs of ten years of a network (years_test.go).
var sizes = []struct{ what, benchmark string }{
	{"100,000 entries", "BenchmarkYears100k"},
	{"2,000,000 entries", "BenchmarkYears2M"},
}

// ages measures journals of ten years and prints the rows.
func ages() error {
	for _, s := range sizes {
		m, err := metrics("./bench", s.benchmark)
		if err != nil {
			fmt.Printf("%-48s  not measured: %v\n", s.what, err)
			return err
		}
		row(s.what+": start until the first page", "verifying the whole journal", millis(m["first-page-ms"]), millis(m["verify-ms"]))
		row(s.what+": the same, of the processors", "verifying the whole journal", millis(m["first-page-cpu-ms"]), millis(m["verify-cpu-ms"]))
		row(s.what+": the same without a checkpoint", "verifying the whole journal", millis(m["read-first-page-ms"]), millis(m["verify-ms"]))
		for _, page := range []string{"board", "bench"} {
			row(s.what+": "+page+", middle answer, year ten", "the same in year one", millis(m[page+"-p50-ms"]), millis(m["year1-"+page+"-p50-ms"]))
			row(s.what+": "+page+", slowest 1 %, year ten", "the same in year one", millis(m[page+"-p99-ms"]), millis(m["year1-"+page+"-p99-ms"]))
		}
		for _, part := range []struct{ what, metric string }{
			{"resident size, year ten", "resident"},
			{"of it memory of the program", "anonymous"},
			{"of it mapped files, its own code among them", "mapped"},
			{"the most it ever was", "most"},
			{"what the language holds, with 256 MiB of ballast", "live"},
			{"the index in a file, mostly not resident", "aside"},
		} {
			ten, one := m[part.metric+"-MB"], m["year1-"+part.metric+"-MB"]
			fmt.Printf("%-48s  %7.4g MB   %7.4g MB  the same in year one   ratio %.4g\n", s.what+": "+part.what, ten, one, ten/one)
		}
	}
	return nil
}

func millis(ms float64) time.Duration { return time.Duration(ms * 1e6) }

func row(what, reference string, ours, theirs time.Duration) {
	fmt.Printf("%-48s  %10s   %10s  %s   ratio %.4g\n", what, short(ours), short(theirs), reference, float64(ours)/float64(theirs))
}

// value is one metric of a line of `go test -bench`.
var value = regexp.MustCompile(`\s([0-9.e+-]+) (\S+)`)

// metrics runs a benchmark once and gives its metrics by their units.
func metrics(pkg, name string) (map[string]float64, error) {
	out, err := exec.Command("go", "test", "-run", "^$", "-bench", "^"+name+"$", "-benchtime", "1x", pkg).CombinedOutput()
	if err != nil {
		return nil, fmt.Errorf("go test %s: %w\n%s", pkg, err, out)
	}
	_, text, ok := strings.Cut(string(out), "\n"+name)
	if !ok || !strings.Contains(text, "ns/op") {
		return nil, errAbsent
	}
	found := map[string]float64{}
	line, _, _ := strings.Cut(text, "\nPASS")
	for _, m := range value.FindAllStringSubmatch(line, -1) {
		if found[m[2]], err = strconv.ParseFloat(m[1], 64); err != nil {
			return nil, err
		}
	}
	return found, nil
}
