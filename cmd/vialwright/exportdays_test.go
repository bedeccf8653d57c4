package main

import (
	"archive/zip"
	"bytes"
	"context"
	"crypto/sha256"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"vialwright/casefile"
	"vialwright/dispensing"
	"vialwright/fold"
	"vialwright/store"
	"vialwright/store/sqlite"
)

// runAt runs the program in this process at a moment.
func runAt(t *testing.T, now time.Time, args ...string) (out string, err error) {
	t.Helper()
	var o, e bytes.Buffer
	run(args, &edge{strings.NewReader(""), &o, &e, func() time.Time { return now }})
	if e.Len() > 0 {
		err = fmt.Errorf("%s", e.String())
	}
	return o.String(), err
}

// TestExportDays: two files imported on two days. The archive of a day has its
// raw lines and its case file, which reckons to the figures of the file that came
// in; both days together are the two.
func TestExportDays(t *testing.T) {
	at := filepath.Join(t.TempDir(), "lab.vialwright")
	day := time.Date(2027, 3, 8, 9, 0, 0, 0, time.UTC)
	for i, args := range [][]string{{"one-patient.yaml"}, {"one-patient.yaml", "--prefix", "again-"}} {
		args[0] = filepath.Join("../../examples", args[0])
		if _, err := runAt(t, day.AddDate(0, 0, i), append([]string{"import", "--journal", at, "--by", "A. Example"}, args...)...); err != nil {
			t.Fatal(err)
		}
	}
	text, err := os.ReadFile("../../examples/one-patient.yaml")
	if err != nil {
		t.Fatal(err)
	}
	want := dispensed(t, text)
	lines := map[string]int{}
	for _, c := range []struct {
		from, to string
		cases    []string
	}{
		{"2027-03-08", "2027-03-08", []string{"P1"}}, {"2027-03-09", "", []string{"again-P1"}}, {"2027-03-08", "2027-03-09", []string{"P1", "again-P1"}},
	} {
		out, err := runAt(t, day, "export", "--journal", at, "--from", c.from, "--to", c.to)
		if err != nil {
			t.Fatal(err)
		}
		z, err := zip.NewReader(strings.NewReader(out), int64(len(out)))
		if err != nil {
			t.Fatal(err)
		}
		if len(z.File) != len(c.cases)+2 {
			t.Errorf("%s to %s: %d files", c.from, c.to, len(z.File))
		}
		read := func(name string) []byte {
			f, err := z.Open(name)
			if err != nil {
				t.Fatal(err)
			}
			data, err := io.ReadAll(f)
			if err != nil {
				t.Fatal(err)
			}
			return data
		}
		for _, id := range c.cases {
			if got := dispensed(t, read("cases/"+id+".yaml")); got != want {
				t.Errorf("%s gives %v, the file that came in %v", id, got, want)
			}
		}
		lines[c.from+c.to] = bytes.Count(read("records.txt"), []byte("\n"))
	}
	if lines["2027-03-082027-03-09"] != lines["2027-03-082027-03-08"]+lines["2027-03-09"] || lines["2027-03-09"] == 0 {
		t.Errorf("lines %v", lines)
	}
	for _, c := range []struct{ from, to, says string }{
		{"yesterday", "", "is no day"}, {"2027-03-09", "2027-03-08", "lies before --from"}, {"2027-03-01", "", "nothing was recorded"},
	} {
		if _, err := runAt(t, day, "export", "--journal", at, "--from", c.from, "--to", c.to); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s to %s: %v", c.from, c.to, err)
		}
	}
}

// TestExportDayWithoutMidnight: on 28 March 2027 the clocks of the Azores are put forward at
// midnight (the rule of the European Union, 01:00 UTC). What was recorded half an hour before that
// is of the day before, and what was recorded half an hour before the next midnight of that day.
func TestExportDayWithoutMidnight(t *testing.T) {
	at := filepath.Join(t.TempDir(), "lab.vialwright")
	for prefix, recorded := range map[string]string{"27-": "2027-03-27T23:30:00-01:00", "28-": "2027-03-28T23:30:00Z"} {
		if _, err := runAt(t, when(recorded), "import", "--ahead", "--journal", at, "--by", "A. Example", "--prefix", prefix, "../../examples/one-patient.yaml"); err != nil {
			t.Fatal(err)
		}
	}
	for day, want := range map[string]string{"2027-03-27": "cases/27-P1.yaml", "2027-03-28": "cases/28-P1.yaml"} {
		out, err := runAt(t, when("2027-03-29T09:00:00Z"), "export", "--journal", at, "--from", day)
		if err != nil {
			t.Fatal(err)
		}
		z, err := zip.NewReader(strings.NewReader(out), int64(len(out)))
		if err != nil {
			t.Fatal(err)
		}
		readme, err := fs.ReadFile(z, "README.txt")
		if err != nil || len(z.File) != 3 || z.File[0].Name != want || !strings.Contains(string(readme), "Records of "+day+" to "+day) {
			t.Errorf("%s: %s of %d files, %v: %s", day, z.File[0].Name, len(z.File), err, readme)
		}
	}
}

// dispensed is what the only order of a case file got.
func dispensed(t *testing.T, text []byte) string {
	t.Helper()
	f, err := casefile.Decode(text, time.LoadLocation)
	if err != nil {
		t.Fatal(err)
	}
	c, err := fold.File(f)
	if err != nil {
		t.Fatal(err)
	}
	o := dispensing.Reckon(c, c.Last).Orders[0]
	return fmt.Sprintf("%.12g ± %.12g", float64(o.Dispensed.Activity), float64(o.Dispensed.U))
}

// TestOldFormat: a journal of format 1, whose chain ran over the records
// themselves, is refused by name by every command, and not changed.
func TestOldFormat(t *testing.T) {
	at := filepath.Join(t.TempDir(), "old.vialwright")
	log, err := sqlite.Create(t.Context(), at)
	if err != nil {
		t.Fatal(err)
	}
	body := `{"v":1,"case":"C-17","recorded":"2026-03-04T12:10:31Z","by":"rp-3","kind":"case","fact":{"zone":"Atlantic/Azores"}}`
	hash := sha256.Sum256([]byte(strings.Repeat("0", 64) + "\n1\n" + body + "\n"))
	if err := log.Append(context.Background(), store.Head{}, store.Record{Seq: 1, Body: []byte(body), Hash: hash}); err != nil {
		t.Fatal(err)
	}
	if err := log.Close(); err != nil {
		t.Fatal(err)
	}
	before, err := os.ReadFile(at)
	if err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{
		{"verify"},
		{"export", "P1"},
		{"export", "--raw"},
		{"export", "--from", "2026-03-04"},
		{"import", "--ahead", "../../examples/one-patient.yaml", "--by", "A. Example"},
	} {
		_, err := runAt(t, time.Now(), append(args, "--journal", at)...)
		if err == nil || !strings.Contains(err.Error(), "link 1: it is a record of format 1") || !strings.Contains(err.Error(), "import those into a new journal") {
			t.Errorf("%v: %v", args, err)
		}
	}
	if after, err := os.ReadFile(at); err != nil || !bytes.Equal(before, after) {
		t.Errorf("the old journal was changed: %v", err)
	}
}
