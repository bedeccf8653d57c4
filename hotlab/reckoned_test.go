package hotlab_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"vialwright/protection"
	"vialwright/quantity"
)

// Thirteen odd wipes, worked out apart from the program by the formulas of Currie (Anal. Chem.
// 40 (1968) 586) as plain arithmetic: net, its uncertainty, detection limit, what is said of
// the level, and the time for which sample and blank have to be counted. Among them one count
// either side of the critical level, a net of nothing, one that is the level itself, and a
// blank of three counts.
func TestWipesReckonedApart(t *testing.T) {
	for _, c := range []struct {
		gross, time, blank, blankTime int
		efficiency, removed           string
		area, level                   string
		surface, u, sees              float64 // Bq/cm2
		state                         protection.State
		seconds                       float64
	}{
		{118, 60, 100, 60, "40 %", "10 %", "300 cm2", "0.4 Bq/cm2", 0.025, 0.0205067, 0.0683737, protection.BelowCritical, 0},
		{310, 60, 100, 60, "40 %", "10 %", "300 cm2", "0.2 Bq/cm2", 0.2916667, 0.0281229, 0.0683737, protection.AtAction, 0},
		{124, 60, 100, 60, "40 %", "10 %", "300 cm2", "0.4 Bq/cm2", 0.0333333, 0.0207870, 0.0683737, protection.BelowAction, 0},
		{123, 60, 100, 60, "40 %", "10 %", "300 cm2", "0.4 Bq/cm2", 0.0319444, 0.0207405, 0.0683737, protection.BelowCritical, 0},
		{60, 60, 30, 60, "35 %", "10 %", "100 cm2", "200 dpm/100cm2", 0.1428571, 0.0451754, 0.1342262, protection.AtAction, 0},
		{33, 60, 30, 60, "35 %", "10 %", "100 cm2", "200 dpm/100cm2", 0.0142857, 0.0377965, 0.1342262, protection.CannotSee, 840.8396},
		{250, 60, 240, 600, "45 %", "10 %", "100 cm2", "0.4 Bq/cm2", 0.8370370, 0.0588411, 0.0726236, protection.AtAction, 0},
		{12, 30, 3, 30, "25 %", "5 %", "100 cm2", "4 Bq/cm2", 0.24, 0.1032796, 0.2870306, protection.BelowAction, 0},
		{100000, 10, 50, 60, "30 %", "10 %", "100 cm2", "4 Bq/cm2", 3333.0556, 10.540999, 0.4321003, protection.AtAction, 0},
		{9, 60, 10, 60, "40 %", "10 %", "300 cm2", "0.4 Bq/cm2", -0.0013889, 0.0060540, 0.0241911, protection.BelowCritical, 0},
		{52, 120, 520, 1200, "42 %", "10 %", "100 cm2", "0.037 Bq/cm2", 0, 0.0150061, 0.0547338, protection.CannotSee, 422.4898},
		{4800, 60, 240, 60, "40 %", "10 %", "47.5 cm2", "40 Bq/cm2", 40, 0.6227452, 0.6559598, protection.AtAction, 0},
		{29, 60, 10, 600, "33 %", "10 %", "100 cm2", "0.1 Bq/cm2", 0.1414141, 0.0272447, 0.0310900, protection.AtAction, 0},
	} {
		b := read(t, "", counter, "survey-point: {point: R1-1, room: R1, name: bench, at: 2027-01-01T00:00, action: "+c.level+"}",
			fmt.Sprintf("point-reading: {point: R1-1, meter: WC1, at: 2027-03-04T17:00, swab: {gross: %d counts, time: %d s, blank: %d counts, blank-time: %d s, efficiency: %s, removed: %s, area: %s}}",
				c.gross, c.time, c.blank, c.blankTime, c.efficiency, c.removed, c.area))
		j := b.Rooms[0].Points[0].Readings[0].Swab
		if j == nil {
			t.Errorf("%+v: %+v", c, b.Findings)
			continue
		}
		near := func(what string, got, want float64) {
			if math.Abs(got-want) > 1e-5*math.Abs(want)+1e-7 {
				t.Errorf("%+v: %s is %.7g", c, what, got)
			}
		}
		near("net", float64(j.Surface), c.surface)
		near("u", float64(j.SurfaceU), c.u)
		near("what is seen", float64(j.Detectable), c.sees)
		near("the time to count", float64(j.Count), c.seconds)
		if j.State != c.state {
			t.Errorf("%+v: %s", c, j.State)
		}
	}
}

// Skin doses by numerical integration (Simpson, 2000 steps for each reading) of 2.0 mSv/h per
// kBq/cm2 that decays with 64.0417 h, apart from the program: washes, an area smaller than the
// one it is averaged over, one that was left for six days, and one that is still there.
func TestSkinReckonedApart(t *testing.T) {
	for _, c := range []struct {
		profile string
		lines   []string // at; level; area, the last of them the end where it says so
		want    float64  // mSv
	}{
		{"eu", []string{"11:00 60 1", "11:15 0.001 1 end"}, 30.144234},
		{"eu", []string{"11:00 60 1", "11:15 6 1", "11:30 0.6 1 end"}, 143.826565},
		{"us", []string{"11:00 60 1", "11:15 6 1", "11:30 0.6 1 end"}, 14.3826565},
		{"us", []string{"11:00 3.5 25", "12:00 1.2 25", "13:00 0.3 12 end"}, 64.784899},
		{"us", []string{"11:00 0.2 40"}, 29.263620},
		{"eu", []string{"11:00 12 4", "11:06 9 4", "11:12 2 2", "11:45 0.05 1 end"}, 15.630457},
	} {
		var lines []string
		for _, l := range c.lines {
			f := append(strings.Fields(l), "")
			line := "contaminated: {event: C1, who: rp-3, part: hand, at: 2027-03-04T" + f[0] + ", level: " + f[1] + " kBq/cm2, area: " + f[2] + " cm2"
			if f[3] == "end" {
				line += `, ended: "yes"`
			}
			lines = append(lines, line+"}")
		}
		b := read(t, c.profile, lines...) // on 2027-03-10 at 12:00, 145 h after the first
		if got := float64(b.Skin[0].Dose / quantity.MilliSievert); math.Abs(got/c.want-1) > 2e-5 {
			t.Errorf("%s %v: %.7g mSv, want %.7g", c.profile, c.lines, got, c.want)
		}
	}
}
