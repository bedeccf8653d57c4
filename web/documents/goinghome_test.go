package documents

import (
	"strings"
	"testing"
	"time"

	"vialwright/paper"
	"vialwright/rules"
)

// TestReleaseLimits: a limit of a release stands on the sheet with its paragraph and mark
// (10 CFR 35.75: 5 mSv, and 1 mSv for written instructions); where the profile has none,
// the sheet says so.
func TestReleaseLimits(t *testing.T) {
	g := paper.GoingHome{At: time.Date(2027, 3, 4, 13, 30, 0, 0, time.UTC), Zone: time.UTC}
	for profile, want := range map[string][]string{
		"us":    {"get more than 5 mSv, by 10 CFR 35.75 [second-hand].", "get more than 1 mSv, by 10 CFR 35.75 [second-hand]."},
		"blank": {"has no release-limit in force on 2027-03-04.", "has no release-instructions in force on 2027-03-04."},
	} {
		p, err := rules.Load(profile)
		if err != nil {
			t.Fatal(err)
		}
		got := (&request{Room: New(&p)}).releaseLimits(g)
		if len(got) != len(want) {
			t.Fatalf("%s: %q", profile, got)
		}
		for i, s := range got {
			if !strings.HasSuffix(s, want[i]) {
				t.Errorf("%s: %q does not end with %q", profile, s, want[i])
			}
		}
	}
}
