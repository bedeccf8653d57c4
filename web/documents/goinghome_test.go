package documents

import (
	"strings"
	"testing"
	"time"

	"vialwright/paper"
	"vialwright/rules"
	"vialwright/web/kit"
)

// A site's own limit, half as high from the day after the infusion on.
const changed = `profile: our-site
title: An invented site
approved-by: MP1
approved-on: 2027-01-10
values:
  - {key: release-limit, figure: 5 mSv, compare: ">", citation: site policy 9 version 1, mark: site, to: 2027-03-05}
  - {key: release-limit, figure: 2.5 mSv, compare: ">", citation: site policy 9 version 2, mark: site, from: 2027-03-05}
`

// TestReleaseLimits: a limit of a release stands on the sheet with its paragraph and mark
// (10 CFR 35.75: 5 mSv, and 1 mSv for written instructions); where the profile has none,
// the sheet says so. It is the limit in force on the day of the release in the zone of the
// site, whatever it was on the day of the infusion, and until then that of today.
func TestReleaseLimits(t *testing.T) {
	site, err := rules.Read([]byte(changed))
	if err != nil {
		t.Fatal(err)
	}
	profile := func(id string) rules.Profile {
		p, err := rules.Load(id)
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	at := func(day, hour int) time.Time { return time.Date(2027, 3, day, hour, 30, 0, 0, time.UTC) }
	azores := time.FixedZone("-01", -3600)
	for name, c := range map[string]struct {
		profile        rules.Profile
		released, made time.Time
		want           []string
	}{
		"us": {profile("us"), at(4, 17), at(4, 18), []string{
			"Limits in force on 2027-03-04, the day of the release.", "get more than 5 mSv, by 10 CFR 35.75 [second-hand].", "get more than 1 mSv, by 10 CFR 35.75 [second-hand].",
		}},
		"blank": {profile("blank"), at(4, 17), at(4, 18), []string{
			"2027-03-04, the day of the release.", "has no release-limit in force on 2027-03-04.", "has no release-instructions in force on 2027-03-04.",
		}},
		"released the same day":         {site, at(4, 17), at(6, 9), []string{"2027-03-04, the day of the release.", "get more than 5 mSv, by site policy 9 version 1 [site].", "has no release-instructions in force on 2027-03-04."}},
		"released the next day":         {site, at(5, 9), at(6, 9), []string{"2027-03-05, the day of the release.", "get more than 2.5 mSv, by site policy 9 version 2 [site].", "has no release-instructions in force on 2027-03-05."}},
		"the day before, where it was":  {site, at(5, 0), at(6, 9), []string{"2027-03-04, the day of the release.", "get more than 5 mSv, by site policy 9 version 1 [site].", "has no release-instructions in force on 2027-03-04."}},
		"not released, made a day on":   {site, time.Time{}, at(5, 9), []string{"2027-03-05, today, since no release is recorded yet.", "get more than 2.5 mSv, by site policy 9 version 2 [site].", "has no release-instructions in force on 2027-03-05."}},
		"not released, made that night": {site, time.Time{}, at(4, 23), []string{"2027-03-04, today, since no release is recorded yet.", "get more than 5 mSv, by site policy 9 version 1 [site].", "has no release-instructions in force on 2027-03-04."}},
	} {
		got := (&request{&kit.Request{Server: &kit.Server{Hooks: kit.Hooks{Rules: &c.profile}}}}).releaseLimits(paper.GoingHome{At: at(4, 13), Zone: azores, Released: c.released, Made: c.made})
		if len(got) != len(c.want) {
			t.Fatalf("%s: %q", name, got)
		}
		for i, s := range got {
			if !strings.HasSuffix(s, c.want[i]) {
				t.Errorf("%s: %q does not end with %q", name, s, c.want[i])
			}
		}
	}
}
