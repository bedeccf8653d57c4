package site

import "testing"

// TestSettingGroups: each setting is in one group, of at most five.
func TestSettingGroups(t *testing.T) {
	n := 0
	for _, g := range settingGroups {
		of := settingsOf(g)
		if len(of) == 0 || len(of) > 5 || of[0].Path != g.first {
			t.Errorf("%s has %d settings, from %v", g.title, len(of), of)
		}
		n += len(of)
	}
	if n != len(policySettings) {
		t.Errorf("%d settings are in groups, of %d", n, len(policySettings))
	}
}
