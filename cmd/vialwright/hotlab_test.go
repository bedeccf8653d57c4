package main

import (
	"bytes"
	"context"
	"encoding/json"
	"path/filepath"
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
