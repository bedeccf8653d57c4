package meter

import (
	"math/rand/v2"
	"testing"
	"time"
)

func normals(seed uint64) func() float64 {
	g := rand.New(rand.NewPCG(seed, 1))
	return g.NormFloat64
}

// nile is the yearly flow of the Nile at Aswan, 1871 to 1970, in 1e8 m3, the standard
// example of a change-point: a dam was begun in 1898, and the flow falls from 1899 on
// (G. W. Cobb, Biometrika 65 (1978) 243).
var nile = []float64{
	1120, 1160, 963, 1210, 1160, 1160, 813, 1230, 1370, 1140, 995, 935, 1110, 994, 1020, 960, 1180, 799, 958, 1140,
	1100, 1210, 1150, 1250, 1260, 1220, 1030, 1100, 774, 840, 874, 694, 940, 833, 701, 916, 692, 1020, 1050, 969,
	831, 726, 456, 824, 702, 1120, 1100, 832, 764, 821, 768, 845, 864, 862, 698, 845, 744, 796, 1040, 759,
	781, 865, 845, 944, 984, 897, 822, 1010, 771, 676, 649, 846, 812, 742, 801, 1040, 860, 874, 848, 890,
	744, 749, 838, 1050, 918, 986, 797, 923, 975, 815, 1020, 906, 901, 1170, 912, 746, 919, 718, 714, 740,
}

func years(x []float64) (out []Point[float64]) {
	for i, v := range x {
		out = append(out, Point[float64]{time.Date(1871+i, 7, 1, 0, 0, 0, 0, time.UTC), v})
	}
	return out
}

func TestChangeInTheNile(t *testing.T) {
	c := ok(ChangeIn(years(nile)))(t)
	if c.Is != Step || c.First != 28 || c.Low < 25 || c.High > 31 || c.Odds < 1e6 {
		t.Errorf("%+v", c)
	}
	// Means of 1871 to 1898 and from 1899 on.
	near(t, "before", c.Before, 1097.75, 1e-9)
	near(t, "after", c.Before+c.By, 849.9722, 5e-5)
}

// A drift is told from a step and named with its start; a steady series is called
// something else in no more than a few of a hundred.
func TestChangeTellsDrift(t *testing.T) {
	g := normals(3)
	alarms := 0
	for range 200 {
		x := make([]float64, 60)
		for i := range x {
			x[i] = 1 + 0.01*g()
		}
		if c := ok(ChangeIn(years(x)))(t); c.Is != Steady {
			alarms++
		}
	}
	if alarms > 8 {
		t.Errorf("%d of 200 steady series are said to change", alarms)
	}
	x := make([]float64, 60)
	for i := range x {
		x[i] = 1 + 0.01*g() - 0.002*max(0, float64(i-30))
	}
	c := ok(ChangeIn(years(x)))(t)
	if c.Is != Drift || c.Low > 31 || c.High < 28 || c.Odds < 100 {
		t.Errorf("%+v", c)
	}
	near(t, "by", c.By, -0.058, 0.012)
}

func TestChangeRefuses(t *testing.T) {
	_, err := ChangeIn(years(nile[:7]))
	refused(t, "seven", err, "too-few")
	_, err = ChangeIn(years(make([]float64, 9)))
	refused(t, "all the same", err, "no-spread")
	p := years(nile)
	p[3].At = p[1].At
	_, err = ChangeIn(p)
	refused(t, "out of order", err, "not-monotone")
}
