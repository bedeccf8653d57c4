package main

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"vialwright/hotlab"
	"vialwright/hotlab/quarter"
	"vialwright/journal"
)

// quarterJournal is a journal with the invented quarter and all its faults.
func quarterJournal(t *testing.T) string {
	t.Helper()
	records, err := quarter.Records(loadZone, quarter.Codes()...)
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "lab")
	ctx := context.Background()
	log, err := openOrCreate(ctx, path)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := sealBehind(ctx, log, journal.Head{}, records); err != nil {
		t.Fatal(err)
	}
	if err := log.Close(); err != nil {
		t.Fatal(err)
	}
	return path
}

// answered runs the program as at the end of the quarter.
func answered(t *testing.T, args ...string) (string, int) {
	t.Helper()
	var out, wrong bytes.Buffer
	end, err := time.Parse(time.RFC3339, quarter.End)
	if err != nil {
		t.Fatal(err)
	}
	status := run(args, &edge{in: nil, out: &out, err: &wrong, now: func() time.Time { return end }})
	if status > 1 {
		t.Fatalf("%v: %d %s", args, status, wrong.String())
	}
	return out.String(), status
}

// TestHotLabFindsTheFaults: the command finds every fault of the quarter that can still be
// seen at its end.
func TestHotLabFindsTheFaults(t *testing.T) {
	path := quarterJournal(t)
	text, status := answered(t, "hot-lab", "--json", "--journal", path, "--rules", "us-nc")
	var got []struct{ Code, About, Page string }
	if err := json.Unmarshal([]byte(text), &got); err != nil || status != 1 {
		t.Fatalf("%d %v", status, err)
	}
	there := map[string]bool{}
	for _, f := range got {
		there[f.Code+" "+f.About+" "+f.Page] = true
	}
	over := map[hotlab.Code]bool{ // it was so on a day, and is not any more; or there are no accounts here
		hotlab.LineExceeded: true, hotlab.ContainerNowhere: true, hotlab.DoseOfNobody: true,
	}
	for _, f := range quarter.Faults {
		if !there[string(f.Code)+" "+f.About+" "+string(f.Page)] && !over[f.Code] {
			t.Errorf("%s of %s was not found", f.Code, f.About)
		}
	}
	if page, _ := answered(t, "hot-lab", "--journal", path, "--rules", "us-nc"); len(page) < 2000 {
		t.Errorf("the page has %d bytes", len(page))
	}
}

// TestBinTellsItsImpurities: what is known of a bin beside its Y-90 stands beside that, which has
// decayed to nothing when the other has not.
func TestBinTellsItsImpurities(t *testing.T) {
	dir := t.TempDir()
	file, at := filepath.Join(dir, "bin.yaml"), filepath.Join(dir, "lab.vialwright")
	if err := os.WriteFile(file, []byte(`case: 1
zone: Europe/Lisbon
entries:
  - receive:   {vial: S1, lot: L, labelled: 3.0 GBq, reference: 2026-03-04T18:00, volume: 5 mL, at: 2026-03-04T09:30}
  - discard:   {from: S1, into: W1, at: 2026-03-04T16:00}
  - close-bin: {bin: W1, at: 2026-03-04T16:30}
  - impurity:  {bin: W1, nuclide: Eu-152, at: 2026-03-05T09:00, content: 750 Bq}
`), 0o600); err != nil {
		t.Fatal(err)
	}
	now := when("2027-03-04T09:00:00Z")
	if _, err := runAt(t, now, "import", "--journal", at, "--by", "A. Example", file); err != nil {
		t.Fatal(err)
	}
	out, err := runAt(t, now, "hot-lab", "--journal", at)
	if text := strings.Join(strings.Fields(out), " "); err != nil || !strings.Contains(text, "with 750 Bq of Eu-152 on 2026-03-05 09:00 (WET, UTC)") {
		t.Errorf("%v: %s", err, out)
	}
}
