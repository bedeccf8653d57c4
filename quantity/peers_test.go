package quantity

import (
	"bufio"
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"
	"time"
)

// peer runs another program on the input lines and gives its output lines, as
// many as wanted. It skips where the program is absent, except in CI.
func peer(t *testing.T, input []string, want int, program string, args ...string) []string {
	t.Helper()
	if testing.Short() {
		t.Skip("-short: the program that it is compared with is not asked")
	}
	path, err := exec.LookPath(program)
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("%s is required in CI: %v", program, err)
		}
		t.Skipf("%s is absent: no comparison with it", program)
	}
	cmd := exec.Command(path, args...)
	cmd.Stdin = strings.NewReader(strings.Join(input, "\n") + "\n")
	var errs bytes.Buffer
	cmd.Stderr = &errs
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%s: %v\n%s", program, err, errs.String())
	}
	var lines []string
	for s := bufio.NewScanner(bytes.NewReader(out)); s.Scan(); {
		lines = append(lines, s.Text())
	}
	if len(lines) != want {
		t.Fatalf("%s answered %d lines, not %d", program, len(lines), want)
	}
	return lines
}

// python runs a script of testdata with the system's Python.
func python(t *testing.T, script string, input []string) []string {
	t.Helper()
	return peer(t, input, len(input), "/usr/bin/python3", "testdata/"+script)
}

// TestUnitsAgainstGNUUnits asks GNU units for each factor. It calculates in
// float64, a few roundings for each factor: 4 ulp (1e-15) are allowed. Celsius is no
// factor and is left out; GNU's year is another one, so the day stands in.
func TestUnitsAgainstGNUUnits(t *testing.T) {
	theirs := map[string]string{
		"uCi": "microcurie", "mCi": "millicurie", "Ci": "curie",
		"uL": "microliter", "mL": "milliliter", "L": "liter", "cm3": "cm^3",
		"h": "hour", "d": "day", "a": "365.2422 day", "min": "minute",
		"nSv/h": "nanosievert/hour", "uSv/h": "microsievert/hour", "mSv/h": "millisievert/hour", "Sv/h": "sievert/hour", "mrem/h": "millirem/hour",
		"uSv": "microsievert", "um": "micrometer", "%": "percent",
		"Bq/cm2": "Bq/cm^2", "kBq/cm2": "kBq/cm^2", "dpm/100cm2": "(1/minute)/(100 cm^2)",
		"cm2": "cm^2", "m2": "m^2", "cps": "1/s", "cpm": "1/minute",
		"uGy/h": "microgray/hour", "mGy/h": "milligray/hour", "uR/h": "microroentgen/hour", "mR/h": "milliroentgen/hour", "R/h": "roentgen/hour",
	}
	base := [kinds]string{"Bq", "milliliter", "g", "s", "microsievert/hour", "Gy", "microsievert", "Bq/cm^2", "cm^2", "1/s", "1", "", "mm", ""}
	var input []string
	var ours []*unit
	for k := range kinds {
		for i := range classes[k].units {
			if k == temperature {
				continue
			}
			u := &classes[k].units[i]
			from, ok := theirs[u.symbol]
			if !ok {
				from = u.symbol
			}
			to := base[k]
			if k == meterRate { // each family has its own
				to = theirs[Family(Stated[MeterRate]{Text: "1 " + u.symbol})]
			}
			input = append(input, from, to)
			ours = append(ours, u)
		}
	}
	lines := peer(t, input, len(ours), "/usr/bin/units", "--terse", "--output-format", "%.17g")
	for i, u := range ours {
		got, err := strconv.ParseFloat(lines[i], 64)
		want, _ := u.rat().Float64()
		if err != nil || math.Abs(got/want-1) > 1e-15 {
			t.Errorf("1 %s = %v base units, GNU units says %q", u.symbol, want, lines[i])
		}
	}
}

// TestParseAgainstPythonFractions compares every bit of 20 000 values, with
// numbers of 1 to 30 digits in every unit.
func TestParseAgainstPythonFractions(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	var input []string
	var of []kind
	for range 20_000 {
		k := kind(rng.IntN(int(kinds)))
		u := classes[k].units[rng.IntN(len(classes[k].units))]
		number := strconv.Itoa(1 + rng.IntN(9))
		for range rng.IntN(9) {
			number += strconv.Itoa(rng.IntN(10))
		}
		if places := rng.IntN(22); places > 0 {
			number += "."
			for range places {
				number += strconv.Itoa(rng.IntN(10))
			}
		}
		if rng.IntN(3) == 0 {
			number += "e" + strconv.Itoa(rng.IntN(600)-300)
		}
		input = append(input, number+" "+u.symbol)
		of = append(of, k)
	}
	for i, line := range python(t, "exact.py", input) {
		want, err := strconv.ParseFloat(line, 64)
		if err != nil && line != "inf" {
			t.Fatalf("Python answered %q", line)
		}
		got, _, refused := read(of[i], input[i])
		if math.IsInf(want, 0) || want == 0 {
			if refused == nil {
				t.Errorf("%s = %v, Python says %s", input[i], got, line)
			}
		} else if refused != nil || got != want {
			t.Errorf("%s = %v (%v), Python says %v", input[i], got, refused, want)
		}
	}
}

// TestFiguresAgainstPythonDecimal compares 20 000 printed values and
// uncertainties in the units that are powers of ten, where Python's Decimal is
// exact and so is our rounding.
func TestFiguresAgainstPythonDecimal(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	var units []*unit
	for k := range kinds {
		for i := range classes[k].units {
			if u := &classes[k].units[i]; u.num == 1 && u.den == 1 {
				units = append(units, u)
			}
		}
	}
	var input, want []string
	for i := range 20_000 {
		un := units[rng.IntN(len(units))]
		v := (rng.Float64() - 0.3) * math.Pow10(rng.IntN(14)-3)
		u := rng.Float64() * math.Pow10(rng.IntN(14)-6)
		if i%4 == 0 { // whole and half numbers, so that ties occur
			v, u = math.Round(v*2)/2, math.Max(1, math.Round(u))
		}
		input = append(input, fmt.Sprintf("%x %x %d", v, u, un.exp))
		f := figure(v, u, un)
		want = append(want, f.Value+" "+f.U)
	}
	for i, line := range python(t, "figures.py", input) {
		if line != want[i] {
			t.Errorf("%s is printed %q, Python says %q", input[i], want[i], line)
		}
	}
}

// TestLocalTimesAgainstPythonZoneinfo compares local times around every clock
// change from 2000 to 2040 in zones of every kind, and at the edges of each
// gap and fold.
func TestLocalTimesAgainstPythonZoneinfo(t *testing.T) {
	var input, names []string
	var walls []time.Time
	for _, name := range zones {
		z := zone(t, name)
		for _, at := range changes(z) {
			_, before := at.Add(-time.Second).In(z).Zone()
			_, after := at.In(z).Zone()
			for _, edge := range []int{before, after} {
				for _, s := range []int{-86400, -5400, -1800, -900, -1, 0, 1, 900, 1799, 1800, 3599, 3600, 5400, 86399} {
					wall := at.UTC().Add(time.Duration(edge+s) * time.Second)
					input = append(input, name+" "+wall.Format("2006-01-02T15:04:05"))
					names, walls = append(names, name), append(walls, wall)
				}
			}
		}
	}
	for i, line := range python(t, "zones.py", input) {
		var want []time.Time
		for _, f := range strings.Fields(line) {
			s, err := strconv.ParseInt(f, 10, 64)
			if err != nil {
				t.Fatalf("Python answered %q", line)
			}
			want = append(want, time.Unix(s, 0))
		}
		checkLocal(t, names[i], zone(t, names[i]), walls[i], want)
	}
	t.Logf("%d local times compared", len(input))
}
