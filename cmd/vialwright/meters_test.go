package main

import (
	"bufio"
	"context"
	"io"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"vialwright/instrument"
	"vialwright/nuclide"
	"vialwright/quantity"
	"vialwright/web/live"
)

const oneMeter = `meters:
  - id: M1
    address: tcp://198.51.100.7:4001
    line: "{value} {unit}"
`

// badMeters are refused at the start, each with its place.
var badMeters = []struct{ name, file, says string }{
	{"nothing", "", "the file holds nothing"},
	{"no meter", "meters: []\n", "line 1, column 9: meters: it names 0 meters; write 1 to 16, each with id, address and line"},
	{"another file", "case: 1\n", "line 1, column 1: meters: meters is missing"},
	{"no YAML", "meters:\n  - id: [\n", "line 2: a value is missing; write one, and close each bracket"},
	{"a word", "M1\n", "line 1, column 1: the file holds a single value"},
	{"two documents", oneMeter + "---\n" + oneMeter, "line 5, column 1: a file holds one document"},
	{"an unknown field", oneMeter + "    colour: red\n", `line 5, column 5: meters[1].colour: "colour" is no field here; the fields here are id, address, `},
	{"a field twice", oneMeter + "    line: x\n", `line 5, column 5: the key "line" comes twice here; take one away`},
	{"a number for a choice", oneMeter + "    steady: 7\n", `line 5, column 13: meters[1].steady: "7" is not known here; write one of true, false`},
	{"no number", oneMeter + "    max-length: long\n", `line 5, column 17: meters[1].max-length: "long" is no whole number`},
	{"no text for a unit", oneMeter + "    units: {MBQ: [MBq]}\n", "line 5, column 18: meters[1].units.MBQ: it is a list"},
	{"no id", strings.Replace(oneMeter, "id: M1", "id: ''", 1), `line 2, column 9: meters[1].id: "" is no id`},
	{"an id with a space", strings.Replace(oneMeter, "M1", "M 1", 1), `line 2, column 9: meters[1].id: "M 1" is no id`},
	{"an id twice", oneMeter + strings.TrimPrefix(oneMeter, "meters:\n"), "line 5, column 9: meters[2].id: M1 is there twice"},
	{"no address", strings.Replace(oneMeter, "address: tcp://198.51.100.7:4001", "unit: MBq", 1), "line 2, column 5: meters[1].address: address is missing; write tcp://host:port"},
	{"no port", strings.Replace(oneMeter, ":4001", "", 1), "line 3, column 14: meters[1].address:"},
	{"no line", strings.Replace(oneMeter, "    line: \"{value} {unit}\"\n", "", 1), "line 2, column 5: meters[1].line: line is missing"},
	{"a wrong pattern", strings.Replace(oneMeter, "{unit}", "{unt}", 1), `line 4, column 11: meters[1].line: character 9 of "{value} {unt}": there is no field {unt}`},
	{"a checksum that is nowhere", oneMeter + "    checksum: xor\n", "line 4, column 11: meters[1].line: "},
	{"states that are nowhere", oneMeter + "    stable: [ST]\n", "line 2, column 5: meters[1].description: stable or unstable texts are given"},
	{"an unknown unit", oneMeter + "    units: {X: furlong}\n", "line 2, column 5: meters[1].description: "},
	{"a tag of nothing", "meters:\n  !000000 ", "line 2, column 3: tags are not read"},
	{"too much", oneMeter + strings.Repeat("# no end\n", 1<<13), "the file is larger than 65536 bytes"},
	{"too many", "meters:\n" + strings.Repeat("  - {id: M1}\n", 17), "line 2, column 3: meters: it names 17 meters; write 1 to 16"},
}

func TestMetersFile(t *testing.T) {
	for _, c := range badMeters {
		lines, err := readMeters([]byte(c.file))
		if err == nil || !strings.HasPrefix(err.Error(), c.says) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: %d meters, %v; want %s", c.name, len(lines), err, c.says)
		}
	}
	const json = `{"meters": [{"id": "M2", "address": "serial:///dev/ttyUSB0", "line": "{value} {unit}", "units": {"MBQ": "MBq"}}]}`
	for file, want := range map[string]string{
		oneMeter: "M1 tcp://198.51.100.7:4001", metersExample: "M1 tcp://127.0.0.1:7077",
		json: "M2 serial:///dev/ttyUSB0?baud=9600&bits=8&parity=none&stop=1",
	} {
		lines, err := readMeters([]byte(file))
		if err != nil || len(lines) != 1 || lines[0].id+" "+lines[0].at.String() != want {
			t.Errorf("%+v, %v; want %s", lines, err, want)
		}
	}
}

// The example reads the lines of the meter that simulate-meter plays.
func TestMetersExampleReadsTheSimulatedMeter(t *testing.T) {
	lines, err := readMeters([]byte(metersExample))
	if err != nil {
		t.Fatal(err)
	}
	played, err := instrument.Describe(practiceMeter)
	if err != nil {
		t.Fatal(err)
	}
	text, err := simulated.Line(played, 1, simulated.In.Add(time.Hour))
	if err != nil {
		t.Fatal(err)
	}
	if r, err := lines[0].parser.Parse(text); err != nil || r.State != instrument.Stable || r.Serial != "PRACTICE-1" {
		t.Errorf("%+v, %v", r, err)
	}
}

// FuzzMetersFile: whatever the file holds, it is read or refused in one line.
func FuzzMetersFile(f *testing.F) {
	f.Add([]byte(metersExample))
	for _, c := range badMeters {
		if len(c.file) < 1000 {
			f.Add([]byte(c.file))
		}
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		lines, err := readMeters(data)
		if (err == nil) != (len(lines) > 0) || err != nil && strings.Contains(err.Error(), "\n") {
			t.Fatalf("%d meters, %v", len(lines), err)
		}
	})
}

var simulated = instrument.Simulation{
	Activity: 3.24 * quantity.GigaBecquerel, In: time.Date(2027, 3, 4, 12, 0, 0, 0, time.UTC), HalfLife: nuclide.Y90.HalfLife().Value,
	Repeatability: 0.008, Unit: "GBq", Decimals: 4, Nuclide: "Y-90", Serial: "PRACTICE-1", Seed: 1,
}

var wallClock = instrument.Clock{Now: time.Now, After: time.After}

// until looks at the board until the meter is as wanted.
func until(t *testing.T, b *live.Board, what string, wanted func(live.Meter) bool) live.Meter {
	t.Helper()
	ticks := time.NewTicker(2 * time.Millisecond)
	defer ticks.Stop()
	end := time.After(30 * time.Second)
	for {
		m := b.Now(live.Query{})[0]
		if wanted(m) {
			return m
		}
		select {
		case <-ticks.C:
		case <-end:
			t.Fatalf("%s: the meter stands at %+v", what, m)
		}
	}
}

func taken(m live.Meter) bool { return m.Refuses(m.At) == "" && m.Token != "" }

// A meter on the network is heard, is lost, and is heard no more when the
// program ends.
func TestMeterOverTCP(t *testing.T) {
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	lines, err := readMeters([]byte(strings.Replace(metersExample, "127.0.0.1:7077", ln.Addr().String(), 1)))
	if err != nil {
		t.Fatal(err)
	}
	ctx, end := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() {
		ended <- instrument.Simulate(ctx, ln, simulated, lines[0].parser, 20*time.Millisecond, wallClock)
	}()
	l := listen(lines, wallClock)
	m := until(t, l.board, "a reading", taken)
	if m.Source != "tcp://"+ln.Addr().String() || !strings.HasPrefix(m.Reading.Raw, "PRACTICE-1 Y-90 ") {
		t.Errorf("%+v", m)
	}
	if found, ok := l.board.Find(m.Token); !ok || found != m.Line {
		t.Errorf("%+v, %v", found, ok)
	}
	end()
	if err := <-ended; err != nil {
		t.Error(err)
	}
	until(t, l.board, "the loss", func(m live.Meter) bool { return strings.HasPrefix(m.Trouble, "the meter cannot be heard") })
	l.close() // returns when its goroutines have ended
}

// A meter on a serial port, which is one end of a pair of pseudo-terminals.
func TestMeterOverASerialPort(t *testing.T) {
	if _, err := exec.LookPath("socat"); err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("CI=true needs socat")
		}
		t.Skip("socat is absent: it makes the pseudo-terminals that stand for a serial port")
	}
	dir := t.TempDir()
	near, far := filepath.Join(dir, "near"), filepath.Join(dir, "far")
	cmd := exec.Command("socat", "-d", "-d", "pty,raw,echo=0,link="+near, "pty,raw,echo=0,link="+far)
	said, err := cmd.StderrPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	defer func() {
		_ = cmd.Process.Signal(syscall.SIGTERM)
		_ = cmd.Wait() // it ends by the signal
	}()
	for s := bufio.NewScanner(said); s.Scan() && !strings.Contains(s.Text(), "starting data transfer loop"); {
		continue
	}
	lines, err := readMeters([]byte(strings.Replace(metersExample, "tcp://127.0.0.1:7077", "serial://"+near+"?baud=19200", 1)))
	if err != nil {
		t.Fatal(err)
	}
	l := listen(lines, wallClock)
	defer l.close()
	until(t, l.board, "the connection", func(m live.Meter) bool { return strings.HasPrefix(m.Trouble, "the meter is connected") })
	w, err := os.OpenFile(far, os.O_WRONLY|syscall.O_NOCTTY, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer w.Close()
	text, err := simulated.Line(lines[0].parser, 1, simulated.In.Add(time.Hour))
	if err != nil {
		t.Fatal(err)
	}
	// What stands before the first ending may be the rest of a line.
	if _, err := io.WriteString(w, "rest\r\n"+string(text)+"\r\n"); err != nil {
		t.Fatal(err)
	}
	if m := until(t, l.board, "a reading", taken); m.Reading.Raw != string(text) || m.Source != "serial://"+near+"?baud=19200&bits=8&parity=none&stop=1" {
		t.Errorf("%+v", m)
	}
}
