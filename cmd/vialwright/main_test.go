package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"vialwright/fact/facttest"
	"vialwright/store/postgres/pgtest"
	"vialwright/witness"
)

// The scripts in testdata read as a manual: each runs the real program.
func TestMain(m *testing.M) {
	testscript.Main(stopping{m}, map[string]func(){
		"vialwright": func() { main() },
	})
}

// stopping ends the shared database server, if there is one, after the tests.
type stopping struct{ *testing.M }

func (m stopping) Run() int {
	defer pgtest.Stop()
	return m.M.Run()
}

func TestScripts(t *testing.T) {
	examples, err := filepath.Abs("../../examples")
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir:           "testdata",
		UpdateScripts: os.Getenv("UPDATE") == "1",
		Setup: func(e *testscript.Env) error {
			e.Setenv("EXAMPLES", examples)
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"exits": exits, "flip": flip, "digits": digits,
		},
	})
}

// exits N COMMAND... runs the program and wants that exit status.
func exits(ts *testscript.TestScript, _ bool, args []string) {
	err := ts.Exec(args[1], args[2:]...)
	got := "0"
	if err != nil {
		got = err.Error()[len("exit status "):]
	}
	if got != args[0] {
		ts.Fatalf("exit status %s, want %s", got, args[0])
	}
}

// flip FILE OLD NEW replaces every OLD by NEW, as a slip or a forger would.
func flip(ts *testscript.TestScript, _ bool, args []string) {
	path := ts.MkAbs(args[0])
	data, err := os.ReadFile(path)
	ts.Check(err)
	changed := bytes.ReplaceAll(data, []byte(args[1]), []byte(args[2]))
	if bytes.Equal(changed, data) {
		ts.Fatalf("%s does not hold %q", args[0], args[1])
	}
	ts.Check(os.WriteFile(path, changed, 0o600))
}

// digits N FILE COUNT puts so many digits of the hash of record N in raw lines into
// DIGITS, as they are printed.
func digits(ts *testscript.TestScript, _ bool, args []string) {
	count, err := strconv.Atoi(args[2])
	ts.Check(err)
	for line := range strings.Lines(ts.ReadFile(args[1])) {
		l, err := facttest.ParseLink(strings.TrimSuffix(line, "\n"))
		ts.Check(err)
		if strconv.FormatUint(l.Seq, 10) == args[0] {
			ts.Setenv("DIGITS", witness.Digits(l.Hash, count))
		}
	}
}

// BenchmarkReckonExample is the shipped example from its file to its page, in
// process.
func BenchmarkReckonExample(b *testing.B) {
	for b.Loop() {
		var out, errs bytes.Buffer
		e := &edge{nil, &out, &errs, func() time.Time { panic("reckon asked the clock") }}
		if status := run([]string{"reckon", "../../examples/one-patient.yaml"}, e); status != 0 || errs.Len() > 0 {
			b.Fatalf("status %d: %s", status, errs.String())
		}
	}
}
